"""What is left is never less useful, and what is bought and cut stays the same."""

from collections import Counter
from dataclasses import replace

import pytest

import nesting.plan
from nesting.geometry import Size, is_worth_keeping
from nesting.model.cut_tree import Cut
from nesting.model.plan import Bought, FalloutLeft, FromFallout, FromShelf, OffcutLeft
from nesting.packing.leftovers import refine
from nesting.packing.solution import without_surplus
from nesting.packing.solve import solve
from nesting.packing.usefulness import usefulness
from nesting.plan import Options, make_plan
from nesting.scenarios.afterwards import shelf_after
from tests.builders import make_bench, make_board, make_job, make_offer, make_piece, make_shop
from tests.small_jobs import small_job


def left_of(plan):
    """Return how useful what is left is: of new sheets, of what was on the shelf, of fallouts."""
    keep, kinds = plan.job.bench.keep_at_least, {sheet.id: type(sheet.source) for sheet in plan.sheets}
    left = Counter()
    for its in plan.leftover:
        match its:
            case OffcutLeft():
                left[kinds[its.sheet]] += usefulness([its.size]) if its.keep else 0
            case FalloutLeft():
                squared = its.size.inset(plan.job.bench.squaring)
                left[FromFallout] += usefulness([squared]) if its.keep else 0
    used = Counter(sheet.source.label for sheet in plan.sheets if isinstance(sheet.source, FromShelf))
    for piece in plan.job.shelf:
        if is_worth_keeping(piece.size, keep):
            left[FromShelf] += usefulness([piece.size]) * (piece.quantity - used[piece.label])
    return left[Bought], left[FromShelf], left[FromFallout]


def cuts(node):
    return len(node.parts) - 1 + sum(map(cuts, node.parts)) if isinstance(node, Cut) else 0


@pytest.mark.parametrize("seed", range(24))
def test_the_shelf_is_never_worse_for_it(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    job = small_job(seed)
    found = []

    def both(instance, solution, *others, over):
        needed = without_surplus(instance, solution.boards, solution.sheets)  # patterns may have more than is wanted
        found.append((replace(solution, sheets=needed), refine(instance, solution, *others, over=over)))
        return found[0][0]

    monkeypatch.setattr(nesting.plan, "refine", both)
    before = make_plan(job, seconds=5)
    monkeypatch.setattr(nesting.plan, "refine", lambda *_, **__: found[0][1])
    after = make_plan(job, seconds=5)
    assert left_of(after) >= left_of(before)
    assert after.purchase == before.purchase
    assert Counter(placed.mat.id for placed in after.mats) == Counter(placed.mat.id for placed in before.mats)
    if left_of(after) == left_of(before):
        assert sum(cuts(s.root) for s in after.sheets) <= sum(cuts(s.root) for s in before.sheets)


def test_an_offcut_that_could_be_whole_is_left_whole() -> None:
    # Two blanks of 31 x 41 on 107 x 62: side by side along the lower edge they leave 107 x 21 or 45 x 62 and 62 x 21.
    job = make_job(
        make_piece("Fern", (31, 41), quantity=2),
        bench=make_bench(trim=0, kerf=0, keep_at_least=(5, 5)),
        offers=(make_offer(1, "Alder", "sage", 500, sheet=Size(107, 62)),),
        shops=(make_shop("Alder"),),
    )
    left = [piece.size for piece in shelf_after(make_plan(job))]
    # Turned, one above the other: 41 x 31 twice is 41 x 62 and leaves 66 x 62 whole.
    assert left == [Size(66, 62)]


def liking(*boards, offers):
    pieces = [make_piece(f"Fern {number}", (53, 62), row=2 + number, boards=its) for number, its in enumerate(boards)]
    return make_job(
        *pieces,
        bench=make_bench(trim=0, kerf=0),
        offers=tuple(make_offer(1 + n, "Alder", b, 500, sheet=Size(107, 62)) for n, b in enumerate(offers)),
        boards=(make_board("sage"), make_board("oat")),
        shops=(make_shop("Alder"),),
    )


def test_where_it_costs_the_same_pieces_get_the_boards_they_like_best() -> None:
    # Two sheets of two blanks each either way; three like sage best and one oat, so one of those must give way.
    job = liking(("sage", "oat"), ("sage", "oat"), ("oat", "sage"), ("oat", "sage"), offers=("sage", "oat"))
    plan = make_plan(job)
    assert (plan.purchase.total, plan.summary.first_choice) == (1000, 4)
    odd = liking(("sage", "oat"), ("oat", "sage"), ("sage", "oat"), ("sage", "oat"), offers=("sage", "oat"))
    plan = make_plan(odd)
    assert (plan.purchase.total, plan.summary.first_choice) == (1000, 3)


def test_a_board_that_is_liked_best_is_never_paid_for() -> None:
    job = liking(("sage", "oat"), ("oat", "sage"), offers=("sage", "oat"))
    plan = make_plan(job)
    assert (plan.purchase.total, plan.summary.first_choice) == (500, 1)


def test_the_same_seed_and_rounds_give_the_same_plan() -> None:
    job = small_job(5)
    plans = [make_plan(job, Options(), rounds=400, seed=3) for _ in range(2)]
    assert replace(plans[0], seconds=0.0) == replace(plans[1], seconds=0.0)


def test_a_time_limit_is_not_passed_by_drawing_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    monkeypatch.setattr(nesting.plan, "refine", lambda *given, over: asked.append((given, over)) or given[1])
    late = make_plan(small_job(5), seconds=-1.0)  # the time was up before it began
    soon = make_plan(small_job(5), seconds=60.0)
    assert [over() for _, over in asked] == [True, False]
    given = asked[0][0]
    monkeypatch.setattr("nesting.packing.leftovers.RuinRecreate", None)  # nothing is drawn any more
    assert Counter(refine(*given, over=lambda: True).sheets) == Counter(given[1].sheets)
    assert late.purchase.total >= soon.purchase.total


def test_an_interrupt_while_it_is_drawn_anew_leaves_the_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    def pressed(*_, **__):
        raise KeyboardInterrupt

    job = small_job(5)
    whole = make_plan(job)
    monkeypatch.setattr(nesting.plan, "refine", pressed)
    plan = make_plan(job)
    assert plan.purchase == whole.purchase
    assert plan.purchase.proven
    assert plan.stopped


def test_after_an_interrupt_nothing_is_drawn_anew_though_the_cost_is_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nesting.plan, "solve", lambda *given, **named: solve(*given, **named).interrupted())
    monkeypatch.setattr(nesting.plan, "refine", None)
    plan = make_plan(small_job(5))
    assert (plan.purchase.proven, plan.stopped) == (True, True)
