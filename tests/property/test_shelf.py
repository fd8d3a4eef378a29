"""Laws of the shelf: what is written is read back, and over project after project no area is lost or made."""

import random
from collections import Counter
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.errors import ShelfError
from nesting.geometry import Size
from nesting.model.cut_tree import Offcut, leaves
from nesting.model.job import ShelfKind, Unit
from nesting.model.plan import FalloutLeft, FromFallout
from nesting.plan import make_plan
from nesting.plan_file.read import read_plan_file
from nesting.shelf.booking import Cut, book
from nesting.shelf.held import HeldPiece, Shelf
from nesting.shelf.stock import with_shelf
from nesting.shelf.store import Edited, change_shelf, load_shelf, undo_change
from nesting.shelf.text import read_shelf, shelf_text
from nesting.spelling import fold
from tests.builders import exact, make_bench, make_board, make_job, make_offer, make_piece, make_shop
from tests.shelf.shelves import NOW, write_plan
from tests.shelf.walks import Walk

WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=9).filter(
    lambda word: not word.startswith("#") and fold(word) != "any"
)
TICKS = st.integers(1, 60_000_000)
DAYS = st.none() | st.dates(date(1000, 1, 1))
PIECES = st.builds(
    HeldPiece,
    label=WORDS,
    board=st.sampled_from(["sage", "Deep Ivory", "oat"]),
    size=st.builds(Size, TICKS, TICKS),
    quantity=st.integers(1, 999_999),
    kind=st.sampled_from(ShelfKind),
    origin=st.just("") | WORDS,
    put=DAYS,
    used=DAYS,
    notes=st.just("") | WORDS,
)


@given(
    st.lists(PIECES, max_size=7, unique_by=lambda piece: fold(piece.label)),
    st.sampled_from(Unit),
    st.integers(0, 999),
)
def test_a_shelf_that_is_written_is_read_back(pieces: list[HeldPiece], unit: Unit, change: int) -> None:
    shelf = Shelf(unit, change, 1_000_000_000, tuple(pieces))
    assert read_shelf(shelf_text(shelf), "shelf.csv") == shelf


@given(st.binary(max_size=400) | st.text(max_size=400).map(str.encode))
@settings(max_examples=200)
def test_whatever_a_file_holds_it_is_read_or_its_faults_are_told(data: bytes) -> None:
    for whole in (data, b"windowfall shelf,format,1\nlabel,board,width,height,put there\n" + data):
        try:
            read_shelf(whole, "shelf.csv")
        except ShelfError as error:
            assert error.reasons  # noqa: PT017 - either outcome is right


def test_areas_balance_to_the_tick_over_ten_projects_in_a_row(tmp_path) -> None:
    chance = random.Random(20260331)  # noqa: S311 - nothing secret
    path, used = tmp_path / "shelf.csv", 0
    for number in range(10):
        job = with_shelf(_project(chance, number), load_shelf(path))
        made = make_plan(job, seconds=0.4, seed=number)
        read = read_plan_file(write_plan(made, tmp_path / f"report {number}"))
        before, held = path.read_bytes() if path.exists() else None, _area(path)
        for cut in (Cut(sheets=(made.sheets[-1].id,)), Cut(mats=(made.mats[0].mat.id,)), Cut(), Cut()):
            _book(path, read, cut)
        bought = sum(line.count * line.sheet.area for line in made.purchase.lines)
        assert held + bought - _area(path) == _in_mats(made) + _scrap(made)
        used += made.summary.shelf_used
        if number % 3 == 1:
            after = path.read_bytes()
            while path.read_bytes() != before:
                undo_change(path)
            _book(path, read, Cut())
            assert _area(path) == held + bought - _in_mats(made) - _scrap(made)
            assert path.read_bytes() != after  # the labels of what was undone are not given again
    assert used >= 10


@pytest.mark.parametrize("seed", range(12))
def test_the_books_balance_whatever_two_walls_do_on_one_shelf(seed: int, tmp_path: Path) -> None:
    walked(seed, tmp_path, 12)


