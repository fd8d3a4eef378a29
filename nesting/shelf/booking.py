"""Booking a plan that was cut, whole or in part: what was used comes off the shelf, what is worth keeping goes on.

Two kinds of work are booked, each once. A sheet that was divided takes its piece off the shelf and puts its offcuts on.
A mat whose windows were cut puts its fallouts on. So a plan that takes several days can be booked day by day.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import assert_never

from nesting.bench.rounds import leftover_names
from nesting.geometry import Size, is_worth_keeping
from nesting.model.job import ShelfKind
from nesting.model.mat import Mat
from nesting.model.plan import Bought, FalloutLeft, FromFallout, FromShelf, OffcutLeft, PlacedMat
from nesting.plan_file.read import PlanFile, PlannedSheet, Spare
from nesting.reading.limits import LONGEST_NAME
from nesting.shelf.held import Draft, HeldPiece, Move, Shelf, ShelfChangeError, put_on, take_off
from nesting.shelf.history import AGAIN, Change, History, Reservation
from nesting.shelf.reserving import Claims, reserve_rest
from nesting.shelf.sources import left_label
from nesting.spelling import fold

__all__ = ["SPARE", "Booking", "Cut", "again", "book", "booked_of", "cut_well", "spare_name", "to_cut_again_of"]

SPARE = "spare sheets"
"""The entry in the log for all sheets that were bought and not cut."""
_UNCUT = "uncut "


@dataclass(frozen=True, slots=True)
class Cut:
    """Which sheets and mats of a plan were cut, all of them if none is named, and which mats were spoiled.

    `divided` names sheets that are cut apart: their offcuts are there, even if their mats are not finished yet.
    `sheets` names those whose mats are cut too. `scrap` says that nothing is kept of the spoiled mats, as of a blank
    that was spoiled before its window was cut; `spares` says that the sheets that stay whole go on the shelf too.
    """

    sheets: tuple[str, ...] = ()
    mats: tuple[str, ...] = ()
    spoiled: tuple[str, ...] = ()
    divided: tuple[str, ...] = ()
    scrap: bool = False
    spares: bool = False

    @property
    def is_all(self) -> bool:
        """Whether the whole plan was cut."""
        return not (self.sheets or self.mats or self.spoiled or self.divided)


@dataclass(frozen=True, slots=True)
class Booking:
    """What a plan changes on the shelf.

    Parameters
    ----------
    shelf : Shelf
        The shelf afterwards.
    moves : tuple of Move
        What came off the shelf, what was bought and cut, and what went on the shelf.
    units : tuple of str
        The sheets and mats booked now; empty if all of them were booked before.
    placed : tuple of (str, HeldPiece)
        What went on: where it was cut from, and the piece with its label.
    remarks : tuple of str
        Sentences about what the user has to change by hand.
    keys : tuple of str
        The keys of `units` in the log.
    time : int
        How many times the plan was cut, this time included.
    reserved : Reservation or None
        What is reserved from now on for the rest of the plan.
    """

    shelf: Shelf
    moves: tuple[Move, ...]
    units: tuple[str, ...]
    placed: tuple[tuple[str, HeldPiece], ...]
    remarks: tuple[str, ...]
    keys: tuple[str, ...]
    time: int
    reserved: Reservation | None


def book(
    plan: PlanFile,
    cut: Cut,
    shelf: Shelf,
    history: History,
    today: date,
    *,
    once_more: bool = False,
    reserved_too: bool = False,
) -> Booking:
    """Return the shelf after a plan was cut; what is booked already is not booked again.

    A mat is booked with the sheet that it was cut from, a sheet with all its mats unless it is only divided, and a
    fallout with its mat.

    Parameters
    ----------
    plan : PlanFile
        The plan.
    cut : Cut
        Which part of it was cut.
    shelf : Shelf
        The shelf before.
    history : History
        Its log.
    today : date
        The day.
    once_more : bool
        Whether it was really cut a second time, this plan or another one of the same pieces.
    reserved_too : bool
        Whether pieces that are kept for other plans are taken too.

    Returns
    -------
    Booking
        No area is lost, to the square tick: what came off the shelf and was bought is what went on, what is in the
        mats, and scrap.

    Raises
    ------
    ShelfChangeError
        If the plan has no such sheet or mat; if a piece that it cuts is gone, was replaced by another or is kept for
        another plan; if its mats are booked through another plan; or if part of the log is missing, so that nobody
        knows what is booked.
    """
    if not history.is_whole(shelf.change):
        raise ShelfChangeError(
            "part of its log is missing, so that nobody knows whether this plan is booked already. Put the folder of "
            "the log back beside the shelf file, or write 0 after change in row 1 of the file to begin a new log"
        )
    _refuse_unknown(plan, cut)
    ever, time = booked_of(plan, history, shelf.change), max(1, history.times(shelf.change, plan.identity))
    before, asked = ever, list(_units(plan, cut))
    if once_more:
        before = _booked_last(plan, history, shelf.change)
        if before.intersection(asked):
            before, time = frozenset[str](), time + 1
    fresh = [unit for unit in asked if unit not in before]
    if not once_more:
        _refuse_elsewhere(plan, fresh, history, shelf.change)
    orphans = {mat: _orphans(plan, mat, before, fresh) for mat in cut.spoiled}
    claims = Claims(shelf, history, {plan.identity}, also_kept=reserved_too)
    clerk = _Clerk(plan, shelf, claims, today, before | set(fresh))
    for unit in fresh:
        if not (cut.scrap and unit in cut.spoiled):
            clerk.enter(unit, spoiled=unit in cut.spoiled)
    for mat, lost in orphans.items():
        if _for(mat, mat) not in before:
            if not cut.scrap:
                clerk.strips(mat)
            fresh += [*lost, *(_for(one, mat) for one in (mat, *lost))]
    own = {fold(draft.label) for draft in clerk.drafts if draft.label is not None}
    after, pieces = put_on(clerk.shelf, clerk.drafts, today, history.labels - own)
    placed = tuple(zip(clerk.names, pieces, strict=True))
    left = (Move(one.label, one.board, one.size, one.quantity, left_label(plan, name)) for name, one in placed)
    return Booking(
        shelf=after,
        moves=(*clerk.moves, *left),
        units=tuple(fresh),
        placed=placed,
        remarks=tuple(dict.fromkeys(clerk.remarks)),
        keys=tuple(_translated(unit, plan.keys) for unit in fresh),
        time=time,
        reserved=reserve_rest(plan, claims, ever | set(fresh)) if fresh else None,
    )


def booked_of(plan: PlanFile, history: History, change: int) -> frozenset[str]:
    """Return the sheets and mats of a plan that are booked, by the ids that they have in this plan file.

    Parameters
    ----------
    plan : PlanFile
        The plan.
    history : History
        The log of the shelf.
    change : int
        The number of the shelf's last change.

    Returns
    -------
    frozenset of str
        With the entries for what must be cut again, which `again` reads: of a plan that was cut several times, only
        those of the last time.
    """
    changes = history.in_force(change)
    cut = {unit for one in changes if one.plan == plan.identity for unit in one.booked if AGAIN not in unit}
    return _by_id(plan, cut) | _booked_last(plan, history, change)


def _booked_last(plan: PlanFile, history: History, change: int) -> frozenset[str]:
    """Return what is booked of a plan, by ids, of the last time that it was cut."""
    booked = _by_id(plan, history.booked(change, plan.identity))
    return booked if history.times(change, plan.identity) > 1 else booked | history.booked(change, plan.earlier)


def _by_id(plan: PlanFile, units: Iterable[str]) -> frozenset[str]:
    ids = {key: name for name, key in plan.keys.items()}
    return frozenset(_translated(unit, ids) for unit in units)


def _translated(unit: str, names: Mapping[str, str]) -> str:
    """Put the key of a sheet or mat in place of its id, or the id in place of the key."""
    return AGAIN.join(names.get(part, part) for part in unit.split(AGAIN))


def _refuse_elsewhere(plan: PlanFile, fresh: Iterable[str], history: History, change: int) -> None:
    """Refuse to book a mat that is booked through another plan of the same wall, and is good."""
    others = [
        one for one in history.in_force(change) if one.plan not in {None, plan.identity, plan.earlier} and one.booked
    ]
    good, last = Counter[str](), dict[str, Change]()
    for one in others:
        for unit in one.booked:
            good[unit.split(AGAIN)[0]] += -1 if AGAIN in unit else 1
            last[unit] = one
    names = {placed.mat.id: placed.mat.piece for placed in plan.mats}
    twice = [unit for unit in fresh if unit in names and good[plan.keys[unit]] > 0]
    if twice:
        more = f" and {len(twice) - 1} more" if len(twice) > 1 else ""
        when = last[plan.keys[twice[0]]].at[:10]
        raise ShelfChangeError(
            f"the mat {twice[0]} of {names[twice[0]]}{more} {'are' if more else 'is'} booked already, through another "
            f"plan of the same pieces ({when}). If this plan was only printed again or tried, there is nothing to "
            "book. If these mats were really cut a second time, say so with --again; to book only others, name them "
            "with --sheet or --mat"
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


def cut_well(plan: PlanFile, booked: frozenset[str]) -> frozenset[str]:
    """Return the mats of a plan that are cut and need not be cut again, of what is booked of it."""
    return booked.intersection(placed.mat.id for placed in plan.mats) - to_cut_again_of(booked)


def to_cut_again_of(booked: frozenset[str]) -> frozenset[str]:
    """Return the mats that must be cut again, of what is booked of their plan."""
    return frozenset(unit.partition(AGAIN)[0] for unit in booked if AGAIN in unit)


def spare_name(spare: Spare) -> str:
    """Return the name of sheets that are bought and not cut."""
    return f"{_UNCUT}{spare.board} of offer {spare.offer}"


class _Clerk:
    """Books one sheet or mat after the other; what goes on the shelf gets its labels at the end, all at once."""

    def __init__(self, plan: PlanFile, shelf: Shelf, claims: Claims, today: date, booked: frozenset[str]) -> None:
        self.plan, self.shelf, self.claims, self.today, self.booked = plan, shelf, claims, today, booked
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
        piece = self.claims.claim(sheet, label)
        if piece is None:
            raise ShelfChangeError(
                f"{sheet.id} is cut from {label}, which is not on the shelf yet: book that plan first"
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
                    if is_worth_keeping(size, self.plan.keep_at_least):
                        self._put(f"{mat.id} fallout, for {sheet.id}", placed.board, size, ShelfKind.FALLOUT)

    def strips(self, mat: str) -> None:
        """Put on what can still be used of a spoiled mat: the strips of its borders, with the bevel cut off."""
        placed = self._mats[mat]
        least = self.plan.keep_at_least
        found = [its for its in _strips(placed.mat, self.plan.squaring) if is_worth_keeping(its[1], least)]
        for side, size in found:
            self._put(f"{mat} {side} border", placed.board, size, ShelfKind.OFFCUT)
        if not found:
            self.remarks.append(f"No strip of {mat} is large enough to keep; if one is, put it on with shelf add.")

    def _put(self, name: str, board: str, size: Size, kind: ShelfKind, count: int = 1) -> None:
        """Put a piece on under the label that its page gives it, or the next free one where that is on the shelf."""
        label = left_label(self.plan, name)
        free = label if self.shelf.find(label) is None else None
        self.names.append(name)
        self.drafts.append(Draft(board, size, count, kind, _origin(self.plan.job, label), free))


def _origin(job: str, left: str) -> str:
    """Say where a leftover comes from, its end kept, in what a cell of the shelf file holds beside an apostrophe."""
    return f"{job}: {left}"[1 - LONGEST_NAME :]


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
    return f"{mat}{AGAIN}{spoiled}"


def _refuse_unknown(plan: PlanFile, cut: Cut) -> None:
    sheets, mats = [sheet.id for sheet in plan.sheets], [placed.mat.id for placed in plan.mats]
    named = ("sheet", (*cut.sheets, *cut.divided), sheets), ("mat", (*cut.mats, *cut.spoiled), mats)
    for what, asked, known in named:
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
    if (cut.is_all or cut.spares) and plan.spares:
        yield SPARE


def _wanted(plan: PlanFile, cut: Cut) -> set[str]:
    sheets = {sheet.id for sheet in plan.sheets} if cut.is_all else set(cut.sheets)
    mats = {*cut.mats, *cut.spoiled} | {placed.mat.id for placed in plan.mats if placed.sheet in sheets}
    sheets |= set(cut.divided)
    lies_on = {placed.mat.id: placed.sheet for placed in plan.mats}
    # A sheet comes after the one that its fallout fell out of, so going backwards finds all that it comes from.
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
