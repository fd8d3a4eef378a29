"""Reading and changing a table of a wall: with its version, in one step, and with a history."""

import hashlib
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import count, zip_longest
from pathlib import Path
from typing import Any

from cli.desk.files import read_json, replace_with, write_json
from cli.desk.stepping import stepped
from nesting.errors import WindowfallError
from nesting.reading.columns import EVERY_TABLE, TABLES, plain_key, table_named
from nesting.reading.grid import Grid, Line, read_grid
from nesting.reading.tables import UnreadableFileError

__all__ = ["Change", "ChangedOutsideError", "NotSavedError", "Step", "Tables"]

_DEPTH = 200
_LOOKED_BACK = 30
_LONGEST_CELL = 2_000
_HISTORY = "history"


class ChangedOutsideError(WindowfallError):
    """A table is not what the page saw of it."""


class NotSavedError(WindowfallError):
    """A table could not be replaced, as another program holds it."""


@dataclass(frozen=True, slots=True)
class Change:
    """What is changed of a table: cells (row, heading, text), rows that are removed, and what to call it."""

    name: str
    cells: tuple[tuple[int, str, str], ...] = ()
    removed: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the history: what it is called, and the table that it changed."""

    name: str
    table: str


class Tables:
    """The tables of one wall; one change at a time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock = threading.Lock()

    def read(self, name: str) -> Grid:
        """Return a table as it is now; one without rows where there is no file."""
        path = self._path(name)
        return read_grid(path.read_bytes() if path.is_file() else b"", table_named(name))

    def version(self, *, choices: bool = True) -> str:
        """Return what tells this state of all tables from any other, with or without what is chosen."""
        found = hashlib.sha256()
        for table in EVERY_TABLE if choices else TABLES:
            path = self._path(table.name)
            found.update(table.name.encode())
            with suppress(OSError):
                found.update(path.read_bytes())
        return found.hexdigest()[:20]

    def change(self, name: str, version: str, change: Change) -> Grid:
        """Change a table that is still the one that was seen, and return it.

        Parameters
        ----------
        name : str
            Of the table.
        version : str
            Of the grid that was seen.
        change : Change
            What is changed of it.

        Returns
        -------
        Grid
            As it is on the disk now.

        Raises
        ------
        ChangedOutsideError
            If the file is another one than was seen; nothing is written.
        NotSavedError
            If it cannot be replaced; what it should hold is kept in the history.
        """
        with self._lock:
            before = self.read(name)
            if before.version() != version:
                raise ChangedOutsideError(f"{name}.csv was changed outside this page. Nothing was written over it.")
            after = _changed(before, change)
            if after != before:
                self._keep(name, change, before, after)
                self._replace(name, after)
            return after

    def choose(self, name: str, *values: str) -> None:
        """Write what is chosen for a plan into the table choices, each value in a row; other rows of it are emptied."""
        with self._lock:
            grid = self.read("choices")
            place = grid.column("name")
            rows = [number for number, line in grid.rows() if _has(line, place, name)]
            new = count(max(len(grid.lines), 1) + 1)
            changed = grid
            for row, value in zip_longest(rows, values, fillvalue=""):
                number = row or next(new)
                changed = changed.with_cell(int(number), "name", name).with_cell(int(number), "value", str(value))
            if changed != grid:
                self._replace("choices", changed)

    def keep_aside(self, name: str) -> str:
        """Keep a table as it is now, and return the version by which it is put back."""
        grid = self.read(name)
        self._store(grid)
        return grid.version()

    def put_back(self, name: str, version: str) -> None:
        """Write a table as it was when it was kept; this is no step that is undone.

        Raises
        ------
        NotSavedError
            If it cannot be written.
        """
        with self._lock:
            kept = self._kept_grid(name, version)
            if kept != self.read(name):
                self._replace(name, kept)

    def undo(self, *, again: bool = False) -> Step:
        """Take the last step back, or take it again, and return it; what else was changed since stays.

        Raises
        ------
        ChangedOutsideError
            If there is none, or one of its cells was changed since; after a step that removed rows, any other cell.
        """
        with self._lock:
            history = self._history()
            steps, at = history["steps"], history["at"]
            if not 0 <= (place := at if again else at - 1) < len(steps):
                raise ChangedOutsideError(f"There is nothing to {'redo' if again else 'undo'}.")
            step = steps[place]
            name = str(step["table"])
            self._replace(name, self._stepped(name, step, again=again))
            write_json(self._steps(), {"at": at + 1 if again else at - 1, "steps": steps})
            return Step(str(step["name"]), name)

    def _stepped(self, name: str, step: Mapping[str, Any], *, again: bool) -> Grid:
        before, after = (self._kept_grid(name, step[when]) for when in ("before", "after"))
        there, wanted = (before, after) if again else (after, before)
        now = self.read(name)
        is_of_cells = step.get("removed") is False
        found = stepped(now, there, wanted) if is_of_cells else wanted if now == there else None
        if found is None:
            raise ChangedOutsideError(f"{name}.csv was changed since: {step['name']} stays as it is.")
        return found

    def steps(self) -> tuple[str | None, str | None]:
        """Return the names of what can be undone and redone."""
        history = self._history()
        steps, at = history["steps"], history["at"]
        return steps[at - 1]["name"] if at else None, steps[at]["name"] if at < len(steps) else None

    def earlier(self, name: str) -> Iterator[Grid]:
        """Yield what a table was after each of the last changes on the page, the last first, as far as it is kept."""
        steps = [step for step in self._history()["steps"][-_LOOKED_BACK:] if step["table"] == name]
        versions = [version for step in reversed(steps) for version in (step["after"], step["before"])]
        for version in dict.fromkeys(versions):
            with suppress(OSError, UnreadableFileError):
                yield self._kept_grid(name, version)

    def _keep(self, name: str, change: Change, before: Grid, after: Grid) -> None:
        history = self._history()
        steps = history["steps"][: history["at"]][-_DEPTH + 1 :]
        for grid in (before, after):
            self._store(grid)
        versions = {"before": before.version(), "after": after.version()}
        steps.append({"name": change.name, "table": name, **versions, "removed": bool(change.removed)})
        write_json(self._steps(), {"at": len(steps), "steps": steps})

    def _store(self, grid: Grid) -> None:
        if not self._kept(grid.version()).is_file():
            replace_with(self._kept(grid.version()), grid.data())

    def _replace(self, name: str, grid: Grid) -> None:
        path = self._path(name)
        if path.is_symlink():
            raise NotSavedError(f"Not saved: {path.name} is a link that leads elsewhere. Put the file itself there.")
        try:
            replace_with(path, grid.data())
        except OSError:
            kept = self._kept(grid.version())
            raise NotSavedError(f"Not yet saved: close {path}. The change is kept as {kept}.") from None

    def _path(self, name: str) -> Path:
        for path in self.folder.glob("*.[cC][sS][vV]"):
            if path.stem.casefold() == name:
                return path
        return self.folder / f"{name}.csv"

    def _history(self) -> dict[str, Any]:
        found = read_json(self._steps(), {})
        return found if isinstance(found, dict) and "steps" in found else {"at": 0, "steps": []}

    def _steps(self) -> Path:
        return self.folder / _HISTORY / "steps.json"

    def _kept_grid(self, name: str, version: str) -> Grid:
        return read_grid(self._kept(version).read_bytes(), table_named(name))

    def _kept(self, version: str) -> Path:
        return self.folder / _HISTORY / f"{version}.csv"


def _has(line: Line, place: int | None, name: str) -> bool:
    return place is not None and place < len(line.cells) and plain_key(line.cells[place].strip()) == plain_key(name)


def _changed(grid: Grid, change: Change) -> Grid:
    for row, heading, text in change.cells:
        grid = grid.with_cell(row, heading, _one_line(text))
    return grid.without(_all_of(change.removed)) if change.removed else grid


def _all_of(numbers: Sequence[int]) -> tuple[int, ...]:
    return tuple(sorted(set(numbers)))


def _one_line(text: str) -> str:
    return " ".join(text.replace("\0", "").split("\n")).replace("\r", "")[:_LONGEST_CELL]
