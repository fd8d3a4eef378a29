"""The figures of the whole plan are those of its parts."""

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from nesting.model.cut_tree import Offcut, Placed, leaves
from nesting.model.plan import Bought, FromFallout, FromShelf, Plan, Waste

__all__ = ["summary_faults"]


def summary_faults(plan: Plan) -> Iterator[str]:
    """Yield a line for each figure of the summary that the plan does not bear out.

    Parameters
    ----------
    plan : Plan
        A plan whose mats, sheets and purchase are sound.

    Yields
    ------
    str
        What is wrong, the figure first.
    """
    given, kinds = plan.summary, Counter(type(sheet.source) for sheet in plan.sheets)
    by_board: Counter[str] = Counter()
    for line in plan.purchase.lines:
        by_board[line.board] += line.count
    copies: dict[tuple[str, int], bool] = {}
    for placed in plan.mats:
        key = (placed.mat.piece, placed.mat.copy)
        copies[key] = copies.get(key, True) and placed.board == placed.mat.boards[0]
    saved = [cost.quote - cost.board for cost in plan.pieces if cost.quote is not None]
    for name, figure, right in (
        ("sheets bought", given.sheets_bought, by_board.total()),
        ("sheets by board", dict(given.sheets_by_board), dict(by_board)),
        ("sheets left uncut", given.sheets_uncut, by_board.total() - kinds[Bought]),
        ("fallouts used", given.fallouts_used, kinds[FromFallout]),
        ("shelf pieces used", given.shelf_used, kinds[FromShelf]),
        ("pieces in the board liked best", given.first_choice, sum(copies.values())),
        ("saved", given.saved, sum(saved) if saved else None),
        ("mats to pay for the cutter", given.mats_to_pay_cutter, _mats_to_pay(plan.job.bench.cutter_cost, saved)),
        ("waste", given.waste, _waste(plan)),
    ):
        if figure != right:
            yield f"summary: {name} is {figure} instead of {right}"


def _mats_to_pay(cutter_cost: int | None, saved: list[int]) -> int | None:
    """Count mats one by one's worth of the average saving, until the cutter is paid for."""
    if cutter_cost is None or sum(saved) <= 0:
        return None
    each = Fraction(sum(saved), len(saved))
    whole, rest = divmod(max(0, cutter_cost - sum(saved)), each)
    return int(whole) + bool(rest)


def _waste(plan: Plan) -> Waste:
    """Follow the area through the trees: a sheet ends in blanks, offcuts and scrap, and a window may go on."""
    cut = blanks = kept = 0
    for sheet in plan.sheets:
        if not isinstance(sheet.source, FromFallout):
            cut += sheet.size.w * sheet.size.h
        for leaf in leaves(sheet.root):
            match leaf:
                case Placed(size=size):
                    blanks += size.w * size.h
                case Offcut(size=size):
                    kept += size.w * size.h * _is_kept(plan, size)
    divided = {(s.source.mat, s.source.window) for s in plan.sheets if isinstance(s.source, FromFallout)}
    lost = 2 * plan.job.bench.squaring
    for placed in plan.mats:
        for number, window in enumerate(placed.mat.windows):
            blanks -= window.size.w * window.size.h
            squared = (window.size.w - lost, window.size.h - lost)
            if (placed.mat.id, number) not in divided:
                kept += squared[0] * squared[1] * _is_kept(plan, squared)
    return Waste(in_mats=blanks, kept=kept, scrap=cut - blanks - kept)


def _is_kept(plan: Plan, size: tuple[int, int]) -> bool:
    return all(side >= least for side, least in zip(sorted(size), sorted(plan.job.bench.keep_at_least), strict=True))
