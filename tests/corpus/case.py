"""A bad job of the corpus: the tables it is made of, or what writes it, and the command that is given it."""

import csv
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Case", "Rows", "sound", "with_cell"]

Rows = list[list[str]]
Tables = Mapping[str, Rows | bytes | None]

_SOUND: dict[str, Rows] = {
    "pieces": [
        ["piece", "inside width", "inside height", "picture width", "picture height", "boards"],
        ["fern", "11", "17", "7", "13", "sage"],
    ],
    "offers": [["shop", "board", "sheet width", "sheet height", "price"], ["nook", "sage", "31", "41", "7.40"]],
    "shops": [["shop"], ["nook"]],
    "shelf": [["label", "board", "width", "height"], ["R1", "sage", "5", "7"]],
    "boards": [["board"], ["sage"]],
    "bench": [["name", "value"], ["trim", "1/8"]],
}


@dataclass(frozen=True, slots=True)
class Case:
    """One bad job.

    Parameters
    ----------
    name : str
        What is wrong, once in the corpus; what must be said of it stands under this name in ``said.json``.
    tables : mapping
        The rows of each table, or the bytes of its file; None for a table left out.
    build : callable or None
        Writes into the folder what tables alone cannot say, and returns the path to give.
    arguments : tuple of str
        The command line; ``JOB`` stands for the path.
    """

    name: str
    tables: Tables | None = None
    build: Callable[[Path], Path] | None = None
    arguments: tuple[str, ...] = ("check", "JOB")

    def write(self, folder: Path) -> Path:
        """Write the job into a folder that is empty, and return its path."""
        path = folder
        for name, rows in (self.tables or {}).items():
            if isinstance(rows, bytes):
                (folder / f"{name}.csv").write_bytes(rows)
            elif rows is not None:
                with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
                    csv.writer(file).writerows(rows)
        if self.build is not None:
            path = self.build(folder)
        return path


def sound(*names: str) -> dict[str, Rows]:
    """Return a job with nothing wrong: pieces and offers, and other tables where named."""
    return {name: [list(row) for row in _SOUND[name]] for name in ("pieces", "offers", *names)}


def with_cell(table: str, heading: str, text: str) -> dict[str, Rows]:
    """Return a sound job but for one cell."""
    tables = sound(table)
    headings, row = tables[table][0], tables[table][1]
    if heading in headings:
        row[headings.index(heading)] = text
    else:
        headings.append(heading)
        row.append(text)
    return tables
