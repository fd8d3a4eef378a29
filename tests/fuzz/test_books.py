"""The books that the fuzzing keeps: on plans worked out by hand they balance, and what is tampered with is found."""

from collections.abc import Mapping, Sequence
from copy import deepcopy
from typing import Any

import pytest

from tests.fuzz.books import Cutting, booking_faults, to_be_cut

# A sheet of 20 x 10: blank M1 of 12 x 10 with a window of 8 x 6, a cut of 1, an offcut of 7 x 10 that is kept.
# The fallout, 6 x 4 once squared by 1, is cut too: blank M2 of 4 x 4, a cut of 1, an offcut of 1 x 4, scrap.
# 200 = 70 on the shelf + (120 - 48) + 16 in mats + 10 + 4 cut away + 48 - 24 squared + 4 scrap.
PLAN = {
    "bench": {"squaring": 1},
    "shelf_file_labels": ["R1"],
    "purchase": {"lines": [{"offer_row": 1, "board": "Sage", "sheet": [20, 10], "count": 2}]},
    "sheets": [
        {
            "id": "S1",
            "board": "sage",
            "source": {"kind": "bought", "offer_row": 1},
            "size": [20, 10],
            "cuts": {
                "size": [20, 10],
                "cut": "upright",
                "parts": [{"size": [12, 10], "mat": "M1"}, {"size": [7, 10], "offcut": True}],
            },
        },
        {
            "id": "S2",
            "board": "sage",
            "source": {"kind": "fallout", "mat": "M1", "window": 0},
            "size": [8, 6],
            "cuts": {
                "size": [6, 4],
                "cut": "upright",
                "parts": [{"size": [4, 4], "mat": "M2"}, {"size": [1, 4], "offcut": True}],
            },
        },
    ],
    "mats": [
        {"id": "M1", "board": "sage", "blank": [12, 10], "windows": [{"size": [8, 6]}], "sheet": "S1"},
        {"id": "M2", "board": "sage", "blank": [4, 4], "windows": [], "sheet": "S2"},
    ],
    "leftover": [
        {"sheet": "S1", "size": [7, 10], "keep": True},
        {"sheet": "S2", "size": [1, 4], "keep": False},
    ],
}
BOUGHT = (None, [20, 10], -1)
OFFCUT = ("R2", [10, 7], 1)
SPARE_SHEET = ("R3", [20, 10], 1)
NO_LABELS: Mapping[str, str] = {}
WHOLE = ["S1", "S2", "M1", "M2", "spare sheets"]


def _faults(
    plan: dict[str, Any],
    booked: Sequence[str],
    *moves: tuple[str | None, list[int], int],
    labels: Mapping[str, str] = NO_LABELS,
) -> list[str]:
    told = [{"label": label, "board": "SAGE", "size": size, "count": count} for label, size, count in moves]
    return list(booking_faults(plan, [Cutting.of([{"booked": booked, "moves": told}], {})], labels))


def test_a_plan_booked_whole_or_in_part_balances() -> None:
    assert _faults(PLAN, WHOLE, BOUGHT, OFFCUT, SPARE_SHEET) == []
    assert _faults(PLAN, ["S1"], BOUGHT, OFFCUT) == []  # M1 lies on the bench without its window: 200 = 70 + 120 + 10
    assert _faults(PLAN, ["S1", "M1"], BOUGHT, OFFCUT) == []  # 200 = 70 + 72 + 10 + 48 on the bench


@pytest.mark.parametrize(
    ("moves", "said"),
    [
        ((OFFCUT,), "-200 square ticks are left"),  # what was cut came from nowhere
        ((BOUGHT, BOUGHT, OFFCUT), "200 square ticks are left"),
        ((BOUGHT,), "70 square ticks are left"),  # the offcut is lost
        ((BOUGHT, OFFCUT, OFFCUT), "-70 square ticks are left"),
        ((BOUGHT, ("R2", [10, 6], 1)), "10 square ticks are left"),
    ],
)
def test_what_is_taken_or_put_wrongly_is_found(moves: tuple[tuple[str | None, list[int], int], ...], said: str) -> None:
    faults = _faults(PLAN, ["S1", "M1"], *moves)
    assert len(faults) > 1, "the pieces are told beside the area"
    assert said in faults[-1]


def test_a_label_that_the_plan_does_not_name_is_found() -> None:
    plan = deepcopy(PLAN)
    plan["sheets"][0]["source"] = {"kind": "shelf", "label": "R1"}
    assert _faults(plan, ["S1"], ("r1", [20, 10], -1), OFFCUT) == []
    assert _faults(plan, ["S1"], ("R7", [20, 10], -1), OFFCUT) == ["took off ['R7'], where the plan names ['R1']"]


def test_a_spoiled_mat_may_give_strips_and_no_more_than_it_had() -> None:
    # M1 is spoiled before M2 was cut from its fallout, so S2 and M2 are lost: 200 = 70 + 10 + at most 120 of the blank.
    booked = ["S1", "M1", "S2", "M2", "M1 again for M1", "S2 again for M1", "M2 again for M1"]
    strip, most = ("R4", [2, 10], 1), ("R5", [10, 10], 1)
    assert _faults(PLAN, booked, BOUGHT, OFFCUT, strip, most) == []
    assert _faults(PLAN, booked, BOUGHT, OFFCUT, strip, most, ("R6", [1, 1], 1)) == [
        "the books do not balance: -1 square ticks are left, of at most 120 in spoiled mats"
    ]


def test_a_mat_brings_its_sheet_and_what_that_fell_out_of() -> None:
    assert to_be_cut(PLAN, [], []) == frozenset(WHOLE)
    assert to_be_cut(PLAN, ["S1"], []) == {"S1", "M1"}
    assert to_be_cut(PLAN, [], ["M2"]) == {"M2", "S2", "M1", "S1"}
