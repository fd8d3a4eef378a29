"""The log of a shelf: one line for each change, never rewritten, beside what the file held before each of them.

The number of its last change stands in the shelf file itself, and each change names the one before it. So the file
alone says which changes are in force: those that its number leads back to. A change that was cut short before the file
was replaced, or that was undone, is not among them, and nothing need be rewritten to make it so.

Two short lines more, that a change was finished and that one is being undone, tell a file that was brought back from
one that another program wrote over a newer one.
"""

import json
import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from enum import StrEnum
from pathlib import Path, PurePath
from typing import Any

from nesting.geometry import Size
from nesting.shelf.held import Move
from nesting.spelling import fold

__all__ = ["AGAIN", "Change", "History", "Mark", "Reservation", "append_change", "append_mark", "read_history"]

AGAIN = " again for "
"""Stands between a mat that must be cut again and the spoiled one for which, where that is booked."""
_LOG = "log.jsonl"


class Mark(StrEnum):
    """What became of a change: its file was put in place, or it was about to be undone."""

    FINISHED = "finished"
    UNDONE = "undone"


@dataclass(frozen=True, slots=True)
class Reservation:
    """What a plan takes, reserved until it is booked or dropped.

    Parameters
    ----------
    plan : str
        Its identity.
    job : str
        The path of its job.
    takes : tuple of (str, str)
        For each sheet that it cuts from the shelf: the key of the sheet, and the label of the piece.
    offers : tuple of (int, int)
        How many sheets of which offer it buys.
    table : tuple of (str, int)
        How many pieces it takes of the job's own shelf table, by label.
    mends : str or None
        The identity of the plan whose spoiled mats it cuts again.
    mats : tuple of str
        The keys that these mats have there.
    first : str or None
        The identity of the plan of the whole wall that both belong to.
    """

    plan: str
    job: str
    takes: tuple[tuple[str, str], ...]
    offers: tuple[tuple[int, int], ...] = ()
    table: tuple[tuple[str, int], ...] = ()
    mends: str | None = None
    mats: tuple[str, ...] = ()
    first: str | None = None

    @property
    def name(self) -> str:
        """What the plan is called in lists."""
        return f"{PurePath(self.job).stem}, plan {self.plan[:6]}"


@dataclass(frozen=True, slots=True)
class Change:
    """One change of a shelf file.

    Parameters
    ----------
    number : int
        Its own, from 1; no two changes ever have the same.
    parent : int
        The change that wrote the file it was made on; 0 where none did.
    at : str
        When, to the second, with the offset from universal time.
    command : str
        What was done, in a word: ``add``, ``take``, ``correct``, ``done``, ``reserve``, ``drop``.
    before, after : str or None
        Digests of the file before and after; None where there was none.
    moves : tuple of Move
        What was put there and what was used.
    plan : str or None
        The identity of the plan that was booked.
    booked : tuple of str
        The keys of the sheets and mats of that plan that were booked; their ids in older logs.
    time : int
        How many times that plan was cut, this time counted.
    reserved : Reservation or None
        What is kept for a plan from now on.
    dropped : tuple of str
        The identities of plans for which nothing is kept any longer.
    joined : bool
        Whether it belongs to the change before it, and both are undone together.
    undoes : int or None
        The number of an earlier change that it takes back, with all that it did.
    """

    number: int
    parent: int
    at: str
    command: str
    before: str | None
    after: str
    moves: tuple[Move, ...]
    plan: str | None = None
    booked: tuple[str, ...] = ()
    time: int = 1
    reserved: Reservation | None = None
    dropped: tuple[str, ...] = ()
    joined: bool = False
    undoes: int | None = None


