"""What can be made with what is there."""

import pytest

from nesting.errors import CannotBeCutError, JobError
from nesting.job import When
from nesting.plan import Options
from nesting.shelf_only import plan_from_held
from tests.builders import make_bench, make_board, make_job, make_offer, make_piece, make_shelf, make_shop

SECONDS = 2.0
BENCH = make_bench(trim=0, kerf=0)


def wall(*pieces, shelf, **changed):
    return make_job(*pieces, shelf=shelf, bench=BENCH, **changed)


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
    found = plan_from_held(job, seconds=SECONDS)
    assert cut(found) == {("Fern", 1), ("Fern", 2), ("Moss", 1)}
    assert (found.left_out, found.rest, found.plan.purchase.total) == ((), None, 0)


def test_the_first_in_priority_is_cut_though_two_others_would_fit_in_its_place() -> None:
    pieces = (
        make_piece("Small", (26, 31), row=2, quantity=2),
        make_piece("Large", (53, 31), row=3, priority=1),
    )
    shelf = (make_shelf("a", "sage", (53, 31)),)
    found = plan_from_held(wall(*pieces, shelf=shelf), seconds=SECONDS)
    assert cut(found) == {("Large", 1)}
    assert [(left.piece, left.copies) for left in found.left_out] == [("Small", 2)]
    assert found.left_out[0].reason == "there is no room for it beside what is cut before it"
    assert found.rest is None


def test_without_priorities_the_most_are_cut() -> None:
    pieces = (make_piece("Large", (53, 31), row=2), make_piece("Small", (26, 31), row=3, quantity=2))
    found = plan_from_held(wall(*pieces, shelf=(make_shelf("a", "sage", (53, 31)),)), seconds=SECONDS)
    assert cut(found) == {("Small", 1), ("Small", 2)}


def test_as_many_copies_as_fit_are_cut_and_the_rest_keeps_their_board() -> None:
    job = wall(
        make_piece("Fern", (53, 31), quantity=5, boards=("ivory", "sage")),
        shelf=(make_shelf("a", "sage", (53, 62)), make_shelf("b", "sage", (59, 37))),
        offers=(make_offer(1, "Alder", None, 740), make_offer(2, "Alder", "ivory", 10)),
        shops=(make_shop("Alder"),),
    )
    found = plan_from_held(job, seconds=SECONDS)
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
    found = plan_from_held(job, seconds=SECONDS)
    assert cut(found) == {("Fern", 1)}
    assert "fits nothing" in found.left_out[0].reason
    assert found.rest is not None
    assert [(line.board, line.count) for line in found.rest.purchase.lines] == [("sage", 1)]


def test_nothing_that_can_be_cut_is_no_plan_and_why() -> None:
    job = wall(make_piece("Fern", (53 * 640, 31 * 640)), shelf=(make_shelf("a", "sage", (41, 29)),))
    with pytest.raises(CannotBeCutError, match="Fern: its mat's blank of 53 x 31 mm fits nothing"):
        plan_from_held(job, seconds=SECONDS)


def test_later_pieces_wait_and_faults_are_faults() -> None:
    job = wall(
        make_piece("Fern", (53, 31)),
        make_piece("Moss", (47, 29), row=3, when=When.LATER),
        shelf=(make_shelf("a", "sage", (53, 62)),),
    )
    assert cut(plan_from_held(job, seconds=SECONDS)) == {("Fern", 1)}
    assert len(cut(plan_from_held(job, Options(When.LATER), seconds=SECONDS))) == 2
    with pytest.raises(JobError):
        plan_from_held(wall(make_piece("Fern", (53, 31), (57, 7)), shelf=job.shelf), seconds=SECONDS)


def test_boards_of_which_nothing_is_held_are_named_and_the_rest_is_planned_whole() -> None:
    job = wall(
        make_piece("Fern", (53, 31)),
        make_piece("Map", (211, 151), row=3, quantity=2, boards=("oat", "ivory"), backing=("umber",)),
        shelf=(make_shelf("a", "sage", (53, 31)),),
        offers=(make_offer(1, "Alder", None, 740), make_offer(2, "Alder", "umber", 310)),
        boards=tuple(make_board(name) for name in ("sage", "oat", "ivory", "umber")),
        shops=(make_shop("Alder"),),
    )
    found = plan_from_held(job, seconds=SECONDS)
    lacks = "nothing is held of oat or ivory for its mat; nothing is held of umber for its backing"
    assert cut(found) == {("Fern", 1)}
    assert [(left.piece, left.copies, left.reason) for left in found.left_out] == [("Map", 2, lacks)]
    assert found.rest is not None
    assert {line.board for line in found.rest.purchase.lines} >= {"umber"}


def test_an_empty_shelf_is_said_plainly() -> None:
    job = wall(make_piece("Fern", (53, 31)), shelf=(), offers=(make_offer(1, "Alder", None, 740),))
    with pytest.raises(CannotBeCutError) as caught:
        plan_from_held(job, seconds=SECONDS)
    assert str(caught.value) == (
        "Fern: nothing is held of sage for its mat. Put such a piece on the shelf, or name another board that is held."
    )


def test_a_mat_that_cannot_be_sized_is_a_fault_though_its_board_is_not_held() -> None:
    pieces = (make_piece("Fern", (53, 31)), make_piece("Map", (53, 31), (57, 7), row=3, boards=("oat",)))
    with pytest.raises(JobError):
        plan_from_held(wall(*pieces, shelf=(make_shelf("a", "sage", (53, 31)),)), seconds=SECONDS)
