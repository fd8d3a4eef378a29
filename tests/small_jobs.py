"""Random jobs of a few small blanks, in which every rule of offers and shops has its turn; no shape is square."""

from dataclasses import replace
from decimal import Decimal
from random import Random

from nesting.geometry import Size
from nesting.model.job import ShelfKind
from nesting.options import Left, Options
from tests.builders import exact, make_bench, make_board, make_job, make_offer, make_piece, make_shelf, make_shop

__all__ = ["scarce_job", "small_job"]

NAMES = ("sage", "ivory", "oat")
ENDLESS = Size(37, 29)
SHEETS = (ENDLESS, Size(31, 23), Size(41, 17), Size(23, 13))


def small_job(seed, most=5):
    """Return a job of one to `most` blanks, one to three boards and one to four offers.

    Its last offer sells every board without a limit in a sheet that takes any of the blanks, so that there is a plan.
    """
    chance = Random(seed)  # noqa: S311 - draws jobs, not secrets
    names = NAMES[: chance.randint(1, 3)]
    pieces = tuple(random_pieces(chance, names, most))
    endless = make_offer(0, "Cedar", None, chance.randint(700, 1500), sheet=ENDLESS)
    offers = (*(random_offer(chance, names) for _ in range(chance.randint(0, 3))), endless)
    return make_job(
        *pieces,
        offers=tuple(replace(offer, number=number) for number, offer in enumerate(offers, start=1)),
        shops=tuple(random_shop(chance, name) for name in ("Alder", "Birch", "Cedar")),
        shelf=tuple(random_shelf(chance, names, label) for label in ("A", "B")[: chance.choice((0, 0, 1, 2))]),
        boards=tuple(make_board(name, turn=chance.random() < 0.75) for name in names),
        bench=make_bench(
            trim=chance.choice((0, 0, 2)),
            kerf=chance.choice((0, 0, 1, 2)),
            squaring=chance.choice((0, 1)),
            keep_at_least=exact(3, 5),
            use_fallout=chance.random() < 0.7,
            room_for_sheets=chance.choice((None, None, None, 0, 1)),
        ),
    )


def scarce_job(seed, most=4):
    """Return a job whose boards may be unsold, short, at another shop or only held, and what is asked of its plan.

    Most of its pieces would take one board or another, many of its mats fit what falls out of others, and for many jobs
    there is no plan.
    """
    chance = Random(f"scarce/{seed}")  # noqa: S311 - draws jobs, not secrets
    names = NAMES[: chance.choice((2, 2, 3))]
    offers = [scarce_offer(chance, names, number) for number in range(1, chance.choice((1, 1, 2, 3)) + 1)]
    left = [
        Left(chance.choice((None, "Alder")), name, chance.choice((0, 0, 1, 2)))
        for name in names
        if chance.random() < 0.2
    ]
    job = make_job(
        *scarce_pieces(chance, names, most),
        offers=tuple(offers),
        shops=tuple(make_shop(name, delivery=chance.choice((0, 170))) for name in ("Alder", "Birch")),
        shelf=tuple(random_shelf(chance, names, label) for label in ("A", "B")[: chance.choice((0, 0, 1, 2))]),
        boards=tuple(make_board(name, turn=chance.random() < 0.8) for name in names),
        bench=make_bench(
            trim=0,
            kerf=chance.choice((0, 0, 1)),
            squaring=chance.choice((0, 1)),
            keep_at_least=exact(3, 5),
            room_for_sheets=chance.choice((None, None, None, 0, 1)),
        ),
    )
    shops = {offer.shop for offer in offers}
    return job, Options(left=tuple(left), shops=(chance.choice(sorted(shops)),) if chance.random() < 0.3 else ())


