"""What each framed piece costs, where the area of the board went, and the figures of the whole plan."""

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
    """The result of nesting and buying, from which all costs follow.

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
    """Return what each copy of each piece costs, and what the leftovers that are kept are worth.

    What is paid for a board is shared among its blanks by area, as joint costs of like products are. What is paid for a
    board that no blank is cut from is shared among all blanks.

    Each copy also has a second share, `credited`, which leaves out what is kept for the shelf. What is kept bears as
    much of its board's cost as it has of the area of all sheets of that board, bought ones that stay uncut too. The
    rest is shared among the blanks that are not cut from fallout: a fallout is a by-product of its window.

    Parameters
    ----------
    nested : Nested
        The result of nesting and buying.

    Returns
    -------
    tuple of PieceCost
        In the order of the mats. The board shares add up to the purchase total.
    int
        The worth of what is kept, in cents. With the credited shares it adds up to the purchase total too.
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
    """Return for each board, in exact cents, what its sheets cost with their share of delivery and tax.

    Delivery and tax are shared by value, or by number of sheets where all goods of a shop are free.
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
    """Share what is paid for each board among its mats by area, and for boards without mats among all mats."""
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
    """Return for each board, in exact cents, what its kept area is worth: as much of the cost as it is of the area."""
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
    """Return where the area of all sheets and shelf pieces that are cut goes; uncut sheets do not count.

    Parameters
    ----------
    nested : Nested
        The result of nesting and buying.

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
        The result of nesting and buying.
    pieces : sequence of PieceCost
        What each copy costs.
    credit : int
        What the leftovers are worth, in cents.

    Returns
    -------
    Summary
        A copy counts as first choice if each of its layers has the board named first for it.
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
    """Count how many more mats, each saving as much as here on average, pay for the cutter; None if none is saved."""
    saved = _saved(pieces)
    if cutter_cost is None or saved is None or saved <= 0:
        return None
    quoted = sum(piece.quote is not None for piece in pieces)
    return max(0, -((saved - cutter_cost) * quoted // saved))