@pytest.mark.slow
def test_the_books_balance_over_a_thousand_walks(tmp_path: Path) -> None:
    done = sum((walked(seed, tmp_path / str(seed), 14) for seed in range(1000, 2000)), Counter())
    often = ("book", "book refused", "spoil", "undo", "undo_plan", "reserve", "take", "give_back", "correct")
    assert all(done[name] >= 100 for name in often), done


def walked(seed: int, folder: Path, steps: int) -> Counter[str]:
    folder.mkdir(exist_ok=True)
    walk = Walk(folder / "shelf.csv", random.Random(seed))  # noqa: S311 - nothing secret
    walk.begin()
    for _ in range(steps):
        walk.step()
    return walk.taken


def _book(path, read, cut) -> None:
    def edit(shelf, history):
        booking = book(read, cut, shelf, history, NOW.date())
        assert not booking.remarks
        return Edited(booking.shelf, booking.moves, read.identity, booking.keys, booking.time, booking.reserved)

    change_shelf(path, "done", edit, unit=read.unit, now=NOW)


def _project(chance: random.Random, number: int):
    """Make a job of a few pieces; one offer is in packs, so that sheets stay uncut."""
    pieces = []
    for row in range(2, chance.randint(6, 9)):
        inside = chance.randint(61, 167), chance.randint(43, 131)
        shown = (inside[0] - chance.randint(20, 36), inside[1] - chance.randint(14, 30))
        boards = (chance.choice(("sage", "oat")),)
        pieces.append(
            make_piece(
                f"piece {row}",
                tuple(side * 640 for side in inside),
                tuple(side * 640 for side in shown) if chance.random() < 0.7 else None,
                row=row,
                boards=boards,
                quantity=chance.choice((1, 1, 2)),
                overlap=Fraction(2 * 640),
            )
        )
    mm = 640
    return make_job(
        *pieces,
        path=f"project {number}",
        offers=(
            make_offer(1, "Alder", "sage", 740, sheet=Size(223 * mm, 307 * mm)),
            make_offer(2, "Birch", "oat", 610, sheet=Size(211 * mm, 293 * mm), pack_of=2),
        ),
        shops=(make_shop("Alder"), make_shop("Birch")),
        boards=(make_board("sage"), make_board("oat")),
        bench=make_bench(
            ruler=mm,
            overlap=Fraction(2 * mm),
            trim=3 * mm,
            kerf=2 * mm + 7,
            squaring=5 * mm + 3,
            keep_at_least=exact(41 * mm, 53 * mm),
        ),
    )


def _area(path) -> int:
    return sum(piece.quantity * piece.size.w * piece.size.h for piece in load_shelf(path, Unit.MM).pieces)


def _in_mats(made) -> int:
    return sum(placed.mat.blank.area - sum(window.size.area for window in placed.mat.windows) for placed in made.mats)


def _scrap(made) -> int:
    """Add up what is lost: edges, kerf, small offcuts, and fallouts that are small or lose their bevel."""
    squaring, lost = made.job.bench.squaring, 0
    for sheet in made.sheets:
        lost += sheet.size.area - sum(leaf.size.area for leaf in leaves(sheet.root))
    keep = {(left.sheet, left.at) for left in made.leftover if not isinstance(left, FalloutLeft) and left.keep}
    lost += sum(
        leaf.size.area
        for sheet in made.sheets
        for leaf in leaves(sheet.root)
        if isinstance(leaf, Offcut) and (sheet.id, leaf.at) not in keep
    )
    divided = {
        (sheet.source.mat, sheet.source.window) for sheet in made.sheets if isinstance(sheet.source, FromFallout)
    }
    kept = {(left.mat, left.window) for left in made.leftover if isinstance(left, FalloutLeft) and left.keep}
    for placed in made.mats:
        for place, window in enumerate(placed.mat.windows):
            w, h = window.size
            if (placed.mat.id, place) in kept:
                lost += w * h - (w - 2 * squaring) * (h - 2 * squaring)
            elif (placed.mat.id, place) not in divided:
                lost += w * h
    return lost
