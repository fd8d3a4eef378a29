"""One job in several ways of buying, each figure the same as its own plan's."""

from dataclasses import replace
from decimal import Decimal

import pytest

import nesting.scenarios.session
from nesting.data import data_path
from nesting.errors import CannotBeCutError
from nesting.geometry import Size
from nesting.model.job import When
from nesting.offers import with_discount
from nesting.plan import make_plan
from nesting.reading.job import read_job
from nesting.scenarios.compare import DISCOUNTS, Case, Comparison, Figure, cases, compare
from tests.builders import make_bench, make_job, make_offer, make_piece, make_shop

BENCH = make_bench(trim=0, kerf=0)


@pytest.fixture(scope="module")
def demo() -> Comparison:
    return compare(read_job(str(data_path("demo"))), seconds=120)


def test_each_figure_is_what_its_plan_says(demo: Comparison) -> None:
    assert len(demo.figures) == (1 + len(DISCOUNTS)) * 2 * 4
    for case, found in demo.figures.items():
        job = demo.job if case.discount is None else with_discount(demo.job, str(case.discount))
        if isinstance(found, CannotBeCutError):
            with pytest.raises(CannotBeCutError):
                make_plan(job, case.options, seconds=120, refined=False)
        else:
            plan = make_plan(job, case.options, seconds=120, refined=False)
            assert (plan.purchase.total, plan.purchase.proven) == (found.total, found.proven)
            assert found.proven


def test_dearer_ways_are_never_cheaper(demo: Comparison) -> None:
    for case, found in demo.figures.items():
        if isinstance(found, Figure):
            best = demo.figure(Case(case.discount, case.when))
            assert best is not None
            assert best.total <= found.total


def wall(*pieces, **changed):
    facts = {
        "offers": (
            make_offer(1, "Alder", "sage", 1000, sheet=Size(107, 62), discount=Decimal(50)),
            make_offer(2, "Alder", "sage", 1000, sheet=Size(107, 62), discount=Decimal(80), at_most=1),
        ),
        "shops": (make_shop("Alder"),),
    }
    return make_job(*pieces, bench=BENCH, **(facts | changed))


def test_buying_for_later_is_reckoned_against_full_prices_without_the_coupon_and_with_what_is_left() -> None:
    # Two blanks of 53 x 62 fill a sheet but for a strip. Now: one piece, on the coupon's sheet, 2.00. Another fits the
    # rest of that sheet, the third takes a sheet of its own: 5.00 more now at half price, or 10.00 another day.
    later = make_piece("Map", (53, 62), row=3, quantity=2, when=When.LATER)
    job = wall(make_piece("Fern", (53, 62)), later)
    found = compare(job, (Decimal(0), Decimal(50)), seconds=20)
    now, both = found.figure(Case(None)), found.figure(Case(None, When.LATER))
    assert now is not None
    assert both is not None
    assert (now.total, both.total, found.apart) == (200, 700, 1000)
    # At nothing off a second sheet costs 10.00, now as later: buying now pays from 1 % on.
    assert found.pays_from == 1


def test_without_later_pieces_or_a_second_shop_there_is_less_to_compare() -> None:
    job = wall(make_piece("Fern", (53, 62)))
    assert list(cases(job, (Decimal(25),))) == [
        Case(None),
        Case(None, use_fallout=False),
        Case(Decimal(25)),
        Case(Decimal(25), use_fallout=False),
    ]
    found = compare(job, (Decimal(25),), seconds=5)
    assert (found.apart, found.pays_from, found.complete) == (None, None, True)


def test_a_job_that_has_no_plan_is_said_at_once() -> None:
    with pytest.raises(CannotBeCutError):
        compare(wall(make_piece("Fern", (211, 151))), seconds=5)


def test_an_interrupt_ends_with_what_there_is(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []

    def stopped(*asked, **how):
        calls.append(asked)
        plan = make_plan(*asked, **how)
        return plan if len(calls) < 2 else _stopped(plan)

    monkeypatch.setattr(nesting.scenarios.session, "make_plan", stopped)
    found = compare(wall(make_piece("Fern", (53, 62))), seconds=5)
    assert (len(calls), len(found.figures), found.complete) == (2, 2, False)


def _stopped(plan):
    return replace(plan, stopped=True)  # also where its cost is proven


def test_at_a_sale_of_one_shop_the_others_keep_their_prices() -> None:
    offers = (
        make_offer(1, "Alder", "sage", 1000, sheet=Size(107, 62), discount=Decimal(30)),
        make_offer(2, "Birch", "sage", 1100, sheet=Size(107, 62)),
    )
    job = wall(make_piece("Fern", (53, 62)), offers=offers, shops=(make_shop("Alder"), make_shop("Birch")))
    found = compare(job, (Decimal(20), Decimal(40)), sale_at="Birch", seconds=5)
    # Alder asks 7.00 all the time, Birch 8.80 and 6.60.
    totals = [found.figure(Case(off)) for off in (None, Decimal(20), Decimal(40))]
    assert [figure.total for figure in totals if figure is not None] == [700, 700, 660]
    everywhere = compare(job, (Decimal(20),), seconds=5).figure(Case(Decimal(20)))
    assert everywhere is not None
    assert everywhere.total == 800
