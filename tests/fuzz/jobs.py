"""Random jobs: sound ones of every kind, and the same spoilt in a way or several."""

import csv
import io
import random
from collections.abc import Iterator
from pathlib import Path

import openpyxl

from nesting.reading.columns import BENCH, TABLES, Column, Kind
from tests.fuzz.texts import nasty_text

__all__ = ["Tables", "as_tables", "fall_short", "sound_job", "spoil", "write_folder", "write_job"]

Rows = list[list[str]]
Tables = dict[str, Rows]

_BOARDS = ("fog", "sage", "ivory", "rust", "ink")
_EIGHTHS = ("", " 1/8", " 1/4", " 3/8", " 1/2", " 5/8", " 3/4", " 7/8")


def _some(rng: random.Random, share: float, text: object) -> str:
    return str(text) if rng.random() < share else ""


def _boards(rng: random.Random) -> str:
    return " or ".join(rng.sample(_BOARDS, rng.choice((1, 1, 1, 2, 3))))


def _piece(rng: random.Random, number: int, size: int) -> dict[str, object]:
    """Describe a piece whose picture leaves borders wide enough for an under-mat and a bottom extra."""
    width, height = rng.randint(4, size), rng.randint(5, size + 4)
    row: dict[str, object] = {
        "piece": f"piece {number}",
        "quantity": _some(rng, 0.25, rng.choice((1, 2, 3, 5))),
        "group": _some(rng, 0.3, rng.choice(("stairs", "hall"))),
        "inside width": f"{width}{rng.choice(_EIGHTHS)}",
        "inside height": f"{height}{rng.choice(_EIGHTHS)}",
        "boards": _boards(rng),
        "backing": _some(rng, 0.1, "kraft"),
        "when": _some(rng, 0.1, rng.choice(("now", "later"))),
        "priority": _some(rng, 0.1, rng.randint(1, 9)),
        "frame cost": _some(rng, 0.5, f"{rng.randint(0, 40)}.{rng.randint(10, 99)}"),
        "quote": _some(rng, 0.5, rng.randint(5, 60)),
        "moulding width": _some(rng, 0.2, "1 1/4"),
        "allowance": _some(rng, 0.1, rng.choice(("0", "1/16", "3/16"))),
    }
    if rng.random() < 0.8:
        across, down = rng.choice(((1, 1), (1, 1), (1, 1), (1, 1), (2, 1), (1, 2), (2, 2)))
        if min(width, height) < 10:
            across = down = 1
        share = rng.choice((0.35, 0.5, 0.6))
        wide, high = (max(1, int((side - 1) * share / count)) for side, count in ((width, across), (height, down)))
        which = rng.choice(("picture", "picture", "show"))
        row |= {f"{which} width": f"{wide}{rng.choice(_EIGHTHS)}", f"{which} height": f"{high}{rng.choice(_EIGHTHS)}"}
        row |= {"across": across, "down": down, "gap": _some(rng, 0.5, "3/4")}
        row |= {"bottom extra": _some(rng, 0.2, "1/4"), "overlap": _some(rng, 0.2, rng.choice(("1/8", "0", "-1/8")))}
        if rng.random() < 0.2:
            row |= {
                "under boards": _boards(rng),
                "reveal": _some(rng, 0.5, "3/16"),
                "under inset": _some(rng, 0.2, "1/8"),
            }
    return row


def _offers(rng: random.Random) -> Iterator[dict[str, object]]:
    yield {
        "shop": "barn",
        "board": "any",
        "sheet width": 32,
        "sheet height": 40,
        "price": "8.99",
        "discount": _some(rng, 0.5, rng.choice(("50%", 40, "12.5"))),
    }
    yield {
        "shop": "quay",
        "board": "kraft",
        "sheet width": 32,
        "sheet height": 40,
        "price": "3.10",
        "pack of": _some(rng, 0.3, 5),
    }
    if rng.random() < 0.5:
        yield {
            "shop": "quay",
            "board": "any",
            "sheet width": 40,
            "sheet height": 60,
            "price": "19.50",
            "at least": _some(rng, 0.3, 2),
        }
    if rng.random() < 0.4:
        yield {
            "shop": "quay",
            "board": "any",
            "sheet width": 16,
            "sheet height": 20,
            "price": "2.60",
            "at most": rng.randint(1, 6),
        }
    if rng.random() < 0.4:
        yield {
            "shop": "mill",
            "board": rng.choice(_BOARDS),
            "sheet width": 32,
            "sheet height": 40,
            "price": "4.75",
            "pack of": rng.choice((3, 10)),
        }


