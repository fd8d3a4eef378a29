"""Paper on the bench: executes printed cuts and bevel settings, and knows nothing of the plan that they came from."""

import re
from dataclasses import dataclass

from nesting.lengths import TICKS_PER_INCH, parse_length
from nesting.model.job import Unit

LENGTH = r"[0-9][0-9/ ]*(?:\.[0-9]+)?(?: mm)?"
SIZE = rf"{LENGTH} × {LENGTH}"
MEASURE = rf"(?P<measure>{LENGTH})(?: \(between the marks {LENGTH} and {LENGTH}\))?"
REST = rf"Rest: (?:KEEP )?(?P<rest>.+?), (?P<rest_size>{SIZE})(?: \(.*\))?\."
CUT = re.compile(
    rf"{MEASURE}: (?P<part>.+?): (?P<way>top to bottom|side to side), from (?P<edge>left|right|top|bottom)\. "
    rf"Cut piece: (?:KEEP )?(?P<off>.+?), (?P<off_size>{SIZE})(?: \(.*?\))?\.(?: {REST})?"
)
EDGES = re.compile(
    rf"{MEASURE}: (?:Trim|Square) all four sides, each: (?P<edges>\w+, \w+, \w+, \w+)\. "
    rf"(?:Too long for the cutter, by straightedge: [^.]*\. )?{REST}"
)


@dataclass(frozen=True)
class Paper:
    """A rectangle, its lower left corner measured from that of the whole sheet, all as seen from the back."""

    x: int
    y: int
    w: int
    h: int


def execute(lines, sheet, *, unit, kerf, whole):
    """Cut a paper sheet of this size by the printed lines; return what lies on the bench at the end, by name.

    `whole` is what an uncut sheet is called.
    """
    bench = {whole: Paper(0, 0, *sheet)}
    for line in lines:
        said = EDGES.fullmatch(line)
        if said:
            _take_edges(said, bench, whole, unit)
            continue
        said = CUT.fullmatch(line)
        assert said, line
        measure, way = read(said["measure"], unit), said["way"]
        off, rest = divide(bench.pop(said["part"]), way, said["edge"], measure, kerf)
        _lay_down(bench, said["off"], off, said["off_size"], unit)
        assert (said["rest"] is not None) == (min(rest.w, rest.h) > 0), line
        if said["rest"]:
            _lay_down(bench, said["rest"], rest, said["rest_size"], unit)
    return bench


def _take_edges(said, bench, whole, unit):
    paper, measure = bench.pop(whole), read(said["measure"], unit)
    edges = said["edges"].split(", ")
    assert sorted(edges) == ["bottom", "left", "right", "top"]
    for edge in edges:
        way = "top to bottom" if edge in {"left", "right"} else "side to side"
        _, paper = divide(paper, way, edge, measure, 0)
    _lay_down(bench, said["rest"], paper, said["rest_size"], unit)


def _lay_down(bench, name, paper, size, unit):
    """Put a part on the bench under its name, which nothing else there has; what is scrap has none."""
    said = read_size(size, unit)
    assert all(_says(wrote, side, unit) for wrote, side in zip(said, (paper.w, paper.h), strict=True)), name
    name = f"scrap {len(bench)} {paper}" if name == "scrap" else name
    assert name not in bench, name
    bench[name] = paper


def _says(wrote, side, unit):
    """Whether a side is said exactly, or where no fraction of an inch says it, down to a mark of the ruler."""
    is_fraction = unit is not Unit.IN or side * 128 % TICKS_PER_INCH == 0
    return wrote == side if is_fraction else 0 <= side - wrote < TICKS_PER_INCH


def read(text, unit):
    length = parse_length(text, unit)
    assert length.denominator == 1
    return int(length)


def read_size(text, unit):
    return tuple(read(part, unit) for part in text.split(" × "))


def divide(paper, way, edge, measure, lost):
    """Return the strip that is so wide at the edge, and what the blade leaves beyond it."""
    x, y, w, h = paper.x, paper.y, paper.w, paper.h
    assert (edge in ("left", "right")) == (way == "top to bottom")
    beyond = (w if way == "top to bottom" else h) - measure - lost
    match edge:
        case "left":
            return Paper(x, y, measure, h), Paper(x + measure + lost, y, beyond, h)
        case "right":
            return Paper(x + w - measure, y, measure, h), Paper(x, y, beyond, h)
        case "bottom":
            return Paper(x, y, w, measure), Paper(x, y + measure + lost, w, beyond)
        case "top":
            return Paper(x, y + h - measure, w, measure), Paper(x, y, w, beyond)


TOWARDS = {"left": "top", "top": "right", "right": "bottom", "bottom": "left"}


def bevel(blank, cuts, overcut):
    """Cut one window into a blank by (side, guide, start, stop) as seen from the back; return it as paper.

    The sides run clockwise. Each passes the corners of the window by the overcut and no more.
    """
    w, h = blank
    guide = {side: at for side, at, _, _ in cuts}
    assert len(cuts) == len(guide) == 4
    for side, _, start, stop in cuts:
        towards = TOWARDS[side]
        away = next(other for other, after in TOWARDS.items() if after == side)
        assert stop + overcut == guide[towards]
        assert start + overcut == guide[away]
    return Paper(guide["left"], guide["bottom"], w - guide["left"] - guide["right"], h - guide["bottom"] - guide["top"])
