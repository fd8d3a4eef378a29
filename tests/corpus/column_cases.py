"""Every column of every table with every wrong type: which texts are wrong where, by what a column may hold."""

from collections.abc import Iterator

from nesting.reading.columns import BENCH, NOTES, TABLES, Column, Kind
from tests.corpus.case import Case, Rows, sound, with_cell

_NOT_A_LENGTH = ("eleven", "1e308", "NaN", "1/0", "1,234", "٣", "2026-03-08", "11 5/4", "11 nm", "TRUE", "999999")
_WRONG = {
    Kind.NAME: ("\x1b[31mred", "x" * 201),
    Kind.TEXT: ("\x9b2J", "\N{RIGHT-TO-LEFT OVERRIDE}egas"),
    Kind.BOARDS: ("or", "sage or", "any", "\x07"),
    Kind.COUNT: ("0", "-1", "2.5", "many", "1000000", "1e3", "½"),
    Kind.WHOLE: ("-1", "2.5", "none at all", "1000000"),
    Kind.SIDE: ("0", "-1", *_NOT_A_LENGTH),
    Kind.LENGTH: ("-1/8", *_NOT_A_LENGTH),
    Kind.SIGNED: ("wide", "1/0", "1e308", "1,234"),
    Kind.SIZE: ("4 x 6 x 8 in", "4 x", "big", "-1 x 4"),
    Kind.MONEY: ("-1", "1.505", "1,234", "free", "1e308", "NaN", "100000000"),
    Kind.PERCENT: ("101", "-5", "half", "NaN", "1e2"),
    Kind.CHOICE: ("perhaps", "\N{ZERO WIDTH JOINER}"),
    Kind.SWATCH: ("sage", "#12345", "#gggggg"),
}


def _case(name: str, tables: dict[str, Rows], column: Column, text: str, place: int) -> Case:
    return Case(f"{name}, {column.heading}, {place}: {text[:24]!a}", tables)


def column_cases() -> Iterator[Case]:
    """Yield a case for each column of each table, but notes, and each text that is wrong in it."""
    for table in TABLES:
        for column in table.columns:
            if column is NOTES or (table.name, column.heading) == ("bench", "value"):
                continue
            for place, text in enumerate(_WRONG[column.kind]):
                yield _case(table.name, with_cell(table.name, column.heading, text), column, text, place)
            if column.required:
                tables = with_cell(table.name, column.heading, "")
                tables[table.name] = [
                    [*row, note] for row, note in zip(tables[table.name], ("notes", "x"), strict=True)
                ]
                yield _case(table.name, tables, column, "", -1)
    for column in BENCH:
        for place, text in enumerate(_WRONG[column.kind]):
            tables = sound() | {"bench": [["name", "value"], [column.heading, text]]}
            yield _case("bench", tables, column, text, place)