def _bench(rng: random.Random) -> Iterator[dict[str, object]]:
    for name, values in (
        ("trim", ("1/8", "0")),
        ("kerf", ("1/16", "3 mm")),
        ("squaring", ("1/4", "0")),
        ("longest cut", ("40", "60")),
        ("use fallout", ("no", "yes")),
        ("room for sheets", ("0", "3")),
        ("keep at least", ("3 x 5 in",)),
        ("cutter cost", ("89.50",)),
        ("guide reach", ("4",)),
        ("overcut", ("1/16",)),
    ):
        if rng.random() < 0.2:
            yield {"name": name, "value": rng.choice(values)}


def _table(described: list[dict[str, object]]) -> Rows:
    headings = list(dict.fromkeys(heading for row in described for heading in row))
    return [headings, *([str(row.get(heading, "")) for heading in headings] for row in described)]


def as_tables(described: dict[str, list[dict[str, object]]]) -> Tables:
    """Return rows described by their headings as tables, without those that have no rows."""
    return {name: _table(rows) for name, rows in described.items() if rows}


def sound_job(rng: random.Random, pieces: int, largest: int = 20) -> Tables:
    """Return the tables of a job that has a plan, unless its limits or cuts forbid it.

    Parameters
    ----------
    rng : random.Random
        Where chance comes from.
    pieces : int
        Rows of the table of pieces.
    largest : int
        Inches of the largest frame.
    """
    described: dict[str, list[dict[str, object]]] = {
        "pieces": [_piece(rng, number, largest) for number in range(1, pieces + 1)],
        "offers": list(_offers(rng)),
        "bench": list(_bench(rng)),
    }
    if rng.random() < 0.5:
        described["shops"] = [
            {
                "shop": "barn",
                "delivery": _some(rng, 0.5, "6.00"),
                "free over": _some(rng, 0.5, 40),
                "tax": _some(rng, 0.5, "8.25"),
            },
            {"shop": "quay", "tax": 6},
        ]
    if rng.random() < 0.4:
        described["shelf"] = [
            {
                "label": f"left {number}",
                "board": rng.choice(_BOARDS),
                "width": rng.randint(5, 30),
                "height": rng.randint(7, 38),
                "quantity": _some(rng, 0.2, 3),
                "kind": _some(rng, 0.5, rng.choice(("sheet", "offcut", "fallout"))),
            }
            for number in range(1, rng.randint(2, 8))
        ]
    if rng.random() < 0.3:
        described["boards"] = [{"board": rng.choice(_BOARDS), "swatch": "#8fa58c", "turn": rng.choice(("yes", "no"))}]
    return as_tables(described)


def _any_cell(column: Column, rng: random.Random) -> str:
    match column.kind:
        case Kind.COUNT | Kind.WHOLE:
            return str(rng.choice((0, 1, 2, 40, 999_999, 1_000_000, "2.0", "2.5")))
        case Kind.MONEY | Kind.PERCENT:
            return rng.choice(("0", "12.50", "$7", "7,5", "100", "101", "999999999999"))
        case Kind.CHOICE:
            return rng.choice(column.choices)
        case _:
            return nasty_text(rng)


def _spoil_cell(tables: Tables, rng: random.Random) -> None:
    rows = tables[rng.choice(list(tables))]
    if len(rows) > 1:
        row = rng.choice(rows[1:])
        row[rng.randrange(len(row))] = nasty_text(rng)


def _spoil_heading(tables: Tables, rng: random.Random) -> None:
    headings = tables[rng.choice(list(tables))][0]
    place = rng.randrange(len(headings))
    headings[place] = rng.choice(
        (nasty_text(rng), rng.choice(headings), headings[place].upper(), headings[place] + "s")
    )


def _add_column(tables: Tables, rng: random.Random) -> None:
    name = rng.choice(list(tables))
    column = rng.choice(_columns(name))
    tables[name][0].append(column.heading)
    for row in tables[name][1:]:
        row.append(_some(rng, 0.5, _any_cell(column, rng)))


def _columns(name: str) -> tuple[Column, ...]:
    return next(table.columns for table in TABLES if table.name == name)


def _add_setting(tables: Tables, rng: random.Random) -> None:
    setting = rng.choice(BENCH)
    tables.setdefault("bench", [["name", "value"]]).append([setting.heading, _any_cell(setting, rng)])
    for row in tables["bench"][:-1]:
        row.extend([""] * (2 - len(row)))


def _drop_row(tables: Tables, rng: random.Random) -> None:
    rows = tables[rng.choice(list(tables))]
    del rows[rng.randrange(len(rows))]
    if not rows:
        rows.append([])


def _double_row(tables: Tables, rng: random.Random) -> None:
    rows = tables[rng.choice(list(tables))]
    rows.append(list(rng.choice(rows)))


def _drop_table(tables: Tables, rng: random.Random) -> None:
    if len(tables) > 1:
        del tables[rng.choice(list(tables))]


def _lengthen_row(tables: Tables, rng: random.Random) -> None:
    rng.choice(tables[rng.choice(list(tables))]).append(nasty_text(rng))


