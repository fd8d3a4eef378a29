"""Tables of a plan: mats, sheets, the shopping list, costs, what is left over."""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import chain
from typing import assert_never

import pandas as pd

from nesting.bench.rounds import lefts
from nesting.frames.build import Kind, build
from nesting.frames.of_job import SIZE_COLUMNS, size_cells
from nesting.model.plan import Bought, CutSheet, FalloutLeft, FromFallout, FromShelf, PieceCost, Plan
from nesting.spelling import without_mark

__all__ = ["costs", "costs_by_group", "leftovers", "mats", "purchase", "sheets"]

_MATS = {
    "mat": Kind.TEXT,
    "piece": Kind.TEXT,
    "copy": Kind.COUNT,
    "layer": Kind.COUNT,
    "board": Kind.TEXT,
    **SIZE_COLUMNS,
    "sheet": Kind.TEXT,
    "turned": Kind.FLAG,
}

_SHEETS = {
    "sheet": Kind.TEXT,
    "board": Kind.TEXT,
    "source": Kind.TEXT,
    "origin": Kind.TEXT,
    "width": Kind.LENGTH,
    "height": Kind.LENGTH,
    "mats": Kind.COUNT,
}

_PURCHASE = {
    "what": Kind.TEXT,
    "shop": Kind.TEXT,
    "board": Kind.TEXT,
    "width": Kind.LENGTH,
    "height": Kind.LENGTH,
    "count": Kind.COUNT,
    "each": Kind.MONEY,
    "amount": Kind.MONEY,
}

_SUMS = {
    "board": Kind.MONEY,
    "board_credited": Kind.MONEY,
    "frame": Kind.MONEY,
    "other": Kind.MONEY,
    "total": Kind.MONEY,
    "quote": Kind.MONEY,
    "saved": Kind.MONEY,
}
_COSTS = {"piece": Kind.TEXT, "copy": Kind.COUNT, "group": Kind.TEXT, **_SUMS}
_GROUPS = {"group": Kind.TEXT, "pieces": Kind.COUNT, "quoted": Kind.COUNT, **_SUMS}

_LEFTOVERS = {
    "name": Kind.TEXT,
    "what": Kind.TEXT,
    "board": Kind.TEXT,
    "width": Kind.LENGTH,
    "height": Kind.LENGTH,
    "keep": Kind.FLAG,
}


def mats(plan: Plan, *, ticks: bool = False) -> pd.DataFrame:
    """Return every mat of a plan, with its board and the sheet that it is cut from.

    Parameters
    ----------
    plan : Plan
        The plan.
    ticks : bool
        Whether lengths are given in ticks.

    Returns
    -------
    DataFrame
        In the order of pieces, copies and layers, as seen from the front:

        - ``mat``, ``piece`` (string), ``copy``, ``layer`` (Int64): layer 0 is the mat, then come under-mat and backing
        - ``board`` (string)
        - ``blank_width``, ``blank_height`` (length): before turning
        - ``left``, ``right``, ``top``, ``bottom`` (length): borders; missing where there is no window
        - ``windows`` (Int64), ``window_width``, ``window_height`` (length): all windows of a mat are alike
        - ``sheet`` (string), ``turned`` (bool): where it lies, and whether it lies turned a quarter there
    """
    rows = (
        (
            placed.mat.id,
            placed.mat.piece,
            placed.mat.copy,
            placed.mat.layer,
            placed.board,
            *size_cells(placed.mat),
            placed.sheet,
            placed.turned,
        )
        for placed in plan.mats
    )
    return build(_MATS, rows, plan.job.bench, ticks=ticks)


def sheets(plan: Plan, *, ticks: bool = False) -> pd.DataFrame:
    """Return everything that a plan cuts into blanks: sheets, shelf pieces and fallouts.

    Parameters
    ----------
    plan : Plan
        The plan.
    ticks : bool
        Whether lengths are given in ticks.

    Returns
    -------
    DataFrame
        Those that fall out of a mat come after the sheet of that mat:

        - ``sheet``, ``board`` (string)
        - ``source`` (string): ``bought``, ``shelf`` or ``fallout``
        - ``origin`` (string): the shop, the label on the shelf, or the mat that it falls out of
        - ``width``, ``height`` (length): before trimming or squaring
        - ``mats`` (Int64): how many are cut from it
    """
    counts = Counter(placed.sheet for placed in plan.mats)
    shops = {offer.number: offer.shop for offer in plan.job.offers}
    rows = ((sheet.id, sheet.board, *_source(sheet, shops), *sheet.size, counts[sheet.id]) for sheet in plan.sheets)
    return build(_SHEETS, rows, plan.job.bench, ticks=ticks)


