"""Random walks over one shelf: two walls are planned, booked in part, spoiled, undone, planned and booked again.

Between them pieces are added, taken, given back and corrected by hand. Beside each step a ledger of areas is kept: what
came in is in mats, on the shelf, or scrap.
"""

import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta
from functools import partial
from pathlib import Path
from typing import Any

from nesting.errors import ShelfError
from nesting.geometry import Size
from nesting.model.job import Job, Unit
from nesting.model.plan import Bought, FromFallout, FromShelf, OffcutLeft
from nesting.plan_file.read import PlanFile
from nesting.shelf.booking import SPARE, Booking, Cut, again, book, booked_of
from nesting.shelf.held import Shelf, take_off
from nesting.shelf.history import History
from nesting.shelf.mending import again_of, job_again, reserve_again
from nesting.shelf.reserving import Claims, free_shelf, reserve, reserved_by
from nesting.shelf.stock import with_shelf
from nesting.shelf.store import Edited, change_shelf, history_of, load_shelf, shelf_before, undo_change
from nesting.shelf.undoing import put_back, undo_booking
from nesting.spelling import fold
from tests.builders import exact, make_bench, make_board, make_job, make_offer, make_piece, make_shelf, make_shop
from tests.shelf.greedy import KEEP, MM, SQUARING, cut
from tests.shelf.shelves import NOW, draft, put

__all__ = ["Walk"]

BOARDS = ("sage", "oat")


def wall(chance: random.Random, number: int) -> Job:
    """Make a wall of a few mats; some hold a smaller one in their window, one offer is limited, one is in packs."""
    pieces = []
    for row in range(2, chance.randint(4, 6)):
        w, h = chance.randint(61, 167), chance.randint(43, 131)
        window = (
            None if chance.random() < 0.3 else ((w - chance.randint(16, 36)) * MM, (h - chance.randint(14, 30)) * MM)
        )
        boards = (chance.choice(BOARDS),)
        pieces.append(make_piece(f"{number}.{row}", (w * MM, h * MM), window, row=row, boards=boards))
    return make_job(
        *pieces,
        path=f"wall {number}",
        offers=(
            make_offer(1, "Alder", "sage", 740, sheet=Size(173 * MM, 137 * MM), at_most=1),
            make_offer(2, "Alder", "sage", 940, sheet=Size(223 * MM, 307 * MM)),
            make_offer(3, "Birch", "oat", 610, sheet=Size(211 * MM, 293 * MM), pack_of=2),
        ),
        shops=(make_shop("Alder"), make_shop("Birch")),
        boards=tuple(make_board(board) for board in BOARDS),
        shelf=(make_shelf("lid", "sage", (179 * MM, 139 * MM), quantity=2),),
        bench=make_bench(ruler=MM, squaring=SQUARING, keep_at_least=exact(*KEEP)),
    )


