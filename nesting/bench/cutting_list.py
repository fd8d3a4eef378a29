"""What a straight cut is at the bench: what is on the cutter, where the blade goes, and what becomes of both sides."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from nesting.geometry import Point, Size
from nesting.lengths import round_down
from nesting.model.cut_tree import Way
from nesting.model.job import Bench
from nesting.model.sides import Edge, across
from nesting.names import length_words

__all__ = ["Fate", "Part", "Purpose", "StraightCut", "Tool", "measure_words"]

_CORNER = Point(0, 0)


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
        What to write on it: ``S1``, ``A``, ``M3``, the label of an offcut; the ids of the mats of all alike
        sheets, and nothing but ``scrap`` where it is that.
    size : Size
        In ticks, as it lies.
    fate : Fate
        What becomes of it.
    called : str
        Whose mat a blank is; empty for what is no blank.
    at : Point
        Its lower left corner on the sheet, as seen from the front.
    """

    name: str
    size: Size
    fate: Fate
    called: str = ""
    at: Point = _CORNER


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
