"""What a plan holds, as frozen values: mats placed, sheets cut, money spent."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from nesting.geometry import Point, Size
from nesting.model.cut_tree import Node
from nesting.model.job import Job, When
from nesting.model.mat import Mat
from nesting.model.status import Count, SolveStatus

__all__ = [
    "Bought",
    "CutSheet",
    "FalloutLeft",
    "FromFallout",
    "FromShelf",
    "Line",
    "OffcutLeft",
    "PieceCost",
    "PlacedMat",
    "Plan",
    "Purchase",
    "Source",
    "Summary",
    "Waste",
]


@dataclass(frozen=True, slots=True)
class PlacedMat:
    """A mat with the board it is cut from, the sheet it comes out of, and whether it lies turned there."""

    mat: Mat
    board: str
    sheet: str
    turned: bool


@dataclass(frozen=True, slots=True)
class Bought:
    """A sheet bought from the offer with this number."""

    offer: int


@dataclass(frozen=True, slots=True)
class FromShelf:
    """A piece taken from the shelf."""

    label: str


@dataclass(frozen=True, slots=True)
class FromFallout:
    """The fallout of window number `window` of the mat with the id `mat`."""

    mat: str
    window: int


Source = Bought | FromShelf | FromFallout
"""Where a sheet comes from."""


@dataclass(frozen=True, slots=True)
class CutSheet:
    """A sheet, shelf piece or fallout that is cut; `size` before trimming or squaring, `root` what that leaves.

    The leaves of `root` name mats by their place in `Plan.mats`.
    """

    id: str
    board: str
    source: Source
    size: Size
    root: Node


@dataclass(frozen=True, slots=True)
class OffcutLeft:
    """An offcut of a sheet; `keep` is whether it is large enough for the shelf."""

    sheet: str
    at: Point
    size: Size
    keep: bool


@dataclass(frozen=True, slots=True)
class FalloutLeft:
    """A fallout from which nothing is cut; `size` before squaring."""

    mat: str
    window: int
    size: Size
    keep: bool


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the shopping list; money in cents, the price after its discount."""

    shop: str
    board: str
    offer: int
    sheet: Size
    count: int
    unit_price: int

    @property
    def amount(self) -> int:
        """The price of all its sheets, in cents."""
        return self.unit_price * self.count


@dataclass(frozen=True, slots=True)
class Purchase:
    """What is bought, in cents. `delivery` and `tax` are given shop by shop, for shops where anything is bought."""

    lines: tuple[Line, ...]
    delivery: Mapping[str, int]
    tax: Mapping[str, int]
    lower_bound: int

    @property
    def total(self) -> int:
        """Everything that is paid, in cents."""
        return sum(line.amount for line in self.lines) + sum(self.delivery.values()) + sum(self.tax.values())

    @property
    def proven(self) -> bool:
        """Whether no plan can cost less."""
        return self.lower_bound == self.total


@dataclass(frozen=True, slots=True)
class PieceCost:
    """What one copy of a piece costs, in cents; `credited` is its board share when leftovers are credited."""

    piece: str
    copy: int
    group: str | None
    board: int
    credited: int
    frame: int
    other: int
    quote: int | None

    @property
    def total(self) -> int:
        """Board, frame and other costs together, in cents."""
        return self.board + self.frame + self.other

    @property
    def saved(self) -> int | None:
        """How much less the board costs than the shop's quote, in cents; None without a quote."""
        return None if self.quote is None else self.quote - self.board


@dataclass(frozen=True, slots=True)
class Waste:
    """Where the area of everything that was cut went, in square ticks; the three make up the whole."""

    in_mats: int
    kept: int
    scrap: int

    @property
    def cut(self) -> int:
        """All sheets and shelf pieces that were cut."""
        return self.in_mats + self.kept + self.scrap

    @property
    def percent(self) -> Fraction:
        """Scrap in per cent of all that was cut, exact; nothing cut wastes nothing."""
        return Fraction(100 * self.scrap, self.cut) if self.cut else Fraction(0)


@dataclass(frozen=True, slots=True)
class Summary:
    """Figures of the whole plan; money in cents."""

    sheets_bought: int
    sheets_by_board: Mapping[str, int]
    sheets_uncut: int
    fallouts_used: int
    shelf_used: int
    first_choice: int
    waste: Waste
    saved: int | None
    credit: int
    mats_to_pay_cutter: int | None


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole plan, checked: `mats` in the order of the pieces table, `sheets` parents before their fallouts.

    `preference` says how many pieces have the board that they like best, then how many their first or second, and so
    on, with what no plan at this price exceeds; none where no piece has a choice. `selection` says for each priority,
    where limits keep some pieces from being cut, how many copies are cut and how many could be. `identity` is the
    one that `identity.identity_of` gives. `stopped` says whether Ctrl-C came, which leaves proven what was.
    """

    job: Job
    when: When
    mats: tuple[PlacedMat, ...]
    sheets: tuple[CutSheet, ...]
    leftover: tuple[OffcutLeft | FalloutLeft, ...]
    purchase: Purchase
    pieces: tuple[PieceCost, ...]
    summary: Summary
    status: SolveStatus
    proof: str
    seconds: float
    seed: int
    preference: tuple[Count, ...] = ()
    selection: tuple[Count, ...] = ()
    identity: str = ""
    stopped: bool = False

    @property
    def mark(self) -> str:
        """What tells its leftovers from those of other plans; the identity begins with it."""
        return self.identity[:6]
