"""Names that the program gives to what it adds to a job, beside a user's own that are written alike.

Sheets of 107 x 62 hold two blanks of 53 x 62 and a strip of 1 x 62.
"""

import pytest

from nesting.errors import CannotBeCutError
from nesting.geometry import ExactSize, Size
from nesting.model.job import When
from nesting.model.plan import Plan
from nesting.names import Names
from nesting.options import Options
from nesting.plan import make_plan
from nesting.scenarios.afterwards import bought_stock, left_over, shelf_after
from nesting.scenarios.compare import Case, compare
from nesting.scenarios.limits import plan_within
from nesting.scenarios.room_left import how_many_more
from nesting.scenarios.session import Session
from nesting.spelling import fold
from tests.builders import exact, make_bench, make_job, make_offer, make_piece, make_shelf, make_shop

LABELS = ("left 1", "left 2", "bought 1", "spare 1", "left over 1", "uncut 1")
SHEET = Size(107, 62)


def wall(*pieces, price=500, **changed):
    facts = {
        "offers": (make_offer(1, "Alder", "sage", price, sheet=SHEET),),
        "shops": (make_shop("Alder"),),
        "shelf": tuple(make_shelf(label, "sage", (29, 31 + place)) for place, label in enumerate(LABELS)),
        "bench": make_bench(trim=0, kerf=0, keep_at_least=exact(11, 17)),
    }
    return make_job(*pieces, **facts | changed)


def test_what_is_held_afterwards_has_labels_unlike_any_of_the_users() -> None:
    # Fern takes half of the sheet; the other half is left over, and so are both sheets of a pack that are not cut.
    made = make_plan(
        wall(make_piece("Fern", (53, 62)), offers=(make_offer(1, "Alder", "sage", 500, sheet=SHEET, pack_of=3),))
    )
    held = (*shelf_after(made), *bought_stock(made))
    labels = [fold(piece.label) for piece in held]
    assert len(labels) == len(set(labels)) == len(LABELS) + 3
    assert not {piece.label for piece in (*left_over(made, "sage"), *bought_stock(made))} & set(LABELS)


def test_a_budget_beside_such_labels() -> None:
    # Two sheets are needed, one is paid for; the other Fern is bought by itself afterwards.
    found = plan_within(wall(make_piece("Fern", (107, 62), quantity=2)), Options(budget=500), seconds=3)
    assert [(left.piece, left.copies) for left in found.left_out] == [("Fern", 1)]
    assert found.rest is not None
    assert found.rest.purchase.total == 500


def test_a_comparison_beside_such_labels() -> None:
    # Fern leaves 54 x 62, from which Moss is cut apart for nothing, beside the user's own that are too small.
    later = make_piece("Moss", (54, 62), row=3, when=When.LATER)
    found = compare(wall(make_piece("Fern", (53, 62)), later), (), seconds=4)
    assert found.apart == 0
    figure = found.figure(Case(None, When.LATER))
    assert figure is not None
    assert figure.total == 500


@pytest.mark.parametrize("name", ["further blanks", "Fern"])
def test_further_blanks_are_counted_beside_a_piece_of_any_name(name: str) -> None:
    # Three of the four halves of two sheets are taken: one more half is left, or two of half its height.
    job = wall(make_piece(name, (53, 62), quantity=3))
    session = Session(job, seconds=30)
    first = session.plan(seconds=5)
    assert isinstance(first, Plan)
    for size, count in (((53, 62), 1), ((54, 31), 2)):
        many = how_many_more(first, session, "sage", ExactSize(*exact(*size)))
        assert (many.count, many.most) == (count, True)
        blanks = [placed for placed in many.plan.mats if placed.mat.piece != name]
        assert len(blanks) == count
        assert Names(many.plan.job).copy(blanks[0].mat.piece, 1).startswith("further blanks")


def test_a_piece_called_the_job_is_told_from_the_job() -> None:
    job = wall(make_piece("the job", (107, 62)), make_piece("Fern", (53, 62), row=3, priority=1))
    found = plan_within(job, Options(budget=500), seconds=3)
    (left,) = found.left_out
    assert (left.piece, left.reason) == ("the job", "does not fit the $5.00 budget")
    # Two pieces share the board that is short, so it is said of the job: three halves want two sheets of the one.
    short = wall(
        make_piece("the job", (53, 62), quantity=2),
        make_piece("Fern", (53, 62), row=3),
        offers=(make_offer(1, "Alder", "sage", 500, sheet=SHEET, at_most=1),),
    )
    with pytest.raises(CannotBeCutError) as caught:
        make_plan(short, seconds=3)
    assert caught.value.obstacles[0].piece != "the job"
    assert str(caught.value).startswith("the job: ")