@dataclass
class Walk:
    """A walk over a shelf of its own; `step` takes one at random and checks the books."""

    path: Path
    chance: random.Random
    walls: list[Job] = field(default_factory=list)
    plans: list[PlanFile] = field(default_factory=list)
    by_hand: dict[int, int] = field(default_factory=dict)
    bookings: dict[int, tuple[PlanFile, Booking, bool]] = field(default_factory=dict)
    held_before: dict[int, bytes | None] = field(default_factory=dict)
    taken: Counter[str] = field(default_factory=Counter)
    shared: bool = False
    now: int = 0

    def begin(self) -> None:
        self.walls = [wall(self.chance, number) for number in (1, 2)]
        for _ in range(4):
            self.add()
            self.check()

    def step(self) -> str:
        names = ("plan",) * 4 + ("book",) * 5 + ("spoil", "undo", "undo_plan") * 2 + ("reserve", "drop", "take")
        name = self.chance.choice((*names, "give_back", "correct", "add"))
        before = self.path.read_bytes()
        try:
            getattr(self, name)()
            self.taken[name] += 1
        except ShelfError:
            assert self.path.read_bytes() == before, name
            self.taken[f"{name} refused"] += 1
        self.check()
        return name

    def changed(self, command: str, edit: Any) -> int:
        """Change the shelf; return the number of the change, or 0 if it changed nothing."""
        before, last = (self.path.read_bytes() if self.path.exists() else None), load_shelf(self.path, Unit.MM).change
        self.now += 1
        change_shelf(self.path, command, edit, unit=Unit.MM, now=NOW + timedelta(minutes=self.now))
        number = load_shelf(self.path).change
        if number == last:
            return 0
        self.held_before[number] = before
        return number

    def add(self) -> None:
        size = Size(self.chance.randint(90, 190) * MM, self.chance.randint(90, 190) * MM)
        before = self.path.read_bytes() if self.path.exists() else None
        (piece,) = put(self.path, draft(self.chance.choice(BOARDS), size, self.chance.choice((1, 1, 2))))
        number = load_shelf(self.path).change
        self.held_before[number], self.by_hand[number] = before, piece.area

    def plan(self) -> None:
        held, history = load_shelf(self.path), history_of(self.path)
        self.shared |= (too := self.chance.random() < 0.1)
        made = cut(with_shelf(self.chance.choice(self.walls), held if too else free_shelf(held, history)), self.path)
        if made is not None:
            self.plans.append(made)

    def one(self) -> PlanFile:
        if not self.plans:
            self.plan()
        return self.chance.choice(self.plans[-5:])

    def booked(self, plan: PlanFile, asked: Cut) -> Booking:
        made: list[Booking] = []
        once_more, too = self.chance.random() < 0.1, self.chance.random() < 0.1
        self.shared |= too

        def edit(shelf: Shelf, history: History) -> Edited:
            told = book(plan, asked, shelf, history, NOW.date(), once_more=once_more, reserved_too=too)
            made.append(told)
            return Edited(told.shelf, told.moves, plan.identity, told.keys, told.time, told.reserved)

        number = self.changed("done", edit)
        if number:
            self.bookings[number] = plan, made[0], once_more
        return made[0]

    def book(self) -> None:
        plan = self.one()
        part = self.chance.choice(("all", "all", "sheet", "mat"))
        sheet, placed = self.chance.choice(plan.sheets), self.chance.choice(plan.mats)
        asked = {"all": Cut(), "sheet": Cut(sheets=(sheet.id,)), "mat": Cut(mats=(placed.mat.id,))}[part]
        self.booked(plan, asked)

    def spoil(self) -> None:
        plan = self.one()
        names = (self.chance.choice(plan.mats).mat.id,)
        self.booked(plan, Cut(spoiled=names))
        held, history = load_shelf(self.path), history_of(self.path)
        mats = again(plan, names, booked_of(plan, history, held.change))
        job = next(job for job in self.walls if job.path == plan.job)
        made = cut(job_again(job, plan, mats, held, history), self.path, again_of(plan, mats))
        if made is not None:
            self.changed("reserve", lambda shelf, log: reserve_again(plan, mats, made, shelf, log))
            self.plans.append(made)

    def reserve(self) -> None:
        plan = self.one()

        def edit(shelf: Shelf, history: History) -> Edited:
            kept = reserve(plan, Claims(shelf, history, {plan.identity}), booked_of(plan, history, shelf.change))
            return Edited(shelf, (), reserved=kept)

        self.changed("reserve", edit)

    def drop(self) -> None:
        plan = self.one()
        self.changed("drop", lambda shelf, _: Edited(shelf, (), dropped=(plan.identity,)))

    def undo(self) -> None:
        change = undo_change(self.path)
        now = self.path.read_bytes() if self.path.exists() else None
        assert now == self.held_before[change.number]
        if now is None:
            self.add()

    def undo_plan(self) -> None:
        plan, last = self.one(), load_shelf(self.path).change
        before, shelf = self.path.read_bytes(), load_shelf(self.path)
        change = undo_booking(self.path, (plan.identity, plan.earlier), NOW)
        number = load_shelf(self.path).change
        if number > last:
            self.held_before[number] = before
        else:
            assert self.path.read_bytes() == self.held_before[change.number]
        assert shelf != load_shelf(self.path)

    def label(self) -> str:
        pieces = load_shelf(self.path).pieces
        return self.chance.choice(pieces).label if pieces else "R1"

    def take(self) -> None:
        label, moved = self.label(), []

        def edit(shelf: Shelf, _: History) -> Edited:
            after, move = take_off(shelf, label, 1, NOW.date())
            moved.append(move)
            return Edited(after, (move,))

        number = self.changed("take", edit)
        self.by_hand[number] = -moved[0].size.area

    def give_back(self) -> None:
        changes = history_of(self.path).changes.values()
        hand = [move.label for one in changes if one.command == "take" for move in one.moves]
        labels = hand or [move.label for one in changes for move in one.moves if move.label]
        label, before = self.chance.choice(labels), _area(load_shelf(self.path))
        number = self.changed("return", lambda held, log: put_back(label, held, log, partial(shelf_before, self.path)))
        self.by_hand[number] = _area(load_shelf(self.path)) - before
        assert self.by_hand[number] > 0

    def correct(self) -> None:
        label, by = self.label(), self.chance.choice((-MM, MM))

        def edit(shelf: Shelf, _: History) -> Edited:
            pieces = [
                replace(one, size=Size(one.size.w + by, one.size.h)) if one.label == label else one
                for one in shelf.pieces
            ]
            return Edited(replace(shelf, pieces=tuple(pieces)), ())

        before = _area(load_shelf(self.path))
        number = self.changed("correct", edit)
        self.by_hand[number] = _area(load_shelf(self.path)) - before

    def check(self) -> None:
        shelf, history = load_shelf(self.path), history_of(self.path)
        changes = history.in_force(shelf.change)
        cuts: dict[tuple[str, int], tuple[PlanFile, list[Booking]]] = {}
        for one in changes:
            if one.number in self.bookings:
                plan, booking, _ = self.bookings[one.number]
                cuts.setdefault((plan.identity, booking.time), (plan, []))[1].append(booking)
        books = [_books(plan, bookings) for plan, bookings in cuts.values()]
        came, in_mats, scrap = (sum(book[place] for book in books) for place in range(3))
        came += sum(self.by_hand.get(one.number, 0) for one in changes)
        assert came == in_mats + scrap + _area(shelf), [one.command for one in changes]
        self._nothing_twice(cuts, {one.number for one in changes})
        moved: Counter[str] = Counter()
        for one in changes:
            moved.update({fold(move.label): 0 for move in one.moves if move.label})
            for move in one.moves:
                if move.label:
                    moved[fold(move.label)] += move.count
        assert {fold(piece.label): piece.quantity for piece in shelf.pieces} == {
            label: count for label, count in moved.items() if count
        }
        if not self.shared:
            for label, who in reserved_by(shelf, history).items():
                piece = shelf.find(label)
                assert piece is None or len(who) <= piece.quantity

    def _nothing_twice(self, cuts: dict[tuple[str, int], tuple[PlanFile, list[Booking]]], force: set[int]) -> None:
        more = {plan.identity for number, (plan, _, again) in self.bookings.items() if again and number in force}
        seen: dict[str, str] = {}
        for (identity, _), (plan, bookings) in cuts.items():
            units = [unit for booking in bookings for unit in booking.units]
            assert len(units) == len(set(units))
            spoiled = {unit.split(" again for ")[0] for unit in units if " again for " in unit}
            for placed in plan.mats:
                if placed.mat.id in units and placed.mat.id not in spoiled and identity not in more:
                    assert seen.setdefault(plan.keys[placed.mat.id], identity) == identity


