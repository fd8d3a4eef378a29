"""Tables for pandas: exact, in order, with the columns and dtypes that their descriptions promise."""

import re
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pandas as pd
import pytest

from nesting import frames
from nesting.geometry import ExactSize
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM
from nesting.model.job import Unit, When
from nesting.reading.job import read_job
from nesting.scenarios.compare import compare
from tests.handmade import bench, job, piece, plan, size

OF_JOB = [frames.pieces, frames.offers, frames.sizes]
OF_PLAN = [frames.mats, frames.sheets, frames.purchase, frames.costs, frames.costs_by_group, frames.leftovers]
DTYPES = {"string": "string", "money": "object", "Decimal": "object", "Int64": "Int64", "bool": "bool"}
PIECES = "piece,inside width,inside height,boards,when\nfern,29,37,sage,now\nmoss,31,41,sage,later\n"
OFFERS = "shop,board,sheet width,sheet height,price,at most\nnook,sage,31,41,12.71,\n"


@pytest.fixture
def compared(folder):
    return compare(read_job(folder(pieces=PIECES, offers=OFFERS)), [Decimal(0), Decimal(50)], seconds=1)


def promised(table, length):
    """Read the columns of a table and their dtypes from its description."""
    found = {}
    for names, kind in re.findall(r"(``\w+``(?:, ``\w+``)*) \((\w+)\)", table.__doc__):
        for name in re.findall(r"\w+", names):
            found[name] = (DTYPES | {"length": length})[kind]
    return found


def held(frame):
    return {name: str(dtype) for name, dtype in frame.dtypes.items()}


@pytest.mark.parametrize("table", [*OF_JOB, *OF_PLAN], ids=lambda table: table.__name__)
def test_columns_and_dtypes_are_those_of_the_description(table):
    of = job() if table in OF_JOB else plan()
    frame = table(of)
    assert len(frame) > 0
    assert held(frame) == promised(table, "string")
    assert frame.attrs == {"unit": "in", "currency": "$"}
    if table not in {frames.costs, frames.costs_by_group}:
        assert held(table(of, ticks=True)) == promised(table, "Int64")
        assert table(of, ticks=True).attrs["unit"] == "ticks"


@pytest.mark.parametrize("table", [table for table in OF_PLAN if table is not frames.purchase])
def test_a_table_without_rows_has_the_same_columns_and_dtypes(table):
    bare = plan(mats=(), sheets=(), leftover=(), pieces=())
    assert len(table(bare)) == 0
    assert held(table(bare)) == held(table(plan()))


def test_a_piece_with_all_that_may_be_missing_and_one_without():
    full = piece(
        "Teasel",
        2,
        size("11", "17"),
        size("5", "7"),
        quantity=3,
        group="hall",
        picture=ExactSize(*map(Fraction, size("5 1/2", "7 1/2"))),
        boards=("sage", "ivory"),
        under_boards=("moss",),
        priority=2,
        other_cost=35,
        quote=1850,
        when=When.LATER,
    )
    frame = frames.pieces(job(pieces=(full, piece("Plain", 3, size("2 7/8", "3"), None))))
    assert frame.loc[0].tolist()[:10] == ["Teasel", 3, "hall", "11", "17", "5 1/2", "7 1/2", "5", "7", "sage or ivory"]
    assert frame.loc[0, ["under_boards", "when", "priority", "other_cost", "quote"]].tolist() == [
        "moss",
        "later",
        2,
        Decimal("0.35"),
        Decimal("18.50"),
    ]
    missing = [name for name in frame.columns if pd.isna(frame.loc[1, name])]
    sizes = ["picture_width", "picture_height", "seen_width", "seen_height"]
    assert missing == ["group", *sizes, "under_boards", "backing", "priority", "quote"]
    assert frame.loc[1, "quote"] is None
    assert frame.loc[1, "group"] is pd.NA


def test_lengths_between_two_ticks_are_given_to_the_nearest():
    third = Fraction(2 * TICKS_PER_INCH, 3)  # 10837 1/3
    asked = job(pieces=(replace(piece("Third", 2, size("11", "17"), None), inside=ExactSize(third, third + 1)),))
    assert frames.pieces(asked, ticks=True).loc[0, ["inside_width", "inside_height"]].tolist() == [10837, 10838]


def test_lengths_are_written_for_the_ruler_of_the_job():
    frame = frames.offers(job(bench=bench(unit=Unit.MM, ruler=TICKS_PER_MM)))
    assert frame.loc[0, ["width", "height"]].tolist() == ["812.8", "1016"]
    assert frame.attrs["unit"] == "mm"


def test_offers_with_the_price_that_is_paid():
    frame = frames.offers(job())
    assert frame["board"].tolist() == ["any", "any"]
    assert frame["price"].tolist() == [Decimal("8.50"), Decimal("7.00")]
    assert frame["paid"].tolist() == [Decimal("4.25"), Decimal("7.00")]


