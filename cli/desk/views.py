"""A plan as words and drawings for the page: all that shop and bench need, so that they do without the plan itself."""

import io
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from cli.reports.sentences import (
    alike_costs,
    boards_words,
    by_shop,
    copies_words,
    cost_remarks,
    group_totals,
    headline,
    left_out_words,
    money_words,
    proof_words,
    uncut_words,
    waste_words,
)
from nesting.bench.bevels import MatWork, mat_work
from nesting.bench.cut_order import cutting_list
from nesting.bench.rounds import Batch, rounds
from nesting.bench.steps import Step, sentences_of, steps_of
from nesting.drawing import draw_sheet
from nesting.drawing.cut import draw_cut, draw_edges
from nesting.drawing.mat import draw_mat
from nesting.drawing.svg import svg_text
from nesting.drawing.where import draw_where
from nesting.model.plan import FromFallout, Line, Plan
from nesting.names import Names, length_words, size_words
from nesting.plan_file.read import Again
from nesting.plan_file.write import write_json
from nesting.scenarios.limits import Within

__all__ = ["bought_view", "plan_view", "price_view"]


def price_view(plan: Plan) -> Mapping[str, Any]:
    """Return the price line of a wall, and what each row of the table pieces costs in boards."""
    purchase = plan.purchase
    costs: dict[str, list[int]] = {}
    for cost in plan.pieces:
        costs.setdefault(cost.piece, []).append(cost.board)
    return {
        "sheets": plan.summary.sheets_bought,
        "total": money_words(plan, purchase.total),
        "proven": purchase.proven,
        "bound": money_words(plan, purchase.lower_bound),
        "pieces": {name: money_words(plan, sum(shares)) for name, shares in costs.items()},
    }


def plan_view(found: Within, again: Again | None = None, remarks: Sequence[str] = ()) -> Mapping[str, Any]:
    """Return a plan for the places Plan, Shop and Bench, with its plan file.

    Most of the time goes into the drawings, a second for a hundred sheets; `bought_view` does without.

    Parameters
    ----------
    found : Within
        The plan, and what is left out of it.
    again : Again, optional
        Which mats it cuts again, and of which plan.
    remarks : sequence of str
        What else is to be said of it.

    Returns
    -------
    mapping
        Of what JSON can hold: words, sums in words, drawings as SVG.
    """
    file = io.StringIO()
    write_json(found.plan, file, again)
    return {**bought_view(found, remarks), "rounds": list(_rounds(found.plan)), "file": file.getvalue()}


def bought_view(found: Within, remarks: Sequence[str] = ()) -> Mapping[str, Any]:
    """Return what `plan_view` does but for its plan file and its sheets and mats: what is bought, and the costs."""
    plan = found.plan
    return {
        **price_view(plan),
        "identity": plan.identity,
        "headline": headline(plan),
        "proof": proof_words(plan),
        "waste": waste_words(plan),
        "remarks": [*remarks, *cost_remarks(plan)],
        "uncut": list(uncut_words(plan)),
        "left_out": list(left_out_words(found)),
        "copies_left_out": sum(left.copies for left in found.left_out),
        "shops": [_shop(plan, shop, lines) for shop, lines in by_shop(plan.purchase.lines).items()],
        "costs": list(_costs(plan)),
        "groups": {name: money_words(plan, total) for name, _, total in group_totals(plan)},
        "unit": plan.job.bench.unit.value,
        "rounds": None,
    }


def _shop(plan: Plan, shop: str, lines: Sequence[Line]) -> Mapping[str, Any]:
    rows = [
        {
            "key": f"buy-{line.offer}-{place}",
            "count": line.count,
            "board": line.board,
            "size": size_words(line.sheet, plan.job.bench),
            "each": money_words(plan, line.unit_price),
            "amount": money_words(plan, line.amount),
        }
        for place, line in enumerate(lines)
    ]
    fees = {"delivery": plan.purchase.delivery.get(shop, 0), "tax": plan.purchase.tax.get(shop, 0)}
    total = sum(line.amount for line in lines) + sum(fees.values())
    said = {name: money_words(plan, cents) for name, cents in fees.items() if cents}
    return {"shop": shop, "lines": rows, "fees": said, "total": money_words(plan, total)}


def _costs(plan: Plan) -> Iterator[Mapping[str, Any]]:
    names, boards = Names(plan.job, plan.mats), boards_words(plan)
    for alike in alike_costs(plan, credited=False):
        first = alike[0]
        yield {
            "piece": first.piece,
            "name": copies_words(alike, names),
            "group": first.group or "",
            "boards": boards.get((first.piece, first.copy), ""),
            "board": money_words(plan, first.board),
            "other": money_words(plan, first.frame + first.other),
            "total": money_words(plan, first.total),
        }


def _rounds(plan: Plan) -> Iterator[Mapping[str, Any]]:
    names, on_sheet = Names(plan.job, plan.mats), defaultdict(list)
    for placed in plan.mats:
        on_sheet[placed.sheet].append(placed.mat.id)
    for this in rounds(plan):
        works = [mat_work(plan, placed) for placed in this.mats]
        yield {
            "sheets": [_batch(plan, batch, names, on_sheet) for batch in this.batches],
            "mats": [_mat(plan, work) for work in works],
        }


def _batch(plan: Plan, batch: Batch, names: Names, on_sheet: Mapping[str, list[str]]) -> Mapping[str, Any]:
    sheet, bench = batch.sheets[0], plan.job.bench
    steps = steps_of(cutting_list(plan, batch))
    drawing = draw_sheet(plan, sheet, beside=True)
    return {
        "ids": [each.id for each in batch.sheets],
        "board": sheet.board,
        "swatch": plan.job.board(sheet.board).swatch or "",
        "size": size_words(sheet.size, bench),
        "source": names.sources(batch.sheets),
        "drawing": svg_text(drawing),
        "steps": [
            {**_step(plan, sheet.id, step), "where": svg_text(where)}
            for step, where in zip(steps, draw_where(plan, sheet, steps, drawing), strict=True)
        ],
        "fallout_of": [each.source.mat for each in batch.sheets if isinstance(each.source, FromFallout)],
        "mats": [mat for each in batch.sheets for mat in on_sheet.get(each.id, ())],
    }


def _step(plan: Plan, sheet: str, step: Step) -> Mapping[str, Any]:
    figure, _, marks = step.cuts[0].words.partition(" (between the marks ")
    return {
        "key": f"cut-{sheet}-{step.number}",
        "number": step.number,
        "figure": figure,
        "marks": marks.removesuffix(")"),
        "words": list(sentences_of(step, plan.job.bench)),
        "drawing": svg_text(draw_edges(step.cuts) if step.is_edges else draw_cut(step.cuts[0])),
    }


def _mat(plan: Plan, work: MatWork) -> Mapping[str, Any]:
    bench, mat = plan.job.bench, work.placed.mat
    cuts = [
        f"{cut.side}: guide {length_words(cut.guide, bench)}, start {length_words(cut.start, bench)}, "
        f"stop {length_words(cut.stop, bench)}"
        for cut in work.cuts
    ]
    lines = [f"{line.edge} {length_words(line.distance, bench)}" for line in work.lines]
    return {
        "key": f"mat-{mat.id}",
        "id": mat.id,
        "name": work.name,
        "board": work.placed.board,
        "swatch": plan.job.board(work.placed.board).swatch or "",
        "sheet": work.placed.sheet,
        "size": size_words(mat.blank, bench),
        "lines": lines,
        "cuts": cuts,
        "fallout": [window.fallout for window in work.windows],
        "drawing": svg_text(draw_mat(work, bench)),
    }
