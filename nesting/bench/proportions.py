"""Where the borders of a mat are likely to look odd, and what to change. Common practice throughout, no source."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.geometry import Size
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM, round_down, round_up
from nesting.model.job import Bench, Job, Piece, Unit
from nesting.model.mat import Borders, Mat
from nesting.names import length_words, size_words

__all__ = ["MOST_CROPPED", "Note", "border_notes", "wanted_border"]


_Said = tuple[tuple[str, ...], str, str]


@dataclass(frozen=True, slots=True)
class Note:
    """What is odd about the mats of some pieces and what would change it; phrases without a full stop.

    `write` says what to write into the rows of the pieces, by column; nothing where only another frame will do.
    """

    pieces: tuple[str, ...]
    problems: tuple[str, ...]
    remedy: str
    write: str = ""

    def __str__(self) -> str:
        """Write the note on one line, the pieces first."""
        return f"{', '.join(self.pieces)}: {'; '.join(self.problems)}. {self.remedy}."


@dataclass(frozen=True, slots=True)
class _Custom:
    """What is common, in ticks: the least border of small and of larger frames, and what a small frame is.

    `extra` is what is usually added at the bottom where borders are as wide as those of larger frames.
    """

    small: int
    large: int
    small_frame: Size
    extra: tuple[int, int]


_INCHES = _Custom(
    small=2 * TICKS_PER_INCH,
    large=3 * TICKS_PER_INCH,
    small_frame=Size(11 * TICKS_PER_INCH, 14 * TICKS_PER_INCH),
    extra=(TICKS_PER_INCH // 4, TICKS_PER_INCH // 2),
)
_METRIC = _Custom(
    small=50 * TICKS_PER_MM,
    large=75 * TICKS_PER_MM,
    small_frame=Size(280 * TICKS_PER_MM, 355 * TICKS_PER_MM),
    extra=(6 * TICKS_PER_MM, 12 * TICKS_PER_MM),
)
_CUSTOM = {Unit.IN: _INCHES, Unit.MM: _METRIC, Unit.CM: _METRIC}

# A frame sold as 11 x 14 opens to a little more; a border within a quarter of the frame's width is near it.
_SLACK = TICKS_PER_INCH // 2
# A rule of thumb is no finer than this.
_WORTH_A_WORD = TICKS_PER_INCH // 4
_NEAR = Fraction(5, 4)
# Who crops more than a quarter away had better look for another frame.
MOST_CROPPED = Fraction(1, 4)


def border_notes(job: Job, mats: Sequence[Mat]) -> tuple[Note, ...]:
    """Return notes on the pieces whose borders are narrower than is common, or too like the width of their frames.

    Borders of at least 2 in look right in frames up to 11 x 14 and of 3 in in larger ones; a border that shows little
    more than the frame's own width, or less, does not. Wide borders look better with a little more at the bottom.

    Parameters
    ----------
    job : Job
        With the widths of the frames and the bench.
    mats : sequence of Mat
        The mats that are planned; of the copies of a piece the first is looked at.

    Returns
    -------
    tuple of Note
        In the order of the mats, pieces of which the same is to be said together; all of it common practice, no source.
    """
    pieces = {piece.name: piece for piece in job.pieces}
    layers: dict[str, list[Mat]] = {}
    for mat in mats:
        if mat.copy == 1 and mat.windows:
            layers.setdefault(mat.piece, []).append(mat)
    alike: dict[_Said, list[str]] = {}
    for name, windowed in layers.items():
        note = _note(job.bench, pieces[name], windowed)
        if note is not None:
            alike.setdefault(note, []).append(name)
    return tuple(Note(tuple(names), *said) for said, names in alike.items())


def _note(bench: Bench, piece: Piece, layers: list[Mat]) -> _Said | None:
    """Return the problems of a piece, the remedy and what to write, if there is anything to be said."""
    borders, custom = layers[0].borders, _CUSTOM[bench.unit]
    if borders is None:
        return None
    problems = tuple(_problems(bench, piece, borders))
    if problems:
        return problems, *_remedy(bench, piece, borders, layers[-1].windows[0].size)
    if borders.bottom > borders.top or _narrowest(borders) < custom.large:
        return None
    least, most = (length_words(extra, bench) for extra in custom.extra)
    return (
        ("the bottom border is no wider than the top, which can make the picture seem to sink",),
        f"Write a bottom extra of {least} to {most}, as is common with borders this wide",
        f"bottom extra {least}",
    )


def _narrowest(borders: Borders) -> int:
    return min(borders.left, borders.top)


def _least(bench: Bench, piece: Piece) -> int:
    """Return the least border that is common for the frame of a piece."""
    custom = _CUSTOM[bench.unit]
    sides = zip(sorted(piece.inside), sorted(custom.small_frame), strict=True)
    return custom.small if all(side <= least + _SLACK for side, least in sides) else custom.large


def wanted_border(bench: Bench, piece: Piece) -> int:
    """Return the narrowest border that looks right in the frame of a piece, in ticks.

    Parameters
    ----------
    bench : Bench
        Its unit, ruler and lip.
    piece : Piece
        Its inside size says how large the frame is; its frame's width counts where it is known.

    Returns
    -------
    int
        2 in (50 mm) for frames up to 11 x 14 in, 3 in (75 mm) for larger ones, and so much that a quarter more than
        the frame's own width is seen. Common practice, no source.
    """
    frame = 0 if piece.moulding_width is None else round_up(_NEAR * piece.moulding_width + bench.lip, bench.ruler)
    return max(_least(bench, piece), frame)


def _problems(bench: Bench, piece: Piece, borders: Borders) -> Iterator[str]:
    custom, narrowest, least = _CUSTOM[bench.unit], _narrowest(borders), _least(bench, piece)
    if narrowest < least - _WORTH_A_WORD:
        small = size_words(custom.small_frame, bench)
        which = f"frames up to {small}" if least == custom.small else f"frames larger than {small}"
        yield (
            f"the narrowest border is {length_words(narrowest, bench)}; in {which}, borders of "
            f"{length_words(least, bench)} or more look right"
        )
    seen = narrowest - bench.lip
    if piece.moulding_width is not None and seen < _NEAR * piece.moulding_width:
        own, width = (_marked(bench, length) for length in (piece.moulding_width, seen))
        near = "near" if seen > piece.moulding_width else "no more than"
        yield f"of the narrowest border {width} is seen, {near} the frame's own width of {own}"


def _marked(bench: Bench, length: Fraction) -> str:
    """Print what is seen, down to the last mark; a lip may hide all of a border."""
    return length_words(max(0, round_down(length, bench.ruler)), bench)


def _remedy(bench: Bench, piece: Piece, borders: Borders, window: Size) -> tuple[str, str]:
    """Say how much to crop so that sides and top come out even and wide enough, or how much larger a frame to take.

    Then what to write.
    """
    even = max(borders.left, borders.top, wanted_border(bench, piece))
    more = Size(2 * (even - borders.left), 2 * (even - borders.top))
    crop = Size(_shared(more.w, piece.across, bench.ruler), _shared(more.h, piece.down, bench.ruler))
    larger = f"take a frame {_both(bench, more, ('wider', 'higher'))}"
    result = f"for borders of {length_words(even, bench)} at the sides and the top"
    if crop.w > window.w * MOST_CROPPED or crop.h > window.h * MOST_CROPPED:
        return f"{larger.capitalize()} {result}", ""
    seen = Size(window.w - crop.w, window.h - crop.h)
    crops = _both(bench, crop, ("of the width", "of the height"))
    return (
        f"Crop {crops} to show {size_words(seen, bench)}, or {larger}, {result}",
        f"show width {length_words(seen.w, bench)}, show height {length_words(seen.h, bench)}",
    )


def _shared(crop: int, windows: int, ruler: int) -> int:
    return round_up(Fraction(crop, windows), ruler)


def _both(bench: Bench, by: Size, words: tuple[str, str]) -> str:
    """Say how much on each axis, and nothing of an axis that stays as it is."""
    return " and ".join(
        f"{length_words(length, bench)} {word}" for length, word in zip(by, words, strict=True) if length
    )
