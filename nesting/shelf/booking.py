"""A plan that was cut, whole or in part, put down on the shelf: what was used comes off, what is worth keeping goes on.

Two kinds of work are booked, each once: a sheet that was divided, which takes its piece off the shelf and puts its
offcuts on, and a mat whose windows were cut, which puts its fallouts on. So a plan that is cut on several days is
booked day by day.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import assert_never

from nesting.geometry import Size
from nesting.job import ShelfKind
from nesting.plan_file import PlanFile, PlannedSheet, Spare
from nesting.planned import Bought, FalloutLeft, FromFallout, FromShelf, Mat, OffcutLeft, PlacedMat
from nesting.shelf.held import Draft, HeldPiece, Move, Shelf, ShelfChangeError, put_on, take_off
from nesting.shelf.history import Change, History
from nesting.tidy import leftover_names

__all__ = ["SPARE", "Booking", "Cut", "again", "book", "left_label", "spare_name"]

SPARE = "spare sheets"
"""What all sheets that were bought and not cut are booked as."""
_UNCUT = "uncut "
_LEFT = re.compile("(?P<name>.+), plan (?P<plan>[0-9a-f]{6})")


@dataclass(frozen=True, slots=True)
class Cut:
    """What of a plan was cut: these sheets and mats, or everything where none is named; and which mats were spoiled."""

    sheets: tuple[str, ...] = ()
    mats: tuple[str, ...] = ()
    spoiled: tuple[str, ...] = ()

    @property
    def is_all(self) -> bool:
        """Whether the whole plan was cut."""
        return not (self.sheets or self.mats or self.spoiled)


@dataclass(frozen=True, slots=True)
class Booking:
    """What a plan changes on the shelf.

    Parameters
    ----------
    shelf : Shelf
        The shelf afterwards.
    moves : tuple of Move
        What came off, what was bought and cut, what went on.
    units : tuple of str
        The sheets and mats booked now; empty if all that was asked is booked already.
    placed : tuple of (str, HeldPiece)
        What went on: where it was cut from, and the piece with its label.
    remarks : tuple of str
        Sentences about what the shelf file could not follow.
    """

    shelf: Shelf
    moves: tuple[Move, ...]
    units: tuple[str, ...]
    placed: tuple[tuple[str, HeldPiece], ...]
    remarks: tuple[str, ...]


def book(plan: PlanFile, cut: Cut, shelf: Shelf, history: History, today: date) -> Booking:
    """Return what the shelf becomes when a plan was cut; what is booked already is not booked again.

    A mat brings the sheet that it was cut from, a sheet all its mats, and a fallout the mat that it fell out of.

    Parameters
    ----------
    plan : PlanFile
        The plan.
    cut : Cut
        What of it was cut.
    shelf : Shelf
        The shelf before.
    history : History
        Its log.
    today : date
        The day.

    Returns
    -------
    Booking
        With the area that the plan accounts for, to the tick: what came off and was bought is what went on, what is in
        mats, and scrap.

    Raises
    ------
    ShelfChangeError
        If the plan has no such sheet or mat, or the log is not whole, so that nobody knows what is booked.
    """
    if not history.is_whole(shelf.change):
        raise ShelfChangeError(
            "part of its log is missing, so that nobody knows whether this plan is booked already. Put the folder of "
            "the log back beside the shelf file, or write 0 after change in row 1 of the file to begin a new log"
        )
    _refuse_unknown(plan, cut)
    before = history.booked(shelf.change, plan.identity)
    fresh = [unit for unit in _units(plan, cut) if unit not in before]
    orphans = {mat: _orphans(plan, mat, before, fresh) for mat in cut.spoiled}
    clerk = _Clerk(plan, shelf, history, today, before | set(fresh))
    for unit in fresh:
        clerk.enter(unit, spoiled=unit in cut.spoiled)
    for mat, lost in orphans.items():
        if _for(mat, mat) not in before:
            clerk.strips(mat)
            fresh += [*lost, *(_for(one, mat) for one in (mat, *lost))]
    after, pieces = put_on(clerk.shelf, clerk.drafts, today, history.labels)
    moves = (*clerk.moves, *(Move(piece.label, piece.board, piece.size, piece.quantity) for piece in pieces))
    return Booking(
        after, moves, tuple(fresh), tuple(zip(clerk.names, pieces, strict=True)), tuple(dict.fromkeys(clerk.remarks))
    )


def again(plan: PlanFile, spoiled: Iterable[str], booked: frozenset[str]) -> tuple[PlacedMat, ...]:
    """Return the mats that must be cut again: the spoiled ones, and those that were to come out of their fallouts.

    Parameters
    ----------
    plan : PlanFile
        The plan.
    spoiled : iterable of str
        Mats.
    booked : frozenset of str
        What is booked of the plan, once the mats are booked as spoiled.

    Returns
    -------
    tuple of PlacedMat
        In the order of the plan.
    """
    wanted = set(spoiled)
    return tuple(one for one in plan.mats if any(_for(one.mat.id, mat) in booked for mat in wanted))


def left_label(plan: PlanFile, name: str) -> str:
    """Return what stands for a leftover of a plan that is not cut yet, and for ever in where the piece came from."""
    return f"{name}, plan {plan.identity[:6]}"


def spare_name(spare: Spare) -> str:
    """Return the name of sheets that are bought and not cut."""
    return f"{_UNCUT}{spare.board} of offer {spare.offer}"


def _is_awaited(label: str, changes: Iterable[Change]) -> bool:
    """Whether a label stands for what another plan will leave and has not left yet."""
    found = _LEFT.fullmatch(label)
    if found is None:
        return False
    unit = SPARE if label.startswith(_UNCUT) else label.split(maxsplit=1)[0]
    return not any((one.plan or "").startswith(found["plan"]) and unit in one.booked for one in changes)


class _Clerk:
    """Enters one sheet or mat after the other; what goes on the shelf is labelled at the end, all at once."""

    def __init__(self, plan: PlanFile, shelf: Shelf, history: History, today: date, booked: frozenset[str]) -> None:
        self.plan, self.shelf, self.history, self.today, self.booked = plan, shelf, history, today, booked
        self.moves: list[Move] = []
        self.drafts: list[Draft] = []
        self.names: list[str] = []
        self.remarks: list[str] = []
        self._sheets = {sheet.id: sheet for sheet in plan.sheets}
        self._mats = {placed.mat.id: placed for placed in plan.mats}
        self._left = list(zip(leftover_names(plan), plan.leftover, strict=True))

    def enter(self, unit: str, *, spoiled: bool) -> None:
        if unit in self._sheets:
            self._sheet(self._sheets[unit])
        elif unit in self._mats:
            self._fallouts(self._mats[unit], spoiled=spoiled)
        else:
            for spare in self.plan.spares:
                self._put(spare_name(spare), spare.board, spare.size, ShelfKind.SHEET, spare.count)

    def _sheet(self, sheet: PlannedSheet) -> None:
        match sheet.source:
            case Bought():
                self.moves.append(Move(None, sheet.board, sheet.size, -1))
            case FromShelf(label) if label in self.plan.in_file:
                self._take(sheet, label)
            case FromShelf(label):
                self.remarks.append(f"{label!r} ({sheet.id}) is in the job's own shelf table: cross it out there.")
            case FromFallout():
                pass
            case _ as never:
                assert_never(never)
        for name, left in self._left:
            if isinstance(left, OffcutLeft) and left.sheet == sheet.id and left.keep:
                self._put(name, sheet.board, left.size, ShelfKind.OFFCUT)

    def _take(self, sheet: PlannedSheet, label: str) -> None:
        piece = self.shelf.find(label) or next((one for one in self.shelf.pieces if one.origin.endswith(label)), None)
        if piece is None and _is_awaited(label, self.history.in_force(self.shelf.change)):
            raise ShelfChangeError(
                f"{sheet.id} is cut from {label}, which is not on the shelf yet: book that plan first"
            )
        if piece is None:
            self.remarks.append(f"{label} ({sheet.id}) was off the shelf already.")
            return
        if piece.size not in {sheet.size, sheet.size.turned}:
            self.remarks.append(
                f"{label} ({sheet.id}) has another size on the shelf than in the plan; it is taken off."
            )
        self.shelf, move = take_off(self.shelf, piece.label, 1, self.today)
        self.moves.append(move)

    def _fallouts(self, placed: PlacedMat, *, spoiled: bool) -> None:
        """Put on what fell out of a mat: what the plan leaves, or all of it where the mat is spoiled."""
        mat = placed.mat
        for name, left in self._left:
            if isinstance(left, FalloutLeft) and left.mat == mat.id and left.keep:
                self._put(name, placed.board, left.size.inset(self.plan.squaring), ShelfKind.FALLOUT)
        if spoiled:
            for sheet in self.plan.sheets:
                if isinstance(sheet.source, FromFallout) and sheet.source.mat == mat.id and sheet.id not in self.booked:
                    size = mat.windows[sheet.source.window].size.inset(self.plan.squaring)
                    if self._is_worth_keeping(size):
                        self._put(f"{mat.id} fallout, for {sheet.id}", placed.board, size, ShelfKind.FALLOUT)

    def strips(self, mat: str) -> None:
        """Put on what is usable of a spoiled mat: its borders, less the bevel, once the window is out of them."""
        placed = self._mats[mat]
        found = [(side, size) for side, size in _strips(placed.mat, self.plan.squaring) if self._is_worth_keeping(size)]
        for side, size in found:
            self._put(f"{mat} {side} border", placed.board, size, ShelfKind.OFFCUT)
        if not found:
            self.remarks.append(f"No strip of {mat} is large enough to keep; if one is, put it on with shelf add.")

    def _is_worth_keeping(self, size: Size) -> bool:
        return all(side >= least for side, least in zip(sorted(size), sorted(self.plan.keep_at_least), strict=True))

    def _put(self, name: str, board: str, size: Size, kind: ShelfKind, count: int = 1) -> None:
        self.names.append(name)
        self.drafts.append(Draft(board, size, count, kind, f"{self.plan.job}: {left_label(self.plan, name)}"))


def _strips(mat: Mat, squaring: int) -> Iterator[tuple[str, Size]]:
    """Yield the borders of a mat as strips: those at the sides full height, those above and below between them."""
    borders, (w, h) = mat.borders, mat.blank
    if borders is None:
        return
    yield "left", Size(borders.left - squaring, h)
    yield "right", Size(borders.right - squaring, h)
    between = w - borders.left - borders.right + 2 * squaring
    yield "top", Size(between, borders.top - squaring)
    yield "bottom", Size(between, borders.bottom - squaring)


def _for(mat: str, spoiled: str) -> str:
    """Return the entry that says that a mat must be cut again because one was spoiled."""
    return f"{mat} again for {spoiled}"


def _refuse_unknown(plan: PlanFile, cut: Cut) -> None:
    sheets, mats = [sheet.id for sheet in plan.sheets], [placed.mat.id for placed in plan.mats]
    for what, asked, known in (("sheet", cut.sheets, sheets), ("mat", (*cut.mats, *cut.spoiled), mats)):
        for name in asked:
            if name not in known:
                has = f"it has {known[0]} to {known[-1]}" if known else "it has none"
                raise ShelfChangeError(f"the plan has no {what} {name}: {has}")


def _units(plan: PlanFile, cut: Cut) -> Iterator[str]:
    """Yield the sheets and mats to be booked with all that must have been cut before them, in the plan's order."""
    wanted = _wanted(plan, cut)
    for sheet in plan.sheets:
        if sheet.id in wanted:
            yield sheet.id
    for placed in plan.mats:
        if placed.mat.id in wanted:
            yield placed.mat.id
    if cut.is_all and plan.spares:
        yield SPARE


