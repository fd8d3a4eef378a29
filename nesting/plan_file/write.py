"""The plan file: every length in whole ticks, every sum of money a string with two decimals."""

import json
from collections.abc import Mapping
from fractions import Fraction
from typing import TextIO, assert_never

from nesting.geometry import Point, Size
from nesting.lengths import TICKS_PER_MM, round_near
from nesting.model.cut_tree import Cut, Node, Offcut, Placed
from nesting.model.job import Bench
from nesting.model.plan import (
    Bought,
    CutSheet,
    FalloutLeft,
    FromFallout,
    FromShelf,
    Line,
    OffcutLeft,
    PieceCost,
    PlacedMat,
    Plan,
    Purchase,
    Source,
    Waste,
)
from nesting.money import half_up, plain_money
from nesting.plan_file.read import Again
from nesting.spelling import without_mark

__all__ = ["plan_to_dict", "used_labels", "write_json"]

_VERSION = 1
_Json = dict[str, object]


def plan_to_dict(plan: Plan, again: Again | None = None) -> _Json:
    """Return the plan as the plan file has it.

    Parameters
    ----------
    plan : Plan
        The plan.
    again : Again or None
        Which plan it mends, where it cuts spoiled mats again.

    Returns
    -------
    dict
        Of strings, whole numbers, lists and dicts, and one decimal (the per cents of the summary). Exact settings of
        the bench that fall between two ticks stand at the nearer one.
    """
    own = again.table if again else [(piece.label, piece.quantity) for piece in plan.job.shelf if not piece.in_file]
    return {
        "format": "windowfall plan",
        "version": _VERSION,
        "ticks_per_mm": TICKS_PER_MM,
        "job": {
            "path": plan.job.path,
            "pieces": len({(placed.mat.piece, placed.mat.copy) for placed in plan.mats}),
            "blanks": len(plan.mats),
            "when": plan.when.value,
        },
        "bench": _bench(plan.job.bench),
        "purchase": _purchase(plan.purchase),
        "sheets": [_sheet(plan, sheet) for sheet in plan.sheets],
        "mats": [_mat(placed) for placed in plan.mats],
        "leftover": [_leftover(left) for left in plan.leftover],
        "pieces": [_piece(cost) for cost in plan.pieces],
        "summary": _summary(plan),
        "shelf_file_labels": list(used_labels(plan)),
        "shelf_table": [{"label": label, "quantity": quantity} for label, quantity in own],
        **({} if again is None else {"again": _again(again)}),
        "search": {
            "status": plan.status.value,
            "proof": plan.proof,
            "seconds": round(plan.seconds, 2),
            "seed": plan.seed,
        },
    }


def _again(again: Again) -> _Json:
    return {
        "plan": again.plan,
        "mats": list(again.mats),
        "first": again.first,
        "offers": [{"offer_row": number, "count": count} for number, count in again.offers],
        "shelf": [{"label": label, "count": count} for label, count in again.shelf],
    }


def write_json(plan: Plan, file: TextIO, again: Again | None = None) -> None:
    """Write the plan file; signs beyond ASCII are escaped, so that any encoding carries it.

    Parameters
    ----------
    plan : Plan
        The plan.
    file : TextIO
        Open for writing.
    again : Again or None
        Which plan it mends, where it cuts spoiled mats again.
    """
    json.dump(plan_to_dict(plan, again), file, indent=1)
    file.write("\n")


def _ticks(length: Fraction | int) -> int:
    return round_near(Fraction(length), 1)


def _bench(bench: Bench) -> _Json:
    longest = bench.longest_cut
    return {
        "unit": bench.unit.value,
        "allowance": _ticks(bench.allowance),
        "trim": bench.trim,
        "kerf": bench.kerf,
        "squaring": bench.squaring,
        "keep_at_least": [_ticks(length) for length in bench.keep_at_least],
        "ruler": bench.ruler,
        "overlap": _ticks(bench.overlap),
        "longest_cut": None if longest is None else _ticks(longest),
        "use_fallout": bench.use_fallout,
        "currency": bench.currency,
    }


def _purchase(purchase: Purchase) -> _Json:
    return {
        "total": plain_money(purchase.total),
        "lower_bound": plain_money(purchase.lower_bound),
        "proven": purchase.proven,
        "lines": [_line(line) for line in purchase.lines],
        "delivery": plain_money(sum(purchase.delivery.values())),
        "tax": plain_money(sum(purchase.tax.values())),
        "delivery_by_shop": _money_by_name(purchase.delivery),
        "tax_by_shop": _money_by_name(purchase.tax),
    }


def _money_by_name(cents: Mapping[str, int]) -> dict[str, str]:
    return {name: plain_money(amount) for name, amount in cents.items()}


