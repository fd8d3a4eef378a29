"""The steps at the bench as lines of print: what is cut, the cut piece, what is left of it; the edges all at once."""

from dataclasses import replace
from fractions import Fraction

from nesting.bench.cut_order import cutting_list
from nesting.bench.cutting_list import Fate, Part, Purpose, StraightCut, Tool
from nesting.bench.rounds import Batch
from nesting.bench.steps import Step, line_of, steps_of
from nesting.model.cut_tree import Way
from nesting.model.sides import Edge
from tests.handmade import bench, inches, plan, size

CUT = StraightCut(
    part=Part("A", size("31 3/4", "14"), Fate.DIVIDE),
    way=Way.UPRIGHT,
    edge=Edge.RIGHT,
    measure=inches("11"),
    words="11",
    purpose=Purpose.CUT,
    tool=Tool.CUTTER,
    off=Part("M1", size("11", "14"), Fate.BLANK, "Sea holly, 1 of 2"),
    rest=Part("S1 offcut 2, plan 3fa9c1", size("20 3/4", "14"), Fate.KEEP),
)


def test_a_cut_is_one_line():
    assert line_of(Step(4, (CUT,)), bench()) == (
        "11: A: top to bottom, from right. Cut piece: M1, 11 × 14. Rest: KEEP S1 offcut 2, plan 3fa9c1, 20 3/4 × 14."
    )
    assert CUT.length == inches("14")


def test_a_cut_whose_blade_leaves_nothing_beyond_says_nothing_of_it():
    assert line_of(Step(4, (replace(CUT, rest=None),)), bench()).endswith("Cut piece: M1, 11 × 14.")


def test_the_edges_of_a_sheet_are_one_step_with_every_edge_named_in_its_turn():
    steps = steps_of(cutting_list(plan(), Batch((plan().sheets[0],))))
    assert [step.number for step in steps] == [1, 2, 3, 4, 5, 6, 7, 8]  # four trims in one, then seven cuts
    assert [len(step.cuts) for step in steps] == [4, *[1] * 7]
    assert line_of(steps[0], bench()) == (
        "1/8: Trim all four sides, each: left, right, bottom, top. Rest: S1, 31 3/4 × 39 3/4."
    )


def test_edges_that_are_too_long_for_the_cutter_are_for_the_straightedge():
    made = plan()
    short = bench(longest_cut=Fraction(inches("32")))
    cuts = cutting_list(replace(made, job=replace(made.job, bench=short)), Batch((made.sheets[0],)))
    # 32 x 40: the short edges are cut first, the long ones are 39 3/4 even then.
    assert line_of(steps_of(cuts)[0], short) == (
        "1/8: Trim all four sides, each: bottom, top, left, right. "
        "Too long for the cutter, by straightedge: left, right. Rest: S1, 31 3/4 × 39 3/4."
    )


def test_a_fallout_is_squared_and_a_piece_from_the_shelf_has_its_edges():
    made = plan()
    squared, first = steps_of(cutting_list(made, Batch((made.sheets[2],))))[:2]
    assert line_of(squared, bench()).startswith("1/8: Square all four sides, each: bottom, top, left, right. Rest: S3,")
    assert (squared.is_edges, first.is_edges) == (True, False)
    (only,) = steps_of(cutting_list(made, Batch((made.sheets[1],))))
    assert (only.number, only.is_edges) == (1, False)
    assert steps_of(()) == ()