_WAYS = (
    _spoil_cell,
    _spoil_cell,
    _spoil_cell,
    _spoil_heading,
    _add_column,
    _add_setting,
    _add_setting,
    _drop_row,
    _double_row,
    _drop_table,
    _lengthen_row,
)


def spoil(tables: Tables, rng: random.Random) -> None:
    """Spoil a job in one to four ways."""
    for _ in range(rng.randint(1, 4)):
        way = rng.choice(_WAYS)
        if all(rows and rows[0] for rows in tables.values()):
            way(tables, rng)


def _bytes_of(rows: Rows, rng: random.Random) -> bytes:
    """Write a table as some program might, now and then with bytes that none would write."""
    file = io.StringIO(newline="")
    csv.writer(file, delimiter=rng.choice(",,,,,;\t"), lineterminator=rng.choice(("\n", "\n", "\r\n"))).writerows(rows)
    text = file.getvalue()
    data = text.encode(rng.choice(("utf-8", "utf-8", "utf-8", "utf-8-sig", "utf-16", "latin-1", "cp1252")), "replace")
    if data and rng.random() < 0.1:
        place = rng.randrange(len(data))
        data = data[:place] + rng.randbytes(rng.randrange(4)) + data[place + rng.randrange(3) :]
    return data


def write_folder(tables: Tables, folder: Path) -> Path:
    """Write a job as plain CSV files and return its folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, rows in tables.items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
    return folder


def write_job(tables: Tables, folder: Path, rng: random.Random) -> Path:
    """Write a job in one of the ways in which jobs come, and return its path."""
    folder.mkdir(parents=True, exist_ok=True)
    if rng.random() < 0.75:
        for name, rows in tables.items():
            (folder / f"{name}.csv").write_bytes(_bytes_of(rows, rng))
        return folder
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in tables.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append([_workbook_value(text, rng) for text in row])
    path = folder / "job.xlsx"
    book.save(path)
    if rng.random() < 0.1:
        data = bytearray(path.read_bytes())
        data[rng.randrange(len(data))] ^= 1 << rng.randrange(8)
        path.write_bytes(bytes(data[: rng.choice((len(data), len(data), rng.randrange(len(data))))]))
    return path


def _workbook_value(text: str, rng: random.Random) -> object:
    """Make a number of what looks like one, as a spreadsheet does; leave out what no workbook can hold."""
    plain = openpyxl.cell.cell.ILLEGAL_CHARACTERS_RE.sub("", text)[:32_000]
    if rng.random() < 0.7:
        for number in (int, float) if len(plain) < 16 else (float,):
            try:
                return number(plain)
            except ValueError:
                continue
    return plain


def fall_short(tables: Tables, rng: random.Random) -> None:
    """Let a job want more than there is, in one way or several: a board misspelt, a mat too large, too few sheets."""
    for way in rng.sample((_misspell, _enlarge, _limit, _unsell, _no_room), rng.choice((1, 1, 2))):
        way(tables, rng)


def _set(tables: Tables, table: str, row: int, heading: str, text: str) -> None:
    """Write into a cell of a row counted from 1 below the headings; a heading that is not there is added."""
    headings, *rows = tables[table]
    if heading not in headings:
        headings.append(heading)
        for its in rows:
            its.append("")
    rows[row - 1][headings.index(heading)] = text


def _any_row(tables: Tables, table: str, rng: random.Random) -> int:
    return rng.randint(1, len(tables[table]) - 1)


def _misspell(tables: Tables, rng: random.Random) -> None:
    heading = rng.choice(("boards", "boards", "backing"))
    _set(
        tables,
        "pieces",
        _any_row(tables, "pieces", rng),
        heading,
        rng.choice(("sagee", "ivroy", "krafft", "rust or sgae")),
    )


def _enlarge(tables: Tables, rng: random.Random) -> None:
    _set(tables, "pieces", _any_row(tables, "pieces", rng), "inside height", str(rng.randint(38, 62)))


def _limit(tables: Tables, rng: random.Random) -> None:
    """Limit every offer, so that boards may run out."""
    for row in range(1, len(tables["offers"])):
        most = rng.randint(1, 3)
        _set(tables, "offers", row, "at most", str(most))
        for heading in ("pack of", "at least"):
            _set(tables, "offers", row, heading, "")


def _unsell(tables: Tables, rng: random.Random) -> None:
    """Let each offer be for one board in place of any."""
    for row in range(1, len(tables["offers"])):
        _set(tables, "offers", row, "board", rng.choice(_BOARDS))


def _no_room(tables: Tables, rng: random.Random) -> None:
    tables.setdefault("bench", [["name", "value"]]).append(["room for sheets", "0"])
    _set(tables, "offers", _any_row(tables, "offers", rng), "pack of", "3")
