"""From what is paid to what each framed piece costs, where the board went, and the figures of the whole plan."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.model.job import Job
from nesting.model.plan import (
    Bought,
    CutSheet,
    FalloutLeft,
    FromFallout,
    FromShelf,
    OffcutLeft,
    PieceCost,
    PlacedMat,
    Purchase,
    Summary,
    Waste,
)
from nesting.money import share

__all__ = ["Nested", "cost_pieces", "measure_waste", "summarise"]


@dataclass(frozen=True, slots=True)
class Nested:
    """What nesting and buying settled, all that costs come from.

    Parameters
    ----------
    job : Job
        The job, with any discount already in it.
    mats : tuple of PlacedMat
        Every mat planned, copies of a piece together.
    sheets : tuple of CutSheet
        Everything that is cut.
    leftover : tuple of OffcutLeft or FalloutLeft
        What is left of it, kept or not.
    purchase : Purchase
        What is bought.
    """

    job: Job
    mats: tuple[PlacedMat, ...]
    sheets: tuple[CutSheet, ...]
    leftover: tuple[OffcutLeft | FalloutLeft, ...]
    purchase: Purchase


def cost_pieces(nested: Nested) -> tuple[tuple[PieceCost, ...], int]:
    """Return what each copy of each piece costs, and what the leftovers are worth where they are credited.

    A joint cost is shared by a physical measure, here the area of the blanks, because the products are alike. What is
    paid for a board that no blank took is shared over all blanks. In the credited way what is kept for the shelf takes
    its share of all the area that its board came in, sheets bought and left uncut too, and of the rest blanks from
    fallout bear nothing: they are a by-product of the window that they fell out of.

    Parameters
    ----------
    nested : Nested
        Everything that nesting and buying settled.

    Returns
    -------
    tuple of PieceCost
        In the order of the mats. The board shares add up to the purchase total.
    int
        The credit in cents. It and the credited shares add up to the purchase total too.
    """
    copies = tuple(dict.fromkeys((mat.mat.piece, mat.mat.copy) for mat in nested.mats))
    paid = _paid_by_board(nested.purchase)
    total = nested.purchase.total
    whole = _by_copy(nested.mats, _spread(paid, nested.mats))
    shares = share(total, [whole[copy] for copy in copies])
    kept = _worth_of_kept(nested, paid)
    bearing = _not_from_fallout(nested)
    rest = {board: cents - kept[board] for board, cents in paid.items()}
    exact = _by_copy(bearing, _spread(rest, bearing))
    *credited, credit = share(total, [*(exact[copy] for copy in copies), sum(kept.values(), Fraction(0))])
    pieces = {piece.name: piece for piece in nested.job.pieces}
    costs = tuple(
        PieceCost(
            piece=name,
            copy=copy,
            group=pieces[name].group,
            board=board,
            credited=less,
            frame=pieces[name].frame_cost,
            other=pieces[name].other_cost,
            quote=pieces[name].quote,
        )
        for (name, copy), board, less in zip(copies, shares, credited, strict=True)
    )
    return costs, credit


def _paid_by_board(purchase: Purchase) -> dict[str, Fraction]:
    """Exact cents for each board: its sheets with their part of delivery and tax.

    By value, or by count of sheets where the goods of a shop cost nothing.
    """
    value: Counter[str] = Counter()
    count: Counter[str] = Counter()
    for line in purchase.lines:
        value[line.shop] += line.amount
        count[line.shop] += line.count
    paid: defaultdict[str, Fraction] = defaultdict(Fraction)
    for line in purchase.lines:
        shop = line.shop
        part = Fraction(line.amount, value[shop]) if value[shop] else Fraction(line.count, count[shop])
        paid[line.board] += line.amount + part * (purchase.delivery.get(shop, 0) + purchase.tax.get(shop, 0))
    return dict(paid)


def _spread(paid: Mapping[str, Fraction], mats: Sequence[PlacedMat]) -> list[Fraction]:
    """Share what is paid for each board over its mats by blank area, and what no mat took over all of them."""
    area: Counter[str] = Counter()
    for mat in mats:
        area[mat.board] += mat.mat.blank.area
    untaken = sum((cents for board, cents in paid.items() if not area[board]), Fraction(0))
    every = area.total()
    return [mat.mat.blank.area * (paid.get(mat.board, Fraction(0)) / area[mat.board] + untaken / every) for mat in mats]


def _by_copy(mats: Sequence[PlacedMat], amounts: Sequence[Fraction]) -> defaultdict[tuple[str, int], Fraction]:
    sums: defaultdict[tuple[str, int], Fraction] = defaultdict(Fraction)
    for mat, amount in zip(mats, amounts, strict=True):
        sums[mat.mat.piece, mat.mat.copy] += amount
    return sums


def _not_from_fallout(nested: Nested) -> list[PlacedMat]:
    fallouts = {sheet.id for sheet in nested.sheets if isinstance(sheet.source, FromFallout)}
    return [mat for mat in nested.mats if mat.sheet not in fallouts]


def _worth_of_kept(nested: Nested, paid: Mapping[str, Fraction]) -> dict[str, Fraction]:
    """Exact cents for each board: the part of what was paid that its kept area is of the area that it came in."""
    cut, bought = Counter[str](), Counter[str]()
    for sheet in nested.sheets:
        match sheet.source:
            case Bought():
                bought[sheet.board] -= sheet.size.area
                cut[sheet.board] += sheet.size.area
            case FromShelf():
                cut[sheet.board] += sheet.size.area
            case FromFallout():
                pass
    for line in nested.purchase.lines:
        bought[line.board] += line.count * line.sheet.area
    kept = bought + _kept_by_board(nested)
    return {board: cents * Fraction(kept[board], cut[board] + bought[board]) for board, cents in paid.items()}


def _kept_by_board(nested: Nested) -> Counter[str]:
    boards = {sheet.id: sheet.board for sheet in nested.sheets}
    boards_of_mats = {mat.mat.id: mat.board for mat in nested.mats}
    kept: Counter[str] = Counter()
    for left in nested.leftover:
        board = boards[left.sheet] if isinstance(left, OffcutLeft) else boards_of_mats[left.mat]
        kept[board] += _kept_area(left, nested.job.bench.squaring)
    return kept


def _kept_area(left: OffcutLeft | FalloutLeft, squaring: int) -> int:
    if not left.keep:
        return 0
    return left.size.area if isinstance(left, OffcutLeft) else left.size.inset(squaring).area


def measure_waste(nested: Nested) -> Waste:
    """Return where the area of all sheets and shelf pieces that were cut went; uncut sheets are not in it.

    Parameters
    ----------
    nested : Nested
        Everything that nesting and buying settled.

    Returns
    -------
    Waste
        Square ticks. A kept fallout counts with its size once squared; trim, squaring and kerf are scrap.
    """
    cut = sum(sheet.size.area for sheet in nested.sheets if not isinstance(sheet.source, FromFallout))
    in_mats = sum(mat.mat.blank.area - sum(window.size.area for window in mat.mat.windows) for mat in nested.mats)
    kept = sum(_kept_area(left, nested.job.bench.squaring) for left in nested.leftover)
    return Waste(in_mats=in_mats, kept=kept, scrap=cut - in_mats - kept)


def summarise(nested: Nested, pieces: Sequence[PieceCost], credit: int) -> Summary:
    """Return the figures of the whole plan.

    Parameters
    ----------
    nested : Nested
        Everything that nesting and buying settled.
    pieces : sequence of PieceCost
        What each copy costs.
    credit : int
        What the leftovers are worth, in cents.

    Returns
    -------
    Summary
        A copy of a piece is first choice when every layer of it is cut from the board liked best for that layer.
    """
    by_board = {board.name: _bought(nested.purchase, board.name) for board in nested.job.boards}
    bought = sum(by_board.values())
    second_best = {(mat.mat.piece, mat.mat.copy) for mat in nested.mats if mat.board != mat.mat.boards[0]}
    return Summary(
        sheets_bought=bought,
        sheets_by_board={board: count for board, count in by_board.items() if count},
        sheets_uncut=bought - sum(isinstance(sheet.source, Bought) for sheet in nested.sheets),
        fallouts_used=sum(isinstance(sheet.source, FromFallout) for sheet in nested.sheets),
        shelf_used=sum(isinstance(sheet.source, FromShelf) for sheet in nested.sheets),
        first_choice=len(pieces) - len(second_best),
        waste=measure_waste(nested),
        saved=_saved(pieces),
        credit=credit,
        mats_to_pay_cutter=_mats_to_pay(nested.job.bench.cutter_cost, pieces),
    )


def _bought(purchase: Purchase, board: str) -> int:
    return sum(line.count for line in purchase.lines if line.board == board)


def _saved(pieces: Sequence[PieceCost]) -> int | None:
    saved = [piece.saved for piece in pieces if piece.saved is not None]
    return sum(saved) if saved else None


def _mats_to_pay(cutter_cost: int | None, pieces: Sequence[PieceCost]) -> int | None:
    """Count the further mats, at this wall's average saving, that pay for the cutter; None where nothing is saved."""
    saved = _saved(pieces)
    if cutter_cost is None or saved is None or saved <= 0:
        return None
    quoted = sum(piece.quote is not None for piece in pieces)
    return max(0, -((saved - cutter_cost) * quoted // saved))
