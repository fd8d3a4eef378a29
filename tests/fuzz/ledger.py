"""What each command did to a shelf file: rows, log and bytes before and after, held against each other."""

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from nesting.lengths import parse_length, round_down
from nesting.model.job import Unit
from tests.fuzz.books import Cutting, booking_faults, content, to_be_cut
from tests.fuzz.colliding import plain

__all__ = ["Given", "Ledger", "shelf_labels"]

_CHANGING = {("shelf", "add"), ("shelf", "take"), ("shelf", "correct"), ("shelf", "undo")}
_FORMULA = re.compile("'+[=+\\-@\t\r\uff1d\uff0b\uff0d\uff20]")
_NOT_ASKED = {"--seconds", "--seed", "--out", "--paper", "--json", "--credit-leftovers"}
"""Options of `plan` that have nothing to do with what is to be cut."""

Told = Mapping[str, Any]
Row = tuple[str, tuple[int, int], int]


@dataclass(frozen=True, slots=True)
class Given:
    """A command line and how it ended, None where it broke; for `done`, the plan file and what had asked for it."""

    command: Sequence[str]
    code: int | None
    plan: Told | None = None
    asked: Sequence[str] = ()

    @property
    def is_undo(self) -> bool:
        """Whether it brings an earlier file back."""
        return tuple(self.command[:2]) == ("shelf", "undo") or "--undo" in self.command


@dataclass(frozen=True, slots=True)
class _Made:
    """A change in force: what the file held before it, its lines of the log, and which plan was booked."""

    before: bytes | None
    changes: tuple[Told, ...]
    cut: str | None
    asked: tuple[str, ...]


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

    def faults(self, given: Given) -> list[str]:
        """Return what is wrong with what a command did to the shelf."""
        before, self._bytes = self._bytes, _bytes(self._path)
        changes = self._new_changes()
        try:
            return list(self._judged(given, before, changes))
        except ValueError as error:
            return [f"the shelf file cannot be read: {error}"]

    def _judged(self, given: Given, before: bytes | None, changes: list[Told]) -> Iterator[str]:
        now = self._bytes
        if any(self._path.parent.rglob("*.part")):
            yield "a file is left half written"
        if now != before:
            yield from _unasked(given)
        if given.is_undo:
            yield from self._undone(given.code, before)
            return
        if now != before:
            yield from _unconserved(given.command, _rows(before), _rows(now), changes)
            cut = None if given.plan is None else content(given.plan)
            self._made.append(_Made(before, tuple(changes), cut, _what_was_asked(given.asked)))
        if given.plan is not None and given.code == 0:
            yield from self._misbooked(given.command, given.plan, _what_was_asked(given.asked))

    def _undone(self, code: int | None, before: bytes | None) -> Iterator[str]:
        if code != 0:
            return
        if not self._made:
            yield "something was undone, and nothing had been done"
        elif self._made.pop().before != self._bytes:
            yield "what was undone is not the file as it was, to the byte"
        elif self._bytes == before:
            yield "it says that something was undone, and the file is the same"

    def _misbooked(self, command: Sequence[str], plan: Told, asked: tuple[str, ...]) -> Iterator[str]:
        of_plan = [one for one in self._made if one.cut == content(plan)]
        changes = [change for one in of_plan for change in one.changes]
        cutting = Cutting.of(changes)
        sheets, mats = _named(command, "--sheet"), [*_named(command, "--mat"), *_named(command, "--spoiled")]
        lacking = to_be_cut(plan, sheets, mats) - cutting.units - cutting.lost
        if lacking:
            yield f"does not book {sorted(lacking)}"
        units = Counter(
            unit for one in of_plan if one.asked == asked for change in one.changes for unit in change["booked"]
        )
        twice = sorted(unit for unit, times in units.items() if times > 1 and " again for " not in unit)
        if twice:
            yield f"books {twice} twice"
        elif of_plan and self._made[-1] is of_plan[-1]:
            same = changes[-1]["plan"]  # the same cuts may be booked for two plans, such as one for less money
            yield from booking_faults(plan, Cutting.of([change for change in changes if change["plan"] == same]))

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


def _what_was_asked(asked: Sequence[str]) -> tuple[str, ...]:
    """Return a command line without what changes only how it is searched or printed."""
    parts, found = iter(asked), list[str]()
    for part in parts:
        if part not in _NOT_ASKED:
            found.append(part)
        elif part not in {"--json", "--credit-leftovers"}:
            next(parts, None)
    return tuple(found)


def _named(command: Sequence[str], option: str) -> list[str]:
    return [value for name, value in pairwise(command) if name == option]