def _area(shelf: Shelf) -> int:
    return sum(piece.area for piece in shelf.pieces)


def _books(plan: PlanFile, bookings: Sequence[Booking]) -> tuple[int, int, int]:
    """Return what the booked parts of a plan brought in that was not on the shelf, what is in mats, and what is scrap.

    A fallout that is still to be divided is counted with the mat that it came out of.
    """
    units = {unit for booking in bookings for unit in booking.units}
    pairs = [unit.split(" again for ") for unit in units if " again for " in unit]
    lost, spoiled = {one for one, other in pairs if one != other}, {one for one, other in pairs if one == other}
    real = units - lost
    put_on = {name: piece.area for booking in bookings for name, piece in booking.placed}
    came = sum(spare.count * spare.size.area for spare in plan.spares) if SPARE in real else 0
    in_mats = scrap = 0
    for sheet in plan.sheets:
        if sheet.id in real:
            is_new = isinstance(sheet.source, Bought) or (
                isinstance(sheet.source, FromShelf) and sheet.source.label not in plan.in_file
            )
            came += sheet.size.area if is_new else 0
            blanks = sum(placed.mat.blank.area for placed in plan.mats if placed.sheet == sheet.id)
            rest = sheet.size.area - blanks - sum(_kept_offcuts(plan, sheet.id))
            assert rest >= 0
            in_mats, scrap = in_mats + blanks, scrap + rest
    divided = {
        (one.source.mat, one.source.window): one.id for one in plan.sheets if isinstance(one.source, FromFallout)
    }
    for mat in (placed.mat for placed in plan.mats if placed.mat.id in real):
        for place, window in enumerate(mat.windows):
            into = divided.get((mat.id, place))
            if into is None:
                on_shelf = put_on.get(f"{mat.id} fallout", 0)
            elif into in lost:
                on_shelf = put_on.get(f"{mat.id} fallout, for {into}", 0)
            else:
                in_mats -= window.size.area if into in real else 0
                continue
            in_mats, scrap = in_mats - window.size.area, scrap + window.size.area - on_shelf
        if mat.id in spoiled:
            border = mat.blank.area - sum(window.size.area for window in mat.windows)
            strips = sum(area for name, area in put_on.items() if name.startswith(mat.id) and name.endswith(" border"))
            assert strips <= border
            in_mats, scrap = in_mats - border, scrap + border - strips
    assert in_mats >= 0
    assert scrap >= 0
    return came, in_mats, scrap


def _kept_offcuts(plan: PlanFile, sheet: str) -> Iterator[int]:
    for left in plan.leftover:
        if isinstance(left, OffcutLeft) and left.sheet == sheet and left.keep:
            yield left.size.area
