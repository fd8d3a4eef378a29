"""Glass and backs by size: the inside size less what each needs."""

from dataclasses import replace
from fractions import Fraction

from nesting.bench.fitting import Pane, backing_sizes, glass_sizes
from nesting.geometry import Size
from tests.handmade import bench, inches, job, piece, plan, size
from tests.sound import sound_plan

SMALL = "A very long name <for> a small & narrow label"


def test_glass_is_the_inside_size_less_its_own_clearance():
    made = plan(job=job(bench=bench(glass_clearance=Fraction(inches("1/4")))))
    assert glass_sizes(made) == (
        Pane(size("23 7/8", "19 7/8"), 1, ("Ford map",), None),
        Pane(size("10 7/8", "13 7/8"), 2, ("Sea holly",), None),
        Pane(size("6 7/8", "4 7/8"), 1, ("Token",), None),
        Pane(size("2 5/8", "2 3/4"), 1, (SMALL,), None),
    )


def test_backs_are_of_the_size_of_the_blank_and_say_what_they_are_cut_from():
    assert backing_sizes(plan()) == (
        Pane(size("24", "20"), 1, ("Ford map",), None),
        Pane(size("11", "14"), 2, ("Sea holly",), None),
        Pane(size("7", "5"), 1, ("Token",), "grey card"),
        Pane(size("2 3/4", "2 7/8"), 1, (SMALL,), None),
    )


def test_a_later_piece_that_is_not_planned_needs_none():
    assert "Bell" in [piece.name for piece in sound_plan().job.pieces]
    assert "Bell" not in [name for pane in glass_sizes(sound_plan()) for name in pane.pieces]


def test_sizes_go_down_to_the_ruler_and_those_of_one_size_come_together():
    made = plan()
    holly = made.job.pieces[0]
    odd = replace(holly, name="Ford map", inside=holly.inside._replace(width=holly.inside.width + 7), row=3, quantity=1)
    both = replace(made, job=replace(made.job, pieces=(holly, odd, *made.job.pieces[2:])))
    assert glass_sizes(both)[0] == Pane(size("11", "14"), 3, ("Sea holly", "Ford map"), None)


def test_an_inside_size_that_the_clearance_leaves_nothing_of_has_no_glass():
    tiny = piece("Token", 4, Size(2032, inches("5")), None)
    made = plan(job=job(pieces=(*job().pieces[:2], tiny, job().pieces[3])))
    assert "Token" not in [name for pane in glass_sizes(made) for name in pane.pieces]