def _line(line: Line) -> _Json:
    return {
        "shop": line.shop,
        "board": line.board,
        "offer_row": line.offer,
        "sheet": list(line.sheet),
        "count": line.count,
        "unit_price": plain_money(line.unit_price),
        "amount": plain_money(line.amount),
    }


def _sheet(plan: Plan, sheet: CutSheet) -> _Json:
    return {
        "id": sheet.id,
        "board": sheet.board,
        "source": _source(sheet.source),
        "size": list(sheet.size),
        "cuts": _node(plan, sheet.root),
    }


def _source(source: Source) -> _Json:
    match source:
        case Bought(offer):
            return {"kind": "bought", "offer_row": offer}
        case FromShelf(label):
            return {"kind": "shelf", "label": without_mark(label)}
        case FromFallout(mat, window):
            return {"kind": "fallout", "mat": mat, "window": window}
        case _ as never:
            assert_never(never)


def _node(plan: Plan, node: Node) -> _Json:
    place = _place(node.at, node.size)
    match node:
        case Placed(item=item):
            return place | {"mat": plan.mats[item].mat.id}
        case Offcut():
            return place | {"offcut": True}
        case Cut(way=way, parts=parts):
            return place | {"cut": way.value, "parts": [_node(plan, part) for part in parts]}
        case _ as never:
            assert_never(never)


def _place(at: Point, size: Size) -> _Json:
    return {"at": list(at), "size": list(size)}


def _mat(placed: PlacedMat) -> _Json:
    mat = placed.mat
    borders = mat.borders
    return {
        "id": mat.id,
        "piece": mat.piece,
        "copy": mat.copy,
        "layer": mat.layer,
        "board": placed.board,
        "blank": list(mat.blank),
        "borders": None
        if borders is None
        else {"left": borders.left, "right": borders.right, "top": borders.top, "bottom": borders.bottom},
        "windows": [_place(window.at, window.size) for window in mat.windows],
        "sheet": placed.sheet,
        "turned": placed.turned,
    }


def _leftover(left: OffcutLeft | FalloutLeft) -> _Json:
    match left:
        case OffcutLeft(sheet, at, size, keep):
            return {"sheet": sheet, **_place(at, size), "keep": keep}
        case FalloutLeft(mat, window, size, keep):
            return {"mat": mat, "window": window, "size": list(size), "keep": keep}
        case _ as never:
            assert_never(never)


def _piece(cost: PieceCost) -> _Json:
    return {
        "piece": cost.piece,
        "copy": cost.copy,
        "group": cost.group,
        "cost": {
            "board": plain_money(cost.board),
            "board_credited": plain_money(cost.credited),
            "frame": plain_money(cost.frame),
            "other": plain_money(cost.other),
            "total": plain_money(cost.total),
        },
        "quote": _money_or_none(cost.quote),
        "saved": _money_or_none(cost.saved),
    }


def _money_or_none(cents: int | None) -> str | None:
    return None if cents is None else plain_money(cents)


def _summary(plan: Plan) -> _Json:
    summary = plan.summary
    waste = summary.waste
    return {
        "sheets_bought": summary.sheets_bought,
        "sheets_by_board": dict(summary.sheets_by_board),
        "sheets_uncut": summary.sheets_uncut,
        "fallouts_used": summary.fallouts_used,
        "shelf_used": summary.shelf_used,
        "first_choice": summary.first_choice,
        "first_choice_at_most": plan.preference[0].most if plan.preference else len(plan.pieces),
        "selection": [{"cut": level.count, "at_most": level.most} for level in plan.selection],
        "waste_percent": _tenths(waste.percent),
        "in_mats_percent": _part(waste.in_mats, waste),
        "kept_percent": _part(waste.kept, waste),
        "saved": _money_or_none(summary.saved),
        "credit": plain_money(summary.credit),
        "mats_to_pay_cutter": summary.mats_to_pay_cutter,
    }


def _part(area: int, waste: Waste) -> float:
    return _tenths(Fraction(100 * area, waste.cut)) if waste.cut else 0.0


def _tenths(percent: Fraction) -> float:
    """Round to one decimal, half up; a per cent is neither a length nor money."""
    return half_up(10 * percent) / 10


def used_labels(plan: Plan) -> tuple[str, ...]:
    """Return the labels of the pieces of the shelf file that a plan cuts, in the order of its sheets."""
    in_file = {piece.label for piece in plan.job.shelf if piece.in_file}
    used = [sheet.source.label for sheet in plan.sheets if isinstance(sheet.source, FromShelf)]
    return tuple(dict.fromkeys(label for label in used if label in in_file))
