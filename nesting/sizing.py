"""From a framed piece to its mats: blanks, borders and windows on the ruler, by the rules of the contract."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from nesting.errors import Fault, JobError
from nesting.geometry import ExactSize, Point, Size
from nesting.lengths import format_length, round_down, round_near, round_up
from nesting.model.job import Job, Piece, Unit, When
from nesting.model.mat import Borders, Mat, Window
from nesting.spelling import listed_few

__all__ = ["alike_oddities", "fallout_size", "few_named", "oddities", "size_pieces", "warnings"]

# By how much a side must be the longer before a picture or an inside size counts as upright or lying.
_CLEARLY = 4064
# An eighth of an inch, and what stands for it on a metric ruler: common practice, no source.
_LEAST_OVERLAP = {Unit.IN: 2032, Unit.MM: 1920, Unit.CM: 1920}


@dataclass(frozen=True, slots=True)
class _Span:
    """One axis of a layer: the first border (left or bottom), the windows with their bars, the last border."""

    first: int
    window: int
    bar: int
    count: int
    last: int

    @property
    def starts(self) -> tuple[int, ...]:
        return tuple(self.first + place * (self.window + self.bar) for place in range(self.count))


@dataclass(frozen=True, slots=True)
class _Layer:
    """One layer of a piece; spans are None for a blank without a window."""

    boards: tuple[str, ...]
    blank: Size
    across: _Span | None
    down: _Span | None


def size_pieces(job: Job, when: When) -> tuple[Mat, ...]:
    """Return every mat to be cut, sized, from the front layer of the first copy of the first piece on.

    Inside sizes, pictures and allowances stay exact until the blank is rounded down to the ruler and the borders up,
    once each, so that a mat always goes into its frame and never covers less of the picture than was asked.

    Parameters
    ----------
    job : Job
        The job as read.
    when : When
        ``NOW`` leaves later pieces out; their faults are found all the same.

    Returns
    -------
    tuple of Mat
        In the order of pieces, then copies, then layers (mat, under-mat, backing), with ids M1, M2, ...

    Raises
    ------
    JobError
        If a blank, a window, a border or a bar comes to nothing or less, or the edge of an under-mat would show; with
        all such faults of all pieces.
    """
    faults = tuple(fault for piece in job.pieces for fault in _faults(job, piece))
    if faults:
        raise JobError(faults)
    wanted = (
        (piece, copy, number, layer)
        for piece in job.pieces
        if when is When.LATER or piece.when is When.NOW
        for copy in range(1, piece.quantity + 1)
        for number, layer in enumerate(_layers(piece, job.bench.ruler))
    )
    return tuple(
        _mat(f"M{place}", piece.name, copy, number, layer)
        for place, (piece, copy, number, layer) in enumerate(wanted, start=1)
    )


def fallout_size(window: Window, squaring: int) -> Size:
    """Return what is left of the piece that drops out of a window once its bevels are cut off.

    Parameters
    ----------
    window : Window
        The window, its size that of the back.
    squaring : int
        The strip cut off each side, in ticks.

    Returns
    -------
    Size
        Ticks; nothing or less where the window is too small to leave anything.

    Examples
    --------
    >>> fallout_size(Window(Point(0, 0), Size(100, 70)), 7)
    Size(w=86, h=56)
    """
    return window.size.inset(squaring)


def warnings(job: Job) -> tuple[str, ...]:
    """Return a sentence for each size that is allowed but unusual.

    Parameters
    ----------
    job : Job
        The job as read; later pieces are looked at too.

    Returns
    -------
    tuple of str
        In the order of the pieces.
    """
    return tuple(f"{few_named(alike)}: {alike[0].problem}." for alike in alike_oddities(job))


def alike_oddities(job: Job) -> tuple[tuple[Fault, ...], ...]:
    """Return the oddities of a job, those together of which the same is to be said and written.

    Parameters
    ----------
    job : Job
        As `oddities` takes it.

    Returns
    -------
    tuple of tuple of Fault
        In the order in which each is first met.
    """
    alike: dict[tuple[str, str | None, str, str], list[Fault]] = {}
    for oddity in oddities(job):
        alike.setdefault((oddity.table, oddity.column, oddity.problem, oddity.remedy), []).append(oddity)
    return tuple(map(tuple, alike.values()))


def few_named(alike: Sequence[Fault]) -> str:
    """Name the pieces of oddities, the first few of many."""
    return listed_few(list(dict.fromkeys(oddity.given or "" for oddity in alike)))


def oddities(job: Job) -> tuple[Fault, ...]:
    """Return each size that is allowed but unusual, where it stands and what to write if it is not meant.

    Parameters
    ----------
    job : Job
        The job as read; later pieces are looked at too.

    Returns
    -------
    tuple of Fault
        In the order of the pieces; `given` is the name of the piece.
    """
    return tuple(oddity for piece in job.pieces for oddity in _unusual(job, piece))


def _mat(name: str, piece: str, copy: int, number: int, layer: _Layer) -> Mat:
    if layer.across is None or layer.down is None:
        return Mat(name, piece, copy, number, layer.boards, layer.blank, None, ())
    return Mat(
        id=name,
        piece=piece,
        copy=copy,
        layer=number,
        boards=layer.boards,
        blank=layer.blank,
        borders=Borders(layer.across.first, layer.across.last, layer.down.last, layer.down.first),
        windows=tuple(
            Window(Point(x, y), Size(layer.across.window, layer.down.window))
            for y in reversed(layer.down.starts)
            for x in layer.across.starts
        ),
    )


@lru_cache(maxsize=4096)
def _layers(piece: Piece, ruler: int) -> tuple[_Layer, ...]:
    """Size the layers of a piece; remembered, because each of many plans of one job asks again."""
    blank = _blank(piece, Fraction(0), ruler)
    if not piece.under_boards:
        layers = [_layer(piece, piece.boards, blank, 0, ruler)]
    else:
        under = _blank(piece, piece.under_inset, ruler)
        layers = [_layer(piece, piece.boards, blank, 1, ruler), _layer(piece, piece.under_boards, under, 0, ruler)]
    if piece.backing:
        layers.append(_Layer(piece.backing, blank, None, None))
    return tuple(layers)


def _blank(piece: Piece, inset: Fraction, ruler: int) -> Size:
    smaller = piece.allowance + inset
    return Size(round_down(piece.inside.width - smaller, ruler), round_down(piece.inside.height - smaller, ruler))


def _layer(piece: Piece, boards: tuple[str, ...], blank: Size, beneath: int, ruler: int) -> _Layer:
    """Size a layer that has so many mats beneath it; each of them shows by the reveal all round."""
    if piece.shown is None:
        return _Layer(boards, blank, None, None)
    grow = 2 * beneath * round_near(piece.reveal, ruler)
    bar = round_near(piece.gap, ruler) - grow
    extra = round_near(piece.bottom_extra, ruler)
    return _Layer(
        boards,
        blank,
        _span(blank.w, piece.shown.width + grow, piece.across, bar, extra=0, ruler=ruler),
        _span(blank.h, piece.shown.height + grow, piece.down, bar, extra=extra, ruler=ruler),
    )


def _span(blank: int, wanted: Fraction, count: int, bar: int, *, extra: int, ruler: int) -> _Span:
    """Lay out one axis; what the windows cannot share evenly on the ruler goes to the last border."""
    bars = (count - 1) * bar
    border = round_up((blank - count * wanted - bars - extra) / 2, ruler)
    room = blank - 2 * border - extra
    window = round_down(Fraction(room - bars, count), ruler)
    return _Span(border + extra, window, bar, count, border + room - bars - count * window)


def _faults(job: Job, piece: Piece) -> Iterator[Fault]:
    layers = _layers(piece, job.bench.ruler)
    yield from _blank_faults(piece, layers)
    if piece.shown is None:
        return
    windowed = [(layer.blank, layer.across, layer.down) for layer in layers if layer.across and layer.down]
    for axis, side in enumerate(("width", "height")):
        spans = [(blank[axis], (across, down)[axis]) for blank, across, down in windowed]
        if all(blank > 0 for blank, _ in spans):
            yield from _axis_faults(job, piece, side, [span for _, span in spans])


def _blank_faults(piece: Piece, layers: tuple[_Layer, ...]) -> Iterator[Fault]:
    """Find blanks of nothing; the under-mat's is only worth a word where the mat's own is sound."""
    for axis, side in enumerate(("width", "height")):
        if layers[0].blank[axis] <= 0:
            yield _fault(
                piece,
                f"inside {side}",
                "leaves a blank of nothing once the allowance is taken off",
                "Measure the inside size again, or write a smaller allowance",
            )
        elif min(layer.blank[axis] for layer in layers) <= 0:
            yield _fault(
                piece,
                "under inset",
                f"leaves an under-mat of nothing in {side}",
                "Write a smaller under inset, or none",
            )


def _axis_faults(job: Job, piece: Piece, side: str, spans: list[_Span]) -> Iterator[Fault]:
    shown = f"{_shown_by(piece)} {side}"
    inner = spans[-1]
    less = ", less bottom extra" if side == "height" and piece.bottom_extra else ""
    bars_fault = _bar_fault(piece, side, spans)
    if bars_fault is not None:
        yield bars_fault
    elif inner.window <= 0:
        yield _fault(piece, shown, "leaves no window", "Write a larger picture or show size, or a smaller overlap")
    elif min(min(span.first, span.last) for span in spans) <= 0:
        yield _fault(
            piece,
            shown,
            f"leaves a border of nothing or less in {side}",
            f"The window must be smaller than the blank of {_said(job, _length(inner))}: "
            f"write a smaller {shown}{less} or a larger inside {side}{_or_swap(piece)}",
        )
    elif len(spans) > 1 and min(inner.first, inner.last) <= round_near(piece.reveal, job.bench.ruler):
        yield _fault(
            piece,
            "under inset",
            f"leaves the under-mat a border of {_said(job, min(inner.first, inner.last))} in {side}, no wider than the "
            "reveal, so that its outer edge would show",
            "Write a smaller under inset, or none",
        )


def _bar_fault(piece: Piece, side: str, spans: list[_Span]) -> Fault | None:
    if spans[-1].count == 1 or min(span.bar for span in spans) > 0:
        return None
    if spans[-1].bar <= 0:
        return _fault(piece, "gap", f"leaves a bar of nothing between the windows in {side}", "Write a wider gap")
    return _fault(
        piece,
        "reveal",
        f"leaves a bar of nothing between the upper windows in {side}",
        "Write a gap wider than twice the reveal",
    )


def _length(span: _Span) -> int:
    return span.first + span.count * span.window + (span.count - 1) * span.bar + span.last


def _shown_by(piece: Piece) -> str:
    """Name the columns that the window comes from; show takes the place of picture less overlap."""
    covered = 2 * piece.overlap
    if piece.picture is None or piece.shown is None:
        return "show"
    less = ExactSize(piece.picture.width - covered, piece.picture.height - covered)
    return "picture" if piece.shown == less else "show"


def _unusual(job: Job, piece: Piece) -> Iterator[Fault]:
    if piece.shown is None:
        return
    if _is_swapped(piece):
        yield _swapped(job, piece)
    if piece.picture is not None:
        yield from _too_large(job, piece, piece.picture)
        yield from _held_too_little(job, piece, piece.picture, piece.shown)


def _is_swapped(piece: Piece) -> bool:
    """Whether a single picture stands in a lying frame, or lies in an upright one."""
    if piece.shown is None or (piece.across, piece.down) != (1, 1):
        return False
    higher = [size.height - size.width for size in (piece.inside, piece.shown)]
    return min(higher) < -_CLEARLY and max(higher) > _CLEARLY


def _or_swap(piece: Piece) -> str:
    if piece.shown is None or not _is_swapped(piece):
        return ""
    fits = piece.shown.height < piece.inside.width and piece.shown.width < piece.inside.height
    return ", or swap width and height if they stand the wrong way round" if fits else ""


def _swapped(job: Job, piece: Piece) -> Fault:
    what = _shown_by(piece)
    size = (piece.picture if what == "picture" else piece.shown) or piece.inside
    shapes = ("wider than tall", "taller than wide")
    inside, picture = shapes if size.height > size.width else reversed(shapes)
    return _fault(
        piece,
        f"{what} width",
        f"the picture is {picture} and the inside of the frame {inside}, so width and height of one of them may stand"
        " the wrong way round",
        f"If the picture's do, write {_exchanged(job, what, size)}; if the frame's do, write"
        f" {_exchanged(job, 'inside', piece.inside)}; if neither, leave both",
    )


def _exchanged(job: Job, what: str, size: ExactSize) -> str:
    return f"{what} width {_said(job, size.height)} and {what} height {_said(job, size.width)}"


def _too_large(job: Job, piece: Piece, picture: ExactSize) -> Iterator[Fault]:
    ruler = job.bench.ruler
    blank = _blank(piece, Fraction(0), ruler)
    if picture.width > blank.w or picture.height > blank.h:
        sides = [
            (side, round_up(pictured + piece.allowance, ruler))
            for side, pictured, room in zip(("width", "height"), picture, blank, strict=True)
            if pictured > room
        ]
        larger = " and ".join(f"an inside {side} of {_said(job, least)}" for side, least in sides)
        yield _fault(
            piece,
            f"inside {sides[0][0]}",
            f"the picture of {_said(job, picture.width)} x {_said(job, picture.height)} is larger than "
            f"the mat's blank of {_said(job, blank.w)} x {_said(job, blank.h)}, so it will not go into the frame uncut",
            f"Write {larger} or more, or the size that the picture is cut down to",
        )


def _held_too_little(job: Job, piece: Piece, picture: ExactSize, shown: ExactSize) -> Iterator[Fault]:
    overlaps = [(pictured - seen) / 2 for pictured, seen in zip(picture, shown, strict=True)]
    overlap, least = min(overlaps), _LEAST_OVERLAP[job.bench.unit]
    if overlap >= least:
        return
    if overlap < 0:
        problem = "bare margin shows round the picture, so the mat does not hold it: hinge the picture to its backing"
    else:
        problem = (
            f"an overlap of {_said(job, overlap)} is less than {_said(job, least)}, "
            "so the picture may slip out from behind the mat"
        )
    if _shown_by(piece) == "picture":
        column, remedy = "overlap", f"Write {_said(job, least)} or more to have it held, here or in the table bench"
    else:
        side = "width" if overlaps[0] == overlap else "height"
        most = round_down(getattr(picture, side) - 2 * least, job.bench.ruler)
        column = f"show {side}"
        remedy = f"Write {_said(job, most)} or less to have it held" if most > 0 else "Hinge it, whatever is shown"
    yield _fault(piece, column, problem, remedy)


def _said(job: Job, ticks: Fraction | int) -> str:
    """Print a length to the nearest tick; an overlap may be a fraction of one."""
    return format_length(round_near(Fraction(ticks), 1), job.bench.unit, job.bench.ruler, mark=True)


def _fault(piece: Piece, column: str, problem: str, remedy: str) -> Fault:
    return Fault("pieces", piece.row, column, None, piece.name, problem, remedy)
