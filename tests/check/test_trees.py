"""Cuts at the edge of what the checker lets pass."""

from dataclasses import replace
from fractions import Fraction

from nesting.check.trees import tree_faults
from nesting.geometry import Point, Size
from nesting.model.cut_tree import Offcut
from tests.planting import changed, with_bench, with_root, with_sheet
from tests.sound import S1, sound_plan

FERN_COLUMN, SECOND_COLUMN, LAST_COLUMN = S1.root.parts


def faults(plan):
    return list(tree_faults(plan))


def test_a_cut_may_be_as_long_as_the_cutter_makes():
    # The longest are the cuts up through S1, 161 high once trimmed.
    assert faults(with_bench(sound_plan(), longest_cut=Fraction(161))) == []
    assert faults(with_bench(sound_plan(), longest_cut=None)) == []


def test_a_part_may_be_a_tick_wide():
    # 36 + 2 + 1 in place of the last column of 39.
    wide, narrow = Offcut(Point(181, 3), Size(36, 161)), Offcut(Point(219, 3), Size(1, 161))
    assert faults(with_root(sound_plan(), S1, FERN_COLUMN, SECOND_COLUMN, wide, narrow)) == []


def test_the_last_mat_is_not_the_one_before_the_first():
    fern = FERN_COLUMN.parts[0]
    assert faults(with_sheet(sound_plan(), S1, root=changed(S1, fern, replace(fern, item=-1)))) == [
        "S1: there is no mat number -1",
        "M1: cut 0 times instead of once",
    ]


def test_a_strip_as_wide_as_the_kerf_may_be_lost_at_the_end():
    last = Offcut(Point(181, 3), Size(37, 161))
    assert faults(with_root(sound_plan(), S1, FERN_COLUMN, SECOND_COLUMN, last)) == []
