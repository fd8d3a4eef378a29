"""The order of straight cuts, worked by hand."""

from dataclasses import replace
from fractions import Fraction
from itertools import groupby

from nesting.bench.cut_order import _Namer, cutting_list
from nesting.bench.cutting_list import Fate, Part, Purpose, Tool, line_of
from nesting.bench.rounds import Batch
from nesting.geometry import Point, Size
from nesting.model.cut_tree import Cut, Offcut, Placed, Way
from nesting.model.plan import CutSheet, FromShelf, OffcutLeft
from nesting.model.sides import Edge
from tests.handmade import bench, plan
from tests.sound import S1, S5, make_bench, make_job, sound_plan


def lines(made, *places):
    return [line_of(cut, made.job.bench) for cut in cutting_list(made, Batch(tuple(made.sheets[p] for p in places)))]


def test_a_bought_sheet_is_trimmed_then_divided_the_longest_cut_first():
    assert lines(plan(), 0) == [
        (
            "whole sheet, 32 × 40: trim top to bottom, 1/8 from the left edge. "
            "Cut piece: factory edge, 1/8 × 40 (scrap). What is left: whole sheet, 31 7/8 × 40."
        ),
        (
            "whole sheet, 31 7/8 × 40: trim top to bottom, 1/8 from the right edge. "
            "Cut piece: factory edge, 1/8 × 40 (scrap). What is left: whole sheet, 31 3/4 × 40."
        ),
        (
            "whole sheet, 31 3/4 × 40: trim side to side, 1/8 from the bottom edge. "
            "Cut piece: factory edge, 31 3/4 × 1/8 (scrap). What is left: whole sheet, 31 3/4 × 39 7/8."
        ),
        (
            "whole sheet, 31 3/4 × 39 7/8: trim side to side, 1/8 from the top edge. "
            "Cut piece: factory edge, 31 3/4 × 1/8 (scrap). What is left: whole sheet, 31 3/4 × 39 3/4."
        ),
        (
            "whole sheet, 31 3/4 × 39 3/4: cut side to side, 14 from the bottom edge. "
            "Cut piece: part A, 31 3/4 × 14. What is left: part B, 31 3/4 × 25 3/4."
        ),
        (
            "part B, 31 3/4 × 25 3/4: cut top to bottom, 20 from the right edge. "
            "Cut piece: part C, 20 × 25 3/4. What is left: part D, 11 3/4 × 25 3/4."
        ),
        (
            "part C, 20 × 25 3/4: cut side to side, 24 from the bottom edge. "
            "Cut piece: M3, 20 × 24 (Ford map). What is left: offcut 2, 20 × 1 3/4 (scrap)."
        ),
        (
            "part A, 31 3/4 × 14: cut top to bottom, 11 from the right edge. "
            "Cut piece: M1, 11 × 14 (Sea holly, 1 of 2). What is left: part A, 20 3/4 × 14."
        ),
        (
            "part A, 20 3/4 × 14: cut top to bottom, 11 from the right edge. "
            "Cut piece: M2, 11 × 14 (Sea holly, 2 of 2). What is left: offcut 1, 9 3/4 × 14 (keep)."
        ),
        (
            "part D, 11 3/4 × 25 3/4: cut side to side, 2 7/8 from the bottom edge. "
            "Cut piece: part E, 11 3/4 × 2 7/8. What is left: offcut 4, 11 3/4 × 22 7/8 (keep)."
        ),
        (
            "part E, 11 3/4 × 2 7/8: cut top to bottom, 2 3/4 from the right edge. "
            "Cut piece: M6, 2 3/4 × 2 7/8 (A very long name <for> a small & narrow label). "
            "What is left: offcut 3, 9 × 2 7/8 (scrap)."
        ),
    ]


def test_a_piece_from_the_shelf_has_its_edges_already():
    assert lines(plan(), 1) == [
        (
            "whole sheet, 7 × 17: cut side to side, 5 from the bottom edge. Cut piece: M5, 7 × 5 (Token, backing). "
            "What is left: offcut 1, 7 × 12 (keep)."
        )
    ]


def test_a_fallout_is_squared_first():
    cuts = cutting_list(plan(), Batch((plan().sheets[2],)))
    assert [cut.purpose for cut in cuts] == [Purpose.SQUARE] * 4 + [Purpose.CUT] * 2
    assert {cut.off.name for cut in cuts[:4]} == {"bevelled edge"}
    assert [cut.edge for cut in cuts[:4]] == [Edge.BOTTOM, Edge.TOP, Edge.LEFT, Edge.RIGHT]  # 17 wide, 13 high


def test_kerf_is_lost_beyond_each_cut_and_may_leave_nothing():
    cuts = cutting_list(sound_plan(), Batch((S5,)))[4:]
    assert [(cut.measure, cut.part.size, cut.off.size) for cut in cuts] == [
        (53, Size(61, 27), Size(53, 27)),
        (25, Size(53, 27), Size(53, 25)),
    ]
    assert cuts[0].rest == Part("offcut 1", Size(6, 27), Fate.SCRAP)
    assert cuts[1].rest is None


