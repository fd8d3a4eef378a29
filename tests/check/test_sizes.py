"""Mats listed amiss: what is said of them, and what is not said besides."""

from dataclasses import replace
from fractions import Fraction

import pytest

from nesting.check.sizes import size_faults
from nesting.geometry import Point, Size
from nesting.planned import Borders, Mat, PlacedMat, Window
from tests.builders import make_piece
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
    assert [line[:2] for line in size_faults(reed(**change))] == ["M1"]
