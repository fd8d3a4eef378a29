"""Plans larger and smaller than the one made by hand, and plans in millimetres, made from it without any search."""

from dataclasses import replace
from fractions import Fraction

from nesting.geometry import Point, Size
from nesting.model.cut_tree import Placed
from nesting.model.job import Unit
from nesting.model.mat import Mat, Window
from nesting.model.plan import Bought, CutSheet, FalloutLeft, PieceCost, PlacedMat, Plan, Purchase
from tests.handmade import bench, inches, job, piece, plan, size

BLANK, WINDOW = size("11", "14"), size("7", "10")


def one_piece() -> Plan:
    """Return a plan of one mat, cut from a shelf piece of its own size: nothing bought, no straight cut."""
    return many(1)


def many(count: int) -> Plan:
    """Return a plan of so many mats, each on a sheet of its own size, no two of them of the same sizes."""
    mats, sheets, left = [], [], []
    for number in range(1, count + 1):
        blank = Size(BLANK.w + number * inches("1/8"), BLANK.h)
        placed = _mat(number, blank)
        mats.append(placed)
        sheets.append(CutSheet(f"S{number}", "slate", Bought(1), blank, Placed(Point(0, 0), blank, number - 1)))
        left.append(FalloutLeft(placed.mat.id, 0, placed.mat.windows[0].size, keep=number % 2 == 0))
    pieces = tuple(piece(f"Fern {number}", number + 1, BLANK, WINDOW) for number in range(1, count + 1))
    return plan(
        job=job(pieces=pieces),
        mats=tuple(mats),
        sheets=tuple(sheets),
        leftover=tuple(left),
        purchase=Purchase((), {}, {}, 0),
        pieces=tuple(PieceCost(each.name, 1, None, 5, 5, 450, 0, None) for each in pieces),
    )


def _mat(number: int, blank: Size) -> PlacedMat:
    borders = plan().mats[0].mat.borders
    window = Window(Point(inches("2"), inches("2")), Size(blank.w - inches("4"), blank.h - inches("4")))
    mat = Mat(f"M{number}", f"Fern {number}", 1, 0, ("slate",), blank, borders, (window,))
    return PlacedMat(mat, "slate", f"S{number}", turned=False)


def metric() -> Plan:
    """Return the plan made by hand as a job in millimetres has it."""
    made = plan()
    return replace(made, job=replace(made.job, bench=bench(unit=Unit.MM, ruler=640)))


def overcut() -> Plan:
    """Return the plan made by hand for a cutter with an overcut and a short guide."""
    made = plan()
    cutter = bench(overcut=Fraction(inches("1/16")), guide_reach=Fraction(inches("3")))
    return replace(made, job=replace(made.job, bench=cutter))
