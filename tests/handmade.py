"""A small plan made by hand: a sheet bought, a shelf piece and a fallout cut, every kind of part on them."""

from decimal import Decimal
from fractions import Fraction

from nesting.geometry import ExactSize, Point, Size
from nesting.job import Bench, Board, Job, Offer, Piece, ShelfKind, ShelfPiece, Shop, Unit, When
from nesting.packing.status import SolveStatus
from nesting.packing.tree import Cut, Node, Offcut, Placed, Way
from nesting.planned import (
    Borders,
    Bought,
    CutSheet,
    FalloutLeft,
    FromFallout,
    FromShelf,
    Line,
    Mat,
    OffcutLeft,
    PieceCost,
    PlacedMat,
    Plan,
    Purchase,
    Summary,
    Waste,
    Window,
)

INCH = 16256


def inches(text: str) -> int:
    """Read whole and fractional inches: ``11 3/4``."""
    ticks = sum((Fraction(part) for part in text.split()), Fraction(0)) * INCH
    assert ticks.denominator == 1
    return int(ticks)


def size(w: str, h: str) -> Size:
    return Size(inches(w), inches(h))


def at(x: str, y: str) -> Point:
    return Point(inches(x), inches(y))


def bench(**changed: object) -> Bench:
    return Bench(
        **{
            "unit": Unit.IN,
            "ruler": inches("1/16"),
            "allowance": Fraction(inches("1/8")),
            "overlap": Fraction(inches("1/4")),
            "trim": inches("1/8"),
            "kerf": 0,
            "squaring": inches("1/8"),
            "keep_at_least": ExactSize(Fraction(inches("4")), Fraction(inches("5"))),
            "longest_cut": None,
            "guide_reach": None,
            "overcut": Fraction(0),
            "lip": Fraction(inches("1/4")),
            "glass_clearance": Fraction(inches("1/8")),
            "use_fallout": True,
            "room_for_sheets": None,
            "currency": "$",
            "cutter_cost": 9900,
        }
        | changed
    )


def piece(name: str, row: int, opening: Size, shown: Size | None, **changed: object) -> Piece:
    exact = ExactSize(Fraction(opening.w), Fraction(opening.h))
    return Piece(
        **{
            "name": name,
            "row": row,
            "quantity": 1,
            "group": None,
            "opening": exact,
            "picture": None,
            "shown": None if shown is None else ExactSize(Fraction(shown.w), Fraction(shown.h)),
            "overlap": Fraction(inches("1/4")),
            "bottom_extra": Fraction(0),
            "allowance": Fraction(inches("1/8")),
            "across": 1,
            "down": 1,
            "gap": Fraction(INCH),
            "boards": ("slate",),
            "under_boards": (),
            "reveal": Fraction(inches("1/4")),
            "under_inset": Fraction(0),
            "backing": (),
            "frame_width": None,
            "when": When.NOW,
            "priority": None,
            "frame_cost": 450,
            "other_cost": 0,
            "quote": None,
            "notes": None,
        }
        | changed
    )


def job(**changed: object) -> Job:
    return Job(
        **{
            "path": "stairs",
            "pieces": (
                piece("Sea holly", 2, size("11 1/8", "14 1/8"), size("7", "10"), quantity=2, quote=1850),
                piece("Ford map", 3, size("24 1/8", "20 1/8"), size("17", "13"), group="lower landing"),
                piece("Token", 4, size("7 1/8", "5 1/8"), None, backing=("grey card",), other_cost=35),
                piece("A very long name <for> a small & narrow label", 5, size("2 7/8", "3"), None),
            ),
            "offers": (
                Offer(1, "North store", None, size("32", "40"), 850, Decimal(50), None, None, 1),
                Offer(2, "Quay shop", None, size("32", "40"), 700, Decimal(0), None, None, 1),
            ),
            "shops": (Shop("North store", 350, None, Decimal("8.25")),),
            "shelf": (ShelfPiece("box lid", "grey card", size("7", "17"), 1, ShelfKind.OFFCUT),),
            "boards": (
                Board("slate", "#56606b", Fraction(inches("1/16")), turn=True),
                Board("grey card", None, Fraction(inches("1/16")), turn=True),
            ),
            "bench": bench(),
            "warnings": (),
        }
        | changed
    )


def _mats() -> tuple[PlacedMat, ...]:
    holly = (Borders(*map(inches, ("2", "2", "2", "2"))), (Window(at("2", "2"), size("7", "10")),))
    ford = (Borders(*map(inches, ("3 1/2", "3 1/2", "3", "4"))), (Window(at("3 1/2", "4"), size("17", "13")),))
    small = "A very long name <for> a small & narrow label"
    return (
        PlacedMat(Mat("M1", "Sea holly", 1, 0, ("slate",), size("11", "14"), *holly), "slate", "S1", turned=False),
        PlacedMat(Mat("M2", "Sea holly", 2, 0, ("slate",), size("11", "14"), *holly), "slate", "S1", turned=False),
        PlacedMat(Mat("M3", "Ford map", 1, 0, ("slate",), size("24", "20"), *ford), "slate", "S1", turned=True),
        PlacedMat(Mat("M4", "Token", 1, 0, ("slate",), size("7", "5"), None, ()), "slate", "S3", turned=True),
        PlacedMat(Mat("M5", "Token", 1, 1, ("grey card",), size("7", "5"), None, ()), "grey card", "S2", turned=False),
        PlacedMat(Mat("M6", small, 1, 0, ("slate",), size("2 3/4", "2 7/8"), None, ()), "slate", "S1", turned=False),
    )


