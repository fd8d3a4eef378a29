"""What each command did to a shelf file: rows, log and bytes before and after, held against each other."""

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from nesting.identity import Identity
from nesting.lengths import parse_length, round_down
from nesting.model.job import Unit
from tests.fuzz.books import booking_faults, to_be_cut
from tests.fuzz.colliding import plain
from tests.fuzz.in_force import InForce
from tests.fuzz.promises import Row, change_faults, named_parts, sheets_of_file

__all__ = ["Given", "Ledger", "shelf_labels"]

_CHANGING = {("shelf", word) for word in ("add", "take", "return", "correct", "reserve", "drop", "undo")}
_FORMULA = re.compile("'+[=+\\-@\t\r\uff1d\uff0b\uff0d\uff20]")

Told = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Given:
    """A command line and how it ended; for `done` and `shelf reserve`, the plan file and the names of its parts."""

    command: Sequence[str]
    code: int
    plan: Told | None = None
    names: Identity | None = None

    @property
    def is_undo(self) -> bool:
        """Whether it takes back what was done before."""
        return tuple(self.command[:2]) == ("shelf", "undo") or "--undo" in self.command

    @property
    def is_done(self) -> bool:
        """Whether it books a plan."""
        return self.command[0] == "done" and not self.is_undo


@dataclass(frozen=True, slots=True)
class _Made:
    """What one command did to the file: what that held before, and its lines of the log."""

    before: bytes | None
    changes: tuple[Told, ...]


class Ledger:
    """Follows a shelf file from command to command.

    Parameters
    ----------
    path : Path
        The shelf file; there need not be one.
    """

    def __init__(self, path: Path) -> None:
        self._path, self._made = path, list[_Made]()
        self._bytes, self._lines = _bytes(path), 0

    @property
    def force(self) -> InForce:
        """What is in force by now."""
        return InForce.of([change for made in self._made for change in made.changes])

    def gone(self) -> list[str]:
        """Return the labels that were taken off and are not on the shelf."""
        rows = _rows(self._bytes)
        moved = (move["label"] for change in self.force.changes() for move in change["moves"] if move["count"] < 0)
        return [label for label in dict.fromkeys(moved) if label is not None and plain(label) not in rows]

    def faults(self, given: Given) -> list[str]:
        """Return what is wrong with what a command did to the shelf."""
        before, self._bytes = self._bytes, _bytes(self._path)
        changes = self._new_changes()
        try:
            return list(self._judged(given, before, changes))
        except ValueError as error:
            return [f"the shelf file cannot be read: {error}"]

    def planned(self, plan: Told) -> Iterator[str]:
        """Yield that a plan takes what is kept for others, where it was not told to."""
        rows, kept = _rows(self._bytes), self.force.kept_but(None)
        taken = Counter(plain(sheet["source"]["label"]) for sheet in sheets_of_file(plan))
        for label, count in taken.items():
            if label not in rows or count + kept[label] > rows[label][2]:
                yield f"plans with {count} of {label}, and {kept[label]} of {rows.get(label)} are reserved"

    def _judged(self, given: Given, before: bytes | None, changes: list[Told]) -> Iterator[str]:
        now, was = self._bytes, self.force
        if any(self._path.parent.rglob("*.part")):
            yield "a file is left half written"
        if now != before:
            yield from _unasked(given)
        elif changes:
            yield "adds to the log, and the file is the same"
        if given.is_undo and not changes:
            yield from self._brought_back(given, before)
        elif now != before:
            self._made.append(_Made(before, tuple(changes)))
            yield from _unconserved(given.command, _rows(before), _rows(now), changes)
        yield from change_faults(given, was, self.force, _rows(before), changes)
        if given.plan is not None and given.names is not None and given.code == 0:
            yield from self._unbalanced(given, given.plan, given.names)

    def _brought_back(self, given: Given, before: bytes | None) -> Iterator[str]:
        if given.code != 0:
            return
        if not self._made:
            yield "something was undone, and nothing had been done"
            return
        last = self._made.pop()
        if last.before != self._bytes:
            yield "what was undone is not the file as it was, to the byte"
        elif self._bytes == before:
            yield "it says that something was undone, and the file is the same"
        elif given.names is not None and given.names.plan not in {change["plan"] for change in last.changes}:
            yield "undoes what is no booking of the plan"

    def _unbalanced(self, given: Given, plan: Told, names: Identity) -> Iterator[str]:
        """Yield what of all that is booked of a plan is not as the plan says."""
        cuttings = self.force.cuttings(names)
        if given.is_done:
            counted = cuttings[-1:] if "--again" in given.command else cuttings
            lacking = to_be_cut(plan, *named_parts(given.command)).difference(*(one.all for one in counted))
            if lacking:
                yield f"does not book {sorted(lacking)}"
        for cutting in cuttings:
            if cutting.twice:
                yield f"books {sorted(cutting.twice)} twice, and once that they are cut"
        yield from booking_faults(plan, cuttings, self.force.labels())

    def _new_changes(self) -> list[Told]:
        """Return the changes that the log has got since the last command and that led to the file as it is."""
        log = self._path.with_name(f"{self._path.name}.history") / "log.jsonl"
        lines = log.read_text(encoding="utf-8").splitlines() if log.exists() else []
        new = [json.loads(line) for line in lines[self._lines :]]
        self._lines = len(lines)
        return [line for line in new if "moves" in line]


