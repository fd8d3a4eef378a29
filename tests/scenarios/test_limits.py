"""What can be made with what is there."""

from dataclasses import replace
from fractions import Fraction

import pytest

import nesting.scenarios.session
from nesting.errors import CannotBeCutError, JobError, Obstacle
from nesting.geometry import Size
from nesting.model.job import When
from nesting.model.status import Count
from nesting.options import Left, Options
from nesting.plan import make_plan
from nesting.plan_selection import plan_selection
from nesting.scenarios.limits import plan_within
from nesting.spelling import WHOLE_JOB
from tests.builders import make_bench, make_board, make_job, make_offer, make_piece, make_shelf, make_shop
from tests.small_jobs import small_job

SECONDS = 2.0
BENCH = make_bench(trim=0, kerf=0)


def wall(*pieces, shelf, **changed):
    return make_job(*pieces, shelf=shelf, bench=BENCH, **changed)


def held(job, when=When.NOW):
    return plan_within(job, Options(when, sheets=0), seconds=SECONDS)


def cut(found):
    return {(placed.mat.piece, placed.mat.copy) for placed in found.plan.mats}


def test_all_are_planned_where_all_fit() -> None:
    job = wall(
        make_piece("Fern", (53, 31), quantity=2),
        make_piece("Moss", (47, 29), row=3),
        shelf=(make_shelf("a", "sage", (53, 62)), make_shelf("b", "sage", (47, 29))),
        offers=(make_offer(1, "Alder", "sage", 740),),
        shops=(make_shop("Alder"),),
    )
    found = held(job)
    assert cut(found) == {("Fern", 1), ("Fern", 2), ("Moss", 1)}
    assert (found.left_out, found.rest, found.plan.purchase.total) == ((), None, 0)


def test_the_first_in_priority_is_cut_though_two_others_would_fit_in_its_place() -> None:
    pieces = (
        make_piece("Small", (26, 31), row=2, quantity=2),
        make_piece("Large", (53, 31), row=3, priority=1),
    )
    shelf = (make_shelf("a", "sage", (53, 31)),)
    found = held(wall(*pieces, shelf=shelf))
    assert cut(found) == {("Large", 1)}
    assert [(left.piece, left.copies) for left in found.left_out] == [("Small", 2)]
    assert found.left_out[0].reason == "there is no room left for it on the shelf"
    assert found.rest is None


def test_without_priorities_the_most_are_cut() -> None:
    pieces = (make_piece("Large", (53, 31), row=2), make_piece("Small", (26, 31), row=3, quantity=2))
    found = held(wall(*pieces, shelf=(make_shelf("a", "sage", (53, 31)),)))
    assert cut(found) == {("Small", 1), ("Small", 2)}


def test_as_many_copies_as_fit_are_cut_and_the_rest_keeps_their_board() -> None:
    job = wall(
        make_piece("Fern", (53, 31), quantity=5, boards=("ivory", "sage")),
        shelf=(make_shelf("a", "sage", (53, 62)), make_shelf("b", "sage", (59, 37))),
        offers=(make_offer(1, "Alder", None, 740), make_offer(2, "Alder", "ivory", 10)),
        shops=(make_shop("Alder"),),
    )
    found = held(job)
    assert cut(found) == {("Fern", 1), ("Fern", 2), ("Fern", 3)}
    assert [(left.piece, left.copies) for left in found.left_out] == [("Fern", 2)]
    assert found.rest is not None
    assert [(line.board, line.count) for line in found.rest.purchase.lines] == [("sage", 1)]


def test_the_rest_may_use_what_is_left_on_the_shelf() -> None:
    job = wall(
        make_piece("Fern", (53, 31)),
        make_piece("Map", (211, 151), row=3, backing=("oat",)),
        shelf=(make_shelf("a", "sage", (53, 31)), make_shelf("b", "oat", (211, 151))),
        offers=(make_offer(1, "Alder", None, 740),),
        shops=(make_shop("Alder"),),
    )
    found = held(job)
    assert cut(found) == {("Fern", 1)}
    assert "is larger than every sheet and leftover of sage" in found.left_out[0].reason
    assert found.rest is not None
    assert [(line.board, line.count) for line in found.rest.purchase.lines] == [("sage", 1)]


