"""What each piece costs adds up to what is paid, and is its own share of it."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from fractions import Fraction

from nesting.model.plan import Bought, FalloutLeft, FromFallout, OffcutLeft, PieceCost, PlacedMat, Plan

__all__ = ["cost_faults"]

_Copy = tuple[str, int]


def cost_faults(plan: Plan) -> Iterator[str]:
    """Yield a line for each wrong cost of a piece, and for shares that do not add up.

    Parameters
    ----------
    plan : Plan
        A plan whose mats, sheets and purchase are sound.

    Yields
    ------
    str
        What is wrong, the piece first.
    """
    copies = list(dict.fromkeys((placed.mat.piece, placed.mat.copy) for placed in plan.mats))
    costed = [(cost.piece, cost.copy) for cost in plan.pieces]
    if costed != copies:
        yield "costs: the pieces are not each there once, in their order"
        return
    pieces = {piece.name: piece for piece in plan.job.pieces}
    for cost in plan.pieces:
        piece = pieces[cost.piece]
        for name, given, right in (
            ("frame cost", cost.frame, piece.frame_cost),
            ("other cost", cost.other, piece.other_cost),
            ("quote", cost.quote, piece.quote),
            ("group", cost.group, piece.group),
        ):
            if given != right:
                yield f"{cost.piece} copy {cost.copy}: {name} is {given} instead of {right}"
    yield from _share_faults(plan)


def _share_faults(plan: Plan) -> Iterator[str]:
    total, credit = plan.purchase.total, plan.summary.credit
    shared = sum(cost.board for cost in plan.pieces)
    if shared != total:
        yield f"costs: the board shares come to {shared} cents, not {total}"
    credited = sum(cost.credited for cost in plan.pieces) + credit
    if credited != total:
        yield f"costs: the credited shares and the credit come to {credited} cents, not {total}"
    paid = _paid(plan)
    shares = _spread(plan.mats, paid)
    kept = {board: amount * _part_kept(plan, board) for board, amount in paid.items()}
    fallouts = {sheet.id for sheet in plan.sheets if isinstance(sheet.source, FromFallout)}
    bearing = [placed for placed in plan.mats if placed.sheet not in fallouts]
    less = _spread(bearing, {board: amount - kept[board] for board, amount in paid.items()})
    for cost in plan.pieces:
        yield from _own_share_faults(cost, "board", cost.board, shares)
        yield from _own_share_faults(cost, "credited", cost.credited, less)
    worth = sum(kept.values(), Fraction(0))
    if abs(credit - worth) >= 1:
        yield f"costs: the credit is {credit} cents instead of about {float(worth):.2f}"


def _own_share_faults(cost: PieceCost, name: str, given: int, shares: Mapping[_Copy, Fraction]) -> Iterator[str]:
    """Hold a share against the exact one: a largest remainder is less than a cent from it."""
    right = shares.get((cost.piece, cost.copy), Fraction(0))
    if abs(given - right) >= 1:
        yield f"{cost.piece} copy {cost.copy}: {name} share is {given} cents instead of about {float(right):.2f}"


def _paid(plan: Plan) -> dict[str, Fraction]:
    """Exact cents paid for each board; delivery and tax follow the value, or the count where goods cost nothing."""
    paid: defaultdict[str, Fraction] = defaultdict(Fraction)
    for shop in {line.shop for line in plan.purchase.lines}:
        lines = [line for line in plan.purchase.lines if line.shop == shop]
        extra = plan.purchase.delivery.get(shop, 0) + plan.purchase.tax.get(shop, 0)
        goods = sum(line.unit_price * line.count for line in lines)
        sheets = sum(line.count for line in lines)
        for line in lines:
            value = line.unit_price * line.count
            paid[line.board] += value + (
                Fraction(extra * value, goods) if goods else Fraction(extra * line.count, sheets)
            )
    return dict(paid)


def _spread(mats: list[PlacedMat] | tuple[PlacedMat, ...], paid: Mapping[str, Fraction]) -> dict[_Copy, Fraction]:
    shares: defaultdict[_Copy, Fraction] = defaultdict(Fraction)
    for board, amount in paid.items():
        takers = [placed for placed in mats if placed.board == board] or mats
        area = sum(placed.mat.blank.w * placed.mat.blank.h for placed in takers)
        for placed in takers:
            shares[placed.mat.piece, placed.mat.copy] += amount * placed.mat.blank.w * placed.mat.blank.h / area
    return shares


def _part_kept(plan: Plan, board: str) -> Fraction:
    """Work out how much of all the area that a board came in is kept: offcuts, fallouts once squared, uncut sheets."""
    cut = [s for s in plan.sheets if s.board == board and not isinstance(s.source, FromFallout)]
    whole = Counter[tuple[int, int]]()
    for line in plan.purchase.lines:
        if line.board == board:
            whole[line.sheet.w, line.sheet.h] += line.count
    uncut = sum(w * h * count for (w, h), count in whole.items())
    uncut -= sum(s.size.w * s.size.h for s in cut if isinstance(s.source, Bought))
    kept = sum(area for of, area in _kept(plan) if of == board)
    return Fraction(kept + uncut, uncut + sum(s.size.w * s.size.h for s in cut))


def _kept(plan: Plan) -> Iterator[tuple[str, int]]:
    boards = {sheet.id: sheet.board for sheet in plan.sheets}
    boards_of_mats = {placed.mat.id: placed.board for placed in plan.mats}
    lost = 2 * plan.job.bench.squaring
    for entry in plan.leftover:
        match entry:
            case OffcutLeft(sheet=sheet, size=size, keep=True):
                yield boards[sheet], size.w * size.h
            case FalloutLeft(mat=mat, size=size, keep=True):
                yield boards_of_mats[mat], (size.w - lost) * (size.h - lost)
            case _:
                pass
