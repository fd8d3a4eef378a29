"""From the shelf file to the stock of a job, and to the job of cutting a spoiled mat again."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from nesting.errors import JobError
from nesting.geometry import Size
from nesting.job import Job, ShelfKind, Unit, When
from nesting.plan_file import PlanFile, Spare, read_plan_file
from nesting.planned import PlacedMat
from nesting.shelf.booking import SPARE
from nesting.shelf.stock import job_again, used_labels, with_shelf
from nesting.sizing import size_pieces
from tests.builders import make_bench, make_job, make_offer, make_piece, make_shelf
from tests.handmade import job, plan, size
from tests.shelf.shelves import held, shelf, write_plan


@pytest.fixture
def read(tmp_path: Path) -> PlanFile:
    return replace(read_plan_file(write_plan(plan(), tmp_path)), in_file=frozenset({"box lid"}))


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
    assert found.warnings == ("known", "'ivory' and 'ivry' are spelt nearly alike; if they are one, spell them alike")


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
    asked = job_again(job(), read, [read.mats[2]], shelf(), frozenset({"S1", "M3"}))
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


def test_several_windows_are_asked_for_again_too() -> None:
    bench = make_bench()
    several = make_piece("Packets", (113, 67), (19, 23), across=3, down=1, gap=Fraction(7))
    (mat,) = size_pieces(make_job(several, bench=bench), When.NOW)
    placed = PlacedMat(mat, "sage", "S1", turned=False)
    asked = job_again(make_job(bench=bench), _empty(), [placed], shelf(), frozenset())
    (made,) = size_pieces(asked, When.NOW)
    assert (made.blank, made.windows, made.borders) == (mat.blank, mat.windows, mat.borders)
    # A mat whose borders rounding would not give again is asked for as its blank.
    uneven = replace(mat, borders=replace(mat.borders, left=mat.borders.left - 1, right=mat.borders.right + 1))
    plain = job_again(make_job(bench=bench), _empty(), [replace(placed, mat=uneven)], shelf(), frozenset())
    (made,) = size_pieces(plain, When.NOW)
    assert (made.blank, made.windows) == (mat.blank, ())


def _empty() -> PlanFile:
    return PlanFile(Path("p"), "0" * 16, "wall", Unit.MM, 1, 5, Size(11, 17), (), (), (), (), (), frozenset(), None)


def test_what_the_rest_of_the_plan_will_cut_is_not_there_and_what_it_will_leave_is(read: PlanFile) -> None:
    there = shelf(held("box lid", "grey card", size("7", "17"), quantity=2), held("R1"))
    own = replace(job(), shelf=())
    mats = [read.mats[2]]
    id6 = read.identity[:6]
    early = job_again(own, read, mats, there, frozenset({"S1", "M3"}))
    assert labels(early)[:2] == ["box lid", "R1"]
    assert early.shelf[0].quantity == 1
    assert labels(early)[2:] == [
        f"{name}, plan {id6}" for name in ("S2 offcut 1", "S3 offcut 1", "S3 offcut 2", "M1 fallout", "M2 fallout")
    ]
    assert early.shelf[-1].size == size("6 3/4", "9 3/4")
    late = job_again(own, read, mats, there, frozenset({"S1", "S2", "S3", "M1", "M2", "M3", "M4", "M5", "M6"}))
    assert [(piece.label, piece.quantity) for piece in late.shelf] == [("box lid", 2), ("R1", 1)]


def test_the_jobs_own_shelf_is_less_what_the_plan_took_of_it(read: PlanFile) -> None:
    own = replace(read, in_file=frozenset())
    done = frozenset({"S1", "S2", "S3", "M1", "M2", "M3", "M4", "M5", "M6"})
    assert labels(job_again(job(), own, [read.mats[2]], shelf(), done)) == []


def test_spare_sheets_are_there_until_they_are_booked(read: PlanFile) -> None:
    spare = replace(read, spares=(Spare(1, "slate", size("32", "40"), 3),))
    done = {"S1", "S2", "S3", "M1", "M2", "M3", "M4", "M5", "M6"}
    (left,) = job_again(replace(job(), shelf=()), spare, [read.mats[2]], shelf(), frozenset(done)).shelf
    assert (left.label, left.quantity) == (f"uncut slate of offer 1, plan {read.identity[:6]}", 3)
    assert not job_again(replace(job(), shelf=()), spare, [read.mats[2]], shelf(), frozenset({*done, SPARE})).shelf


def test_offers_are_less_what_the_plan_bought_of_them(read: PlanFile) -> None:
    bought = replace(read, bought=(Spare(1, "slate", size("32", "40"), 2),))
    offers = (
        make_offer(1, "North store", None, 850, at_most=2),
        make_offer(2, "North store", None, 850, at_most=5),
        make_offer(3, "North store", None, 850),
    )
    found = job_again(replace(job(), offers=offers), bought, [read.mats[2]], shelf(), frozenset())
    assert [(offer.number, offer.at_most) for offer in found.offers] == [(2, 5), (3, None)]
    more = replace(bought, bought=(Spare(2, "slate", size("32", "40"), 2),))
    found = job_again(replace(job(), offers=offers), more, [read.mats[2]], shelf(), frozenset())
    assert [(offer.number, offer.at_most) for offer in found.offers] == [(1, 2), (2, 3), (3, None)]
    least = (make_offer(1, "North store", None, 850, at_most=5, at_least=4),)
    assert not job_again(replace(job(), offers=least), bought, [read.mats[2]], shelf(), frozenset()).offers
