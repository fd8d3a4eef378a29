"""What commands promise of a shelf beyond its balance: what is reserved, cut twice, refused, put back or undone."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any, Protocol

from nesting.identity import Identity
from tests.fuzz.books import to_be_cut
from tests.fuzz.colliding import plain
from tests.fuzz.in_force import InForce

__all__ = ["Row", "change_faults", "named_parts", "sheets_of_file"]

Told = Mapping[str, Any]
Row = tuple[str, tuple[int, int], int]
"""The board, the size and the count of a row of the shelf file."""


class Asked(Protocol):
    """A command line, how it ended, and the plan that it names."""

    command: Sequence[str]
    code: int
    plan: Told | None
    names: Identity | None


def named_parts(command: Sequence[str]) -> tuple[list[str], list[str]]:
    """Return the sheets and the mats that a command line names."""

    def named(*options: str) -> list[str]:
        return [value for name, value in pairwise(command) if name in options]

    return named("--sheet"), named("--mat", "--spoiled")


def sheets_of_file(plan: Told) -> list[Told]:
    """Return the sheets of a plan that are pieces of the shelf file."""
    held = set(plan["shelf_file_labels"])
    return [sheet for sheet in plan["sheets"] if sheet["source"].get("label") in held]


def change_faults(
    given: Asked, was: InForce, now: InForce, rows: Mapping[str, Row], changes: Sequence[Told]
) -> Iterator[str]:
    """Yield which promises a command broke.

    Parameters
    ----------
    given : Asked
        The command.
    was, now : InForce
        What was in force before and after it.
    rows : Mapping of str to Row
        What the shelf held before it, by folded label.
    changes : sequence of Mapping
        Its lines of the log.
    """
    match tuple(given.command[:2]):
        case ("shelf", "return") if given.code == 0:
            yield from _returned_faults(was, changes)
        case ("shelf", "drop") if given.code == 0 and len(now.kept()) != len(was.kept()) - 1:
            yield "says that nothing is reserved any longer, and as much is"
        case ("done", _) if "--undo" in given.command:
            yield from _undoing_faults(given, was, changes)
        case ("done", _) if given.plan is not None and given.names is not None:
            yield from _booking_promises(given, given.plan, given.names, was, rows)
        case _:
            pass
    if "--reserved-too" not in given.command:
        yield from _doubly_reserved(now, _after(rows, changes), changes)


def _after(rows: Mapping[str, Row], changes: Sequence[Told]) -> Counter[str]:
    """Return how many pieces there are under each folded label after some changes."""
    held = Counter({label: row[2] for label, row in rows.items()})
    for move in (move for change in changes for move in change["moves"] if move["label"] is not None):
        held[plain(move["label"])] += move["count"]
    return held


def _doubly_reserved(now: InForce, held: Counter[str], changes: Sequence[Told]) -> Iterator[str]:
    """Yield pieces that were reserved now and are reserved for more plans than there are pieces."""
    kept, labels = now.kept_but(None), now.labels()
    for change in changes:
        for _, name in change["reserved"]["takes"] if change["reserved"] else ():
            label = labels.get(name, plain(name))
            if label in held and kept[label] > held[label]:
                yield f"reserves {label}, of which there are {held[label]}, {kept[label]} times"


def _returned_faults(was: InForce, changes: Sequence[Told]) -> Iterator[str]:
    """Yield that what came back had not been taken off by hand, or not so many."""
    for move in (move for change in changes for move in change["moves"]):
        moved = [
            (one, other)
            for one in was.changes()
            for other in one["moves"]
            if other["label"] is not None and plain(other["label"]) == plain(move["label"])
        ]
        if not moved or moved[-1][0]["plan"] is not None or moved[-1][1]["count"] != -move["count"]:
            yield f"puts back {move['count']} of {move['label']}, which were not taken off by hand last"


def _undoing_faults(given: Asked, was: InForce, changes: Sequence[Told]) -> Iterator[str]:
    """Yield that a booking was taken back that is not the plan's last, or not all that it moved."""
    for change in changes:
        bookings = [one for one in was.changes() if given.names is not None and one["plan"] == given.names.plan]
        if not bookings or bookings[-1]["number"] != change["undoes"]:
            yield f"takes back change {change['undoes']}, which is not the last booking of the plan"
        elif _moved(bookings[-1], 1) != _moved(change, -1):
            yield "does not take back what the booking moved"


def _moved(change: Told, sign: int) -> Counter[tuple[str, ...]]:
    found = Counter[tuple[str, ...]]()
    for move in change["moves"]:
        found[str(move["label"]), move["board"], str(move["size"]), str(sign * move["count"])] += 1
    return found


def _booking_promises(
    given: Asked, plan: Told, names: Identity, was: InForce, rows: Mapping[str, Row]
) -> Iterator[str]:
    """Yield that a plan is booked that must not be, or refused without a reason."""
    sheets, mats = named_parts(given.command)
    if not {*sheets, *mats} <= set(names.keys):
        return
    reasons = list(_reasons(given, plan, names, was, rows))
    if given.code == 0 and reasons:
        yield f"is booked, though {' and '.join(reasons)}"
    elif given.code != 0 and not reasons and "--spoiled" not in given.command:
        yield "is refused without a reason"


def _reasons(given: Asked, plan: Told, names: Identity, was: InForce, rows: Mapping[str, Row]) -> Iterator[str]:
    """Yield why a plan must not be booked."""
    booked, asked = [one.all for one in was.cuttings(names)], to_be_cut(plan, *named_parts(given.command))
    if "--again" in given.command:
        last = booked[-1] if booked else frozenset[str]()
        fresh = asked if asked & last else asked - last
    else:
        fresh = asked.difference(*booked)
    kept = Counter() if "--reserved-too" in given.command else was.kept_but(names.plan)
    labels, claimed, good = was.labels(), Counter[str](), was.good()
    for sheet in sheets_of_file(plan):
        if sheet["id"] in fresh:
            label = labels.get(sheet["source"]["label"], plain(sheet["source"]["label"]))
            claimed[label] += 1
            yield from _unusable(sheet, label, rows.get(label), claimed[label], kept[label])
    for mat in plan["mats"]:
        if mat["id"] in fresh and good[names.keys[mat["id"]]] > 0 and "--again" not in given.command:
            yield f"{mat['id']} is booked through another plan"


def _unusable(sheet: Told, label: str, row: Row | None, claimed: int, kept: int) -> Iterator[str]:
    if row is None:
        yield f"{label} is not there"
    elif row[0] != plain(sheet["board"]) or sorted(row[1]) != sorted(sheet["size"]):
        yield f"{label} is another piece"
    elif claimed + kept > row[2]:
        yield f"{claimed} of {label} are cut, and {kept} of {row[2]} are reserved"