def test_where_nothing_can_be_cut_everything_is_left_out_and_why() -> None:
    found = held(wall(make_piece("Fern", (53 * 640, 31 * 640)), shelf=(make_shelf("a", "sage", (41, 29)),)))
    assert cut(found) == set()
    assert [(left.piece, left.copies) for left in found.left_out] == [("Fern", 1)]
    assert found.left_out[0].reason.startswith("its mat, 53 x 31 mm, is larger than every sheet")


def test_later_pieces_wait_and_faults_are_faults() -> None:
    job = wall(
        make_piece("Fern", (53, 31)),
        make_piece("Moss", (47, 29), row=3, when=When.LATER),
        shelf=(make_shelf("a", "sage", (53, 62)),),
    )
    assert cut(held(job)) == {("Fern", 1)}
    assert len(cut(held(job, When.LATER))) == 2
    with pytest.raises(JobError):
        held(wall(make_piece("Fern", (53, 31), (57, 7)), shelf=job.shelf))


def test_boards_of_which_nothing_is_held_are_named_and_the_rest_is_planned_whole() -> None:
    job = wall(
        make_piece("Fern", (53, 31)),
        make_piece("Map", (211, 151), row=3, quantity=2, boards=("oat", "ivory"), backing=("umber",)),
        shelf=(make_shelf("a", "sage", (53, 31)),),
        offers=(make_offer(1, "Alder", None, 740), make_offer(2, "Alder", "umber", 310)),
        boards=tuple(make_board(name) for name in ("sage", "oat", "ivory", "umber")),
        shops=(make_shop("Alder"),),
    )
    found = held(job)
    lacks = "nothing is held of oat or ivory for its mat; nothing is held of umber for its backing"
    assert cut(found) == {("Fern", 1)}
    assert [(left.piece, left.copies, left.reason) for left in found.left_out] == [("Map", 2, lacks)]
    assert found.rest is not None
    assert {line.board for line in found.rest.purchase.lines} >= {"umber"}


def test_an_empty_shelf_is_said_plainly() -> None:
    offers, shops = (make_offer(1, "Alder", None, 740),), (make_shop("Alder"),)
    found = held(wall(make_piece("Fern", (53, 31)), shelf=(), offers=offers, shops=shops))
    assert cut(found) == set()
    assert [left.reason for left in found.left_out] == ["nothing is held of sage for its mat"]
    assert found.rest is not None
    assert found.rest.purchase.total == 740


def test_a_mat_that_cannot_be_sized_is_a_fault_though_its_board_is_not_held() -> None:
    pieces = (make_piece("Fern", (53, 31)), make_piece("Map", (53, 31), (57, 7), row=3, boards=("oat",)))
    with pytest.raises(JobError):
        held(wall(*pieces, shelf=(make_shelf("a", "sage", (53, 31)),)))


def shop(*pieces, at_most=None, shelf=()):
    offers = (make_offer(1, "Alder", "sage", 740, sheet=Size(107, 62), at_most=at_most),)
    return wall(*pieces, shelf=shelf, offers=offers, shops=(make_shop("Alder", delivery=100),))


def within(job, **limits):
    return plan_within(job, Options(**limits), seconds=SECONDS)


def test_a_budget_is_kept_to_the_cent_and_the_first_in_priority_comes_first() -> None:
    # Two large ones fill a sheet of 107 x 62 (7.40) but for a cut; delivery is 1.00: 8.40 for two, 15.80 for four.
    pieces = (
        make_piece("Large", (53, 62), row=2, quantity=4, priority=2),
        make_piece("Best", (107, 61), row=3, priority=1),
    )
    assert cut(within(shop(*pieces), budget=2320)) == {("Large", n) for n in range(1, 5)} | {("Best", 1)}
    less = within(shop(*pieces), budget=2319)
    assert cut(less) == {("Large", 1), ("Large", 2), ("Best", 1)}
    assert less.plan.purchase.total == 1580
    assert [(left.piece, left.copies) for left in less.left_out] == [("Large", 2)]
    assert less.left_out[0].reason == "does not fit the $23.19 budget"
    assert less.rest is not None
    assert less.rest.purchase.total == 840