@dataclass(frozen=True, slots=True)
class History:
    """Every change that was ever begun, by its number, and what is known to have become of it."""

    changes: Mapping[int, Change]
    marks: frozenset[tuple[Mark, int]] = frozenset()

    @property
    def last(self) -> int:
        """The greatest number given to a change; 0 before the first."""
        return max(self.changes, default=0)

    @property
    def labels(self) -> frozenset[str]:
        """Every label that was ever given to a piece, folded; also by changes that were undone or cut short."""
        moves = (move for change in self.changes.values() for move in change.moves)
        return frozenset(fold(move.label) for move in moves if move.label is not None)

    def chain(self, change: int) -> tuple[Change, ...]:
        """Return the changes that led to the file which change number `change` wrote, the first of them first."""
        found = []
        while change in self.changes:
            found.append(self.changes[change])
            change = self.changes[change].parent
        return tuple(reversed(found))

    def in_force(self, change: int) -> tuple[Change, ...]:
        """Return the changes that led to this file, without those that were undone and those that undid them."""
        found = self.chain(change)
        undone = {one.undoes for one in found if one.undoes is not None}
        return tuple(one for one in found if one.number not in undone and one.undoes is None)

    def last_together(self, change: int) -> tuple[Change, ...]:
        """Return change number `change` with those before it that the same command made; none where there is none."""
        found = self.chain(change)
        first = next((place for place in reversed(range(len(found))) if not found[place].joined), 0)
        return found[first:]

    def overwritten(self, change: int) -> Change | None:
        """Return the last change that was made after the file of change number `change` and never undone.

        None where the file is as new as the log: no other program wrote an older one over it.
        """
        later = {change}
        for number in sorted(self.changes):
            if self.changes[number].parent in later and (Mark.UNDONE, number) not in self.marks:
                later.add(number)
        finished = [number for number in later - {change} if (Mark.FINISHED, number) in self.marks]
        return self.changes[max(finished)] if finished else None

    def is_whole(self, change: int) -> bool:
        """Whether every change that led to this one is there."""
        first = self.chain(change)[:1]
        return change == 0 or (bool(first) and first[0].parent == 0)

    def times(self, change: int, plan: str) -> int:
        """Return how many times a plan was cut, at least in part, by the file which change number `change` wrote."""
        return max((one.time for one in self.in_force(change) if one.plan == plan), default=0)

    def booked(self, change: int, plan: str) -> frozenset[str]:
        """Return what is booked of a plan in the file which change number `change` wrote; the last time it was cut."""
        last = self.times(change, plan)
        return frozenset(
            unit for one in self.in_force(change) if one.plan == plan and one.time == last for unit in one.booked
        )

    def reservations(self, change: int) -> tuple[Reservation, ...]:
        """Return what is kept for plans in the file which change number `change` wrote, less what is booked of them.

        One that has been booked whole takes nothing more; it is there until it is dropped.
        """
        kept: dict[str, Reservation] = {}
        booked: dict[str, set[str]] = {}
        force = {one.number for one in self.in_force(change)}
        for one in self.chain(change):
            if one.number not in force and one.undoes is None:
                continue
            for plan in one.dropped:
                kept.pop(plan, None)
            if one.reserved is not None:
                kept[one.reserved.plan] = one.reserved
                booked.pop(one.reserved.plan, None)
            if one.plan is not None:
                booked.setdefault(one.plan, set()).update(one.booked)
        return tuple(
            replace(one, takes=tuple(take for take in one.takes if take[0] not in booked.get(plan, ())))
            for plan, one in kept.items()
        )


def read_history(folder: Path) -> History:
    """Return the log in a folder; a line that was cut short while it was written is passed over."""
    try:
        text = (folder / _LOG).read_text(encoding="utf-8", errors="replace")
    except (FileNotFoundError, NotADirectoryError):
        return History({})
    told = list(_lines(text))
    marks = frozenset((mark, one[mark]) for one in told for mark in Mark if isinstance(one.get(mark), int))
    return History({change.number: change for change in _changes(told)}, marks)


def _lines(text: str) -> Iterator[dict[str, Any]]:
    for line in text.split("\n"):
        try:
            told = json.loads(line)
        except ValueError:
            continue
        if isinstance(told, dict):
            yield told


def _changes(lines: Iterable[dict[str, Any]]) -> Iterator[Change]:
    for told in lines:
        try:
            moves = tuple(Move(**m | {"size": Size(*m["size"])}) for m in told["moves"])
            kept = None if told.get("reserved") is None else _reservation(told["reserved"])
            change = Change(**told | {"moves": moves, "booked": tuple(told["booked"]), "reserved": kept})
            change = replace(change, dropped=tuple(change.dropped))
            if (
                change.parent < change.number
            ):  # true of every change that was made; without it the changes could lead round in a circle
                yield change
        except (TypeError, KeyError, ValueError):
            continue


def _reservation(told: dict[str, Any]) -> Reservation:
    pairs = {name: tuple((one, other) for one, other in told[name]) for name in ("takes", "offers", "table")}
    return Reservation(**told | pairs | {"mats": tuple(told["mats"])})


def append_change(folder: Path, change: Change) -> None:
    """Write a change at the end of the log and wait until the disk has it."""
    _append(folder, asdict(change))


def append_mark(folder: Path, mark: Mark, number: int) -> None:
    """Write what became of a change at the end of the log and wait until the disk has it."""
    _append(folder, {mark: number})


def _append(folder: Path, told: Mapping[str, object]) -> None:
    line = json.dumps(told) + "\n"
    descriptor = os.open(folder / _LOG, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o666)
    with os.fdopen(descriptor, "rb+", buffering=0) as file:
        end = file.seek(0, os.SEEK_END)
        file.seek(max(0, end - 1))
        is_torn = end > 0 and file.read(1) != b"\n"
        data = memoryview((b"\n" if is_torn else b"") + line.encode())
        while data:
            data = data[file.write(data) :]
        os.fsync(file.fileno())
