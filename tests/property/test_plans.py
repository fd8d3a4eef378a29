"""Laws of whole plans: what a job written another way, or with more to cut from, may cost.

Each law holds between bounds and totals, proven or not; where both plans are proven, it holds between their totals.
"""

from dataclasses import replace
from random import Random

import pytest

from nesting.geometry import Size
from nesting.plan import make_plan
from tests.builders import make_board, make_offer, make_shelf, make_shop
from tests.small_jobs import small_job

BLANKS = 14
SECONDS = 1.0
SEEDS = range(8)
MANY = range(1000, 1120)


def planned(job, seed=0, **settings):
    """Return what a plan costs and what none can cost less than; both checked with the plan."""
    purchase = make_plan(job, **{"seconds": SECONDS} | settings, seed=seed, refined=False).purchase
    assert 0 <= purchase.lower_bound <= purchase.total
    return purchase


def assert_no_dearer(more, less, seed):
    """Assert that the purchase of more costs no more, as far as is known."""
    assert more.lower_bound <= less.total, seed
    if more.proven and less.proven:
        assert more.total <= less.total, seed


def assert_alike(one, other, seed):
    assert_no_dearer(one, other, seed)
    assert_no_dearer(other, one, seed)


def chance_of(seed):
    return Random(f"laws/{seed}")  # noqa: S311 - draws jobs, not secrets


def reordered(job, chance):
    """Write the rows of every table in another order; offers are numbered anew."""

    def shuffled(rows):
        return tuple(chance.sample(rows, len(rows)))

    offers = enumerate(shuffled(job.offers), start=1)
    return replace(
        job,
        pieces=shuffled(job.pieces),
        offers=tuple(replace(offer, number=number) for number, offer in offers),
        shops=shuffled(job.shops),
        shelf=shuffled(job.shelf),
        boards=shuffled(job.boards),
    )


def transposed(job):
    """Exchange width and height of all that has them; a board with a direction has the other then."""

    def other(size):
        return None if size is None else type(size)(size[1], size[0])

    return replace(
        job,
        pieces=tuple(
            replace(
                piece,
                inside=other(piece.inside),
                picture=other(piece.picture),
                shown=other(piece.shown),
                across=piece.down,
                down=piece.across,
            )
            for piece in job.pieces
        ),
        offers=tuple(replace(offer, sheet=other(offer.sheet)) for offer in job.offers),
        shelf=tuple(replace(piece, size=other(piece.size)) for piece in job.shelf),
    )


def directed(job):
    return replace(job, boards=tuple(make_board(board.name, turn=False) for board in job.boards))


def richer(job, chance):
    """Yield the job with more to cut from: another piece held, one more of each, other offers, room, and fallout."""
    board = chance.choice(job.boards).name
    held = make_shelf("further", board, (chance.randint(7, 31), chance.randint(5, 23)))
    yield replace(job, shelf=(*job.shelf, held))
    yield replace(job, shelf=tuple(replace(piece, quantity=piece.quantity + 1) for piece in job.shelf))
    for sold, most in ((None, None), (board, 1)):  # in a shop of its own, as a row for a board replaces one for any
        sheet = Size(chance.randint(23, 43), chance.randint(17, 37))
        offer = make_offer(len(job.offers) + 1, "Dogwood", sold, chance.randint(200, 900), sheet=sheet, at_most=most)
        yield replace(job, offers=(*job.offers, offer), shops=(*job.shops, make_shop("Dogwood", delivery=70)))
    limits = (replace(o, at_most=o.at_most and o.at_most + o.pack_of) for o in job.offers)
    yield replace(job, offers=tuple(limits))
    yield replace(job, bench=replace(job.bench, room_for_sheets=None))
    yield replace(job, bench=replace(job.bench, use_fallout=True))


def hold_more_stock(seed):
    job = small_job(seed, BLANKS)
    poor = replace(job, bench=replace(job.bench, use_fallout=False))
    less = planned(poor)
    for more in richer(poor, chance_of(seed)):
        assert_no_dearer(planned(more), less, seed)


def hold_order(seed):
    job = small_job(seed, BLANKS)
    assert_alike(planned(job), planned(reordered(job, chance_of(seed)), seed=seed + 1), seed)


def hold_transposed(seed):
    for job in (directed(small_job(seed, BLANKS)), small_job(seed, BLANKS)):
        assert_alike(planned(job), planned(transposed(job), seed=seed + 1), seed)


@pytest.mark.parametrize("seed", SEEDS)
def test_more_to_cut_from_never_costs_more(seed):
    hold_more_stock(seed)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_of_rows_changes_nothing_in_a_proven_cost(seed):
    hold_order(seed)


@pytest.mark.parametrize("seed", SEEDS)
def test_exchanging_width_and_height_of_everything_changes_nothing_in_a_proven_cost(seed):
    hold_transposed(seed)


@pytest.mark.parametrize("rounds", [1, 30, 1000])
def test_no_plan_costs_less_than_its_bound_however_soon_it_ends(rounds):
    for seed in range(20, 28):
        planned(small_job(seed, 40), seconds=1.0, rounds=rounds)


def test_the_laws_are_mostly_between_proven_plans():
    jobs = [small_job(seed, BLANKS) for seed in SEEDS]
    assert sum(planned(job, seconds=4.0).proven for job in jobs) >= len(jobs) - 2
    blanks = [sum(p.quantity * (2 if p.under_boards else 1) for p in job.pieces) for job in jobs]
    assert max(blanks) > 10


@pytest.mark.slow
@pytest.mark.parametrize("hold", [hold_more_stock, hold_order, hold_transposed])
@pytest.mark.parametrize("seed", MANY)
def test_every_law_holds_on_many_more(hold, seed):
    hold(seed)