def test_so_many_sheets_are_bought_at_most_and_what_the_rest_needs_heeds_what_is_left_of_a_limit() -> None:
    job = shop(make_piece("Large", (53, 62), quantity=5), at_most=2)
    found = within(job, sheets=1)
    assert (len(cut(found)), found.plan.summary.sheets_bought) == (2, 1)
    assert found.left_out[0].reason == "does not fit the limit of 1 sheet"
    assert found.rest is None  # one more sheet may be bought, which does not hold the other three
    assert len(cut(within(job, sheets=9))) == 4


def test_a_budget_of_nothing_uses_what_is_held() -> None:
    found = within(
        shop(make_piece("Large", (53, 61), quantity=2), shelf=(make_shelf("a", "sage", (53, 61)),)), budget=0
    )
    assert len(cut(found)) == 1


def test_what_everything_at_once_would_cost_is_said_where_something_is_left_out() -> None:
    # 8.40 for two, 15.80 for four, delivery in both.
    job = shop(make_piece("Large", (53, 62), quantity=4))
    less = within(job, budget=1579)
    assert less.whole is not None
    assert (less.plan.purchase.total, less.whole.purchase.total, less.whole.purchase.proven) == (840, 1580, True)
    assert within(job, budget=1580).whole is None
    assert within(job, sheets=2).whole is None
    assert held(job).whole is None


def test_what_is_left_out_may_be_cut_from_what_the_plan_leaves() -> None:
    # Fern leaves half of its sheet. Map takes three blanks of that size: one from there, two from a sheet more.
    layers = {"under_boards": ("sage",), "backing": ("sage",), "reveal": Fraction(3)}
    map_ = make_piece("Map", (53, 62), (23, 31), row=3, priority=2, **layers)
    found = within(shop(make_piece("Fern", (53, 62), priority=1), map_), sheets=1)
    assert cut(found) == {("Fern", 1)}
    assert found.rest is not None
    assert [line.count for line in found.rest.purchase.lines] == [1]


EIGHTH = 2032
"""An eighth of an inch in ticks of 1/640 mm."""


def eighths(width, height):
    return width * EIGHTH, height * EIGHTH


def test_two_blanks_that_one_cut_parts_are_both_cut_from_the_shelf_each_time() -> None:
    # 7 7/8 + 5 7/8 = 13 3/4 of the 14 in, and both are 8 7/8 of the 9 in wide: 63 + 47 = 110 of 112, 71 of 72 eighths.
    pieces = (make_piece("Fern", eighths(71, 63)), make_piece("Moss", eighths(47, 71), row=3))
    job = wall(*pieces, shelf=(make_shelf("R1", "sage", eighths(72, 112)),))
    for _ in range(5):
        found = held(job)
        assert cut(found) == {("Fern", 1), ("Moss", 1)}
        assert found.left_out == ()


def test_two_smaller_pieces_are_cut_where_one_larger_one_would_leave_no_room_for_either() -> None:
    # 53 x 31 is one of Large, or two of 26 x 31 less a mm; the smaller come last in the table.
    pieces = (make_piece("Large", (52, 30)), make_piece("Left", (26, 31), row=3), make_piece("Right", (27, 31), row=4))
    found = held(wall(*pieces, shelf=(make_shelf("a", "sage", (53, 31)),)))
    assert cut(found) == {("Left", 1), ("Right", 1)}
    assert [(left.piece, left.reason) for left in found.left_out] == [
        ("Large", "there is no room left for it on the shelf")
    ]


