"""Laws of sizing: borders leave the window, never more than was asked, and a turned piece gives turned mats."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from nesting.check.sizes import size_faults
from nesting.geometry import ExactSize, Size
from nesting.model.job import When
from nesting.model.plan import PlacedMat
from nesting.sizing import size_pieces
from tests.builders import exact, make_bench, make_job, make_piece
from tests.sound import sound_plan

RULERS = st.sampled_from([1, 127, 640, 1016, 2032])
LENGTHS = st.fractions(min_value=9000, max_value=700_000, max_denominator=97)
SMALL = st.fractions(min_value=0, max_value=4999, max_denominator=31)


@st.composite
def jobs(draw, *, extra=SMALL):
    """A job of one piece that can be cut: the inside size is made to leave borders round its windows."""
    ruler = draw(RULERS)
    shown = ExactSize(draw(LENGTHS), draw(LENGTHS))
    across, down = draw(st.integers(1, 4)), draw(st.integers(1, 3))
    reveal, gap = draw(st.integers(3000, 5000)), draw(st.integers(25_000, 40_000))
    least = 4 * reveal + 30_000
    inside = exact(
        across * shown.width + (across - 1) * gap + least + draw(LENGTHS),
        down * shown.height + (down - 1) * gap + least + draw(LENGTHS),
    )
    piece = make_piece(
        "Fern",
        inside,
        shown,
        across=across,
        down=down,
        gap=Fraction(gap),
        reveal=Fraction(reveal),
        quantity=draw(st.integers(1, 2)),
        allowance=draw(SMALL),
        bottom_extra=draw(extra),
        under_boards=draw(st.sampled_from([(), ("oat",)])),
        under_inset=draw(SMALL),
        backing=draw(st.sampled_from([(), ("ivory",)])),
    )
    return make_job(piece, bench=make_bench(ruler=ruler))


def rows(mat):
    """Starts and lengths of the windows along each axis, and the borders before and after them."""
    across = sorted({(window.at.x, window.size.w) for window in mat.windows})
    down = sorted({(window.at.y, window.size.h) for window in mat.windows})
    yield mat.blank.w, mat.borders.left, across, mat.borders.right
    yield mat.blank.h, mat.borders.bottom, down, mat.borders.top


@given(jobs())
def test_borders_windows_and_bars_make_up_the_blank(job):
    for mat in size_pieces(job, When.NOW):
        for length, first, spans, last in rows(mat) if mat.windows else ():
            bars = {start - (before + size) for (before, size), (start, _) in pairwise(spans)}
            assert len(bars) <= 1
            assert spans[0][0] == first
            assert sum(size for _, size in spans) + sum(bars) * (len(spans) - 1) + first + last == length


@given(jobs())
def test_everything_lies_on_the_ruler_and_goes_into_the_frame(job):
    piece, ruler = job.pieces[0], job.bench.ruler
    for mat in size_pieces(job, When.NOW):
        inset = piece.under_inset if mat.layer == 1 and piece.under_boards else 0
        for blank, inside in zip(mat.blank, piece.inside, strict=True):
            assert 0 <= inside - piece.allowance - inset - blank < ruler
        for window in mat.windows:
            assert all(length % ruler == 0 for length in (*window.at, *window.size))


@given(jobs())
def test_a_window_is_never_larger_than_wanted_nor_two_marks_smaller(job):
    piece, ruler = job.pieces[0], job.bench.ruler
    for mat in size_pieces(job, When.NOW):
        grow = (
            2 * round(piece.reveal / ruler + Fraction(1, 10**9)) * ruler if piece.under_boards and mat.layer == 0 else 0
        )
        for window in mat.windows:
            for cut, shown in zip(window.size, piece.shown, strict=True):
                assert 0 <= shown + grow - cut < 2 * ruler


@given(jobs())
def test_left_and_right_differ_by_less_than_the_windows_could_share(job):
    piece, ruler = job.pieces[0], job.bench.ruler
    for mat in size_pieces(job, When.NOW):
        if mat.borders is not None:
            assert 0 <= mat.borders.right - mat.borders.left < piece.across * ruler


@given(jobs(extra=st.just(Fraction(0))))
def test_a_turned_piece_gives_turned_mats(job):
    piece = job.pieces[0]
    turned = replace(
        piece,
        inside=exact(*reversed(piece.inside)),
        shown=exact(*reversed(piece.shown)),
        picture=exact(*reversed(piece.picture)),
        across=piece.down,
        down=piece.across,
    )
    for mat, other in zip(
        size_pieces(job, When.NOW), size_pieces(replace(job, pieces=(turned,)), When.NOW), strict=True
    ):
        assert other.blank == mat.blank.turned
        assert {(*window.at[::-1], *window.size[::-1]) for window in other.windows} == {
            (*window.at, *window.size) for window in mat.windows
        }


@given(jobs())
def test_the_checker_comes_to_the_same_sizes_by_its_own_way(job):
    mats = tuple(PlacedMat(mat, mat.boards[0], "S1", turned=False) for mat in size_pieces(job, When.NOW))
    assert list(size_faults(replace(sound_plan(), job=job, mats=mats))) == []


@given(jobs(), st.integers(1, 3))
def test_the_checker_sees_any_blank_that_is_a_mark_off(job, marks):
    mats = tuple(PlacedMat(mat, mat.boards[0], "S1", turned=False) for mat in size_pieces(job, When.NOW))
    blank = Size(mats[0].mat.blank.w + marks * job.bench.ruler, mats[0].mat.blank.h)
    wrong = replace(mats[0], mat=replace(mats[0].mat, blank=blank))
    assert list(size_faults(replace(sound_plan(), job=job, mats=(wrong, *mats[1:]))))
