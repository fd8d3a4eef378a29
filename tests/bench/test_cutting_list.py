"""Lines of print: measures on the ruler and between its marks, the tool, what comes off and what stays."""

import pytest

from nesting.bench.cutting_list import Fate, Part, Purpose, StraightCut, Tool, line_of, measure_words
from nesting.geometry import Size
from nesting.model.cut_tree import Way
from nesting.model.job import Unit
from nesting.model.sides import Edge
from tests.handmade import bench, inches, size


@pytest.mark.parametrize(
    ("ticks", "words"),
    [
        (inches("10 1/2"), "10 1/2"),
        (inches("10 17/32"), "10 17/32 (between the marks 10 1/2 and 10 9/16)"),
        (1920, "3 mm (between the marks 1/16 and 1/8)"),
    ],
)
def test_a_measure_between_two_marks_says_so(ticks, words):
    assert measure_words(ticks, bench()) == words


def test_a_measure_in_millimetres_between_two_marks_says_so():
    metric = bench(unit=Unit.MM, ruler=640)
    assert measure_words(7040, metric) == "11"
    assert measure_words(7360, metric) == "11.5 (between the marks 11 and 12)"


CUT = StraightCut(
    part=Part("part A", size("31 3/4", "14"), Fate.DIVIDE),
    way=Way.UPRIGHT,
    edge=Edge.RIGHT,
    measure=inches("11"),
    words="11",
    purpose=Purpose.CUT,
    tool=Tool.CUTTER,
    off=Part("M1", size("11", "14"), Fate.BLANK, "Sea holly, 1 of 2"),
    rest=Part("offcut 2", size("20 3/4", "14"), Fate.KEEP),
)


def test_a_cut_is_one_line():
    assert line_of(CUT, bench()) == (
        "part A, 31 3/4 × 14: cut top to bottom, 11 from the right edge. Cut piece: M1, 11 × 14 (Sea holly, 1 of 2). "
        "What is left: offcut 2, 20 3/4 × 14 (keep)."
    )
    assert CUT.length == inches("14")


def test_a_cut_whose_blade_leaves_nothing_beyond_says_nothing_of_it():
    bare = StraightCut(CUT.part, CUT.way, CUT.edge, CUT.measure, "11", CUT.purpose, CUT.tool, CUT.off, None)
    assert line_of(bare, bench()).endswith("Cut piece: M1, 11 × 14 (Sea holly, 1 of 2).")


def test_a_cut_that_the_cutter_cannot_make_says_what_does():
    long = StraightCut(
        part=Part("whole sheet", size("40", "60"), Fate.DIVIDE),
        way=Way.LEVEL,
        edge=Edge.TOP,
        measure=inches("1/8"),
        words="1/8",
        purpose=Purpose.TRIM,
        tool=Tool.STRAIGHTEDGE,
        off=Part("factory edge", size("40", "1/8"), Fate.SCRAP),
        rest=Part("whole sheet", size("40", "59 7/8"), Fate.DIVIDE),
    )
    assert long.length == inches("40")
    assert line_of(long, bench()) == (
        "whole sheet, 40 × 60: trim side to side, 1/8 from the top edge, by straightedge: too long for the cutter. "
        "Cut piece: factory edge, 40 × 1/8 (scrap). What is left: whole sheet, 40 × 59 7/8."
    )


def test_sizes_are_never_swapped():
    assert CUT.off.size == Size(inches("11"), inches("14"))
