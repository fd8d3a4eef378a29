"""Waste and cost of whole plans of random small jobs, worked out anew from trees, mats and lines."""

from collections import Counter, defaultdict
from fractions import Fraction
from functools import cache

import pytest

from cli.reports.sentences import group_totals
from nesting.model.cut_tree import Placed, leaves
from nesting.model.plan import FromFallout
from nesting.plan import make_plan
from tests.small_jobs import small_job

JOBS = pytest.mark.parametrize("seed", range(1000, 1100))


@cache
def planned(seed):
    return make_plan(small_job(seed))


def area(size):
    return size[0] * size[1]


@JOBS
def test_mats_kept_and_scrap_are_all_that_was_cut(seed):
    plan = planned(seed)
    waste = plan.summary.waste
    whole = sum(area(sheet.size) for sheet in plan.sheets if not isinstance(sheet.source, FromFallout))
    went = Counter[str]()
    for sheet in plan.sheets:
        went += from_sheet(plan, sheet)
    for placed in plan.mats:
        went += from_windows(plan, placed.mat)
        went["mats"] -= sum(area(window.size) for window in placed.mat.windows)
    assert (waste.in_mats, waste.kept, waste.scrap) == (went["mats"], went["kept"], went["scrap"])
    assert went.total() == whole == waste.cut
    assert min(waste.in_mats, waste.kept, waste.scrap) >= 0
    if whole:
        assert Fraction(100 * (went["mats"] + went["kept"]), whole) + waste.percent == 100


def from_sheet(plan, sheet):
    """Add up the leaves of a tree; trim or squaring, and kerf, are what they do not cover."""
    went = Counter(scrap=area(sheet.size))
    for leaf in leaves(sheet.root):
        use = "mats" if isinstance(leaf, Placed) else "kept" if holds(plan, leaf.size) else "scrap"
        went["scrap"] -= area(leaf.size)
        went[use] += area(leaf.size)
    return went


def from_windows(plan, mat):
    """Add up what dropped out of a mat and was not divided, squared where it is kept."""
    went, lost = Counter[str](), 2 * plan.job.bench.squaring
    divided = {(s.source.mat, s.source.window) for s in plan.sheets if isinstance(s.source, FromFallout)}
    for number, window in enumerate(mat.windows):
        if (mat.id, number) not in divided:
            square = window.size.w - lost, window.size.h - lost
            kept = area(square) if holds(plan, square) else 0
            went.update(kept=kept, scrap=area(window.size) - kept)
    return went


def holds(plan, size):
    """Whether what is left over holds the least worth keeping, either way round."""
    return min(size) >= min(plan.job.bench.keep_at_least) and max(size) >= max(plan.job.bench.keep_at_least)


@JOBS
def test_shares_add_up_to_the_till_in_both_ways_of_sharing(seed):
    plan = planned(seed)
    goods = sum(line.unit_price * line.count for line in plan.purchase.lines)
    till = goods + sum(plan.purchase.delivery.values()) + sum(plan.purchase.tax.values())
    assert sum(cost.board for cost in plan.pieces) == till == plan.purchase.total
    assert sum(cost.credited for cost in plan.pieces) + plan.summary.credit == till
    assert all(cost.board >= 0 and cost.credited >= 0 for cost in plan.pieces)


@JOBS
def test_groups_add_up_to_the_till_and_the_frames(seed):
    plan = planned(seed)
    cost = defaultdict(int)
    count = Counter(one.group or "no group" for one in plan.pieces)
    pieces = {piece.name: piece for piece in plan.job.pieces}
    for one in plan.pieces:
        cost[one.group or "no group"] += one.board + pieces[one.piece].frame_cost + pieces[one.piece].other_cost
    frames = sum(piece.quantity * piece.frame_cost for piece in plan.job.pieces)
    assert sum(cost.values()) == plan.purchase.total + frames
    grouped = any(piece.group for piece in plan.job.pieces)
    assert {name: (n, cents) for name, n, cents in group_totals(plan)} == (
        {name: (count[name], cents) for name, cents in cost.items()} if grouped else {}
    )
