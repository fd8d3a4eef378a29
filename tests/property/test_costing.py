"""Whatever sheets cost, the shares add up; the checker works every figure out again by other means."""

from dataclasses import replace
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from nesting.check import broken_rules
from nesting.costing import cost_pieces, summarise
from nesting.offers import buy
from tests.sound import JOB, nested_by_hand, sound_plan

CENTS = st.integers(0, 100_000)
PERCENT = st.decimals(0, 100, places=2)


@given(
    prices=st.tuples(CENTS, CENTS, CENTS),
    discounts=st.tuples(PERCENT, PERCENT, PERCENT),
    delivery=st.tuples(CENTS, CENTS),
    free_over=st.one_of(st.none(), CENTS),
    taxes=st.tuples(PERCENT, PERCENT),
    more=st.integers(0, 2),
)
def test_shares_and_credit_add_up_to_the_till(*, prices, discounts, delivery, free_over, taxes, more):
    job = replace(
        JOB,
        offers=tuple(
            replace(offer, price=price, discount=Decimal(discount))
            for offer, price, discount in zip(JOB.offers, prices, discounts, strict=True)
        ),
        shops=tuple(
            replace(shop, delivery=fee, free_over=free_over, tax=Decimal(tax))
            for shop, fee, tax in zip(JOB.shops, delivery, taxes, strict=True)
        ),
        bench=replace(JOB.bench, room_for_sheets=None),
    )
    purchase = buy(job, {(1, "sage"): 1 + more, (2, "ivory"): 2, (3, "oat"): 2}, 0)
    nested = replace(nested_by_hand(), job=job, purchase=purchase)
    pieces, credit = cost_pieces(nested)
    plan = replace(sound_plan(), job=job, purchase=purchase, pieces=pieces, summary=summarise(nested, pieces, credit))
    assert broken_rules(plan) == ()
    assert sum(piece.board for piece in pieces) == purchase.total
    assert sum(piece.credited for piece in pieces) + credit == purchase.total
