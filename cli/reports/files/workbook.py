"""The plan as a workbook: what to buy, the cuts, the mats, the costs and what is left over, a sheet each."""

import datetime as dt
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import BinaryIO, assert_never

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from nesting.bench.bevels import mat_work
from nesting.bench.cut_order import cutting_list
from nesting.bench.cutting_list import Fate, Part
from nesting.bench.rounds import lefts, rounds
from nesting.model.job import Bench
from nesting.model.plan import PlacedMat, Plan
from nesting.names import UNIT_WORDS, Names, length_words, ruler_size_words, size_words
from nesting.signs import printable

__all__ = ["write_workbook"]

_Cell = str | int | Decimal
_Table = tuple[str, tuple[str, ...], list[tuple[_Cell, ...]]]
# This many columns are shown; the others are folded behind them, one click away.
_SHOWN = 10
# The same plan gives the same file on any day.
_DAY = dt.datetime(2000, 1, 1)  # noqa: DTZ001 - a workbook has no time zone
_LONGEST, _WIDEST = 32767, 60


def write_workbook(plan: Plan, file: BinaryIO) -> None:
    """Write the plan as a workbook.

    Lengths are text, so that no spreadsheet takes a fraction for a date; money is a number that can be added up.
    Nothing that a user wrote is ever a formula or a link.

    Parameters
    ----------
    plan : Plan
        The plan.
    file : BinaryIO
        Open for writing.
    """
    book = xlsxwriter.Workbook(
        file,
        {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
        },
    )
    book.set_properties({"title": "What to buy, cut and fit", "created": _DAY})
    text = book.add_format({"num_format": "@", "valign": "top", "text_wrap": True})
    heading = book.add_format({"num_format": "@", "bold": True, "bottom": 5, "text_wrap": True})
    money = book.add_format({"num_format": "#,##0.00", "valign": "top"})
    for name, headings, rows in _tables(plan):
        _write(book.add_worksheet(name), (heading, text, money), headings, rows)
    book.close()


def _write(
    sheet: Worksheet, formats: tuple[Format, Format, Format], headings: Sequence[str], rows: Sequence[tuple[_Cell, ...]]
) -> None:
    heading, text, money = formats
    for place, words in enumerate(headings):
        wide = max([len(words), *(len(str(row[place])) for row in rows)])
        folded = {"level": 1, "hidden": True} if place >= _SHOWN else {}
        sheet.set_column(place, place, min(wide + 3, _WIDEST), None, folded)
        sheet.write_string(0, place, words, heading)
    if len(headings) > _SHOWN:
        sheet.set_column(len(headings), len(headings), None, None, {"collapsed": True})
    for number, row in enumerate(rows, start=1):
        for place, cell in enumerate(row):
            match cell:
                case "":
                    sheet.write_blank(number, place, None, text)
                case str():
                    sheet.write_string(number, place, printable(cell)[:_LONGEST], text)
                case Decimal():
                    sheet.write_number(number, place, cell, money)
                case int():
                    sheet.write_number(number, place, cell)
                case _ as never:
                    assert_never(never)
    sheet.freeze_panes(1, 0)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)


def _tables(plan: Plan) -> Iterator[_Table]:
    bench = plan.job.bench
    unit, currency = UNIT_WORDS[bench.unit], bench.currency
    size = f"size, {unit}"
    yield (
        "sheets to buy",
        ("shop", "sheets", "board", size, f"each, {currency}", f"amount, {currency}"),
        list(_purchase(plan)),
    )
    yield (
        "cut list",
        ("sheets", "cut", "part", "way", "set to", "from the edge", "comes off", "stays", "for"),
        list(_cuts(plan)),
    )
    sides = ("left", "right", "top", "bottom")
    yield (
        "mats",
        (
            "mat",
            "piece",
            "board",
            f"blank, {unit}",
            *(f"{side}, from the back" for side in sides),
            "windows",
            "sheet",
            "fallout",
            "group",
            "copy",
            "layer",
            "turned",
        ),
        [_mat(plan, placed) for placed in plan.mats],
    )
    yield (
        "costs",
        (
            "piece",
            "copy",
            "group",
            "board",
            *(f"{what}, {currency}" for what in ("boards", "frame", "other", "total", "quote", "saved")),
            f"boards less what is kept, {currency}",
        ),
        list(_costs(plan)),
    )
    yield "leftovers", ("write on it", "board", size, "keep"), list(_leftovers(plan))


