"""From the shelf file to the stock of a job, and to the job of cutting a spoiled mat again."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from nesting.errors import JobError
from nesting.geometry import Size
from nesting.model.job import Job, ShelfKind, Unit, When
from nesting.model.plan import PlacedMat
from nesting.plan_file.read import PlanFile, Spare, read_plan_file
from nesting.plan_file.write import used_labels
from nesting.shelf.booking import SPARE
from nesting.shelf.history import Change, History, Reservation
from nesting.shelf.mending import again_of, job_again
from nesting.shelf.stock import with_shelf
from nesting.sizing import size_pieces
from tests.builders import make_bench, make_job, make_offer, make_piece, make_shelf
from tests.handmade import job, plan, size
from tests.shelf.shelves import held, shelf, write_plan


@pytest.fixture
def read(tmp_path: Path) -> PlanFile:
    return replace(read_plan_file(write_plan(plan(), tmp_path)), in_file=frozenset({"box lid"}))


def log(read: PlanFile, *ids: str, **changed: object) -> History:
    """Return a log with one change, which booked these sheets and mats."""
    keys = tuple(read.keys.get(one, one) for one in ids)
    return History({1: Change(1, 0, "", "done", None, "", (), read.identity, keys, **changed)})


ALL = ("S1", "S2", "S3", "M1", "M2", "M3", "M4", "M5", "M6")


def labels(asked: Job) -> list[str]:
    return [piece.label for piece in asked.shelf]


def test_pieces_of_the_boards_that_the_job_names_join_its_own() -> None:
    asked = make_job(make_piece("Fern", (53, 31)), shelf=(make_shelf("lid", "sage", (41, 59)),))
    there = shelf(
        held("R1", "SAGE", Size(61, 43), quantity=2),
        held("R2", "slate", Size(61, 43)),
        held("R3", "oat", Size(6, 43), kind=ShelfKind.SHEET),
        held("R4", "oat", Size(7, 43), kind=ShelfKind.SHEET),
    )
    found = with_shelf(asked, there)
    assert labels(found) == ["lid", "R1", "R4"]
    assert [(piece.board, piece.quantity, piece.in_file) for piece in found.shelf] == [
        ("sage", 1, False),
        ("sage", 2, True),
        ("oat", 1, True),
    ]
    assert replace(found, shelf=asked.shelf) == asked


def test_a_board_that_looks_like_one_of_the_jobs_is_worth_a_look() -> None:
    found = with_shelf(
        make_job(warnings=("known",)), shelf(held("R1", "ivry"), held("R2", "ivry"), held("R3", "umber"))
    )
    assert found.shelf == ()
    assert found.warnings == (
        "known",
        "'ivory' looks like 'ivry'. If they are one board, write the same name in both places; now they count as two",
    )


def test_a_label_in_both_is_a_fault() -> None:
    asked = make_job(shelf=(make_shelf("Box Lid", "sage", (41, 59)),))
    with pytest.raises(JobError) as caught:
        with_shelf(asked, shelf(held("box lid", "oat")))
    assert str(caught.value) == (
        "shelf, label: 'Box Lid' is on a piece of this table and on one of the shelf file. "
        "Take the row out of the table if it is the same piece; otherwise give it another label."
    )


def test_only_labels_of_the_file_count_as_used() -> None:
    made = plan()
    assert used_labels(made) == ()
    own = tuple(replace(piece, in_file=True) for piece in made.job.shelf)
    assert used_labels(replace(made, job=replace(made.job, shelf=own))) == ("box lid",)


def test_a_spoiled_mat_is_asked_for_again_to_the_tick(read: PlanFile) -> None:
    asked = job_again(job(), read, [read.mats[2]], shelf(change=1), log(read, "S1", "M3"))
    (made,) = size_pieces(asked, When.NOW)
    assert (made.blank, made.borders, made.windows) == (
        read.mats[2].mat.blank,
        read.mats[2].mat.borders,
        read.mats[2].mat.windows,
    )
    assert (asked.pieces[0].name, asked.pieces[0].group, asked.pieces[0].boards) == (
        "Ford map (M3)",
        "lower landing",
        ("slate",),
    )


def test_several_windows_are_asked_for_again_too(tmp_path: Path) -> None:
    bench = make_bench()
    several = make_piece("Packets", (113, 67), (19, 23), across=3, down=1, gap=Fraction(7))
    (mat,) = size_pieces(make_job(several, bench=bench), When.NOW)
    placed = PlacedMat(mat, "sage", "S1", turned=False)
    of = replace(_empty(tmp_path), keys={mat.id: "0" * 16})
    asked = job_again(make_job(bench=bench), of, [placed], shelf(), History({}))
    (made,) = size_pieces(asked, When.NOW)
    assert (made.blank, made.windows, made.borders) == (mat.blank, mat.windows, mat.borders)
    # A mat whose borders rounding would not give again is asked for as its blank.
    uneven = replace(mat, borders=replace(mat.borders, left=mat.borders.left - 1, right=mat.borders.right + 1))
    plain = job_again(make_job(bench=bench), of, [replace(placed, mat=uneven)], shelf(), History({}))
    (made,) = size_pieces(plain, When.NOW)
    assert (made.blank, made.windows) == (mat.blank, ())


def _empty(folder: Path) -> PlanFile:
    return replace(
        read_plan_file(write_plan(plan(), folder)), sheets=(), mats=(), leftover=(), spares=(), bought=(), unit=Unit.MM
    )


def test_what_the_rest_of_the_plan_will_cut_is_not_there_and_what_it_will_leave_is(read: PlanFile) -> None:
    there = shelf(held("box lid", "grey card", size("7", "17"), quantity=2), held("R1"), change=1)
    own = replace(job(), shelf=())
    mats = [read.mats[2]]
    id6 = read.identity[:6]
    early = job_again(own, read, mats, there, log(read, "S1", "M3"))
    assert labels(early)[:2] == ["box lid", "R1"]
    assert early.shelf[0].quantity == 1
    assert labels(early)[2:] == [
        f"{name}, plan {id6}" for name in ("S2 offcut 1", "S3 offcut 1", "S3 offcut 2", "M1 fallout", "M2 fallout")
    ]
    assert early.shelf[-1].size == size("6 3/4", "9 3/4")
    late = job_again(own, read, mats, there, log(read, *ALL))
    assert [(piece.label, piece.quantity) for piece in late.shelf] == [("box lid", 2), ("R1", 1)]


def test_a_piece_that_a_user_calls_as_a_leftover_to_come_is_called_is_not_taken_for_it(read: PlanFile) -> None:
    label = f"M1 FALLOUT, plan {read.identity[:6]}"
    asked = job_again(
        replace(job(), shelf=()), read, [read.mats[2]], shelf(held(label), change=1), log(read, "S1", "M3")
    )
    assert [piece.label for piece in asked.shelf if "allout" in piece.label.casefold()] == [
        label,
        f"M2 fallout, plan {read.identity[:6]}",
    ]


def test_a_board_is_asked_for_again_as_the_job_spells_it_now(read: PlanFile) -> None:
    respelt = tuple(replace(board, name=board.name.upper()) for board in job().boards)
    asked = job_again(replace(job(), boards=respelt, shelf=()), read, [read.mats[2]], shelf(), History({}))
    assert asked.pieces[0].boards == ("SLATE",)


@pytest.mark.parametrize(
    ("then", "now", "used", "left"),
    [
        (1, 1, 1, 0),  # not lowered: the one piece is used up
        (2, 2, 1, 1),  # not lowered: one of two is left
        (2, 1, 1, 1),  # lowered as told: the one that is left is there
        (3, 3, 2, 1),
        (3, 2, 2, 1),  # lowered once, used twice
        (3, 1, 2, 1),  # lowered twice
        (2, 0, 1, 0),  # crossed out, and more is gone
        (1, 3, 1, 2),  # two more were found, nothing crossed out
    ],
)
def test_the_jobs_own_shelf_is_less_what_was_taken_of_it_once(
    read: PlanFile, then: int, now: int, used: int, left: int
) -> None:
    own = replace(read, in_file=frozenset(), table=(("Box  lid", then),))
    (lid,) = job().shelf
    asked = replace(job(), shelf=(replace(lid, quantity=now),) if now else ())
    other = Reservation("9" * 16, "stairs", (), table=(("box lid", used - 1),), mends=own.identity, first=own.identity)
    found = job_again(asked, own, [read.mats[2]], shelf(change=1), log(own, *ALL, reserved=other))
    assert [(piece.label, piece.quantity) for piece in found.shelf] == ([("box lid", left)] if left else [])


def test_spare_sheets_are_there_until_they_are_booked(read: PlanFile) -> None:
    spare = replace(read, spares=(Spare(1, "slate", size("32", "40"), 3),))
    asked, mats = replace(job(), shelf=()), [read.mats[2]]
    (left,) = job_again(asked, spare, mats, shelf(change=1), log(spare, *ALL)).shelf
    assert (left.label, left.quantity) == (f"uncut slate of offer 1, plan {read.identity[:6]}", 3)
    kept = Reservation("9" * 16, "hall", (("k", left.label),), mends=read.identity, first=read.identity)
    (less,) = job_again(asked, spare, mats, shelf(change=1), log(spare, *ALL, reserved=kept)).shelf
    assert less.quantity == 2
    assert not job_again(asked, spare, mats, shelf(change=1), log(spare, *ALL, SPARE)).shelf


def test_what_is_kept_for_others_is_not_there_unless_it_is_asked_for(read: PlanFile) -> None:
    there = shelf(held("R1"), held("R2", quantity=2), change=1)
    kept = Reservation("9" * 16, "hall", (("k", "R1"), ("l", "r2")))
    asked, mats = replace(job(), shelf=()), [read.mats[2]]
    done = log(read, *ALL, reserved=kept)
    assert [(piece.label, piece.quantity) for piece in job_again(asked, read, mats, there, done).shelf] == [("R2", 1)]
    assert labels(job_again(asked, read, mats, there, done, reserved_too=True)) == ["R1", "R2"]
    # An earlier plan of cutting the same mat again that is not cut gives way to this one.
    earlier = replace(kept, mends=read.identity, mats=(read.keys["M3"],), first=read.identity)
    assert labels(job_again(asked, read, mats, there, log(read, *ALL, reserved=earlier))) == ["R1", "R2"]


def test_a_plan_that_mends_knows_what_all_plans_of_the_wall_took(read: PlanFile) -> None:
    first = again_of(read, [read.mats[2]])
    assert (first.plan, first.first, first.mats) == (read.identity, read.identity, (read.keys["M3"],))
    assert first.offers == ((1, 1),)
    second = again_of(replace(read, identity="2" * 16, again=first), [read.mats[0]])
    assert second == replace(first, plan="2" * 16, mats=(read.keys["M1"],))
    # The first plan bought one sheet of offer 1, the plan that mends it two, another that mends it one.
    mending = replace(read, identity="2" * 16, again=first, bought=(Spare(1, "slate", size("32", "40"), 2),))
    other = Reservation("9" * 16, "hall", (), offers=((1, 1),), mends=read.identity, first=read.identity)
    foreign = replace(other, plan="8" * 16, first="7" * 16)
    offers = (make_offer(1, "North store", None, 850, at_most=5),)
    asked = replace(job(), offers=offers, shelf=())
    for kept, left in ((other, 1), (foreign, 2)):
        found = job_again(asked, mending, [read.mats[0]], shelf(change=1), log(mending, *ALL, reserved=kept))
        assert [offer.at_most for offer in found.offers] == [left]


def test_offers_are_less_what_the_plan_bought_of_them(read: PlanFile) -> None:
    bought = replace(read, bought=(Spare(1, "slate", size("32", "40"), 2),))
    offers = (
        make_offer(1, "North store", None, 850, at_most=2),
        make_offer(2, "North store", None, 850, at_most=5),
        make_offer(3, "North store", None, 850),
    )
    found = job_again(replace(job(), offers=offers), bought, [read.mats[2]], shelf(), History({}))
    assert [(offer.number, offer.at_most) for offer in found.offers] == [(2, 5), (3, None)]
    more = replace(bought, bought=(Spare(2, "slate", size("32", "40"), 2),))
    found = job_again(replace(job(), offers=offers), more, [read.mats[2]], shelf(), History({}))
    assert [(offer.number, offer.at_most) for offer in found.offers] == [(1, 2), (2, 3), (3, None)]
    least = (make_offer(1, "North store", None, 850, at_most=5, at_least=4),)
    assert not job_again(replace(job(), offers=least), bought, [read.mats[2]], shelf(), History({})).offers
