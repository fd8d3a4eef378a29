"""Settings of bevel cuts, worked by hand."""

from dataclasses import replace
from fractions import Fraction

import pytest

from nesting.bench.bevels import BevelCut, PencilLine, by_hand, mat_work, settings, unplanned_work
from nesting.geometry import Point, Size
from nesting.model.mat import Borders, Mat, Window
from nesting.model.plan import PlacedMat
from nesting.model.sides import Edge
from tests.handmade import bench, inches, job, plan, size
from tests.sound import sound_plan


def work(borders, blank, *, windows=None, **settings_of_the_bench):
    """A mat with these borders (left, right, top, bottom, from the front) alone on the bench."""
    left, right, top, bottom = map(inches, borders)
    room = Size(blank.w - left - right, blank.h - top - bottom)
    windows = windows or (Window(Point(left, bottom), room),)
    mat = Mat("M1", "Sea holly", 1, 0, ("slate",), blank, Borders(left, right, top, bottom), windows)
    made = plan(job=job(bench=bench(**settings_of_the_bench)), leftover=(), sheets=())
    return mat_work(made, PlacedMat(mat, "slate", "S1", turned=False))


def test_before_there_is_a_plan_a_mat_is_marked_and_cut_the_same():
    planned = work(("2", "2 1/16", "2 1/2", "3"), size("11", "17"))
    alone = unplanned_work(planned.placed.mat, "Sea holly", bench())
    assert (alone.name, alone.borders, alone.lines) == ("Sea holly", planned.borders, planned.lines)
    assert alone.cuts == tuple(replace(cut, mat="") for cut in planned.cuts)
    assert [(it.borders, it.size, it.fallout) for it in alone.windows] == [
        (it.borders, it.size, "") for it in planned.windows
    ]
    assert alone.placed.mat.id == alone.placed.sheet == ""


def set_to(cuts):
    return [(cut.side, cut.guide, cut.stop) for cut in cuts]


def test_left_and_right_change_sides_and_the_top_stays():
    turned = work(("2", "2 1/16", "2 1/2", "3"), size("11", "17"))
    assert turned.borders == Borders(*map(inches, ("2 1/16", "2", "2 1/2", "3")))
    assert turned.cuts[0].guide == inches("2 1/16")
    assert turned.lines == (
        PencilLine(Edge.LEFT, inches("2 1/16")),
        PencilLine(Edge.TOP, inches("2 1/2")),
        PencilLine(Edge.RIGHT, inches("2")),
        PencilLine(Edge.BOTTOM, inches("3")),
    )


def test_the_overcut_runs_past_both_pencil_lines_but_moves_none():
    cuts = work(("2", "2", "2 1/2", "3"), size("11", "17"), overcut=Fraction(inches("1/16"))).cuts
    assert [cut.guide for cut in cuts] == [inches(text) for text in ("2", "2 1/2", "2", "3")]
    assert [cut.stop for cut in cuts] == [inches(text) for text in ("2 7/16", "1 15/16", "2 15/16", "1 15/16")]
    assert cuts[0].start == inches("2 15/16")


@pytest.mark.parametrize(("overcut", "stop"), [("1/32", "2 7/16"), ("1/64", "2 1/2")])
def test_the_overcut_is_set_to_the_nearest_mark(overcut, stop):
    assert work(("2", "2", "2 1/2", "3"), size("11", "17"), overcut=Fraction(inches(overcut))).cuts[0].stop == inches(
        stop
    )


def test_beyond_the_reach_of_the_guide_a_cut_is_made_by_hand():
    mat = work(("2", "2", "2 1/2", "3"), size("11", "17"), guide_reach=Fraction(inches("2 1/2")))
    assert [cut.by_hand for cut in mat.cuts] == [False, False, False, True]
    assert [cut.side for cut in by_hand([mat])] == [Edge.BOTTOM]
    assert all(cut.side is not Edge.BOTTOM for setting in settings([mat]) for cut in setting.cuts)


