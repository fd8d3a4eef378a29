"""What was asked: the tables of a job as frozen values, every length exact, every name in one spelling."""

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from nesting.geometry import ExactSize, Size
from nesting.model.choices import Choices

__all__ = ["Bench", "Board", "Job", "Offer", "Piece", "ShelfKind", "ShelfPiece", "Shop", "Unit", "When", "plain_blank"]

_NOTHING = Fraction(0)


class Unit(StrEnum):
    """The unit of a bare number in a job."""

    IN = "in"
    MM = "mm"
    CM = "cm"


class When(StrEnum):
    """Whether a piece is planned at once or only when later pieces are asked for."""

    NOW = "now"
    LATER = "later"


class ShelfKind(StrEnum):
    """What a shelf piece was; a sheet still has its factory edges."""

    SHEET = "sheet"
    OFFCUT = "offcut"
    FALLOUT = "fallout"


@dataclass(frozen=True, slots=True)
class Piece:
    """A row of the pieces table: one framed piece, or several alike.

    Lengths are exact ticks. `shown` is the part of the picture to be seen on each axis (show, or picture less overlap
    on both sides); None for a plain blank without a window. `picture` is None where only show was given.
    """

    name: str
    row: int
    quantity: int
    group: str | None
    inside: ExactSize
    picture: ExactSize | None
    shown: ExactSize | None
    overlap: Fraction
    bottom_extra: Fraction
    allowance: Fraction
    across: int
    down: int
    gap: Fraction
    boards: tuple[str, ...]
    under_boards: tuple[str, ...]
    reveal: Fraction
    under_inset: Fraction
    backing: tuple[str, ...]
    moulding_width: Fraction | None
    when: When
    priority: int | None
    frame_cost: int
    other_cost: int
    quote: int | None
    notes: str | None
    board_cells: tuple[str, str, str] = field(default=("", "", ""), compare=False)
    """Addresses of the cells boards, under boards and backing where the job is a workbook."""


def plain_blank(
    name: str, board: str, inside: ExactSize, *, quantity: int = 1, allowance: Fraction = _NOTHING, row: int = 0
) -> Piece:
    """Return a piece of blanks without windows, planned now, that costs nothing but its board.

    Parameters
    ----------
    name, board : str
        What it is called, and the board that it is cut from.
    inside : ExactSize
        Of its frame, in ticks.
    quantity : int
        How many blanks.
    allowance : Fraction
        How much smaller than the inside size the blanks are, in ticks.
    row : int
        The row of the pieces table; 0 for a piece that is in no table.

    Returns
    -------
    Piece
    """
    return Piece(
        name=name,
        row=row,
        quantity=quantity,
        group=None,
        inside=inside,
        picture=None,
        shown=None,
        overlap=_NOTHING,
        bottom_extra=_NOTHING,
        allowance=allowance,
        across=1,
        down=1,
        gap=_NOTHING,
        boards=(board,),
        under_boards=(),
        reveal=_NOTHING,
        under_inset=_NOTHING,
        backing=(),
        moulding_width=None,
        when=When.NOW,
        priority=None,
        frame_cost=0,
        other_cost=0,
        quote=None,
        notes=None,
    )


@dataclass(frozen=True, slots=True)
class Offer:
    """A row of the offers table: a shop's price, in cents, for a sheet size of a board.

    `number` counts the rows of the table from 1 (rows with nothing in them do not count). `board` is None for ``any``.
    `price` is before the discount, which is per cent.
    """

    number: int
    shop: str
    board: str | None
    sheet: Size
    price: int
    discount: Decimal
    at_most: int | None
    at_least: int | None
    pack_of: int
    row: int | None = None
    """Row as a spreadsheet counts it."""


@dataclass(frozen=True, slots=True)
class Shop:
    """A row of the shops table; money in cents, tax in per cent."""

    name: str
    delivery: int
    free_over: int | None
    tax: Decimal


@dataclass(frozen=True, slots=True)
class ShelfPiece:
    """Pieces of board already held: a row of the shelf table, or of the user's shelf file where `in_file` is true."""

    label: str
    board: str
    size: Size
    quantity: int
    kind: ShelfKind
    in_file: bool = False


@dataclass(frozen=True, slots=True)
class Board:
    """A row of the boards table, or the defaults for a board that has none."""

    name: str
    swatch: str | None
    thickness: Fraction
    turn: bool


@dataclass(frozen=True, slots=True)
class Bench:
    """The bench table: how this bench cuts, and the defaults for pieces.

    Lengths that are lost (trim, kerf, squaring) are whole ticks rounded up; the others are exact ticks.
    """

    unit: Unit
    ruler: int
    allowance: Fraction
    overlap: Fraction
    trim: int
    kerf: int
    squaring: int
    keep_at_least: ExactSize
    longest_cut: Fraction | None
    guide_reach: Fraction | None
    overcut: Fraction
    lip: Fraction
    glass_clearance: Fraction
    use_fallout: bool
    room_for_sheets: int | None
    currency: str
    cutter_cost: int | None
    border_notes: bool = True


@dataclass(frozen=True, slots=True)
class Job:
    """Everything that was asked, as read.

    `boards` holds one entry for every board named anywhere in the job, in the order first spelt. `warnings` are
    sentences about what is allowed but looks unusual.
    """

    path: str
    pieces: tuple[Piece, ...]
    offers: tuple[Offer, ...]
    shops: tuple[Shop, ...]
    shelf: tuple[ShelfPiece, ...]
    boards: tuple[Board, ...]
    bench: Bench
    warnings: tuple[str, ...]
    choices: Choices = field(default_factory=Choices)

    def board(self, name: str) -> Board:
        """Return the board called `name`, in the job's own spelling; KeyError if the job does not name it."""
        for board in self.boards:
            if board.name == name:
                return board
        raise KeyError(name)
