"""Where the borders of a mat are likely to look odd, and what to change. Common practice throughout, no source."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.geometry import Size
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM, round_up
from nesting.model.job import Bench, Job, Piece, Unit
from nesting.model.mat import Borders, Mat
from nesting.names import length_words, size_words
from nesting.spelling import in_a_row

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
        return f"{in_a_row(self.pieces)}: {'; '.join(self.problems)}. {self.remedy}."


@dataclass(frozen=True, slots=True)
class _Custom:
    """What is common, in ticks: the least border of small and of larger frames, and what a small frame is.

    `narrow` is a border that looks thin in a larger frame, `extra` what is usually added at the bottom.
    """

    small: int
    large: int
    small_frame: Size
    narrow: int
    extra: int


_INCHES = _Custom(
    small=2 * TICKS_PER_INCH,
    large=3 * TICKS_PER_INCH,
    small_frame=Size(11 * TICKS_PER_INCH, 14 * TICKS_PER_INCH),
    narrow=TICKS_PER_INCH,
    extra=TICKS_PER_INCH // 4,
)
_METRIC = _Custom(
    small=50 * TICKS_PER_MM,
    large=75 * TICKS_PER_MM,
    small_frame=Size(280 * TICKS_PER_MM, 355 * TICKS_PER_MM),
    narrow=25 * TICKS_PER_MM,
    extra=6 * TICKS_PER_MM,
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
    """Return what practice agrees is likely to look wrong about borders, once each, with all pieces of which it is so.

    That is a border narrower than 1 in (25 mm) in a frame larger than 11 x 14 in (28 x 35.5 cm); side borders wider
    than top and bottom in an upright frame; a bottom border narrower than the top. Frames and pictures that are sold
    for each other, such as 8x10 in 11x14, have none of these.

    Parameters
    ----------
    job : Job
        With the bench, which may switch the notes off.
    mats : sequence of Mat
        The mats that are planned; of the copies of a piece the first is looked at.

    Returns
    -------
    tuple of Note
        At most one of each kind; all of it common practice, no source.
    """
    if not job.bench.border_notes:
        return ()
    pieces = {piece.name: piece for piece in job.pieces}
    alike: dict[_Said, list[str]] = {}
    for mat in mats:
        if mat.copy == 1 and mat.layer == 0 and mat.borders is not None:
            for said in _said(job.bench, pieces[mat.piece], mat.borders):
                alike.setdefault(said, []).append(mat.piece)
    return tuple(Note(tuple(names), *said) for said, names in alike.items())


def _said(bench: Bench, piece: Piece, borders: Borders) -> Iterator[_Said]:
    """Yield the problem, the remedy and what to write, for each thing that is odd about a piece."""
    custom = _CUSTOM[bench.unit]
    narrow, small = (length_words(custom.narrow, bench), size_words(custom.small_frame, bench))
    if _least(bench, piece) == custom.large and min(borders.left, borders.top) < custom.narrow:
        problem = f"a border is narrower than {narrow}, which looks thin in a frame larger than {small}"
        yield (problem,), "You may like a larger frame, or a smaller picture in this one", ""
    is_upright = piece.inside.width <= piece.inside.height
    if is_upright and borders.left > max(borders.top, borders.bottom) + _WORTH_A_WORD and piece.across == 1:
        problem = "the side borders are wider than the top and bottom ones, which looks odd in an upright frame"
        yield (problem,), "You may like a frame that is narrower or higher", ""
    if borders.bottom < borders.top - _WORTH_A_WORD:
        extra = length_words(custom.extra, bench)
        problem = "the bottom border is narrower than the top one, so the picture seems to sink"
        yield (problem,), f"You may like a bottom extra of {extra}", f"bottom extra {extra}"


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
