"""plan.xlsx: lengths stay text, money adds up, nothing that a user wrote is ever a formula."""

import io
from dataclasses import replace
from decimal import Decimal
from typing import Any

import openpyxl

from cli.reports.files.workbook import write_workbook
from nesting.model.plan import Plan
from tests.handmade import plan


def as_bytes(made: Plan) -> bytes:
    file = io.BytesIO()
    write_workbook(made, file)
    return file.getvalue()


def opened(made: Plan) -> dict[str, list[tuple[Any, ...]]]:
    book = openpyxl.load_workbook(io.BytesIO(as_bytes(made)))
    return {sheet.title: list(sheet.iter_rows(values_only=True)) for sheet in book}


def cents(value: float) -> Decimal:
    return Decimal(str(value))


def test_there_is_a_sheet_for_each_question() -> None:
    assert list(opened(plan())) == ["sheets to buy", "cut list", "mats", "costs", "leftovers"]


def test_what_is_bought_adds_up_to_what_is_paid() -> None:
    heads, *rows = opened(plan())["sheets to buy"]
    assert heads == ("shop", "sheets", "board", "size, inches", "each, $", "amount, $")
    assert rows[0] == ("North store", 1, "slate", "32 × 40", 4.25, 4.25)
    assert [row[2] for row in rows[1:]] == ["delivery", "tax", "total"]
    assert sum(cents(row[5]) for row in rows[:-1]) == cents(rows[-1][5]) == Decimal("8.1")


def test_costs_are_numbers_and_add_up_for_each_piece() -> None:
    _, *rows = opened(plan())["costs"]
    assert rows[0] == ("Sea holly, 1 of 2", 1, None, "slate", 1.41, 4.5, 0, 5.91, 18.5, 17.09, 1.2)
    assert rows[3][3] == "slate over grey card"
    for row in rows:
        assert sum(map(cents, row[4:7])) == cents(row[7])


def test_ten_columns_are_shown_and_the_others_folded_behind_them() -> None:
    book = openpyxl.load_workbook(io.BytesIO(as_bytes(plan())))
    for name, last in (("mats", "O"), ("costs", "K")):
        columns = book[name].column_dimensions
        folded = {letter: columns[letter] for letter in columns if columns[letter].outlineLevel == 1}
        assert set(folded) == set("KLMNO"[: ord(last) - ord("K") + 1])
        assert all(column.hidden for column in folded.values())
        assert not any(columns[letter].hidden for letter in columns if letter < "K")
    heads = [cell.value for cell in book["mats"][1]]
    assert heads[9:] == ["sheet", "fallout", "group", "copy", "layer", "turned"]
    assert [cell.value for cell in book["mats"][4]][9:] == ["S1", "S3: Token", "lower landing", 1, "mat", "turned"]


def test_every_length_is_text_and_is_shown_as_text() -> None:
    book = openpyxl.load_workbook(io.BytesIO(as_bytes(plan())))
    mats = book["mats"]
    assert [cell.value for cell in mats[4]][:8] == [
        "M3",
        "Ford map",
        "slate",
        "24 × 20",
        "3 1/2",
        "3 1/2",
        "3",
        "4",
    ]
    assert all(cell.data_type == "s" and cell.number_format == "@" for cell in mats[4][:10])
    assert all(cell.data_type == "s" for cell in book["cut list"]["E"])


def test_every_straight_cut_has_its_row() -> None:
    _, *rows = opened(plan())["cut list"]
    assert rows[0] == (
        "S1",
        1,
        "S1, 32 × 40, divide",
        "trim upright",
        "1/8",
        "left",
        "factory edge, 1/8 × 40, scrap",
        "S1, 31 7/8 × 40, divide",
        None,
    )
    assert [row[1] for row in rows if row[0] == "S2"] == [1]


def test_names_that_look_like_formulas_and_links_stay_words() -> None:
    made = plan()
    names = {"Sea holly": "=1+1", "Ford map": "https://example.org", "Token": "@SUM(A1)"}
    pieces = tuple(replace(each, name=names.get(each.name, each.name)) for each in made.job.pieces)
    mats = tuple(
        replace(placed, mat=replace(placed.mat, piece=names.get(placed.mat.piece, placed.mat.piece)))
        for placed in made.mats
    )
    costs = tuple(
        replace(cost, piece=names.get(cost.piece, cost.piece), group="=cmd|'/c'!A0\x01") for cost in made.pieces
    )
    data = as_bytes(replace(made, job=replace(made.job, pieces=pieces), mats=mats, pieces=costs))
    book = openpyxl.load_workbook(io.BytesIO(data))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert all(cell.data_type != "f" and cell.hyperlink is None for cell in cells)
    assert {"=1+1, 1 of 2", "https://example.org", "@SUM(A1)"} <= {cell.value for cell in cells}
    assert "=cmd|'/c'!A0\N{REPLACEMENT CHARACTER}" in {cell.value for cell in book["costs"]["C"]}


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert as_bytes(plan()) == as_bytes(plan())
    assert as_bytes(plan()) != as_bytes(plan(pieces=plan().pieces[1:]))


def test_leftovers_say_whether_they_are_kept() -> None:
    _, *rows = opened(plan())["leftovers"]
    assert rows[:2] == [
        ("S1 offcut 1", "slate", "9 3/4 × 14", "keep"),
        ("S1 offcut 2", "slate", "20 × 1 3/4", "scrap"),
    ]
