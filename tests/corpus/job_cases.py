"""Jobs whose tables, rows and names do not fit together, that are too large, or that nothing can be cut for."""

from collections.abc import Iterator

from tests.corpus.case import Case, Rows, sound, with_cell

__all__ = ["job_cases"]


def _piece(**cells: str) -> dict[str, Rows]:
    """Return a sound job whose piece has these cells, spaces of headings written as underscores."""
    tables = sound()
    headings, row = tables["pieces"]
    for heading, text in cells.items():
        plain = heading.replace("_", " ")
        if plain in headings:
            row[headings.index(plain)] = text
        else:
            headings.append(plain)
            row.append(text)
    return tables


def _offer(**cells: str) -> dict[str, Rows]:
    tables = sound()
    for heading, text in cells.items():
        tables["offers"][0].append(heading.replace("_", " "))
        tables["offers"][1].append(text)
    return tables


def _bench(*rows: tuple[str, str]) -> dict[str, Rows]:
    return sound() | {"bench": [["name", "value"], *(list(row) for row in rows)]}


def _many(name: str, count: int) -> dict[str, Rows]:
    """Return a job with so many rows in a table, each with a name of its own."""
    tables = sound(name)
    headings, row = tables[name]
    tables[name] = [headings, *([f"{row[0]} {number}", *row[1:]] for number in range(count))]
    return tables


def _tables() -> Iterator[tuple[str, dict[str, Rows | bytes | None]]]:
    yield "no tables at all", {}
    yield "no pieces", sound() | {"pieces": None}
    yield "pieces without rows", sound() | {"pieces": sound()["pieces"][:1]}
    yield "pieces of empty rows", sound() | {"pieces": [*sound()["pieces"][:1], ["", "", "", "", "", " "]]}
    yield "an empty file of pieces", sound() | {"pieces": b""}
    yield "neither offers nor shelf", sound() | {"offers": None}
    yield "offers and shelf without rows", sound() | {"offers": b"shop,board\n", "shelf": b"label,board\n"}
    yield "a table misnamed", sound() | {"offers": None, "ofers": sound()["offers"]}
    yield "bench without the heading value", sound() | {"bench": [["name"], ["colour"]]}
    yield "headings without a row", sound() | {"shelf": [["label", "breadth"]]}
    yield "a title above the headings", sound() | {"pieces": [["My wall"], [""], *sound()["pieces"]]}
    yield (
        "a title, and a fault below",
        sound() | {"offers": [["Prices"], *sound()["offers"], ["nook", "fog", "x", "7", "1"]]},
    )


def _headings() -> Iterator[tuple[str, dict[str, Rows | bytes | None]]]:
    yield "an unknown heading", with_cell("pieces", "colour", "red")
    yield "a heading misspelt", with_cell("pieces", "picture widht", "3")
    yield "a heading of another table", with_cell("offers", "quantity", "3")
    yield "a heading that steers a terminal", with_cell("pieces", "\x1b[2Jnotes", "x")
    yield "a heading twice", sound() | {"boards": [["board", "turn", "Turn"], ["sage", "yes", "no"]]}
    yield "a heading twice, once with spaces", sound() | {"boards": [["board", "swatch", "swa tch"], ["sage", "", ""]]}
    yield "needed headings missing", sound() | {"pieces": [["piece"], ["fern"]]}
    yield "a cell under no heading", sound() | {"boards": [["board"], ["sage", "stray"]]}
    yield "a cell under an empty heading", sound() | {"boards": [["board", "", "turn"], ["sage", "stray", "no"]]}
    yield "a comma without quotes", sound() | {"shops": b"shop,delivery\nnook,1,50,\nnook 2,3\n"}