def _money(cents: int) -> Decimal:
    return Decimal(cents).scaleb(-2)


def _purchase(plan: Plan) -> Iterator[tuple[_Cell, ...]]:
    purchase = plan.purchase
    for line in purchase.lines:
        size = size_words(line.sheet, plan.job.bench)
        yield line.shop, line.count, line.board, size, _money(line.unit_price), _money(line.amount)
    for what, extra in (("delivery", purchase.delivery), ("tax", purchase.tax)):
        for shop, cents in extra.items():
            if cents:
                yield shop, "", what, "", "", _money(cents)
    yield "all", "", "total", "", "", _money(purchase.total)


def _cuts(plan: Plan) -> Iterator[tuple[_Cell, ...]]:
    bench = plan.job.bench
    for this in rounds(plan):
        for batch in this.batches:
            for number, cut in enumerate(cutting_list(plan, batch), start=1):
                stays = "" if cut.rest is None else _part(cut.rest, bench)
                yield (
                    batch.ids,
                    number,
                    _part(cut.part, bench),
                    f"{cut.purpose} {cut.way}",
                    cut.words,
                    cut.edge,
                    _part(cut.off, bench),
                    stays,
                    "; ".join(part.called for part in (cut.off, cut.rest) if part is not None and part.called),
                )


def _part(part: Part, bench: Bench) -> str:
    fate = "" if part.fate is Fate.SCRAP and part.name == Fate.SCRAP else f", {part.fate}"
    return f"{part.name}, {size_words(part.size, bench)}{fate}"


def _mat(plan: Plan, placed: PlacedMat) -> tuple[_Cell, ...]:
    bench, work = plan.job.bench, mat_work(plan, placed)
    borders = ("", "", "", "")
    if work.borders is not None:
        sides = work.borders.left, work.borders.right, work.borders.top, work.borders.bottom
        left, right, top, bottom = (length_words(side, bench) for side in sides)
        borders = left, right, top, bottom
    windows = "; ".join(size_words(window.size, bench) for window in work.windows)
    fallout = "; ".join(window.fallout for window in work.windows)
    mat, blank = placed.mat, size_words(placed.mat.blank, bench)
    group = next(piece.group for piece in plan.job.pieces if piece.name == mat.piece) or ""
    layer = Names(plan.job).behind(mat).removeprefix(", ") or "mat"
    folded = fallout, group, mat.copy, layer, "turned" if placed.turned else ""
    return mat.id, work.name, placed.board, blank, *borders, windows, placed.sheet, *folded


def _costs(plan: Plan) -> Iterator[tuple[_Cell, ...]]:
    names = Names(plan.job, plan.mats)
    boards: dict[tuple[str, int], list[str]] = {}
    for placed in plan.mats:
        boards.setdefault((placed.mat.piece, placed.mat.copy), []).append(placed.board)
    for cost in plan.pieces:
        sums = (cost.board, cost.frame, cost.other, cost.total)
        asked = ("" if cents is None else _money(cents) for cents in (cost.quote, cost.saved))
        name, got = names.copy(cost.piece, cost.copy), " over ".join(boards[cost.piece, cost.copy])
        yield name, cost.copy, cost.group or "", got, *map(_money, sums), *asked, _money(cost.credited)


def _leftovers(plan: Plan) -> Iterator[tuple[_Cell, ...]]:
    for name, board, size, keep in lefts(plan):
        yield name, board, ruler_size_words(size, plan.job.bench), "keep" if keep else "scrap"
