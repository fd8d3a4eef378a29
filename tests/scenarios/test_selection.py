"""Which pieces are cut where not all can be, of random tiny jobs, against every choice of copies.

Whether a choice can be cut, and for how much, is told by `every_purchase`, apart from the solver.
"""

from collections import Counter
from dataclasses import replace
from itertools import product
from random import Random

import pytest

from nesting.options import Options
from nesting.scenarios.limits import plan_within
from tests.builders import exact, make_bench, make_board, make_job, make_piece
from tests.every_purchase import least_cost_if_any
from tests.small_jobs import random_shelf, scarce_job


def shelf_job(seed):
    """Return a job of two to six blanks of one board or two, and one to three pieces of board that are held."""
    chance = Random(f"held/{seed}")  # noqa: S311 - draws jobs, not secrets
    names = ("sage", "ivory")[: chance.choice((1, 2))]
    pieces, left = [], chance.randint(2, 6)
    while left > 0:
        quantity = min(left, chance.choice((1, 1, 1, 2)))
        sides = (chance.randint(5, 24), chance.randint(5, 18))
        windowed = min(sides) > 10 and chance.random() < 0.6
        pieces.append(
            make_piece(
                f"piece {len(pieces) + 1}",
                sides,
                (sides[0] - 6, sides[1] - 6) if windowed else None,
                row=len(pieces) + 2,
                quantity=quantity,
                boards=tuple(chance.sample(names, chance.randint(1, len(names)))),
                priority=chance.choice((None, None, 1, 2)),
            )
        )
        left -= quantity
    return make_job(
        *pieces,
        shelf=tuple(random_shelf(chance, names, label) for label in "ABC"[: chance.randint(1, 3)]),
        boards=tuple(make_board(name, turn=chance.random() < 0.8) for name in names),
        bench=make_bench(trim=0, kerf=chance.choice((0, 0, 1)), squaring=1, keep_at_least=exact(3, 5)),
    )


def choices(job):
    """Yield every choice of copies: the counts in the order of the pieces, and the job of these alone."""
    for counts in product(*(range(piece.quantity + 1) for piece in job.pieces)):
        some = zip(job.pieces, counts, strict=True)
        yield counts, replace(job, pieces=tuple(replace(piece, quantity=n) for piece, n in some if n))


def rank(job, counts):
    """Return what is less for a better choice: fewer left of the most wanted first."""
    wanted = Counter()
    for piece, count in zip(job.pieces, counts, strict=True):
        wanted[9 if piece.priority is None else piece.priority] -= count
    return wanted[1], wanted[2], wanted[9]


def held(job):
    """Return every choice that can be cut from what is held."""
    return [counts for counts, some in choices(job) if not any(counts) or least_cost_if_any(some, Options()) == 0]


def chosen(job, found):
    copies = Counter({(placed.mat.piece, placed.mat.copy) for placed in found.plan.mats})
    return tuple(sum(name == piece.name for name, _ in copies) for piece in job.pieces)


def hold_held(seed):
    """Hold what is cut from the shelf alone against every choice, twice; return whether anything is left out."""
    job = shelf_job(seed)
    can_be_cut = held(job)
    first = None
    for _ in range(2):
        found = plan_within(job, Options(sheets=0))
        its = chosen(job, found)
        assert its in can_be_cut, seed
        assert rank(job, its) == min(rank(job, counts) for counts in can_be_cut), seed
        assert first in {None, its}, seed
        first = its
        left = {piece.name: piece.quantity - n for piece, n in zip(job.pieces, its, strict=True) if n < piece.quantity}
        assert {out.piece: out.copies for out in found.left_out} == left, seed
        assert not any("in the time" in out.reason for out in found.left_out), seed
    return bool(found.left_out)


def hold_budget(seed):
    """Hold what is cut for so much money against every choice; return whether anything is left out."""
    job, options = scarce_job(seed)
    job = replace(job, bench=replace(job.bench, room_for_sheets=None))
    chance = Random(f"money/{seed}")  # noqa: S311 - draws jobs, not secrets
    pieces = tuple(replace(piece, priority=chance.choice((None, 1, 2))) for piece in job.pieces)
    job, budget = replace(job, pieces=pieces), chance.randint(0, 3000)
    costs = {counts: least_cost_if_any(some, options) if any(counts) else 0 for counts, some in choices(job)}
    best = min((rank(job, counts), cost) for counts, cost in costs.items() if cost is not None and cost <= budget)
    found = plan_within(job, replace(options, budget=budget))
    assert (rank(job, chosen(job, found)), found.plan.purchase.total) == best, seed
    assert not any("in the time" in out.reason for out in found.left_out), seed
    return bool(found.left_out)


def test_from_the_shelf_alone_the_best_choice_is_cut_and_the_same_each_time():
    assert 15 < sum(hold_held(seed) for seed in range(40)) < 40


def test_for_so_much_money_the_best_choice_is_cut():
    assert 5 < sum(hold_budget(seed) for seed in range(25)) < 25


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40, 1040))
def test_many_more_choices_from_the_shelf_alone_are_the_best(seed):
    hold_held(seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(25, 1025))
def test_many_more_choices_for_so_much_money_are_the_best(seed):
    hold_budget(seed)
