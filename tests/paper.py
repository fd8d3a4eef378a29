"""Paper on the bench: executes printed cuts and bevel settings, and knows nothing of the plan that they came from."""

import re
from dataclasses import dataclass

from nesting.lengths import parse_length

LENGTH = r"[0-9][0-9/ ]*(?:\.[0-9]+)?(?: mm)?"
SIZE = rf"{LENGTH} × {LENGTH}"
LINE = re.compile(
    rf"(?P<part>[^,]+), (?P<size>{SIZE}): (?P<purpose>trim|square|cut) (?P<way>upright|level), (?P<measure>{LENGTH})"
    rf"(?: \(between the marks {LENGTH} and {LENGTH}\))? from the (?P<edge>left|right|top|bottom) edge"
    rf"(?P<tool>, by straightedge: too long for the cutter)?\. "
    rf"Cut piece: (?P<off>[^,]+), (?P<off_size>{SIZE})(?: \([^)]*\))?\."
    rf"(?: What is left: (?P<rest>[^,]+), (?P<rest_size>{SIZE})(?: \([^)]*\))?\.)?"
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
        said = LINE.fullmatch(line)
        assert said, line
        paper = bench.pop(said["part"])
        assert (paper.w, paper.h) == read_size(said["size"], unit), line
        measure = read(said["measure"], unit)
        off, rest = divide(paper, said["way"], said["edge"], measure, kerf if said["purpose"] == "cut" else 0)
        assert (off.w, off.h) == read_size(said["off_size"], unit), line
        assert said["off"] not in bench, line
        if not said["off"].endswith(" edge"):
            bench[said["off"]] = off
        assert (said["rest"] is not None) == (min(rest.w, rest.h) > 0), line
        if said["rest"]:
            assert (rest.w, rest.h) == read_size(said["rest_size"], unit), line
            assert said["rest"] not in bench, line
            bench[said["rest"]] = rest
    return bench


def read(text, unit):
    length = parse_length(text, unit)
    assert length.denominator == 1
    return int(length)


def read_size(text, unit):
    return tuple(read(part, unit) for part in text.split(" × "))


def divide(paper, way, edge, measure, lost):
    """Return the strip that is so wide at the edge, and what the blade leaves beyond it."""
    x, y, w, h = paper.x, paper.y, paper.w, paper.h
    assert (edge in ("left", "right")) == (way == "upright")
    beyond = (w if way == "upright" else h) - measure - lost
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
