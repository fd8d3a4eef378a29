"""Small problems in whole numbers for the tests of the solver, and what a solution of one must keep."""

from collections import Counter
from fractions import Fraction
from math import floor

from nesting.geometry import Point, Size
from nesting.model.status import SolveStatus
from nesting.packing.instance import Held, Instance, Lot, Priced, Till
from nesting.packing.pattern import cut_tree
from nesting.packing.solve import solve
from nesting.packing.stop import Stop
from tests.packing.trees import items_of, unsound

__all__ = ["answered", "held", "instance", "lots", "obeys", "offer", "paid", "proven", "till", "wrong_with"]


def lots(*wanted, boards=(0,)):
    """Return lots for ``(w, h, copies)``; copies of one lot take one board. Items are numbered through."""
    made, first = [], 0
    for w, h, copies in wanted:
        made.append(Lot(Size(w, h), tuple(range(first, first + copies)), boards, ()))
        first += copies
    return tuple(made)


def offer(w, h, price, **changes):
    """Return an offer of board 0 from till 0, without a limit, unless told otherwise."""
    facts = {"boards": (0,), "till": 0, "at_most": None, "at_least": 1, "pack": 1}
    return Priced(Size(w, h), price=price, **facts | changes)


def till(fee=0, free_over=None, tax="0"):
    """Return a till whose tax is given in per cent."""
    return Till(fee, free_over, Fraction(tax) / 100)


def held(w, h, count=1, board=0):
    return Held(board, Size(w, h), count)


def instance(wanted, offers, **changes):
    """Return a problem on one board that may be turned, without kerf, unless told otherwise."""
    facts = {"kerf": 0, "longest": None, "turn": (True,), "held": (), "tills": (till(),), "room": None}
    return Instance(lots=wanted, offers=tuple(offers), **facts | changes)


def obeys(offers, chosen):
    """Whether counts by offer and board keep packs, minimums and limits."""
    for number, one in enumerate(offers):
        mine = [count for (which, _), count in chosen.items() if which == number]
        if any(count % one.pack for count in mine):
            return False
        if 0 < sum(mine) < one.at_least or (one.at_most is not None and sum(mine) > one.at_most):
            return False
    return True


def paid(offers, tills, chosen):
    """Return what counts by offer and board cost, fees and tax too."""
    total = 0
    for number, one in enumerate(tills):
        mine = {key: count for key, count in chosen.items() if offers[key[0]].till == number and count}
        goods = sum(offers[which].price * count for (which, _), count in mine.items())
        free = one.free_over is not None and goods > one.free_over
        total += goods + floor(goods * one.tax + Fraction(1, 2)) + (one.fee if mine and not free else 0)
    return total


def wrong_with(problem, solution):
    """Return which rules a solution of a problem breaks, worked out without the package's own checker."""
    wrong = []
    placed, on = [], {}
    for lot, board in zip(problem.lots, solution.boards, strict=True):
        if board not in lot.boards:
            wrong.append(("a board that would not do", lot, board))
        on |= dict.fromkeys(lot.items, (board, lot.size))
    for sheet in solution.sheets:

        def take(size, board=sheet.board):
            sizes = {size, size.turned} if problem.turn[board] else {size}
            item = next((item for item, (b, s) in on.items() if b == board and s in sizes), None)
            on.pop(item, None)
            return item

        space = Size(sheet.size.w - problem.kerf, sheet.size.h - problem.kerf)
        root = cut_tree(sheet.part, Point(0, 0), space, problem.kerf, take)
        placed += items_of(root)
        wrong += unsound(root, problem.kerf, problem.longest)
    if sorted(placed) != sorted(item for lot in problem.lots for item in lot.items):
        wrong.append(("not every item once", placed))
    if not obeys(problem.offers, solution.counts):
        wrong.append(("an offer is not kept to", solution.counts))
    if solution.cost != paid(problem.offers, problem.tills, solution.counts):
        wrong.append(("another cost", solution.cost))
    return wrong + stock_wrong_with(problem, solution)


def stock_wrong_with(problem, solution):
    """Return which sheets there are not enough of, and whether more are left uncut than there is room for."""
    free, bought, used = Counter(), Counter(), Counter()
    for one in problem.held:
        free[one.board, one.size] += one.count
    for lot, board in zip(problem.lots, solution.boards, strict=True):
        for fallout in lot.fallouts:
            free[board, fallout] += len(lot.items)
    for (number, board), count in solution.counts.items():
        bought[board, problem.offers[number].size] += count
    for sheet in solution.sheets:
        used[sheet.board, Size(sheet.size.w - problem.kerf, sheet.size.h - problem.kerf)] += 1
    wrong = [("more than there is", key) for key, count in used.items() if count > free[key] + bought[key]]
    spare = bought.total() - (used - free).total()
    if problem.room is not None and spare > problem.room:
        wrong.append(("no room for the uncut", spare))
    return wrong


def answered(problem, seconds=4.0, rounds=None, seed=0):
    """Return cost and bound of a solution that breaks no rule."""
    result = solve(problem, Stop(seconds, rounds), seed)
    assert result.solution is not None
    assert wrong_with(problem, result.solution) == []
    assert result.bound <= result.solution.cost
    optimal = result.bound == result.solution.cost
    assert result.status is (SolveStatus.PROVEN_OPTIMAL if optimal else SolveStatus.LIMIT_REACHED)
    return result.solution.cost, result.bound


def proven(problem):
    cost, bound = answered(problem)
    assert cost == bound
    return cost
