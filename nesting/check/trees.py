"""Every blank is cut exactly once, whole, by straight cuts from edge to edge."""

from collections import Counter
from collections.abc import Iterator

from nesting.model.cut_tree import Cut, Node, Offcut, Placed, Way, leaves, nodes
from nesting.model.job import Bench
from nesting.model.plan import CutSheet, PlacedMat, Plan

__all__ = ["tree_faults"]


def tree_faults(plan: Plan) -> Iterator[str]:
    """Yield a line for each cut that no cutter can make, and for each blank that does not come out of its sheet.

    Parameters
    ----------
    plan : Plan
        The plan with the job that it answers.

    Yields
    ------
    str
        What is wrong, the sheet first.
    """
    cut: Counter[int] = Counter()
    for sheet in plan.sheets:
        cut.update(leaf.item for leaf in leaves(sheet.root) if isinstance(leaf, Placed))
        for node in nodes(sheet.root):
            yield from (f"{sheet.id}: {fault}" for fault in _node_faults(plan, sheet, node))
    for item, placed in enumerate(plan.mats):
        if cut[item] != 1:
            yield f"{placed.mat.id}: cut {cut[item]} times instead of once"


def _node_faults(plan: Plan, sheet: CutSheet, node: Node) -> Iterator[str]:
    if min(node.size) <= 0:
        yield f"the part at {tuple(node.at)} is empty"
    match node:
        case Placed(item=item) if not 0 <= item < len(plan.mats):
            yield f"there is no mat number {item}"
        case Placed(item=item):
            yield from _blank_faults(sheet, node, plan.mats[item])
        case Cut():
            yield from _cut_faults(plan.job.bench, node)
        case Offcut():
            pass


def _blank_faults(sheet: CutSheet, node: Placed, placed: PlacedMat) -> Iterator[str]:
    width, height = placed.mat.blank
    lies = (height, width) if placed.turned else (width, height)
    if node.size != lies:
        yield f"{placed.mat.id} is {lies[0]} x {lies[1]} as it lies, its part {node.size.w} x {node.size.h}"
    if placed.board != sheet.board:
        yield f"{placed.mat.id} is {placed.board}, the sheet {sheet.board}"
    if placed.sheet != sheet.id:
        yield f"{placed.mat.id} is said to come out of {placed.sheet}"


def _cut_faults(bench: Bench, cut: Cut) -> Iterator[str]:
    along, beside = (0, 1) if cut.way is Way.UPRIGHT else (1, 0)
    if bench.longest_cut is not None and cut.size[beside] > bench.longest_cut:
        yield f"a cut of {cut.size[beside]} at {tuple(cut.at)} is longer than the cutter makes"
    place, end = cut.at[along], cut.at[along] + cut.size[along]
    reached = place
    for part in cut.parts:
        if (part.at[beside], part.size[beside]) != (cut.at[beside], cut.size[beside]):
            yield f"the part at {tuple(part.at)} does not run from edge to edge"
        if part.at[along] != place:
            yield f"the part at {tuple(part.at)} does not lie one kerf after the part before it"
        reached = place + part.size[along]
        place = reached + bench.kerf
    if len(cut.parts) < 2 and reached in {end, cut.at[along]}:
        yield f"the cut at {tuple(cut.at)} divides nothing"
    if reached > end:
        yield f"the parts at {tuple(cut.at)} reach past the edge"
    elif end - reached > bench.kerf:
        yield f"a strip of {end - reached} at {tuple(cut.at)} is left over, wider than the kerf"