def test_a_border_narrower_than_the_overcut_is_cut_by_hand_lest_the_blade_run_off_the_edge():
    mat = work(("2", "2", "1/16", "3"), size("11", "17"), overcut=Fraction(inches("1/8")))
    assert [cut.by_hand for cut in mat.cuts] == [True, False, True, False]  # those that begin or end at the top


def test_each_window_beside_another_is_set_from_the_far_edges_across_the_bar():
    windows = (Window(Point(13, 7), Size(29, 31)), Window(Point(47, 7), Size(29, 31)))  # a bar of 5 between them
    mat = Mat("M1", "Sea holly", 1, 0, ("slate",), Size(87, 49), Borders(13, 11, 11, 7), windows)
    made = mat_work(plan(leftover=(), sheets=()), PlacedMat(mat, "slate", "S1", turned=False))
    first, second = made.windows  # the first lies left from the front, right from the back
    assert first.borders == Borders(left=45, right=13, top=11, bottom=7)
    assert second.borders == Borders(left=11, right=47, top=11, bottom=7)
    assert set_to(made.cuts[:4]) == [(Edge.LEFT, 45, 11), (Edge.TOP, 11, 13), (Edge.RIGHT, 13, 7), (Edge.BOTTOM, 7, 45)]
    assert set_to(made.cuts[4:]) == [(Edge.LEFT, 11, 11), (Edge.TOP, 11, 47), (Edge.RIGHT, 47, 7), (Edge.BOTTOM, 7, 11)]
    assert [(line.edge, line.distance) for line in made.lines] == [
        (Edge.LEFT, 11),
        (Edge.LEFT, 45),
        (Edge.TOP, 11),
        (Edge.RIGHT, 13),
        (Edge.RIGHT, 47),
        (Edge.BOTTOM, 7),
    ]


def test_cuts_with_one_setting_come_together_over_all_mats():
    made = sound_plan()
    works = [mat_work(made, placed) for placed in made.mats]
    assert [(each.guide, each.stop, [(cut.mat, cut.side) for cut in each.cuts]) for each in settings(works)] == [
        (18, 15, [("M1", "top"), ("M1", "bottom"), ("M2", "top"), ("M2", "bottom")]),
        (15, 18, [("M1", "left"), ("M1", "right"), ("M2", "left"), ("M2", "right")]),
        (15, 13, [("M5", "bottom")]),
        (13, 15, [("M5", "right")]),
        (13, 13, [("M5", "left"), ("M5", "top")]),
        (12, 10, [("M4", "bottom")]),
        (10, 12, [("M4", "right")]),
        (10, 10, [("M4", "left"), ("M4", "top")]),
    ]


def test_every_mat_says_what_its_fallout_is_for():
    made = plan()
    holly, _, ford, token, *_ = (mat_work(made, placed) for placed in made.mats)
    assert holly.name == "Sea holly, 1 of 2"
    assert [window.fallout for window in holly.windows] == ["keep, 6 3/4 × 9 3/4 once squared"]
    assert [window.fallout for window in ford.windows] == ["S3: Token"]
    assert (token.borders, token.windows, token.lines, token.cuts) == (None, (), (), ())
    under = sound_plan().mats[4]
    assert [(window.fallout, window.size) for window in mat_work(sound_plan(), under).windows] == [
        ("scrap", Size(41, 19))
    ]


def test_an_under_mat_is_set_by_its_own_borders():
    made = sound_plan()
    under = mat_work(made, replace(made.mats[4], turned=True))  # how it lay on its sheet does not matter
    assert under.name == "Moss, under-mat"
    assert set_to(under.cuts) == [(Edge.LEFT, 13, 13), (Edge.TOP, 13, 13), (Edge.RIGHT, 13, 15), (Edge.BOTTOM, 15, 13)]
    assert under.cuts[0] == BevelCut("M5", 0, Edge.LEFT, 13, 15, 13, by_hand=False)
