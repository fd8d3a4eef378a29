"""The jobs that are measured: by their recipes, the same every time, and jobs that the program can read."""

import pytest

from nesting.model.job import When
from nesting.reading.job import read_job
from nesting.sizing import size_pieces
from tests.benchmarks.generate import KINDS, as_rectangles, make_tables, write_job

RECIPES = [
    # Berkey & Wang 1987, classes 1-6: sides of a piece from 1 to so much, on a square sheet of so much
    ("class1", 10, 10),
    ("class2", 10, 30),
    ("class3", 35, 40),
    ("class4", 35, 100),
    ("class5", 100, 100),
    ("class6", 100, 300),
]
# Martello & Vigo 1998, on 100 x 100: width and height of most pieces of a class
MOSTLY = [
    ("class7", (67, 100), (1, 50)),
    ("class8", (1, 50), (67, 100)),
    ("class9", (50, 100), (50, 100)),
    ("class10", (1, 50), (1, 50)),
]
TICKS = {"class5": 640, "flat": 2032}  # of a whole unit: a millimetre, an eighth of an inch


def sizes(kind, n, seed=0):
    return [(row["inside width"], row["inside height"]) for row in make_tables(kind, n, seed).pieces]


def made(kind, n, folder, *, turn=True):
    write_job(make_tables(kind, n, 3, turn=turn), folder)
    return read_job(folder)


@pytest.mark.parametrize(("kind", "longest", "sheet"), RECIPES)
def test_both_sides_are_drawn_from_one_to_the_longest(kind, longest, sheet):
    for sides in zip(*sizes(kind, 2000), strict=True):
        assert set(sides) == set(range(1, longest + 1))
    assert as_rectangles(make_tables(kind, 20, 0)).sheet == (sheet, sheet)


@pytest.mark.parametrize("kind", [name for name, *_ in MOSTLY])
def test_seven_in_ten_pieces_are_of_the_class_and_the_rest_of_the_others(kind):
    drawn = sizes(kind, 4000)
    shares = {}
    for name, across, along in MOSTLY:
        fits = [across[0] <= w <= across[1] and along[0] <= h <= along[1] for w, h in drawn]
        shares[name] = sum(fits) / len(drawn)
    # the ranges meet in pieces of exactly 50 only, which count for both
    assert shares.pop(kind) == pytest.approx(0.7, abs=0.04)
    assert all(share == pytest.approx(0.1, abs=0.03) for share in shares.values())
    assert max(w for w, _ in drawn) == max(h for _, h in drawn) == 100
    assert as_rectangles(make_tables(kind, 20, 0)).sheet == (100, 100)


def test_a_job_depends_on_its_kind_its_size_and_its_seed_and_on_nothing_else():
    assert sizes("class4", 20, 1) == sizes("class4", 20, 1)
    assert sizes("class4", 20, 1) != sizes("class4", 20, 2)
    assert sizes("class5", 20, 1) != sizes("class6", 20, 1)
    assert sizes("class4", 20, 1) != sizes("class4", 21, 1)[:20]


def test_figures_of_today_can_be_held_against_those_of_tomorrow():
    assert sizes("class4", 4, 7) == [(15, 21), (22, 14), (32, 23), (34, 10)]
    assert sizes("class8", 4, 7) == [(9, 44), (48, 91), (37, 70), (39, 91)]
    assert sizes("flat", 4, 7) == [("11", "13 3/4"), ("13 1/4", "17 1/8"), ("4 3/4", "7 1/2")]
    assert sizes("shop", 3, 7) == [(16, 20)]
    assert sizes("wall", 1, 7) == [("13 1/2", "16 1/4")]


@pytest.mark.parametrize("turn", [True, False])
@pytest.mark.parametrize("kind", KINDS)
def test_every_job_can_be_read_and_has_as_many_pieces_as_asked(kind, turn, tmp_path):
    job = made(kind, 29, tmp_path, turn=turn)
    assert sum(piece.quantity for piece in job.pieces) == 29
    assert [board.turn for board in job.boards] == [turn] * len(job.boards)


@pytest.mark.parametrize("kind", TICKS)
def test_bare_rectangles_are_the_blanks_that_are_cut(kind, tmp_path):
    job = made(kind, 29, tmp_path)
    bare = as_rectangles(make_tables(kind, 29, 3))
    unit = TICKS[kind]
    blanks = [(mat.blank.w, mat.blank.h) for mat in size_pieces(job, When.NOW)]
    asked = [(w * unit, h * unit) for (w, h), count in bare.counts.items() for _ in range(count)]
    assert sorted(blanks) == sorted(asked)
    [offer] = job.offers
    assert (offer.sheet.w, offer.sheet.h) == (bare.sheet[0] * unit, bare.sheet[1] * unit)
    assert offer.price == bare.price


@pytest.mark.parametrize("kind", ["shop", "wall"])
def test_a_job_with_windows_is_more_than_rectangles(kind):
    assert as_rectangles(make_tables(kind, 12, 0)) is None
