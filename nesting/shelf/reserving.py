"""Reservations: what is kept for a plan until it is booked or dropped, so that no other plan cuts it."""

from collections import Counter
from collections.abc import Collection, Mapping
from contextlib import suppress
from dataclasses import replace

from nesting.plan_file.read import PlanFile, PlannedSheet
from nesting.shelf.held import HeldPiece, Shelf, ShelfChangeError
from nesting.shelf.history import History, Reservation
from nesting.shelf.sources import finder, takes
from nesting.spelling import fold

__all__ = [
    "Claims",
    "find_reservation",
    "free_shelf",
    "kept_for_others",
    "reservation_of",
    "reserve",
    "reserve_rest",
    "reserved_by",
]

_SHORT = 6


def reservation_of(plan: PlanFile, booked: frozenset[str] = frozenset()) -> Reservation:
    """Return what a plan takes, less what is booked of it (ids of its sheets)."""
    offers = Counter[int]()
    for line in plan.bought:
        offers[line.offer] += line.count
    again = plan.again
    return Reservation(
        plan=plan.identity,
        job=plan.job,
        takes=tuple((plan.keys[sheet.id], label) for sheet, label in takes(plan) if sheet.id not in booked),
        offers=tuple(sorted(offers.items())),
        table=tuple(sorted(plan.taken_of_table().items())),
        mends=again.plan if again else None,
        mats=again.mats if again else (),
        first=again.first if again else None,
    )


def kept_for_others(shelf: Shelf, history: History, but: Collection[str] = ()) -> Counter[str]:
    """Return how many pieces are kept for other plans than these, by folded label, or by name if still to come."""
    find = finder(shelf, history)
    return Counter(
        find.label(label)
        for kept in history.reservations(shelf.change)
        if kept.plan not in but
        for _, label in kept.takes
    )


def free_shelf(shelf: Shelf, history: History) -> Shelf:
    """Return a shelf without the pieces that are reserved."""
    kept = kept_for_others(shelf, history)
    left = (replace(piece, quantity=piece.quantity - kept[fold(piece.label)]) for piece in shelf.pieces)
    return replace(shelf, pieces=tuple(piece for piece in left if piece.quantity > 0))


def reserved_by(shelf: Shelf, history: History) -> dict[str, tuple[str, ...]]:
    """Return for each folded label of the shelf the names of the plans that have reserved its pieces."""
    find = finder(shelf, history)
    names: dict[str, list[str]] = {}
    for kept in history.reservations(shelf.change):
        for label in dict.fromkeys(find.label(label) for _, label in kept.takes):
            names.setdefault(label, []).append(kept.name)
    return {label: tuple(who) for label, who in names.items()}


class Claims:
    """Gives the pieces of a shelf to one plan, one after the other, each at most once.

    Parameters
    ----------
    shelf : Shelf
        The shelf as it is before any of them is taken.
    history : History
        Its log.
    plans : collection of str
        The identities of the plan, and of plans that it replaces.
    also_kept : bool
        Whether pieces that are kept for other plans may be taken.
    to_come : Mapping of str to int
        How many pieces other plans will still leave, by the names that they have there; one of each that is not named.
    """

    def __init__(
        self,
        shelf: Shelf,
        history: History,
        plans: Collection[str],
        *,
        also_kept: bool = False,
        to_come: Mapping[str, int] | None = None,
    ) -> None:
        self._shelf, self._history, self._also_kept = shelf, history, also_kept
        self._find, self._kept = finder(shelf, history), kept_for_others(shelf, history, plans)
        self._to_come, self._claimed = to_come or {}, Counter[str]()

    def claim(self, sheet: PlannedSheet, name: str) -> HeldPiece | None:
        """Return the piece that a sheet is cut from; None where another plan must be booked first.

        Raises
        ------
        ShelfChangeError
            If it is gone, is another piece than was planned with, or is kept for another plan.
        """
        piece, label = self._find.source(self._shelf, sheet, name), self._find.label(name)
        claimed, kept = self._claimed[label] + 1, self._kept[label]
        if piece is not None and claimed > piece.quantity:
            raise ShelfChangeError(
                f"{sheet.id} is cut from {piece.label}, of which only {piece.quantity} can be taken. Plan the job again"
            )
        there = self._to_come.get(name, 1) if piece is None else piece.quantity
        if kept and claimed + kept > there and not self._also_kept:
            who = " and ".join(reserved_by(self._shelf, self._history)[label])
            raise ShelfChangeError(
                f"{sheet.id} is cut from {piece.label if piece else name}, which is reserved by {who}. Book that plan "
                "or drop it (windowfall shelf drop) first, or plan this job again without it; --reserved-too takes it "
                "all the same"
            )
        self._claimed[label] = claimed
        return piece


def reserve(plan: PlanFile, claims: Claims, booked: frozenset[str] = frozenset()) -> Reservation:
    """Return the reservation of a plan; every piece that it takes is there and reserved by nobody else.

    Parameters
    ----------
    plan : PlanFile
        The plan.
    claims : Claims
        Of this plan, on the shelf as it is.
    booked : frozenset of str
        The sheets and mats of the plan that are booked.

    Returns
    -------
    Reservation
        Of what is not booked.

    Raises
    ------
    ShelfChangeError
        If a piece is gone, is another one than was planned with, or is kept for another plan. Nothing is reserved then.
    """
    for sheet, label in takes(plan):
        if sheet.id not in booked:
            claims.claim(sheet, label)
    return reservation_of(plan, booked)


def reserve_rest(plan: PlanFile, claims: Claims, booked: frozenset[str]) -> Reservation | None:
    """Return the reservation of a plan that is booked in part: what it still takes, except what another plan has.

    None where there is nothing to keep, unless the plan mends another one, which must know what it took.
    """
    free = []
    for sheet, label in takes(plan):
        if sheet.id not in booked:
            with suppress(ShelfChangeError):
                claims.claim(sheet, label)
                free.append((plan.keys[sheet.id], label))
    return replace(reservation_of(plan), takes=tuple(free)) if free or plan.again else None


def find_reservation(shelf: Shelf, history: History, name: str) -> Reservation:
    """Return the reservation of the plan whose identity begins with this text.

    Raises
    ------
    ShelfChangeError
        If there is none.
    """
    kept = history.reservations(shelf.change)
    for one in kept:
        if len(name) >= _SHORT and one.plan.startswith(name):
            return one
    known = ", ".join(one.name for one in kept if one.takes)
    raise ShelfChangeError(f"nothing is reserved for that plan; {f'reserved are {known}' if known else 'nothing is'}")