def _source(sheet: CutSheet, shops: dict[int, str]) -> tuple[str, str]:
    match sheet.source:
        case Bought(offer):
            return "bought", shops[offer]
        case FromShelf(label):
            return "shelf", without_mark(label)
        case FromFallout(mat):
            return "fallout", mat
        case _ as never:
            assert_never(never)


def purchase(plan: Plan, *, ticks: bool = False) -> pd.DataFrame:
    """Return what a plan buys: the shopping list, and what is paid beside the goods.

    Parameters
    ----------
    plan : Plan
        The plan.
    ticks : bool
        Whether lengths are given in ticks.

    Returns
    -------
    DataFrame
        The amounts add up to what is paid in all:

        - ``what`` (string): ``sheets``, ``delivery`` or ``tax``
        - ``shop`` (string)
        - ``board`` (string), ``width``, ``height`` (length), ``count`` (Int64): missing but for sheets
        - ``each`` (money): for one sheet, after its discount; None but for sheets
        - ``amount`` (money)
    """
    bought = (
        ("sheets", line.shop, line.board, *line.sheet, line.count, line.unit_price, line.amount)
        for line in plan.purchase.lines
    )
    extra = (
        (what, shop, None, None, None, None, None, cents)
        for what, by_shop in (("delivery", plan.purchase.delivery), ("tax", plan.purchase.tax))
        for shop, cents in by_shop.items()
        if cents
    )
    return build(_PURCHASE, chain(bought, extra), plan.job.bench, ticks=ticks)


def costs(plan: Plan) -> pd.DataFrame:
    """Return what every copy of a piece costs.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    DataFrame
        In the order of the pieces; the shares of ``board`` add up to what is paid in all:

        - ``piece`` (string), ``copy`` (Int64), ``group`` (string)
        - ``board`` (money): its share of sheets, delivery and tax
        - ``board_credited`` (money): the same where what is kept for the shelf is credited
        - ``frame``, ``other`` (money)
        - ``total`` (money): board, frame and other
        - ``quote``, ``saved`` (money): what a shop asks for the mat, and how much less the board is; None without one
    """
    rows = ((cost.piece, cost.copy, cost.group, *_sums([cost])) for cost in plan.pieces)
    return build(_COSTS, rows, plan.job.bench)


def costs_by_group(plan: Plan) -> pd.DataFrame:
    """Return what every group of pieces costs.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    DataFrame
        In the order in which groups first come in the table of pieces; each column is the sum of that of `costs`:

        - ``group`` (string): missing for pieces that are in none
        - ``pieces``, ``quoted`` (Int64): how many copies there are, and how many of them have a quote
        - ``board``, ``board_credited``, ``frame``, ``other``, ``total`` (money)
        - ``quote``, ``saved`` (money): of those that have a quote; None where none has
    """
    groups: dict[str | None, list[PieceCost]] = {}
    for cost in plan.pieces:
        groups.setdefault(cost.group, []).append(cost)
    rows = (
        (group, len(members), sum(cost.quote is not None for cost in members), *_sums(members))
        for group, members in groups.items()
    )
    return build(_GROUPS, rows, plan.job.bench)


def _sums(members: Sequence[PieceCost]) -> Iterator[int | None]:
    for name in ("board", "credited", "frame", "other", "total", "quote", "saved"):
        known = [cents for cents in (getattr(cost, name) for cost in members) if cents is not None]
        yield sum(known) if known else None


def leftovers(plan: Plan, *, ticks: bool = False) -> pd.DataFrame:
    """Return what a plan leaves over.

    Parameters
    ----------
    plan : Plan
        The plan.
    ticks : bool
        Whether lengths are given in ticks.

    Returns
    -------
    DataFrame
        In the order of the plan:

        - ``name`` (string): what to write on it
        - ``what`` (string): ``offcut`` or ``fallout``
        - ``board`` (string), ``width``, ``height`` (length): a fallout once its bevels are cut off
        - ``keep`` (bool): whether it is large enough for the shelf
    """
    rows = (
        (name, "fallout" if isinstance(left, FalloutLeft) else "offcut", board, *size, keep)
        for left, (name, board, size, keep) in zip(plan.leftover, lefts(plan), strict=True)
    )
    return build(_LEFTOVERS, rows, plan.job.bench, ticks=ticks)
