"""Ruin and recreate on one board: local search over its sheets, each at a fixed price.

Where it wins: any size of job, a first complete solution in milliseconds, and better ones for as long as it runs. Its
limits: it proves nothing, and it knows no packs, fees or limits that boards share (`master` does).

References
----------
Schrimpf et al. (2000), J. Comput. Phys. 159. The measure that drives the emptiest sheet to nothing goes back to
Falkenauer & Delchambre (1992), Proc. IEEE Int. Conf. Robotics and Automation.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from nesting.model.cut_tree import Way
from nesting.packing.engine import Engine, Ints
from nesting.packing.pattern import GrownSize, Part, from_recipe, longest_possible
from nesting.packing.ruin_recreate_kernels import UNCUT

__all__ = ["RuinRecreate", "Stock"]

FIRST_TRIES = 4
"""How many fillings are tried for each sheet at first."""

POWERS = (8, 12, 16, 20, 24, 32)
"""Items are valued by these powers of their area, in sixteenths."""


@dataclass(frozen=True, slots=True)
class Stock:
    """A kind of stock of one board; `cost` is 0 for free stock, which is held or falls out."""

    size: GrownSize
    cost: int
    count: int


class RuinRecreate:
    """Cut `demand` from `stock` at the lowest cost it finds; it improves as long as it runs.

    Parameters
    ----------
    engine : Engine
        Which kernels to run.
    demand : Mapping of GrownSize to int
        Items by size; where `turn`, each size with its shorter side first.
    stock : Sequence of Stock
        What they may be cut from; a sheet that does not exist is added for what finds no room.
    turn : bool
        Whether items may be turned.
    longest : int or None
        The longest straight cut, grown by the kerf.
    seed : int
        The same seed and the same number of rounds give the same result.
    guides : Sequence of Mapping, optional
        Further values of the sizes to fill by, as those of valid inequalities: items of high value are hard to place.
    """

    def __init__(
        self,
        engine: Engine,
        demand: Mapping[GrownSize, int],
        stock: Sequence[Stock],
        *,
        turn: bool,
        longest: int | None,
        seed: int,
        guides: Sequence[Mapping[GrownSize, int]] = (),
    ) -> None:
        self.sizes = sorted(demand)
        items = sum(demand.values())
        bound = GrownSize(max(s.w for s in self.sizes), max(s.h for s in self.sizes))
        wide = max((s.size.w for s in stock), default=0)
        high = max((s.size.h for s in stock), default=0)
        phantom = Stock(GrownSize(max(bound.w, wide), max(bound.h, high)), UNCUT, items)
        self.stock = [*stock, phantom]
        self.engine = engine
        values = _values(self.sizes, guides)
        self._rows = len(values) // len(self.sizes)
        least = min(s.area for s in self.sizes)
        self._room = 2 * min(items, max(s.size.area for s in self.stock) // least) + 2
        ints = engine.ints
        slots = items + 8
        self._head: Ints = ints([0] * 9)
        self._order: Ints = ints(range(slots))
        self._stock: Ints = ints([0] * slots)
        self._parts: Ints = ints([0] * slots)
        self._used: Ints = ints([0] * slots)
        self._recipe: Ints = ints([0] * (3 * (slots + 1) * self._room))
        self._left: Ints = ints([demand[s] for s in self.sizes])
        self._avail: Ints = ints([s.count for s in self.stock])
        self._given = (
            ints([s.size.w for s in self.stock]),
            ints([s.size.h for s in self.stock]),
            ints([s.cost for s in self.stock]),
            self._avail,
            len(self.stock),
            ints([s.w for s in self.sizes]),
            ints([s.h for s in self.sizes]),
            len(self.sizes),
            ints(values),
            self._rows,
            int(turn),
            longest_possible(longest, (s.size for s in self.stock)),
        )
        self._rng: Ints = ints([seed & 0xFFFFFFFF])
        self._state = (
            self._left,
            self._order,
            self._stock,
            self._parts,
            self._used,
            self._recipe,
            self._room,
            ints([0] * (len(self.sizes) + 1)),
            ints([0] * len(self.sizes)),
            ints([0] * (3 * (2 * self._room + 4))),
        )
        all_stock = sum(s.cost * s.count for s in self.stock)
        made, cost = engine.rebuild(items, all_stock, 0, *self._given, FIRST_TRIES, self._rng, *self._state)
        self._head[0], self._head[1] = made, cost

    @property
    def cost(self) -> int:
        """What the sheets in use cost; `UNCUT` and more where something is not cut."""
        return int(self._head[1])

    @property
    def complete(self) -> bool:
        """Whether everything is cut from real stock."""
        return self.cost < UNCUT

    def improve(self, rounds: int, tries: int = 2) -> None:
        """Run this many rounds of ruin and recreate; the cost never rises."""
        self.engine.improve(rounds, self._head, *self._given, tries, self._rng, *self._state)

    def sheets(self) -> Iterator[tuple[int, Part]]:
        """Yield each sheet in use: the number of its stock (the last for what is not cut), and its pattern."""
        for i in range(self._head[0]):
            slot = self._order[i]
            stock = self._stock[slot]
            start = 3 * slot * self._room
            numbers = self._recipe[start : start + 3 * self._parts[slot]]
            steps = [
                (rect, self._lying(code), Way.LEVEL if way else Way.UPRIGHT)
                for rect, code, way in zip(numbers[0::3], numbers[1::3], numbers[2::3], strict=True)
            ]
            yield stock, from_recipe(self.stock[stock].size, steps)

    def _lying(self, code: int) -> GrownSize | int:
        if code < 0:
            return -code
        size = self.sizes[code >> 1]
        return size.turned if code & 1 else size


def _values(sizes: Sequence[GrownSize], guides: Sequence[Mapping[GrownSize, int]]) -> list[int]:
    """List rows of values, scaled to twenty bits and at least one: powers of the area, and what guides say."""
    largest = max(s.area for s in sizes)
    values = [max(1, round((s.area / largest) ** (power / 16) * (1 << 20))) for power in POWERS for s in sizes]
    for guide in guides:
        most = max(1, *(guide[s] for s in sizes))
        values += [max(1, (guide[s] << 20) // most) for s in sizes]
    return values