def shelf_labels(path: Path) -> list[str]:
    """Return the labels of a shelf file in its order; none where there is no file."""
    return [_bared(cells["label"]) for cells in _cells(_bytes(path))]


def _bytes(path: Path) -> bytes | None:
    return path.read_bytes() if path.exists() else None


def _cells(data: bytes | None) -> Iterator[dict[str, str]]:
    if data is not None:
        file = io.StringIO(data.decode("utf-8-sig"), newline="")
        file.readline()  # what the file is
        yield from csv.DictReader(file)


def _bared(text: str) -> str:
    return text[1:] if _FORMULA.match(text) else text


def _rows(data: bytes | None) -> dict[str, Row]:
    found: dict[str, Row] = {}
    for cells in _cells(data):
        label, count = plain(_bared(cells["label"])), int(cells["quantity"])
        if label in found:
            raise ValueError(f"two rows are labelled {label}")
        if count < 1:
            raise ValueError(f"there are {count} of {label}")
        sides = (round_down(parse_length(cells[side], Unit.IN), 1) for side in ("width", "height"))
        found[label] = plain(_bared(cells["board"])), tuple(sides), count  # type: ignore[assignment]
    return found


def _unasked(given: Given) -> Iterator[str]:
    """Yield that a shelf file was changed by a command that may not, or that failed; a mat stays spoiled unplanned."""
    command = given.command
    if tuple(command[:2]) not in _CHANGING and command[0] != "done":
        yield "changes the shelf file"
    elif given.code != 0 and not (command[0] == "done" and "--spoiled" in command):
        yield f"ends with {given.code}, and the shelf file is changed"


def _unconserved(
    command: Sequence[str], before: dict[str, Row], now: dict[str, Row], changes: Sequence[Told]
) -> Iterator[str]:
    """Yield what of the new rows is neither as it was nor explained by the moves in the log."""
    due = dict(before)
    for move in (move for change in changes for move in change["moves"] if move["label"] is not None):
        label, size = plain(move["label"]), tuple(move["size"])
        board, held_size, count = due.get(label, (plain(move["board"]), size, 0))
        if (board, held_size) != (plain(move["board"]), size):
            yield f"the log moves {label} as {move['board']} {size}, and it is {board} {held_size}"
        due[label] = board, held_size, count + move["count"]
    due = {label: row for label, row in due.items() if row[2]}
    other = sorted(label for label in {*due, *now} if due.get(label) != now.get(label))
    allowed = [plain(command[2])] if command[:2] == ["shelf", "correct"] else []
    if [label for label in other if label not in allowed]:
        yield f"the log does not explain the rows of {other}"
