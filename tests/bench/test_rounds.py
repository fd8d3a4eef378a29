"""What a person works through: rounds of alike sheets, and names for what is left."""

from dataclasses import replace

from nesting.bench.rounds import Batch, leftover_labels, leftover_names, lefts, rounds
from nesting.geometry import Point, Size
from nesting.model.cut_tree import Cut, Offcut, Placed, Way
from nesting.model.plan import CutSheet, FalloutLeft, FromFallout, FromShelf
from tests.sound import LEFTOVER, MATS, S1, S2, S3, S4, S5, sound_plan


def test_a_fallout_waits_for_the_round_after_its_window():
    first, second = rounds(sound_plan())
    assert (first.number, second.number) == (0, 1)
    assert first.batches == (Batch((S1,)), Batch((S2,)), Batch((S3,)), Batch((S4,)))
    assert [placed.mat.id for placed in first.mats] == ["M1", "M2", "M4", "M5", "M6"]
    assert second.batches == (Batch((S5,)),)
    assert [placed.mat.id for placed in second.mats] == ["M3"]


def alike(name, item, *, source=None, turned=False, at=(0, 0)):
    """A sheet of 67 x 59 with one blank of 67 x 47, or turned 59 x 67 with it on its left."""
    size = Size(59, 67) if turned else Size(67, 59)
    blank, rest = (Size(47, 67), Size(10, 67)) if turned else (Size(67, 47), Size(67, 10))
    far = Point(at[0] + 49, at[1]) if turned else Point(at[0], at[1] + 49)
    way = Way.UPRIGHT if turned else Way.LEVEL
    root = Cut(Point(*at), size, way, (Placed(Point(*at), blank, item), Offcut(far, rest)))
    return CutSheet(name, "oat", source or FromShelf("ledge"), size, root)


def batches(*sheets):
    mats = tuple(replace(placed, sheet="S1") for placed in MATS)
    return [batch.ids for each in rounds(sound_plan_with(sheets, mats)) for batch in each.batches]


def sound_plan_with(sheets, mats):
    return replace(sound_plan(), sheets=sheets, mats=mats)


def test_alike_sheets_come_together_and_those_of_a_board_too():
    ivory = replace(alike("S2", 4), board="ivory")
    assert batches(alike("S1", 4), ivory, alike("S3", 4)) == ["S1, S3", "S2"]
    assert batches(alike("S1", 4), ivory, alike("S3", 4, turned=True)) == ["S1", "S3", "S2"]


def test_sheets_whose_blanks_have_other_windows_are_not_alike():
    assert MATS[4].mat.blank == MATS[5].mat.blank
    assert batches(alike("S1", 4), alike("S2", 5)) == ["S1", "S2"]


def test_a_fallout_is_not_cut_with_pieces_of_its_size_that_are_there_from_the_start():
    assert batches(alike("S1", 4), alike("S2", 4, source=FromFallout("M1", 0))) == ["S1", "S2"]


def test_what_is_left_is_named_by_its_sheet_or_its_mat():
    plan = sound_plan()
    assert dict(zip(leftover_names(plan), LEFTOVER, strict=True)) == {
        "S1 offcut 1": LEFTOVER[0],
        "S1 offcut 2": LEFTOVER[1],
        "S1 offcut 3": LEFTOVER[2],
        "S2 offcut 1": LEFTOVER[3],
        "S2 offcut 2": LEFTOVER[4],
        "S3 offcut 1": LEFTOVER[5],
        "S3 offcut 2": LEFTOVER[6],
        "S4 offcut 1": LEFTOVER[7],
        "S4 offcut 2": LEFTOVER[8],
        "S5 offcut 1": LEFTOVER[9],
        "M2 fallout": LEFTOVER[10],
        "M4 fallout": LEFTOVER[11],
        "M5 fallout": LEFTOVER[12],
    }


def test_what_is_written_on_a_leftover_bears_the_mark_of_its_plan():
    assert leftover_labels(replace(sound_plan(), identity="3fa9c1"))[::10] == (
        "S1 offcut 1, plan 3fa9c1",
        "M2 fallout, plan 3fa9c1",
    )
    assert next(lefts(replace(sound_plan(), identity="3fa9c1")))[0] == "S1 offcut 1, plan 3fa9c1"


def test_the_fallouts_of_a_mat_with_several_windows_are_told_apart():
    mat = MATS[0].mat
    several = replace(MATS[0], mat=replace(mat, windows=(mat.windows[0], mat.windows[0])))
    left = (FalloutLeft("M1", 1, Size(71, 37), keep=True),)
    assert leftover_names(replace(sound_plan(), mats=(several, *MATS[1:]), leftover=left)) == ("M1 fallout 2",)