def scarce_pieces(chance, names, most):
    """Yield pieces of up to `most` blanks: a large one with a window or more, and smaller ones that its fallout takes.

    Each mostly fits the fallout of the last, so that chains of fallouts come up.
    """
    sides, row, left = [chance.randint(20, 36), chance.randint(16, 28)], 2, chance.randint(1, most)
    while left > 0 and min(sides) > 3:
        quantity = min(left, chance.choice((1, 1, 1, 2)))
        border = chance.randint(2, 4)
        window = (sides[0] - 2 * border, sides[1] - 2 * border) if min(sides) > 2 * border + 2 else None
        boards = tuple(chance.sample(names, chance.choice((1, 2, 2, 2))))
        yield make_piece(f"piece {row}", tuple(sides), window, row=row, quantity=quantity, boards=boards, reveal=2)
        left, row = left - quantity, row + 1
        if window is not None and chance.random() < 0.7:
            sides = [side - 2 - chance.randint(0, 3) for side in window]
        else:
            sides = [chance.randint(5, 32), chance.randint(5, 24)]


def scarce_offer(chance, names, number):
    sheet, shop = chance.choice(SHEETS), chance.choice(("Alder", "Birch"))
    at_most = chance.choice((None, 1, 2))
    pack = chance.choice((1, 1, 1, 2)) if at_most != 1 else 1
    price = chance.randint(200, 1500)
    board = chance.choice((None, *names))
    return make_offer(number, shop, board, price, sheet=sheet, at_most=at_most, pack_of=pack)


def random_pieces(chance, names, most):
    """Yield pieces of one to `most` blanks together: windows, copies, other boards that would do, and under-mats."""
    left, row = chance.randint(1, most), 2
    while left > 0:
        quantity = min(left, chance.choice((1, 1, 1, 2, 3)))
        sides = [chance.randint(5, 32), chance.randint(5, 24)]
        border = chance.randint(4, 6)
        windowed = min(sides) > 2 * border + 2 and chance.random() < 0.7
        under = windowed and left >= 2 * quantity and chance.random() < 0.2
        yield make_piece(
            f"piece {row}",
            tuple(sides),
            (sides[0] - 2 * border, sides[1] - 2 * border) if windowed else None,
            row=row,
            quantity=quantity,
            group=chance.choice((None, "hall", "den")),
            boards=random_boards(chance, names),
            under_boards=random_boards(chance, names) if under else (),
            reveal=2,
            frame_cost=chance.choice((0, 400)),
            quote=chance.choice((None, 1800)),
        )
        left -= quantity * (2 if under else 1)
        row += 1


def random_boards(chance, names):
    return tuple(chance.sample(names, chance.choice((1, 1, len(names)))))


def random_offer(chance, names):
    """Draw a row whose price goes about with its area."""
    sheet = chance.choice(SHEETS)
    at_most = chance.choice((None, None, 1, 2, 3))
    pack = chance.choice((1, 1, 1, 2, 3, 5))
    at_least = chance.choice((None, None, None, 2, 3, 5))
    if at_most is not None:
        pack, at_least = min(pack, at_most), at_least and min(at_least, at_most)
    return make_offer(
        0,
        chance.choice(("Alder", "Alder", "Birch")),
        chance.choice((None, *names)),
        sheet.area * chance.randint(60, 140) // 100,
        sheet=sheet,
        discount=Decimal(chance.choice(("0", "0", "25", "33.3", "40", "50", "100"))) if at_most else Decimal(0),
        at_most=at_most,
        at_least=at_least,
        pack_of=pack,
    )


def random_shop(chance, name):
    return make_shop(
        name,
        delivery=chance.choice((0, 0, 170, 610, 1490)),
        free_over=chance.choice((None, 700, 1300, 2100)),
        tax=chance.choice(("0", "0", "5", "8.25", "17")),
    )


def random_shelf(chance, names, label):
    return make_shelf(
        label,
        chance.choice(names),
        (chance.randint(7, 31), chance.randint(5, 23)),
        quantity=chance.randint(1, 2),
        kind=chance.choice(list(ShelfKind)),
    )
