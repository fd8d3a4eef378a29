"""Files that are no tables, no workbooks, not to be opened, or spoilt by the program that saved them."""

import datetime as dt
import io
import os
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import openpyxl
from openpyxl.workbook import Workbook

from tests.corpus.case import Case, sound

__all__ = ["file_cases"]

_PIECES = "piece,inside width,inside height,boards\n"


def _text(text: str, encoding: str = "utf-8", table: str = "pieces") -> dict[str, object]:
    return sound() | {table: text.encode(encoding)}


def _csv() -> Iterator[tuple[str, dict[str, object]]]:
    yield "latin-1", _text(f"{_PIECES}Frühling,11,17,sage\n", "latin-1")
    yield "code page 1252 with a fraction", _text(f"{_PIECES}moss,11,17,sage\nfern,5 ½,7,sage\n", "cp1252")
    yield "half of a UTF-16 file", sound() | {"pieces": _PIECES.encode("utf-16")[:-3]}
    yield "bytes of no text", sound() | {"pieces": b"piece\0boards\n"}
    yield "a workbook renamed to CSV", sound() | {"pieces": b"PK\x03\x04\0\0\0\0"}
    yield "UTF-8 with its mark, and a fault", _text(f"\ufeff{_PIECES}fern,x,17,sage\n")
    yield "UTF-16 with its mark, and a fault", _text(f"{_PIECES}fern,x,17,sage\n", "utf-16")
    yield "semicolons, and a fault", _text(_PIECES.replace(",", ";") + "fern;11,5x;17;sage\n")
    yield "tabs, and a fault", _text(_PIECES.replace(",", "\t") + "fern\t11\t1,500\tsage\n")
    yield "two separators", _text("piece;inside width;inside height;boards\nfern,11,17,sage\n")
    yield "a quotation mark left open", _text(f'{_PIECES}"fern,11,17,sage\nmoss,11,17,sage\n')
    yield "a quotation mark within quotes", _text(f'{_PIECES}"fern "red" one",11,17,sage\n')
    yield "a line break within quotes, and a fault below", _text(f'{_PIECES}"fern\nred",11,17,sage\nmoss,x,17,sage\n')
    yield "carriage returns alone, and a fault", _text(f"{_PIECES}fern,x,17,sage\n".replace("\n", "\r"))
    yield "a cell longer than a table's", _text(_PIECES + "x" * 200_000 + ",11,17,sage\n")
    yield "spaces that do not break, and a fault", _text(f"{_PIECES}fern,11\xa01/4,\xa017\xa0inch es,sage\n")
    yield "digits of another alphabet", _text(f"{_PIECES}fern,\u0661\u0661,\uff11\uff17,sage\n")
    yield "a formula as text", _text(f"{_PIECES}fern,=A1+1,17,sage\n")
    yield "error cells", _text(f"{_PIECES}fern,#DIV/0!,#REF!,sage\n")
    yield "fractions over zero", _text(f"{_PIECES}fern,11 1/0,0/0,sage\n")
    yield "no separators at all", _text("piece\nfern 11 17 sage\n")
    yield "a web page", _text("<!doctype html>\n<table><tr><td>piece</td></tr></table>\n")
    yield "JSON", _text('{"pieces": [{"piece": "fern"}]}\n')


def _folder_for(name: str) -> Callable[[Path], Path]:
    def build(folder: Path) -> Path:
        (folder / name).mkdir()
        return folder / name

    return build


def _file(name: str, data: bytes = b"hello") -> Callable[[Path], Path]:
    def build(folder: Path) -> Path:
        (folder / name).write_bytes(data)
        return folder / name

    return build


def _workbook(change: Callable[[Workbook], None]) -> Callable[[Path], Path]:
    """Write a sound job as a workbook, changed."""

    def build(folder: Path) -> Path:
        book = openpyxl.Workbook()
        book.remove(book.worksheets[0])
        for name, rows in sound().items():
            sheet = book.create_sheet(name)
            for row in rows:
                sheet.append(row)
        change(book)
        book.save(folder / "job.xlsx")
        return folder / "job.xlsx"

    return build


def _bytes_of_workbook(change: Callable[[bytes], bytes]) -> Callable[[Path], Path]:
    def build(folder: Path) -> Path:
        path = _workbook(lambda _book: None)(folder)
        path.write_bytes(change(path.read_bytes()))
        return path

    return build


