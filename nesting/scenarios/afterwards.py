"""What is held once a plan has been cut: what it left of the shelf, what it puts on it, and sheets not cut at all."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from nesting.model.job import Job, Piece, ShelfKind, ShelfPiece
from nesting.model.plan import Bought, FalloutLeft, FromShelf, OffcutLeft, Plan
from nesting.offers import with_discount
from nesting.spelling import internal

__all__ = ["another_day", "bought_stock", "left_over", "shelf_after"]


def shelf_after(plan: Plan) -> tuple[ShelfPiece, ...]:
    """Return everything that is held once all of a plan has been cut and only what is worth keeping is kept.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of ShelfPiece
        The shelf of its job less what was cut, then sheets that were bought and not cut, offcuts and fallouts. What is
        new has labels that no user can give.
    """
    return (*_untouched(plan), *_spares(plan), *_left(plan, also_scrap=False))


def another_day(plan: Plan, pieces: Sequence[Piece]) -> Job:
    """Return the job of cutting some pieces once a plan has been cut, at ordinary prices.

    Parameters
    ----------
    plan : Plan
        What is cut before.
    pieces : sequence of Piece
        What is cut then.

    Returns
    -------
    Job
        With what the plan leaves, without discounts, and without the offers that are limited in number, as coupons are.
    """
    lasting = tuple(offer for offer in plan.job.offers if offer.at_most is None)
    ordinary = with_discount(replace(plan.job, offers=lasting), "0")
    return replace(ordinary, pieces=tuple(pieces), shelf=shelf_after(plan))


def left_over(plan: Plan, board: str) -> tuple[ShelfPiece, ...]:
    """Return what is left of all that a plan cuts and buys of a board, scrap too, as stock that is held."""
    return tuple(piece for piece in (*_spares(plan), *_left(plan, also_scrap=True)) if piece.board == board)


def bought_stock(plan: Plan) -> tuple[ShelfPiece, ...]:
    """Return what a plan buys as stock that is held, a label for each line of the shopping list."""
    return tuple(
        ShelfPiece(internal(f"bought {number}"), line.board, line.sheet, line.count, ShelfKind.SHEET)
        for number, line in enumerate(plan.purchase.lines, 1)
    )


def _untouched(plan: Plan) -> Iterator[ShelfPiece]:
    used = Counter(sheet.source.label for sheet in plan.sheets if isinstance(sheet.source, FromShelf))
    for piece in plan.job.shelf:
        if piece.quantity > used[piece.label]:
            yield replace(piece, quantity=piece.quantity - used[piece.label])


def _spares(plan: Plan) -> Iterator[ShelfPiece]:
    cut = Counter((sheet.source.offer, sheet.board) for sheet in plan.sheets if isinstance(sheet.source, Bought))
    for number, line in enumerate(plan.purchase.lines, 1):
        spare = line.count - cut[line.offer, line.board]
        if spare:
            yield ShelfPiece(internal(f"uncut {number}"), line.board, line.sheet, spare, ShelfKind.SHEET)


def _left(plan: Plan, *, also_scrap: bool) -> Iterator[ShelfPiece]:
    of_sheet = {sheet.id: sheet.board for sheet in plan.sheets}
    of_mat = {placed.mat.id: placed.board for placed in plan.mats}
    squaring = plan.job.bench.squaring
    for number, left in enumerate(plan.leftover, 1):
        if not (left.keep or also_scrap):
            continue
        label = internal(f"left over {number}")
        match left:
            case OffcutLeft(sheet, _, size, _):
                yield ShelfPiece(label, of_sheet[sheet], size, 1, ShelfKind.OFFCUT)
            case FalloutLeft(mat, _, size, _) if min(size) > 2 * squaring:
                yield ShelfPiece(label, of_mat[mat], size.inset(squaring), 1, ShelfKind.FALLOUT)
            case _:
                pass
