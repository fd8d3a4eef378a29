"""A comparison and what may happen at the till, made by hand of the plan made by hand."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from nesting.errors import CannotBeCutError, Obstacle
from nesting.geometry import ExactSize
from nesting.model.job import When
from nesting.model.plan import Line, Plan, Purchase
from nesting.options import Left
from nesting.scenarios.compare import Case, Comparison, Figure
from nesting.scenarios.room_left import Fewer, HowMany
from nesting.scenarios.shortages import Instead, Shortage
from nesting.scenarios.stocking import Extra
from nesting.scenarios.till import Till
from nesting.spelling import WHOLE_JOB
from tests.handmade import inches, plan, size

SHEET = size("32", "40")
NOT_CUT = Obstacle("Ford map", "is larger than every sheet", "Offer a larger one")
THE_JOB = Obstacle(WHOLE_JOB, "cannot be held", "Raise a limit")


def bought(total: int, sheets: int = 1, bound: int | None = None) -> Plan:
    """Return the plan with so many sheets bought for so much in all."""
    lines = (Line("North store", "slate", 1, SHEET, sheets, total // sheets),)
    rest = total - total // sheets * sheets
    purchase = Purchase(lines, {"North store": rest} if rest else {}, {}, total if bound is None else bound)
    saved = 3700 - total
    return plan(purchase=purchase, summary=replace(plan().summary, sheets_bought=sheets, saved=saved))


def comparison(**changed: object) -> Comparison:
    """Return two discounts, now and later, one figure open, and a shop that sells nothing for a piece."""
    refused = CannotBeCutError((NOT_CUT,))
    figures: dict[Case, Figure | CannotBeCutError] = {}
    for when, extra in ((When.NOW, 0), (When.LATER, 425)):
        for discount, total in ((None, 810), (Decimal(25), 988), (Decimal("62.5"), 654)):
            bound = 600 if (when, discount) == (When.LATER, Decimal("62.5")) else None
            figures[Case(discount, when)] = Figure(bought(total + extra, 1 + bool(extra), bound))
            figures[Case(discount, when, use_fallout=False)] = Figure(bought(total + extra + 111))
            figures[Case(discount, when, shop="North store")] = Figure(bought(total + extra))
            figures[Case(discount, when, shop="Quay shop")] = refused
    facts = {
        "job": plan().job,
        "sale_at": None,
        "figures": figures,
        "apart": 1211,
        "pays_from": Decimal(25),
        "complete": True,
    }
    return Comparison(**facts | changed)


def till(**changed: object) -> Till:
    """Return an answer of each kind to what may happen."""
    first = plan()
    slate, card = ("slate", SHEET), ("grey card", SHEET)
    instead = Instead(
        bought(1234, bound=1200),
        424,
        ((2, "Quay shop", *slate), (1, "Quay shop", *card), (1, "North store", *card)),
        ((1, "North store", *slate), (3, "Quay shop", *card)),
        (("Sea holly", "grey card", 0), ("Token", "grey card", 0), ("Token", "slate", 1)),
    )
    elsewhere = Instead(bought(800), -10, ((1, "Quay shop", *slate),), ((1, "North store", *slate),), ())
    north, quay = Left("North store", "slate", 0), Left("Quay shop", "slate", 2)
    many = [
        HowMany(board, ExactSize(Fraction(inches(w)), Fraction(inches(h))), count, most, first)
        for board, count, most in (("slate", 11, True), ("grey card", 0, False))
        for w, h in (("8", "10"), ("5", "7"), ("11", "14"), ("3 1/2", "5"))
    ]
    facts = {
        "plan": first,
        "shortages": (
            Shortage(north, instead),
            Shortage(north, elsewhere),
            Shortage(quay, replace(elsewhere, leaves=(), without=(("Sea holly", 2), ("Ford map", 1)))),
            Shortage(quay, Instead(bought(0), -1235, (), (), (), (("Sea holly", 1),), fewest=False)),
            Shortage(quay, None),
        ),
        "liked_best": replace(elsewhere, more=0, leaves=()),
        "more": tuple(many),
        "fewer": (
            Fewer("slate", (("Sea holly", 1), ("Ford map", 1)), 1, 425, first),
            Fewer("grey card", (("Sea holly", 2),), 2, 850, first, fewest=False),
        ),
        "extras": (
            Extra(first, bought(1235, 2), bought(850)),
            Extra(
                first, bought(1270, 3, 1200), bought(1700, 2), (("slate", Fraction(67, 20)), ("grey card", Fraction(2)))
            ),
        ),
    }
    return Till(**facts | changed)