def refusing(name, *, proven):
    """Return a `make_plan` that finds no plan with this piece in it."""

    def planned(job, options=None, **settings):
        if any(piece.name == name for piece in job.pieces):
            raise CannotBeCutError((Obstacle(WHOLE_JOB, "has no plan", "Ask for less"),), proven=proven)
        return make_plan(job, options, **settings)

    return planned


def leaving_out(name: str, *, proven: bool):
    """Return the solver's choice as it is when it leaves this piece out, proven to be the best there is or not."""

    def selected(job, options, **settings):
        others = tuple(piece for piece in job.pieces if piece.name != name)
        made = plan_selection(replace(job, pieces=others), options, **settings)
        count = sum(made.counts.values())
        level = Count(count, count if proven else count + 1)
        return replace(made, plan=replace(made.plan, selection=(level,)))

    return selected


def test_what_is_only_not_found_is_never_said_to_be_impossible(monkeypatch) -> None:
    pieces = (make_piece("Fern", (53, 31)), make_piece("Moss", (47, 29), row=3))
    job = wall(*pieces, shelf=(make_shelf("a", "sage", (53, 62)),))
    for proven, reason in (
        (False, "no room was found for it on the shelf in the time; more --seconds may find some"),
        (True, "there is no room left for it on the shelf"),
    ):
        monkeypatch.setattr(nesting.scenarios.session, "make_plan", refusing("Moss", proven=proven))
        monkeypatch.setattr(nesting.scenarios.session, "plan_selection", leaving_out("Moss", proven=proven))
        found = held(job)
        assert cut(found) == {("Fern", 1)}
        assert [left.reason for left in found.left_out] == [reason]


def test_the_same_is_said_of_money_and_sheets(monkeypatch) -> None:
    pieces = (make_piece("Large", (53, 61)), make_piece("Map", (53, 62), row=3))
    monkeypatch.setattr(nesting.scenarios.session, "make_plan", refusing("Map", proven=False))
    monkeypatch.setattr(nesting.scenarios.session, "plan_selection", leaving_out("Map", proven=False))
    found = within(shop(*pieces), budget=840, sheets=1)
    assert cut(found) == {("Large", 1)}
    assert found.left_out[0].reason == (
        "no way was found in the time to fit it into the $8.40 budget or the limit of 1 sheet; more --seconds may find"
        " one"
    )


def test_a_budget_of_what_everything_costs_leaves_nothing_out() -> None:
    for seed in range(12):
        job = small_job(seed, 14)
        purchase = make_plan(job, refined=False).purchase
        found = plan_within(job, Options(budget=purchase.total))
        assert (found.left_out, found.plan.purchase.total <= purchase.total) == ((), True), seed


def test_a_piece_that_no_one_sells_a_board_for_is_named_and_does_not_keep_the_rest_from_being_planned() -> None:
    # Moss is of oat, which no one sells; its backing is then not wanted. Fern takes a sheet.
    moss = make_piece("Moss", (53, 62), row=3, boards=("oat",), backing=("sage",))
    found = within(shop(make_piece("Fern", (53, 62), quantity=2), moss), budget=840)
    assert cut(found) == {("Fern", 1), ("Fern", 2)}
    assert [(left.piece, left.reason) for left in found.left_out] == [
        ("Moss", "nobody sells oat for its mat, and the shelf holds none")
    ]
    assert found.whole is None


def test_a_board_that_is_sold_out_leaves_out_the_pieces_that_need_it_under_a_budget() -> None:
    offers = (make_offer(1, "Alder", None, 740, sheet=Size(107, 62)),)
    pieces = (make_piece("Fern", (53, 62), boards=("sage",)), make_piece("Moss", (53, 62), row=3, boards=("ivory",)))
    job = wall(*pieces, shelf=(), offers=offers, shops=(make_shop("Alder"),))
    found = within(job, budget=2000, left=(Left(None, "ivory", 0),))
    assert cut(found) == {("Fern", 1)}
    assert found.left_out[0].reason.startswith("no ivory for its mat is left to be bought")
