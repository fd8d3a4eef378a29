"""Which copies are cut within limits: by hand, and against every choice of copies, boards and purchases."""

from dataclasses import replace
from random import Random

import pytest

from nesting.geometry import Size
from nesting.model.status import Count
from nesting.options import Left, Options
from nesting.plan_selection import plan_selection
from tests.builders import make_bench, make_board, make_job, make_offer, make_piece, make_shop
from tests.every_choice import Limits, best_choice, rank
from tests.every_purchase import least_cost
from tests.small_jobs import small_job

SHEET = Size(40, 32)


def wall(*pieces, **changes):
    """Return a job of plain blanks `(name, size, board)` with gold at 15.00 a sheet and plain at 10.00."""
    facts = {
        "offers": (
            make_offer(1, "Cedar", "gold", 1500, sheet=SHEET),
            make_offer(2, "Cedar", "plain", 1000, sheet=SHEET),
        ),
        "shops": (make_shop("Cedar"),),
        "boards": (make_board("gold"), make_board("plain")),
        "bench": make_bench(trim=0, kerf=0),
    }
    made = (make_piece(name, size, row=row, boards=(board,)) for row, (name, size, board) in enumerate(pieces, start=2))
    return make_job(*made, **facts | changes)


CARD_AND_TWO = wall(("card", (5, 7), "gold"), ("map", (16, 20), "plain"), ("print", (16, 20), "plain"))


@pytest.mark.parametrize(
    ("budget", "counts", "total"),
    [
        (2000, {"map": 1, "print": 1}, 1000),  # two for 10.00 come before one for 15.00
        (2499, {"map": 1, "print": 1}, 1000),
        (2500, {"card": 1, "map": 1, "print": 1}, 2500),
        (999, {}, 0),
    ],
)
def test_a_budget_buys_as_many_pieces_as_it_can(budget, counts, total):
    made = plan_selection(CARD_AND_TWO, Options(budget=budget))
    assert (made.counts, made.plan.purchase.total, made.plan.purchase.proven) == (counts, total, True)
    assert made.plan.selection == (Count(sum(counts.values()), sum(counts.values())),)
    assert {piece.name: piece.quantity for piece in made.plan.job.pieces} == counts


def test_a_priority_comes_before_the_number():
    first, *others = CARD_AND_TWO.pieces
    job = replace(CARD_AND_TWO, pieces=(replace(first, priority=1), *others))
    made = plan_selection(job, Options(budget=2000))
    assert (made.counts, made.plan.selection, made.proven) == ({"card": 1}, (Count(1, 1), Count(0, 0)), True)


def test_a_piece_of_a_board_that_is_sold_out_is_left_out_and_named():
    made = plan_selection(CARD_AND_TWO, Options(left=(Left(None, "gold", 0),)))
    assert (made.counts, made.plan.purchase.total) == ({"map": 1, "print": 1}, 1000)
    assert [obstacle.piece for obstacle in made.obstacles] == ["card"]


def test_copies_that_are_cut_fill_a_pack():
    # Three copies need a sheet each, sold in twos, and none may be left uncut.
    job = wall(
        ("map", (37, 29), "plain"),
        offers=(make_offer(1, "Cedar", "plain", 1000, sheet=SHEET, pack_of=2),),
        bench=make_bench(trim=0, kerf=0, room_for_sheets=0),
    )
    job = replace(job, pieces=(replace(job.pieces[0], quantity=3),))
    for options in (Options(budget=3500), Options(sheets=3), Options()):
        made = plan_selection(job, options)
        assert (made.counts, made.plan.purchase.total, made.proven) == ({"map": 2}, 2000, True)
        assert [(mat.mat.piece, mat.mat.copy) for mat in made.plan.mats] == [("map", 1), ("map", 2)]


def test_nothing_to_buy_and_nothing_held_leaves_everything_out():
    made = plan_selection(CARD_AND_TWO, Options(sheets=0))
    assert (made.counts, made.plan.pieces, {obstacle.piece for obstacle in made.obstacles}) == (
        {},
        (),
        {"card", "map", "print"},
    )


# --- against every choice ----------------------------------------------------------------------------------------


def limited_job(seed):
    """Draw a job of up to seven blanks with priorities, and limits of every kind."""
    chance = Random(7 * seed + 1)  # noqa: S311 - draws jobs, not secrets
    job = small_job(seed, 7)
    job = replace(job, pieces=tuple(replace(p, priority=chance.choice((None, None, 1, 2))) for p in job.pieces))
    whole = least_cost(job)
    kind = chance.choice(("budget", "budget", "sheets", "both", "left", "shop"))
    limits = Limits() if kind == "sheets" else Limits(budget=chance.randint(0, whole))
    if kind in {"sheets", "both"}:
        limits = replace(limits, sheets=chance.randint(0, 4))
    if kind == "left":
        limits = replace(limits, left=((chance.choice(job.boards).name, chance.randint(0, 2)),))
    if kind == "shop":
        limits = replace(limits, shops=(chance.choice(job.offers).shop,))
    return job, limits


def options_of(limits):
    left = tuple(Left(None, board, count) for board, count in limits.left)
    return Options(budget=limits.budget, sheets=limits.sheets, left=left, shops=limits.shops)


@pytest.mark.parametrize("seed", range(60))
def test_no_choice_is_better_than_the_plan(seed):
    job, limits = limited_job(seed)
    best = best_choice(job, limits)
    made = plan_selection(job, options_of(limits), refined=False)
    ranks = {piece.name: rank(piece) for piece in job.pieces}
    copies = tuple(
        sum(count for name, count in made.counts.items() if ranks[name] == priority)
        for priority in sorted(set(ranks.values()))
    )
    assert (copies, made.plan.purchase.total) == (best.copies, best.cost)
    assert made.proven
    assert made.plan.purchase.proven
    assert all(its.proven for its in made.plan.preference)
    liked = tuple(its.count for its in made.plan.preference)
    assert liked == best.preference[: len(liked)]
    assert set(best.preference[len(liked) :]) <= {sum(copies)}


def test_the_limited_jobs_try_every_limit():
    drawn = [limited_job(seed) for seed in range(60)]
    bests = [best_choice(*one) for one in drawn]
    everything = [sum(piece.quantity for piece in job.pieces) for job, _ in drawn]
    left_out = sum(sum(best.copies) < count for best, count in zip(bests, everything, strict=True))
    for tried in (
        sum(limits.budget is not None for _, limits in drawn),
        sum(limits.sheets is not None for _, limits in drawn),
        sum(bool(limits.left) for _, limits in drawn),
        sum(bool(limits.shops) for _, limits in drawn),
        sum(len(best.copies) > 1 for best in bests),
        sum(best.preference[0] < sum(best.copies) for best in bests),
        left_out,
    ):
        assert tried >= 4