def _wanted(plan: PlanFile, cut: Cut) -> set[str]:
    sheets = {sheet.id for sheet in plan.sheets} if cut.is_all else set(cut.sheets)
    mats = {*cut.mats, *cut.spoiled} | {placed.mat.id for placed in plan.mats if placed.sheet in sheets}
    lies_on = {placed.mat.id: placed.sheet for placed in plan.mats}
    # A sheet comes after the one that its fallout fell out of, so going backwards finds every forebear.
    for sheet in reversed(plan.sheets):
        if sheet.id in sheets or any(lies_on[mat] == sheet.id for mat in mats):
            sheets.add(sheet.id)
            if isinstance(sheet.source, FromFallout):
                mats.add(sheet.source.mat)
    return sheets | mats


def _orphans(plan: PlanFile, spoiled: str, before: frozenset[str], fresh: Iterable[str]) -> list[str]:
    """Return the sheets and mats that were to come out of fallouts of a spoiled mat and are not cut.

    The fallouts of a mat that was booked before it was found spoiled are good: what comes out of them stays planned.
    """
    if spoiled in before:
        return []
    lost, done = {spoiled}, before | set(fresh)
    found: list[str] = []
    for sheet in plan.sheets:
        if isinstance(sheet.source, FromFallout) and sheet.source.mat in lost and sheet.id not in done:
            mats = [placed.mat.id for placed in plan.mats if placed.sheet == sheet.id]
            found += [sheet.id, *mats]
            lost.update(mats)
    return found
