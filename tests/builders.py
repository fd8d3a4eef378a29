"""Jobs in small whole numbers, so that every figure can be worked out by hand; no shape is square."""

from decimal import Decimal
from fractions import Fraction

from nesting.geometry import ExactSize, Size
from nesting.model.job import Bench, Board, Job, Offer, Piece, ShelfKind, ShelfPiece, Shop, Unit, When


def exact(width, height):
    return ExactSize(Fraction(width), Fraction(height))


def make_bench(**changes):
    facts = {
        "unit": Unit.MM,
        "ruler": 1,
        "allowance": Fraction(0),
        "overlap": Fraction(2),
        "trim": 3,
        "kerf": 2,
        "squaring": 5,
        "keep_at_least": exact(11, 17),
        "longest_cut": None,
        "guide_reach": None,
        "overcut": Fraction(0),
        "lip": Fraction(4),
        "glass_clearance": Fraction(0),
        "use_fallout": True,
        "room_for_sheets": None,
        "currency": "$",
        "cutter_cost": None,
    }
    return Bench(**facts | changes)


def make_piece(name, inside, shown=None, **changes):
    """Build a piece whose picture is covered by an overlap of 2 on each side, unless told otherwise."""
    facts = {
        "name": name,
        "row": 2,
        "quantity": 1,
        "group": None,
        "inside": exact(*inside),
        "picture": None if shown is None else exact(shown[0] + 4, shown[1] + 4),
        "shown": None if shown is None else exact(*shown),
        "overlap": Fraction(2),
        "bottom_extra": Fraction(0),
        "allowance": Fraction(0),
        "across": 1,
        "down": 1,
        "gap": Fraction(7),
        "boards": ("sage",),
        "under_boards": (),
        "reveal": Fraction(3),
        "under_inset": Fraction(0),
        "backing": (),
        "moulding_width": None,
        "when": When.NOW,
        "priority": None,
        "frame_cost": 0,
        "other_cost": 0,
        "quote": None,
        "notes": None,
    }
    return Piece(**facts | changes)


def make_offer(number, shop, board, price, **changes):
    facts = {
        "number": number,
        "shop": shop,
        "board": board,
        "sheet": Size(223, 167),
        "price": price,
        "discount": Decimal(0),
        "at_most": None,
        "at_least": None,
        "pack_of": 1,
    }
    return Offer(**facts | changes)


def make_shop(name, *, delivery=0, free_over=None, tax="0"):
    return Shop(name, delivery, free_over, Decimal(tax))


def make_shelf(label, board, size, *, quantity=1, kind=ShelfKind.OFFCUT):
    return ShelfPiece(label, board, Size(*size), quantity, kind)


def make_board(name, *, turn=True):
    return Board(name, None, Fraction(1016), turn)


def make_job(*pieces, **changes):
    facts = {
        "path": "wall",
        "pieces": pieces,
        "offers": (),
        "shops": (),
        "shelf": (),
        "boards": tuple(make_board(name) for name in ("sage", "ivory", "oat")),
        "bench": make_bench(),
        "warnings": (),
    }
    return Job(**facts | changes)
