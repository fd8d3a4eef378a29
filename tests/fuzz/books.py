"""The books of a shelf, kept beside the program from the texts alone: the shelf file, its log, and plan files.

What came off the shelf and what was bought and cut is, to the square tick, what is in mats, what was put on the shelf,
what is scrap, and what lies on the bench because only a part of the plan was cut.
"""

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tests.fuzz.colliding import plain

__all__ = ["SPARE", "Cutting", "booking_faults", "to_be_cut"]

SPARE = "spare sheets"
_AGAIN = re.compile("(?P<lost>.+) again for (?P<spoiled>[^ ]+)")

Told = Mapping[str, Any]
Pieces = Counter[tuple[str, int, int]]
"""How many pieces of a board, with their shorter and their longer side."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """What the log says was cut of a plan: its units, what was spoiled or lost with it, and all moves of board.

    `twice` is what is booked more than once, which must be nothing.
    """

    units: frozenset[str]
    lost: frozenset[str]
    spoiled: frozenset[str]
    moves: tuple[Told, ...]
    twice: frozenset[str]

    @property
    def all(self) -> frozenset[str]:
        """What is booked, with what was lost."""
        return self.units | self.lost

    @classmethod
    def of(cls, changes: Sequence[Told], ids: Mapping[str, str]) -> "Cutting":
        """Return what some changes of the log booked; what was lost with a spoiled mat was not cut.

        Parameters
        ----------
        changes : sequence of Mapping
            Lines of the log.
        ids : Mapping of str to str
            The ids of the sheets and mats of a plan, by the keys that stand for them in the log.
        """
        named = (unit.split(" again for ") for change in changes for unit in change["booked"])
        booked = [" again for ".join(ids.get(part, part) for part in parts) for parts in named]
        lost = {(found["lost"], found["spoiled"]) for found in map(_AGAIN.fullmatch, booked) if found}
        uncut = {mat for mat, spoiled in lost if mat != spoiled}
        units = frozenset(unit for unit in booked if unit not in uncut and not _AGAIN.fullmatch(unit))
        spoiled = frozenset(mat for mat, spoiled in lost if mat == spoiled)
        moves = tuple(move for change in changes for move in change["moves"])
        twice = frozenset(unit for unit, count in Counter(booked).items() if count > 1)
        return cls(units, frozenset(uncut), spoiled, moves, twice)


def to_be_cut(plan: Told, sheets: Collection[str], mats: Collection[str]) -> frozenset[str]:
    """Return what must have been cut once these sheets with all their mats, and these mats, are; all, where none is."""
    if not sheets and not mats:
        spare = {SPARE} if sum(_spares(plan).values()) else set()
        return frozenset({part["id"] for part in (*plan["sheets"], *plan["mats"])} | spare)
    lies_on = {mat["id"]: mat["sheet"] for mat in plan["mats"]}
    fell_from = {sheet["id"]: sheet["source"].get("mat") for sheet in plan["sheets"]}
    todo = [*sheets, *mats, *(mat for mat, sheet in lies_on.items() if sheet in sheets)]
    found: set[str] = set()
    while todo:
        unit = todo.pop()
        found.add(unit)
        todo += [before for before in (lies_on.get(unit), fell_from.get(unit)) if before]
    return frozenset(found)


def booking_faults(plan: Told, cuttings: Sequence[Cutting], labels: Mapping[str, str]) -> Iterator[str]:
    """Yield what of a plan's bookings is not as the plan says, one sentence each.

    Parameters
    ----------
    plan : Mapping
        The plan.
    cuttings : sequence of Cutting
        What was cut of it, each time; what was lost to a spoiled mat of one time may be cut another time.
    labels : Mapping of str to str
        The labels of leftovers of plans, folded, by the names that they had before they were cut.
    """
    off, on, due_off, due_on = Pieces(), Pieces(), Pieces(), Pieces()
    rest = most = 0
    for cutting in cuttings:
        off, due_off = off + _moved(cutting.moves, -1), due_off + _due_off(plan, cutting)
        on, due_on = on + _moved(cutting.moves, 1), due_on + _due_on(plan, cutting)
        rest += _own_area(plan, cutting) + _spare_area(plan, cutting) - _known(plan, cutting)
        most += sum(_product(mat["blank"]) for mat in plan["mats"] if mat["id"] in cutting.spoiled)
        yield from _other_labels(plan, cutting, labels)
    if off != due_off:
        yield f"took off or bought {_listed(off - due_off)}, not in the plan, and not {_listed(due_off - off)}"
    if due_on - on:
        yield f"did not put on {_listed(due_on - on)}"
    if on - due_on and not most:
        yield f"put on {_listed(on - due_on)}, which the plan does not leave"
    rest += _area(off) - _area(on)
    if not 0 <= rest <= most:
        yield f"the books do not balance: {rest} square ticks are left, of at most {most} in spoiled mats"


def _moved(moves: Iterable[Told], sign: int) -> Pieces:
    found: Pieces = Counter()
    for move in moves:
        if move["count"] * sign > 0:
            found[_piece(move["board"], move["size"])] += abs(move["count"])
    return found


def _piece(board: str, size: Iterable[int]) -> tuple[str, int, int]:
    shorter, longer = sorted(size)
    return plain(board), shorter, longer


def _listed(pieces: Pieces) -> str:
    return ", ".join(f"{count} {board[:20]} {w} x {h}" for (board, w, h), count in sorted(pieces.items())) or "nothing"


def _cut_sheets(plan: Told, cutting: Cutting) -> list[Told]:
    return [sheet for sheet in plan["sheets"] if sheet["id"] in cutting.units]


def _is_own(plan: Told, sheet: Told) -> bool:
    """Whether a sheet is of the job's own shelf table, of which the shelf file keeps no books."""
    return sheet["source"]["kind"] == "shelf" and sheet["source"]["label"] not in plan["shelf_file_labels"]


