"""The straight cuts of a sheet as the steps that are ticked off one by one: its edges first, all at once."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from nesting.bench.cutting_list import Fate, Part, Purpose, StraightCut, Tool
from nesting.model.cut_tree import Way
from nesting.model.job import Bench
from nesting.names import size_in_unit

__all__ = ["Step", "line_of", "sentences_of", "steps_of"]

_WAYS = {Way.UPRIGHT: "top to bottom", Way.LEVEL: "side to side"}
_EDGES = {Purpose.TRIM: "Trim", Purpose.SQUARE: "Square"}


@dataclass(frozen=True, slots=True)
class Step:
    """What is done with one setting of the stop before the next line is read.

    Parameters
    ----------
    number : int
        From 1, in the list and on the drawing.
    cuts : tuple of StraightCut
        One cut, or the cuts that give a sheet all its new edges.
    """

    number: int
    cuts: tuple[StraightCut, ...]

    @property
    def is_edges(self) -> bool:
        """Whether it gives the sheet its new edges."""
        return self.cuts[0].purpose is not Purpose.CUT

    @property
    def part(self) -> Part:
        """What is on the cutter before it."""
        return self.cuts[0].part

    @property
    def rest(self) -> Part | None:
        """What is left of that after it, beside what was cut off."""
        return self.cuts[-1].rest


def steps_of(cuts: Sequence[StraightCut]) -> tuple[Step, ...]:
    """Return the steps that straight cuts make, in their order.

    Parameters
    ----------
    cuts : sequence of StraightCut
        Of alike sheets, as `nesting.bench.cut_order.cutting_list` gives them.

    Returns
    -------
    tuple of Step
        The cuts of the edges are one step, every other cut is one of its own.
    """
    edges = tuple(cut for cut in cuts if cut.purpose is not Purpose.CUT)
    groups = ([edges] if edges else []) + [(cut,) for cut in cuts if cut.purpose is Purpose.CUT]
    return tuple(Step(number, group) for number, group in enumerate(groups, start=1))


def line_of(step: Step, bench: Bench) -> str:
    """Return a step as one line of print: the measure that is set, and its sentences.

    Parameters
    ----------
    step : Step
        The step.
    bench : Bench
        Whose ruler the sizes are printed for.

    Returns
    -------
    str
        All that is needed to do it with a knife and a ruler.
    """
    return f"{step.cuts[0].words}: {' '.join(sentences_of(step, bench))}"


def sentences_of(step: Step, bench: Bench) -> tuple[str, ...]:
    """Return what stands beside the measure of a step: the cut, the cut piece, and what is left where anything is.

    Parameters
    ----------
    step : Step
        The step.
    bench : Bench
        Whose ruler the sizes are printed for.

    Returns
    -------
    tuple of str
        Two or three.
    """
    return tuple(_edge_sentences(step, bench) if step.is_edges else _cut_sentences(step, bench))


def _cut_sentences(step: Step, bench: Bench) -> Iterator[str]:
    (cut,) = step.cuts
    yield f"{cut.part.name}: {_WAYS[cut.way]}, from {cut.edge}."
    yield f"Cut piece: {_part_words(cut.off, bench)}."
    if cut.rest is not None:
        yield f"Rest: {_part_words(cut.rest, bench)}."


def _edge_sentences(step: Step, bench: Bench) -> Iterator[str]:
    first = step.cuts[0]
    edges = ", ".join(cut.edge for cut in step.cuts)
    yield f"{_EDGES[first.purpose]} all four sides, each: {edges}."
    long = [cut.edge for cut in step.cuts if cut.tool is Tool.STRAIGHTEDGE]
    if long:
        yield f"Too long for the cutter, by straightedge: {', '.join(long)}."
    if step.rest is not None:
        yield f"Rest: {_part_words(step.rest, bench)}."


def _part_words(part: Part, bench: Bench) -> str:
    keep = "KEEP " if part.fate is Fate.KEEP else ""
    return f"{keep}{part.name}, {size_in_unit(part.size, bench)}"
