"""A complete cutting: which board each lot gets, and a pattern for every sheet in use."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from nesting.geometry import Size
from nesting.packing.instance import Instance
from nesting.packing.pattern import Part

__all__ = ["Assigned", "Cutting", "Sheet", "assigned", "price_tag"]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet in use: its board, its size and its pattern, both grown by the kerf."""

    board: int
    size: Size
    part: Part


@dataclass(frozen=True, slots=True)
class Cutting:
    """What is cut from what, what is bought (by offer and board) and what that costs in all."""

    boards: tuple[int, ...]
    sheets: tuple[Sheet, ...]
    counts: Mapping[tuple[int, int], int]
    cost: int


@dataclass(frozen=True, slots=True)
class Assigned:
    """What falls to one board once every lot has its board: demand by kind, free stock by size, grown by the kerf."""

    demand: Counter[Size]
    free: Counter[Size]


def assigned(instance: Instance, boards: Sequence[int], board: int) -> Assigned:
    """Return the demand and the free stock (held and fallen out) of one board."""
    demand: Counter[Size] = Counter()
    free: Counter[Size] = Counter()
    for held in instance.held:
        if held.board == board and min(held.size) > 0:
            free[instance.grown(held.size)] += held.count
    for lot, its in zip(instance.lots, boards, strict=True):
        if its == board:
            demand[instance.kind(instance.grown(lot.size), board)] += len(lot.items)
            for fallout in lot.fallouts:
                if min(fallout) > 0:
                    free[instance.grown(fallout)] += len(lot.items)
    return Assigned(demand, free)


def price_tag(instance: Instance, board: int, size: Size) -> int | None:
    """Return what one more sheet of a true size costs about, in cents with tax, by the cheapest offer; None if not sold."""
    prices = [
        round(offer.price * (1 + instance.tills[offer.till].tax))
        for offer in instance.offers
        if board in offer.boards and offer.size == size
    ]
    return max(1, min(prices)) if prices else None