def _due_off(plan: Told, cutting: Cutting) -> Pieces:
    sheets = (sheet for sheet in _cut_sheets(plan, cutting) if sheet["source"]["kind"] != "fallout")
    return Counter(_piece(sheet["board"], sheet["size"]) for sheet in sheets if not _is_own(plan, sheet))


def _due_on(plan: Told, cutting: Cutting) -> Pieces:
    due = _spares(plan) if SPARE in cutting.units else Counter()
    boards = {part["id"]: part["board"] for part in (*plan["sheets"], *plan["mats"])}
    for left in plan["leftover"]:
        unit, edge = (left["sheet"], 0) if "sheet" in left else (left["mat"], 2 * plan["bench"]["squaring"])
        if left["keep"] and unit in cutting.units:
            due[_piece(boards[unit], (side - edge for side in left["size"]))] += 1
    return due


def _spares(plan: Told) -> Pieces:
    cut = Counter((sheet["source"].get("offer_row"), plain(sheet["board"])) for sheet in plan["sheets"])
    spare: Pieces = Counter()
    for line in plan["purchase"]["lines"]:
        count = line["count"] - cut[line["offer_row"], plain(line["board"])]
        spare += Counter({_piece(line["board"], line["sheet"]): count})
    return spare


def _other_labels(plan: Told, cutting: Cutting, labels: Mapping[str, str]) -> Iterator[str]:
    """Yield labels taken off that the plan does not name; what another plan was to leave has a label by now."""
    named = {sheet["source"]["label"] for sheet in _cut_sheets(plan, cutting) if sheet["source"]["kind"] == "shelf"}
    taken = {move["label"] for move in cutting.moves if move["count"] < 0 and move["label"] is not None}
    if {plain(label) for label in taken} - {labels.get(name, plain(name)) for name in named}:
        yield f"took off {sorted(taken)}, where the plan names {sorted(named)}"


def _product(size: Sequence[int]) -> int:
    return size[0] * size[1]


def _area(pieces: Pieces) -> int:
    return sum(count * w * h for (_, w, h), count in pieces.items())


def _own_area(plan: Told, cutting: Cutting) -> int:
    return sum(_product(sheet["size"]) for sheet in _cut_sheets(plan, cutting) if _is_own(plan, sheet))


def _spare_area(plan: Told, cutting: Cutting) -> int:
    """Return the area of sheets that go on without having been cut."""
    return _area(_spares(plan)) if SPARE in cutting.units else 0


def _known(plan: Told, cutting: Cutting) -> int:
    """Return the area in good mats, in scrap, and on the bench: blanks without windows, fallouts to be divided."""
    found = 0
    for sheet in _cut_sheets(plan, cutting):
        fell_out = sheet["source"]["kind"] == "fallout"
        found += _product(sheet["size"]) - _product(sheet["cuts"]["size"]) + _lost(sheet["cuts"])
        found -= _product(sheet["size"]) if fell_out else 0
    for mat in plan["mats"]:
        if mat["sheet"] in cutting.units and mat["id"] not in cutting.spoiled:
            found += _product(mat["blank"])
            found -= sum(_product(window["size"]) for window in mat["windows"]) if mat["id"] in cutting.units else 0
    divided = [sheet for sheet in plan["sheets"] if sheet["source"].get("mat") in cutting.units - cutting.spoiled]
    return found + sum(_product(sheet["size"]) for sheet in divided) + _unkept(plan, cutting)


def _lost(node: Told) -> int:
    """Return what the blade takes of a node of the cut tree."""
    parts = node.get("parts")
    if parts is None:
        return 0
    return _product(node["size"]) - sum(_product(part["size"]) - _lost(part) for part in parts)


def _unkept(plan: Told, cutting: Cutting) -> int:
    """Return the area of leftovers that are scrap, and of the bevels that are squared off those that are kept."""
    found, edge = 0, 2 * plan["bench"]["squaring"]
    for left in plan["leftover"]:
        if left.get("sheet", left.get("mat")) in cutting.units - cutting.spoiled:
            whole = _product(left["size"])
            kept = _product([side - edge for side in left["size"]] if "mat" in left else left["size"])
            found += whole - kept * left["keep"]
    return found