def _bought_sheet() -> Node:
    lower = Cut(
        at("1/8", "1/8"),
        size("31 3/4", "14"),
        Way.UPRIGHT,
        (
            Placed(at("1/8", "1/8"), size("11", "14"), 0),
            Placed(at("11 1/8", "1/8"), size("11", "14"), 1),
            Offcut(at("22 1/8", "1/8"), size("9 3/4", "14")),
        ),
    )
    ford = Cut(
        at("1/8", "14 1/8"),
        size("20", "25 3/4"),
        Way.LEVEL,
        (Placed(at("1/8", "14 1/8"), size("20", "24"), 2), Offcut(at("1/8", "38 1/8"), size("20", "1 3/4"))),
    )
    strip = Cut(
        at("20 1/8", "14 1/8"),
        size("11 3/4", "2 7/8"),
        Way.UPRIGHT,
        (Placed(at("20 1/8", "14 1/8"), size("2 3/4", "2 7/8"), 5), Offcut(at("22 7/8", "14 1/8"), size("9", "2 7/8"))),
    )
    right = Cut(
        at("20 1/8", "14 1/8"),
        size("11 3/4", "25 3/4"),
        Way.LEVEL,
        (strip, Offcut(at("20 1/8", "17"), size("11 3/4", "22 7/8"))),
    )
    upper = Cut(at("1/8", "14 1/8"), size("31 3/4", "25 3/4"), Way.UPRIGHT, (ford, right))
    return Cut(at("1/8", "1/8"), size("31 3/4", "39 3/4"), Way.LEVEL, (lower, upper))


def _sheets() -> tuple[CutSheet, ...]:
    lid = Cut(
        at("0", "0"),
        size("7", "17"),
        Way.LEVEL,
        (Placed(at("0", "0"), size("7", "5"), 4), Offcut(at("0", "5"), size("7", "12"))),
    )
    row = Cut(
        at("1/8", "1/8"),
        size("16 3/4", "7"),
        Way.UPRIGHT,
        (Placed(at("1/8", "1/8"), size("5", "7"), 3), Offcut(at("5 1/8", "1/8"), size("11 3/4", "7"))),
    )
    fallout = Cut(
        at("1/8", "1/8"),
        size("16 3/4", "12 3/4"),
        Way.LEVEL,
        (row, Offcut(at("1/8", "7 1/8"), size("16 3/4", "5 3/4"))),
    )
    return (
        CutSheet("S1", "slate", Bought(1), size("32", "40"), _bought_sheet()),
        CutSheet("S2", "grey card", FromShelf("box lid"), size("7", "17"), lid),
        CutSheet("S3", "slate", FromFallout("M3", 0), size("17", "13"), fallout),
    )


def plan(**changed: object) -> Plan:
    """Return the plan, with some of its fields changed."""
    small = "A very long name <for> a small & narrow label"
    return Plan(
        **{
            "job": job(),
            "when": When.NOW,
            "mats": _mats(),
            "sheets": _sheets(),
            "leftover": (
                OffcutLeft("S1", at("22 1/8", "1/8"), size("9 3/4", "14"), keep=True),
                OffcutLeft("S1", at("1/8", "38 1/8"), size("20", "1 3/4"), keep=False),
                OffcutLeft("S1", at("22 7/8", "14 1/8"), size("9", "2 7/8"), keep=False),
                OffcutLeft("S1", at("20 1/8", "17"), size("11 3/4", "22 7/8"), keep=True),
                OffcutLeft("S2", at("0", "5"), size("7", "12"), keep=True),
                OffcutLeft("S3", at("5 1/8", "1/8"), size("11 3/4", "7"), keep=True),
                OffcutLeft("S3", at("1/8", "7 1/8"), size("16 3/4", "5 3/4"), keep=True),
                FalloutLeft("M1", 0, size("7", "10"), keep=True),
                FalloutLeft("M2", 0, size("7", "10"), keep=True),
            ),
            "purchase": Purchase(
                lines=(Line("North store", "slate", 1, size("32", "40"), 1, 425),),
                delivery={"North store": 350},
                tax={"North store": 35},
                lower_bound=810,
            ),
            "pieces": (
                PieceCost("Sea holly", 1, None, 141, 120, 450, 0, 1850),
                PieceCost("Sea holly", 2, None, 141, 120, 450, 0, 1850),
                PieceCost("Ford map", 1, "lower landing", 441, 380, 450, 0, None),
                PieceCost("Token", 1, None, 80, 0, 450, 35, None),
                PieceCost(small, 1, None, 7, 6, 450, 0, None),
            ),
            "summary": Summary(
                sheets_bought=1,
                sheets_by_board={"slate": 1},
                sheets_uncut=0,
                fallouts_used=1,
                shelf_used=1,
                first_choice=6,
                waste=Waste(in_mats=500, kept=380, scrap=119),
                saved=3418,
                credit=184,
                mats_to_pay_cutter=4,
            ),
            "status": SolveStatus.LIMIT_REACHED,
            "proof": "Every sheet that could be had was weighed.",
            "seconds": 0.25,
            "seed": 7,
        }
        | changed
    )