def test_edges_that_are_too_long_for_the_cutter_come_after_the_short_ones():
    first, _, third, fourth, *_ = cutting_list(sound_plan(), Batch((S1,)))  # 223 x 167, longest cut 191
    assert (first.edge, first.length, first.tool) == (Edge.LEFT, 167, Tool.CUTTER)
    assert (third.edge, third.length, third.tool) == (Edge.BOTTOM, 217, Tool.STRAIGHTEDGE)
    assert (fourth.edge, fourth.tool) == (Edge.TOP, Tool.STRAIGHTEDGE)


def test_the_short_edges_cut_off_may_make_the_long_ones_short_enough():
    made = sound_plan()
    for longest, tool in ((217, Tool.CUTTER), (216, Tool.STRAIGHTEDGE)):
        job = replace(made.job, bench=replace(made.job.bench, longest_cut=Fraction(longest)))
        cuts = cutting_list(replace(made, job=job), Batch((S1,)))
        assert (cuts[2].length, cuts[2].tool) == (217, tool)


def test_a_blank_that_is_the_whole_sheet_is_not_cut_and_one_that_is_trimmed_comes_out_of_the_last_trim():
    made = sound_plan()
    whole = CutSheet("S3", "oat", FromShelf("ledge"), Size(67, 47), Placed(Point(0, 0), Size(67, 47), 4))
    assert cutting_list(made, Batch((whole,))) == ()
    edged = CutSheet("S3", "oat", FromShelf("ledge"), Size(73, 53), Placed(Point(3, 3), Size(67, 47), 4))
    last = cutting_list(made, Batch((edged,)))[-1]
    assert last.rest == Part("M5", Size(67, 47), Fate.BLANK, "Moss, under-mat")


def test_alike_sheets_share_their_lines_and_every_mat_is_named():
    made = sound_plan()
    pair = [
        CutSheet(name, "sage", FromShelf("ledge"), Size(101, 79), root)
        for name, root in (("S1", blank_and_rest(0)), ("S2", blank_and_rest(1)))
    ]
    made = replace(made, leftover=tuple(OffcutLeft(s.id, Point(0, 75), Size(101, 4), keep=False) for s in pair))
    (cut,) = cutting_list(made, Batch(tuple(pair)))
    assert cut.off == Part("M1 M2", Size(101, 73), Fate.BLANK, "Fern, 1 of 2; Fern, 2 of 2")


def blank_and_rest(item):
    parts = Placed(Point(0, 0), Size(101, 73), item), Offcut(Point(0, 75), Size(101, 4))
    return Cut(Point(0, 0), Size(101, 79), Way.LEVEL, parts)


def strip(x, w, *heights):
    """An upright strip 60 high, cut level into blanks of these heights from the bottom and a rest."""
    parts, y = [], 0
    for height in heights:
        parts.append(Placed(Point(x, y), Size(w, height), 5))
        y += height
    return Cut(Point(x, 0), Size(w, 60), Way.LEVEL, (*parts, Placed(Point(x, y), Size(w, 60 - y), 5)))


def measures(*strips):
    """The settings in the order in which they are made, on a sheet 60 high that these strips make up."""
    wide = sum(strip.size.w for strip in strips)
    root = Cut(Point(0, 0), Size(wide, 60), Way.UPRIGHT, strips)
    sheet = CutSheet("S3", "oat", FromShelf("ledge"), Size(wide, 60), root)
    made = replace(sound_plan(), job=make_job(*sound_plan().job.pieces, bench=make_bench(kerf=0)))
    return [(measure, len(list(cuts))) for measure, cuts in groupby(cutting_list(made, Batch((sheet,))), measure_of)]


def measure_of(cut):
    return cut.measure


def test_a_setting_is_used_for_all_parts_that_wait_for_it_before_it_is_changed():
    strips = strip(0, 29, 23, 17), strip(29, 19, 23, 17, 11), strip(48, 11, 17)
    assert measures(*strips) == [(29, 1), (19, 1), (23, 2), (17, 3), (11, 1)]


def test_a_setting_waits_for_those_who_will_need_it_even_where_its_cut_is_the_longest():
    assert measures(strip(0, 29, 17), strip(29, 19, 23, 17)) == [(29, 1), (23, 1), (17, 2)]


def test_of_settings_that_no_one_needs_again_the_longest_cut_goes_first():
    assert measures(strip(0, 29, 17), strip(29, 19, 23)) == [(29, 1), (17, 1), (23, 1)]


def test_more_parts_than_letters_are_lettered_on():
    made = plan(job=replace(plan().job, bench=bench()))
    namer = _Namer(made, Batch((made.sheets[1],)))
    names = [namer.part(made.sheets[0].root).name for _ in range(28)]
    assert [names[0], *names[25:]] == ["part A", "part Z", "part AA", "part AB"]
