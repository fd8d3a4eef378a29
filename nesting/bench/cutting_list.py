"""What a straight cut is at the bench, and how it is told in one line so that it can be made without thinking."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import assert_never

from nesting.geometry import Size
from nesting.lengths import round_down
from nesting.model.cut_tree import Way
from nesting.model.job import Bench
from nesting.model.sides import Edge, across
from nesting.names import length_words, size_words

__all__ = ["Fate", "Part", "Purpose", "StraightCut", "Tool", "line_of", "measure_words", "sentences_of"]


class Purpose(StrEnum):
    """What a straight cut is for; the first two take off an edge that is not to be trusted."""

    TRIM = "trim"
    SQUARE = "square"
    CUT = "cut"


class Tool(StrEnum):
    """What makes the cut: the cutter, or a knife along a straightedge where the cutter is too short."""

    CUTTER = "cutter"
    STRAIGHTEDGE = "straightedge"


class Fate(StrEnum):
    """What becomes of a part."""

    DIVIDE = "divide"
    BLANK = "blank"
    KEEP = "keep"
    SCRAP = "scrap"


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of board on the bench.

    Parameters
    ----------
    name : str
        What to write on it: ``whole sheet``, ``part A``, ``M3``, ``offcut 2``; the ids of the mats of all alike sheets.
    size : Size
        In ticks, as it lies.
    fate : Fate
        What becomes of it.
    called : str
        Whose mat a blank is; empty for what is no blank.
    """

    name: str
    size: Size
    fate: Fate
    called: str = ""


@dataclass(frozen=True, slots=True)
class StraightCut:
    """One straight cut through the whole of a part.

    Parameters
    ----------
    part : Part
        What is on the cutter, as large as it is before the cut.
    way : Way
        Upright from bottom to top or level from left to right.
    edge : Edge
        From which edge it is measured.
    measure : int
        In ticks: how wide a strip is cut off at that edge.
    words : str
        The measure as it is found on the ruler.
    purpose : Purpose
        Why it is made. What the blade removes is within the strip of a trimming or squaring cut, otherwise beyond it.
    tool : Tool
        What makes it.
    off : Part
        What lies between the edge and the cut.
    rest : Part or None
        What lies beyond, None where the blade leaves nothing.
    """

    part: Part
    way: Way
    edge: Edge
    measure: int
    words: str
    purpose: Purpose
    tool: Tool
    off: Part
    rest: Part | None

    @property
    def length(self) -> int:
        """How long the cut is, in ticks."""
        return across(self.part.size, self.way)


_WAYS = {Way.UPRIGHT: "top to bottom", Way.LEVEL: "side to side"}
"""How a cut runs on the sheet as it lies on the bench."""


def line_of(cut: StraightCut, bench: Bench) -> str:
    """Return a cut as one line of print.

    Parameters
    ----------
    cut : StraightCut
        The cut.
    bench : Bench
        Whose ruler the sizes are printed for.

    Returns
    -------
    str
        What is on the cutter, the cut, the piece cut and what is left.
    """
    return " ".join(sentences_of(cut, bench))


def sentences_of(cut: StraightCut, bench: Bench) -> tuple[str, ...]:
    """Return the sentences that `line_of` is made of: the cut, the piece cut, and what is left where anything is.

    Parameters
    ----------
    cut : StraightCut
        The cut.
    bench : Bench
        Whose ruler the sizes are printed for.

    Returns
    -------
    tuple of str
        Two or three.
    """
    tool = "" if cut.tool is Tool.CUTTER else ", by straightedge: too long for the cutter"
    left = () if cut.rest is None else (f"What is left: {_part_words(cut.rest, bench)}.",)
    made = f"{cut.purpose} {_WAYS[cut.way]}, {cut.words} from the {cut.edge} edge{tool}"
    return (
        f"{cut.part.name}, {size_words(cut.part.size, bench)}: {made}.",
        f"Cut piece: {_part_words(cut.off, bench)}.",
        *left,
    )


def measure_words(ticks: int, bench: Bench) -> str:
    """Return a measure as it is found on the ruler; ``10.5 (between the marks 10 and 11)`` is not on it.

    Parameters
    ----------
    ticks : int
        The measure.
    bench : Bench
        With the ruler and the unit.

    Returns
    -------
    str
        The exact measure first, so that it can be read back.
    """
    below = round_down(Fraction(ticks), bench.ruler)
    exact = length_words(ticks, bench)
    if below == ticks:
        return exact
    return f"{exact} (between the marks {length_words(below, bench)} and {length_words(below + bench.ruler, bench)})"


def _part_words(part: Part, bench: Bench) -> str:
    words = f"{part.name}, {size_words(part.size, bench)}"
    match part.fate:
        case Fate.DIVIDE:
            return words
        case Fate.BLANK:
            return f"{words} ({part.called})"
        case Fate.KEEP | Fate.SCRAP:
            return f"{words} ({part.fate})"
        case _ as never:
            assert_never(never)