def _rows() -> Iterator[tuple[str, dict[str, Rows | bytes | None]]]:
    yield "a piece twice", sound() | {"pieces": [*sound()["pieces"], ["FERN ", "5", "7", "", "", "sage"]]}
    yield "a shop twice", sound() | {"shops": [["shop"], ["nook"], ["Nook"]]}
    yield "a label twice", sound() | {"shelf": [*sound("shelf")["shelf"], ["r1", "sage", "3", "5"]]}
    yield "a board twice", sound() | {"boards": [["board"], ["sage"], ["S A G E"], ["sage"]]}
    yield "a setting twice", _bench(("trim", "1/8"), ("Trim", "1/4"))
    yield "an unknown setting", _bench(("colour", "red"))
    yield "a setting misspelt", _bench(("ovrcut", "1/16"))
    yield "a setting without a name", _bench(("", "1/16"))
    yield "only the picture's width", _piece(picture_height="")
    yield "only what shows of the height", _piece(picture_width="", picture_height="", show_height="5")
    yield "windows without a picture", _piece(picture_width="", picture_height="", across="2")
    yield "windows above each other without a picture", _piece(picture_width="", picture_height="", down="3")
    yield "an overlap as wide as the picture", _piece(picture_width="1/2", overlap="1/4")
    yield "at least more than at most", _offer(at_least="5", at_most="3")
    yield "a pack larger than at most", _offer(pack_of="5", at_most="3")
    yield "packs that meet no limits", _offer(pack_of="4", at_least="5", at_most="7")
    yield "a trim that eats the sheet", _bench(("trim", "20"))
    yield (
        "a shelf sheet that trim eats",
        sound("shelf")
        | {
            "shelf": [["label", "board", "width", "height", "kind"], ["R1", "sage", "1/4", "7", "sheet"]],
            "bench": [["name", "value"], ["trim", "1/8"]],
        },
    )
    yield "a shelf piece of any board", with_cell("shelf", "board", "any")
    yield "a row for any board", with_cell("boards", "board", "Any")
    yield "a ruler of thirds", _bench(("ruler", "1/3"))
    yield "a ruler of nothing", _bench(("ruler", "1/100000 mm"))
    yield (
        "many faults at once",
        sound()
        | {
            "pieces": [*sound()["pieces"][:1], ["", "x", "-3", "NaN", "1/0", "or"], ["moss", "", "", "", "", ""]],
            "offers": [*sound()["offers"][:1], ["", "", "", "", ""]],
        },
    )
    yield (
        "every row of thousands wrong",
        sound()
        | {"pieces": [*sound()["pieces"][:1], *([f"fern {row}", "11", "17", "", "", ""] for row in range(3000))]},
    )


def _sizes() -> Iterator[tuple[str, dict[str, Rows | bytes | None]]]:
    yield "a picture larger than the inside size", _piece(picture_width="13", overlap="1/4")
    yield "an allowance larger than the inside size", _piece(allowance="12")
    yield "bars that leave no windows", _piece(across="3", gap="0")
    yield "a reveal that meets the border", _piece(under_boards="sage", reveal="1 7/8", under_inset="1")
    yield "a bottom extra larger than the borders", _piece(bottom_extra="5")
    yield "metric beside inches", _piece(inside_width="110 mm", picture_width="7 in")
    yield "bare millimetres in a job in inches", _piece(inside_width="285", inside_height="400")
    yield "a ruler coarser than the mat", _bench(("ruler", "12"))
    yield "an under inset larger than the blank", _piece(under_boards="sage", under_inset="11")


def _too_large() -> Iterator[tuple[str, dict[str, Rows | bytes | None]]]:
    yield "a quantity of a million", _piece(quantity="999999")
    yield "six thousand rows of pieces", _many("pieces", 6000)
    yield "a million windows", _piece(across="1000", down="1000")
    yield "a thousand offers and one", _many("offers", 1001)
    yield "a shelf of a million", with_cell("shelf", "quantity", "999999")
    yield "more boards than any shop has", _many("boards", 300)


def _no_plan() -> Iterator[tuple[str, dict[str, Rows | bytes | None]]]:
    yield (
        "a mat larger than every sheet",
        _piece(inside_width="33", inside_height="43", picture_width="", picture_height=""),
    )
    yield "a board that no one sells", _piece(boards="ivory")
    yield "a backing that no one sells", _piece(backing="kraft")
    yield "an under-mat that no one sells", _piece(under_boards="ivory")
    yield "a cut longer than the cutter makes", _bench(("longest cut", "10"))
    yield "only a scrap on the shelf", sound("shelf") | {"offers": None}
    yield (
        "fewer sheets than it takes",
        _offer(at_most="1")
        | {"pieces": [*sound()["pieces"], *([f"moss {n}", "23", "31", "", "", "sage"] for n in range(3))]},
    )
    yield "all pieces later", _piece(when="later")
    yield (
        "a board not to be turned",
        sound()
        | {
            "pieces": [*sound()["pieces"][:1], ["fern", "37", "29", "", "", "sage"]],
            "boards": [["board", "turn"], ["sage", "no"]],
        },
    )


def job_cases() -> Iterator[Case]:
    """Yield the cases that tables alone can say."""
    for group in (_tables, _headings, _rows, _sizes, _too_large):
        for name, tables in group():
            yield Case(name, tables)
    for name, tables in _no_plan():
        yield Case(name, tables, arguments=("plan", "JOB", "--seconds", "20"))
