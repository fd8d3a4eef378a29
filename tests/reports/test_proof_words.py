"""What is said of choices: proven only where they are."""

from dataclasses import replace

import pytest

from cli.reports.sentences import cost_remarks, left_out_words
from nesting.geometry import Size
from nesting.model.status import Count
from nesting.options import Options
from nesting.plan import make_plan
from nesting.scenarios.limits import plan_within
from tests.builders import make_bench, make_board, make_job, make_offer, make_piece, make_shop


def wall():
    """Return two pieces that like one board best and one that likes another, each a sheet at 5.00."""
    wishes = (("sage", "oat"), ("oat", "sage"), ("sage", "oat"))
    return make_job(
        *(make_piece(f"Fern {n}", (53, 62), row=2 + n, boards=its) for n, its in enumerate(wishes)),
        bench=make_bench(trim=0, kerf=0),
        offers=tuple(make_offer(1 + n, "Alder", b, 500, sheet=Size(160, 62)) for n, b in enumerate(("sage", "oat"))),
        boards=(make_board("sage"), make_board("oat")),
        shops=(make_shop("Alder"),),
    )


@pytest.mark.parametrize(
    ("counts", "words"),
    [
        ((Count(2, 2),), "2 of 3 get their first-choice board (the most possible at this price)."),
        ((Count(2, 3),), "2 of 3 get their first-choice board (a longer search may find up to 3)."),
        ((), "2 of 3 get their first-choice board."),
    ],
)
def test_first_choice_boards_are_the_most_possible_only_where_that_is_proven(counts, words) -> None:
    plan = make_plan(wall())
    assert plan.preference == (Count(2, 2),)
    assert words in list(cost_remarks(replace(plan, preference=counts)))


def test_the_choice_of_pieces_is_said_to_be_proven_or_not() -> None:
    found = plan_within(wall(), Options(budget=499))
    assert [left.piece for left in found.left_out] == ["Fern 0", "Fern 1", "Fern 2"]
    assert "Proven: no other choice fits more pieces." in list(left_out_words(found))
    assert "Not proven: a longer search may fit more pieces." in list(left_out_words(replace(found, proven=False)))
    ranked = replace(found, plan=replace(found.plan, selection=(Count(0, 0), Count(0, 0))))
    assert "Proven: no other choice fits more pieces, counted by priority." in list(left_out_words(ranked))