def _repacked(data: bytes, name: str, replaced: Callable[[bytes], bytes]) -> bytes:
    """Replace a part of a workbook."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            held = old.read(part)
            new.writestr(part.filename, replaced(held) if part.filename == name else held)
    return made.getvalue()


def _bomb(folder: Path) -> Path:
    """Write a workbook of half a megabyte that unpacks to half a gigabyte."""
    path = _workbook(lambda _book: None)(folder)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as packed, packed.open("xl/media/wall.png", "w") as part:
        for _ in range(500):
            part.write(bytes(1_000_000))
    return path


def _long(folder: Path) -> Path:
    """Write a workbook whose words unpack to more than any tables do."""
    return _bytes_of_workbook(
        lambda data: _repacked(data, "xl/worksheets/sheet1.xml", lambda part: part + b" " * 16_000_000)
    )(folder)


def _set(sheet: str, cell: str, value: object) -> Callable[[Workbook], None]:
    def change(book: Workbook) -> None:
        book[sheet][cell] = value

    return change


def _merged(book: Workbook) -> None:
    book["pieces"].append(["moss", None, 17, None, None, "sage"])
    book["pieces"].merge_cells("B2:B3")


def _hidden(book: Workbook) -> None:
    book["pieces"].sheet_state = "hidden"
    book["pieces"]["B2"] = "x"


def _hidden_row(book: Workbook) -> None:
    book["pieces"].append(["moss", "x", 17, None, None, "sage"])
    book["pieces"].row_dimensions[3].hidden = True


def _renamed(book: Workbook) -> None:
    book["pieces"].title = "Sheet1"


def _two(book: Workbook) -> None:
    book.create_sheet("PIECES ")


def _percent(book: Workbook) -> None:
    book["offers"]["F1"], book["offers"]["F2"] = "discount", 1.5
    book["offers"]["F2"].number_format = "0%"


def _workbooks() -> Iterator[tuple[str, Callable[[Path], Path]]]:
    yield "a date for a length", _workbook(_set("pieces", "B2", dt.date(2026, 3, 8)))
    yield "a time for a length", _workbook(_set("pieces", "B2", dt.time(11, 15)))
    yield "a span of time for a price", _workbook(_set("offers", "E2", dt.timedelta(hours=7)))
    yield "a date for a name", _workbook(_set("pieces", "A2", dt.date(2026, 3, 8)))
    yield "an error cell", _workbook(_set("pieces", "B2", "#DIV/0!"))
    yield "a formula never computed", _workbook(_set("pieces", "B2", "=5+6"))
    yield "a heading never computed", _workbook(_set("pieces", "B1", "=A1"))
    yield "yes for a length", _workbook(_set("pieces", "B2", True))
    yield "a number near to none", _workbook(_set("pieces", "B2", 1e-300))
    yield "a number beyond all", _workbook(_set("pieces", "B2", 1e308))
    yield "a sheet's number for a board", _workbook(_set("pieces", "F2", 7))
    yield (
        "half a piece",
        _workbook(lambda book: (_set("pieces", "G1", "quantity")(book), _set("pieces", "G2", 2.5)(book))),
    )
    yield "merged cells", _workbook(_merged)
    yield "a hidden sheet", _workbook(_hidden)
    yield "a hidden row", _workbook(_hidden_row)
    yield "a sheet named Sheet1", _workbook(_renamed)
    yield "two sheets of a name", _workbook(_two)
    yield "more than all per cent", _workbook(_percent)
    yield "a cell far out", _workbook(_set("pieces", "XFD1048576", "x"))
    yield "half of a workbook", _bytes_of_workbook(lambda data: data[: len(data) // 2])
    yield "a workbook without its end", _bytes_of_workbook(lambda data: data[:-30])
    yield "a workbook that is empty", _bytes_of_workbook(lambda _data: b"")
    yield (
        "a workbook of nonsense",
        _bytes_of_workbook(
            lambda data: _repacked(data, "xl/worksheets/sheet1.xml", lambda _part: b"<worksheet><sheetData><row")
        ),
    )
    yield (
        "a workbook of entities",
        _bytes_of_workbook(
            lambda data: _repacked(data, "xl/workbook.xml", lambda part: _ENTITIES + part.partition(b"?>")[2])
        ),
    )
    yield "a zip of other things", _bytes_of_workbook(lambda _data: _zip())
    yield "a workbook that unpacks to half a gigabyte", _bomb
    yield "a workbook whose tables unpack to 16 MB", _long


_ENTITIES = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "&c;&c;"><!ENTITY c "x">]>'


def _zip() -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as packed:
        packed.writestr("hello.txt", "hello")
    return made.getvalue()


def _huge(folder: Path) -> Path:
    for name, rows in (("pieces", _PIECES), ("offers", "shop\n")):
        (folder / f"{name}.csv").write_text(rows)
    os.truncate(folder / "pieces.csv", 5_000_001)
    return folder


def _book_in_folder(folder: Path) -> Path:
    return _workbook(lambda _book: None)(folder).parent


def _pipe(folder: Path) -> Path:
    os.mkfifo(folder / "job.xlsx")
    return folder / "job.xlsx"


def _paths() -> Iterator[tuple[str, Callable[[Path], Path]]]:
    yield "nothing at the path", lambda folder: folder / "nowhere"
    yield "a folder named like a workbook", _folder_for("job.xlsx")
    yield "an empty folder", _folder_for("wall")
    yield "a folder that holds a workbook", _book_in_folder
    yield "an old workbook", _file("job.xls")
    yield "one CSV file alone", _file("pieces.csv")
    yield "a file of no kind", _file("job")
    yield "a text named like a workbook", _file("job.xlsx")
    yield "a pipe", _pipe
    yield "a table of five megabytes", _huge


def file_cases() -> Iterator[Case]:
    """Yield the cases of files and workbooks."""
    for name, tables in _csv():
        yield Case(name, tables)
    for group in (_workbooks, _paths):
        for name, build in group():
            yield Case(name, build=build)