def test_sizes_leave_later_pieces_out_unless_they_are_asked_for():
    asked = job(pieces=(*job().pieces, piece("Later", 6, size("5", "7"), size("2", "3"), when=When.LATER)))
    assert len(frames.sizes(asked, When.LATER)) == len(frames.sizes(asked)) + 1
    assert frames.sizes(asked).loc[0, ["boards", "left", "bottom", "windows"]].tolist() == ["slate", "2", "2", 1]


def test_mats_with_borders_windows_and_where_they_lie():
    frame = frames.mats(plan()).set_index("mat")
    ford = ["24", "20", "3 1/2", "3 1/2", "3", "4", 1, "17", "13"]
    assert frame.loc["M3"].tolist() == ["Ford map", 1, 0, "slate", *ford, "S1", True]
    blank = frame.loc["M5"]
    assert blank[["piece", "layer", "windows"]].tolist() == ["Token", 1, 0]
    assert blank[["left", "right", "top", "bottom", "window_width", "window_height"]].isna().all()
    ticks = frames.mats(plan(), ticks=True).set_index("mat").loc["M3"]
    assert ticks[["blank_width", "top", "bottom"]].tolist() == [length * TICKS_PER_INCH for length in (24, 3, 4)]


def test_sheets_say_where_they_come_from():
    frame = frames.sheets(plan())
    assert frame[["sheet", "source", "origin", "width", "height", "mats"]].to_numpy().tolist() == [
        ["S1", "bought", "North store", "32", "40", 4],
        ["S2", "shelf", "box lid", "7", "17", 1],
        ["S3", "fallout", "M3", "17", "13", 1],
    ]


def test_the_shopping_list_adds_up_to_what_is_paid():
    frame = frames.purchase(plan())
    assert frame["what"].tolist() == ["sheets", "delivery", "tax"]
    assert frame["amount"].sum() == Decimal("8.10") == Decimal(plan().purchase.total) / 100
    assert frame.loc[0, ["board", "width", "height", "count", "each"]].tolist() == [
        "slate",
        "32",
        "40",
        1,
        Decimal("4.25"),
    ]
    assert frame.loc[1, ["board", "width", "count", "each"]].isna().all()


def test_a_fee_that_is_not_paid_has_no_row():
    bought = plan().purchase
    free = plan(purchase=type(bought)(bought.lines, {"North store": 0}, {"North store": 0}, 425))
    assert frames.purchase(free)["what"].tolist() == ["sheets"]


def test_costs_of_each_copy():
    frame = frames.costs(plan())
    sums = ["1.41", "1.20", "4.50", "0.00", "5.91", "18.50", "17.09"]
    assert frame.loc[1].tolist()[:2] == ["Sea holly", 2]
    assert frame.loc[1].tolist()[3:] == [Decimal(text) for text in sums]
    assert frame.loc[2, ["quote", "saved"]].tolist() == [None, None]
    assert frame["board"].sum() == Decimal("8.10")


def test_costs_of_each_group():
    frame = frames.costs_by_group(plan())
    assert frame["group"].tolist() == [pd.NA, "lower landing"]
    assert frame.loc[0, ["pieces", "quoted"]].tolist() == [4, 2]
    assert frame.loc[0, ["board", "other", "quote", "saved"]].tolist() == [
        Decimal("3.69"),
        Decimal("0.35"),
        Decimal("37.00"),
        Decimal("34.18"),
    ]
    assert frame.loc[1, ["pieces", "quoted", "quote"]].tolist() == [1, 0, None]
    for name in ("board", "board_credited", "frame", "other", "total"):
        assert frame[name].sum() == frames.costs(plan())[name].sum()


def test_leftovers_as_they_are_once_squared():
    frame = frames.leftovers(plan())
    assert frame.loc[0].tolist() == ["S1 offcut 1", "offcut", "slate", "9 3/4", "14", True]
    assert frame.loc[1, ["name", "keep"]].tolist() == ["S1 offcut 2", False]
    assert frame.loc[7].tolist() == ["M1 fallout", "fallout", "slate", "6 3/4", "9 3/4", True]


def test_every_way_of_buying_has_a_row(compared):
    frame = frames.comparison(compared)
    assert held(frame) == promised(frames.comparison, "string")
    assert len(frame) == len(compared.figures)
    half = frame[(frame["discount"] == 50) & (frame["when"] == "now") & frame["fallout"]].iloc[0]
    assert half[["sheets", "paid", "lower_bound", "each"]].tolist() == [1, *[Decimal("6.36")] * 3]
    assert half["saved"] is None
    later = frame[(frame["discount"] == 0) & (frame["when"] == "later")].iloc[0]
    assert later[["sheets", "paid", "each"]].tolist() == [2, Decimal("25.42"), Decimal("12.71")]


def test_a_way_of_buying_that_has_no_plan_has_no_figures(folder):
    one = OFFERS.replace("12.71,", "12.71,1")
    frame = frames.comparison(compare(read_job(folder(pieces=PIECES, offers=one)), [Decimal(0)], seconds=1))
    later = frame[frame["when"] == "later"]
    assert len(later) > 0
    assert later[["sheets", "paid", "lower_bound", "each", "saved"]].isna().all(axis=None)
    assert frame[frame["when"] == "now"]["paid"].notna().all()
