"""Every mat that was asked for, once, at the right size, from a board that would do."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from nesting.model.job import Bench, Job, Piece, When
from nesting.model.mat import Borders, Mat
from nesting.model.plan import PlacedMat, Plan

__all__ = ["size_faults"]

_Rectangle = tuple[int, int, int, int]

_REMEMBERED = 4096
"""The layers of so many pieces are remembered: one plan after the other is checked of the same pieces."""


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What one layer of a piece must be; sizes as plain numbers, windows as x, y, width, height."""

    boards: tuple[str, ...]
    blank: tuple[int, int]
    borders: Borders | None
    windows: frozenset[_Rectangle]


def size_faults(plan: Plan) -> Iterator[str]:
    """Yield a line for each mat that is missing, unasked for, of a wrong size or of a wrong board.

    Parameters
    ----------
    plan : Plan
        The plan with the job that it answers.

    Yields
    ------
    str
        What is wrong, the mat first.
    """
    wanted = _wanted(plan.job, plan.when)
    yield from _listing_faults(plan, wanted)
    for placed in plan.mats:
        want = wanted.get(_key(placed.mat))
        if want is not None:
            yield from _mat_faults(plan.job, placed, want)
    taken: defaultdict[tuple[str, int], set[str]] = defaultdict(set)
    for placed in plan.mats:
        taken[placed.mat.piece, placed.mat.layer].add(placed.board)
    for (piece, layer), boards in taken.items():
        if len(boards) > 1:
            yield f"{piece}: copies take different boards in layer {layer}: {', '.join(sorted(boards))}"


def _key(mat: Mat) -> tuple[str, int, int]:
    return mat.piece, mat.copy, mat.layer


def _listing_faults(plan: Plan, wanted: dict[tuple[str, int, int], _Wanted]) -> Iterator[str]:
    ids = Counter(placed.mat.id for placed in plan.mats)
    yield from (f"{name}: the id of {count} mats" for name, count in ids.items() if count > 1)
    listed = Counter(_key(placed.mat) for placed in plan.mats)
    for key in wanted:
        if listed[key] != 1:
            yield f"{_name(key)}: listed {listed[key]} times instead of once"
    for key in listed:
        if key not in wanted:
            yield f"{_name(key)}: listed but not asked for"
    if listed.keys() == wanted.keys() and list(listed) != list(wanted):
        yield "mats: not in the order of the pieces"


def _name(key: tuple[str, int, int]) -> str:
    return f"{key[0]} copy {key[1]} layer {key[2]}"


def _mat_faults(job: Job, placed: PlacedMat, want: _Wanted) -> Iterator[str]:
    mat = placed.mat
    if mat.blank != want.blank:
        yield f"{mat.id}: blank {_by(mat.blank)} instead of {_by(want.blank)}"
    if mat.borders != want.borders:
        yield f"{mat.id}: borders {mat.borders} instead of {want.borders}"
    windows = [(*window.at, *window.size) for window in mat.windows]
    if sorted(windows) != sorted(want.windows):
        yield f"{mat.id}: windows {windows} instead of {sorted(want.windows)}"
    if mat.boards != want.boards:
        yield f"{mat.id}: boards {', '.join(mat.boards)} instead of {', '.join(want.boards)}"
    if placed.board not in want.boards:
        yield f"{mat.id}: cut from {placed.board}, which is not among {', '.join(want.boards)}"
    if placed.turned and any(board.name == placed.board and not board.turn for board in job.boards):
        yield f"{mat.id}: lies turned on {placed.board}, which may not be turned"


def _by(size: tuple[int, int]) -> str:
    return f"{size[0]} x {size[1]}"


def _wanted(job: Job, when: When) -> dict[tuple[str, int, int], _Wanted]:
    return {
        (piece.name, copy, number): layer
        for piece in job.pieces
        if piece.when is When.NOW or when is When.LATER
        for copy in range(1, piece.quantity + 1)
        for number, layer in enumerate(_layers(job.bench, piece))
    }


@lru_cache(maxsize=_REMEMBERED)
def _layers(bench: Bench, piece: Piece) -> tuple[_Wanted, ...]:
    blank = _blank(bench, piece, Fraction(0))
    reveal = _nearest(piece.reveal, bench.ruler)
    if not piece.under_boards:
        layers: tuple[_Wanted, ...] = (_layer(bench, piece, piece.boards, blank, 0),)
    else:
        under = _blank(bench, piece, piece.under_inset)
        layers = (
            _layer(bench, piece, piece.boards, blank, reveal),
            _layer(bench, piece, piece.under_boards, under, 0),
        )
    return (*layers, _Wanted(piece.backing, blank, None, frozenset())) if piece.backing else layers


def _blank(bench: Bench, piece: Piece, inset: Fraction) -> tuple[int, int]:
    width, height = (inside - piece.allowance - inset for inside in piece.inside)
    return int(width // bench.ruler) * bench.ruler, int(height // bench.ruler) * bench.ruler


def _nearest(length: Fraction, ruler: int) -> int:
    return int((2 * length + ruler) // (2 * ruler)) * ruler


def _layer(bench: Bench, piece: Piece, boards: tuple[str, ...], blank: tuple[int, int], reveal: int) -> _Wanted:
    """Work out a layer whose window stands back by `reveal` from the innermost one."""
    if piece.shown is None:
        return _Wanted(boards, blank, None, frozenset())
    ruler = bench.ruler
    bar = _nearest(piece.gap, ruler) - 2 * reveal
    extra = _nearest(piece.bottom_extra, ruler)
    left, right, across = _axis(blank[0], piece.shown.width + 2 * reveal, piece.across, bar, extra=0, ruler=ruler)
    bottom, top, down = _axis(blank[1], piece.shown.height + 2 * reveal, piece.down, bar, extra=extra, ruler=ruler)
    windows = frozenset((x, y, w, h) for x, w in across for y, h in down)
    return _Wanted(boards, blank, Borders(left=left, right=right, top=top, bottom=bottom), windows)


def _axis(
    blank: int, shown: Fraction, count: int, bar: int, *, extra: int, ruler: int
) -> tuple[int, int, list[tuple[int, int]]]:
    """First border, last border, and where each window starts and how long it is."""
    spare = blank - extra - (count - 1) * bar - count * shown
    even = int(-(-spare // (2 * ruler))) * ruler
    for_windows = blank - 2 * even - extra - (count - 1) * bar
    window = for_windows // (count * ruler) * ruler
    starts = [even + extra + number * (window + bar) for number in range(count)]
    return even + extra, blank - starts[-1] - window, [(start, window) for start in starts]
