"""Mats listed amiss: what is said of them, and what is not said besides."""

from dataclasses import replace
from fractions import Fraction

import pytest

from nesting.check.sizes import size_faults
from nesting.geometry import Point, Size
from nesting.model.mat import Borders, Mat, Window
from nesting.model.plan import PlacedMat
from tests.builders import make_piece
from tests.planting import with_bench, with_mat
from tests.sound import sound_plan


def test_a_missing_mat_does_not_count_as_a_wrong_order_too():
    plan = sound_plan()
    assert list(size_faults(replace(plan, mats=plan.mats[:-1]))) == [
        "Moss copy 1 layer 2: listed 0 times instead of once"
    ]


# The mat, 212 x 97. Across, windows of 37 and bars of 5: 212 - 111 - 10 = 91, so borders of 46; 212 - 92 - 10 = 110
# gives windows of 36 and 2 over, which the right border takes. Down, windows of 25: 97 - 5 - 50 - 5 = 37, so 19 and
# below 24; 97 - 38 - 5 - 5 = 49 gives windows of 24 and 1 over, which the top border takes.
# The under-mat, 208 x 93. Across, windows of 31 and bars of 11: 208 - 93 - 22 = 93, so 47; 208 - 94 - 22 = 92 gives
# 30 and 2 over. Down, windows of 19: 93 - 5 - 38 - 11 = 39, so 20 and below 25; 93 - 40 - 5 - 11 = 37 gives 18 and 1.
REED = make_piece(
    "Reed",
    (212, 97),
    (31, 19),
    across=3,
    down=2,
    gap=Fraction(11),
    bottom_extra=Fraction(5),
    under_boards=("oat",),
    under_inset=Fraction(4),
)
MAT_BORDERS = Borders(left=46, right=48, top=20, bottom=24)
UNDER_BORDERS = Borders(left=47, right=49, top=21, bottom=25)
MAT_WINDOW = Size(36, 24)


def reed(*, mat_borders=MAT_BORDERS, bar=5, mat_window=MAT_WINDOW):
    """List the two mats of Reed by hand."""
    layers = (
        (("sage",), Size(212, 97), mat_borders, (46, 46 + 36 + bar, 46 + 2 * (36 + bar)), (53, 24), mat_window),
        (("oat",), Size(208, 93), UNDER_BORDERS, (47, 88, 129), (54, 25), Size(30, 18)),
    )
    mats = tuple(
        PlacedMat(
            Mat(
                f"M{layer + 1}",
                "Reed",
                1,
                layer,
                boards,
                blank,
                borders,
                tuple(Window(Point(x, y), size) for y in down for x in across),
            ),
            boards[0],
            "S1",
            turned=False,
        )
        for layer, (boards, blank, borders, across, down, size) in enumerate(layers)
    )
    return replace(sound_plan(), job=replace(sound_plan().job, pieces=(REED,)), mats=mats)


def test_several_windows_in_two_layers_are_where_they_are_worked_out_by_hand():
    assert list(size_faults(reed())) == []


@pytest.mark.parametrize("change", [{"bar": 11}, {"mat_window": Size(37, 24)}, {"mat_borders": UNDER_BORDERS}], ids=str)
def test_several_windows_a_little_elsewhere_are_named(change):
    (line,) = size_faults(reed(**change))
    assert line.startswith("M1")


def test_windows_that_should_be_are_listed_from_the_left():
    (line,) = size_faults(reed(bar=11))
    right = [(x, y, 36, 24) for x in (46, 87, 128) for y in (24, 53)]
    assert line.endswith(f"instead of {right}")


def test_blanks_and_borders_are_on_the_marks_of_the_ruler():
    # 104 x 74 less 3 is 101 x 71, so 100 x 70 by a ruler of 5. 100 - 31 = 69, so 34.5 and 35 on the mark, 30 left for
    # the window; 70 - 17 = 53, so 26.5 and 30 on the mark, 10 left.
    piece = make_piece("Rush", (104, 74), (31, 17), allowance=Fraction(3))
    plan = with_bench(replace(sound_plan(), job=replace(sound_plan().job, pieces=(piece,))), ruler=5)
    mat = replace(
        plan.mats[0].mat,
        piece="Rush",
        boards=("sage",),
        blank=Size(100, 70),
        borders=Borders(35, 35, 30, 30),
        windows=(Window(Point(35, 30), Size(30, 10)),),
    )
    assert list(size_faults(replace(plan, mats=(replace(plan.mats[0], mat=mat),)))) == []


def test_lines_say_what_is_and_what_should_be():
    plan = with_mat(sound_plan(), 0, boards=("sage", "oat"), board="oat", borders=Borders(14, 16, 18, 18))
    assert list(size_faults(plan)) == [
        f"M1: borders {Borders(14, 16, 18, 18)} instead of {Borders(15, 15, 18, 18)}",
        "M1: boards sage, oat instead of sage, ivory",
        "M1: cut from oat, which is not among sage, ivory",
        "Fern: copies take different boards in layer 0: oat, sage",
    ]
