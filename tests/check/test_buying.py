"""Purchases at the edge of what the checker lets pass, and those that it must not refuse."""

from dataclasses import replace
from decimal import Decimal

from nesting.check.buying import purchase_faults
from nesting.geometry import Size
from nesting.model.plan import Line
from tests.builders import make_offer
from tests.planting import with_bench, with_line, with_offer, with_purchase, with_shop
from tests.sound import sound_plan


def faults(plan):
    return list(purchase_faults(plan))


def with_offers(plan, *offers):
    return replace(plan, job=replace(plan.job, offers=(*plan.job.offers, *offers)))


def without_shop(plan, name):
    return replace(plan, job=replace(plan.job, shops=tuple(shop for shop in plan.job.shops if shop.name != name)))


def test_a_minimum_binds_only_where_something_is_bought():
    assert faults(with_offers(sound_plan(), make_offer(4, "Birch", "sage", 700, at_least=2))) == []


def test_all_that_an_offer_sells_may_be_bought():
    assert faults(with_offer(sound_plan(), 1, at_most=1)) == []


def test_without_a_limit_to_the_room_any_number_may_be_left_uncut():
    assert faults(with_bench(sound_plan(), room_for_sheets=None)) == []


def test_room_for_just_what_is_left_uncut_is_enough():
    plan = sound_plan()
    lines = (*plan.purchase.lines, Line("Alder", "oat", 2, Size(127, 109), 3, 974))
    assert "purchase: 5 sheets are left uncut, there is room for 4" in faults(
        with_purchase(with_bench(plan, room_for_sheets=4), lines=lines)
    )
    assert not [
        line
        for line in faults(with_purchase(with_bench(plan, room_for_sheets=5), lines=lines))
        if line.startswith("purchase: 5 sheets")
    ]


def test_a_shop_without_terms_asks_for_no_fee_and_no_tax():
    # Without Birch's 300 and 61 of the 4670 in all 4309 are left.
    plan = with_purchase(without_shop(sound_plan(), "Birch"), lower_bound=4309)
    assert faults(with_purchase(plan, delivery={"Alder": 500}, tax={"Alder": 197})) == []
    assert faults(with_purchase(plan, delivery={"Alder": 500, "Birch": 1}, tax={"Alder": 197})) == [
        "Birch: delivery is 0 cents, not 1",
        "purchase: comes to 4309 cents, not 4310",
    ]
    assert faults(with_purchase(plan, delivery={"Alder": 500}, tax={"Alder": 197, "Birch": 1})) == [
        "Birch: tax is 0 cents, not 1",
        "purchase: comes to 4309 cents, not 4310",
    ]


def test_what_is_not_asked_for_need_not_be_listed():
    free = with_shop(sound_plan(), "Alder", free_over=2391)
    assert faults(with_purchase(free, delivery={"Birch": 300}, lower_bound=4170)) == []
    assert faults(with_purchase(free, delivery={"Birch": 300, "Cedar": 0}, lower_bound=4170)) == []


def test_wrong_fees_are_named_in_the_order_of_the_shops():
    fees = {"Elder": 5, "Dogwood": 3, "Hazel": 7, "Alder": 499, "Cedar": 2, "Ginkgo": 11, "Birch": 299}
    named = [line.split(":")[0] for line in faults(with_purchase(sound_plan(), delivery=fees)) if "delivery" in line]
    assert named == ["Alder", "Birch", "Cedar", "Dogwood", "Elder", "Ginkgo", "Hazel"]


def test_a_bound_of_nothing_is_no_fault():
    assert faults(with_purchase(sound_plan(), lower_bound=0)) == []


def test_the_price_of_one_is_rounded_half_up():
    # 1295 less 30 % is 906.50 cents, 1294 less 30 % is 905.80, 1297 less 30 % is 907.90 and 1292 less it 904.40.
    for price, right in ((1295, 907), (1294, 906), (1297, 908), (1292, 904)):
        plan = with_offer(sound_plan(), 2, price=price, discount=Decimal(30))
        assert f"offer 2: a sheet costs {right} cents, not 974" in faults(plan)
        assert not [line for line in faults(with_line(plan, 1, unit_price=right)) if line.startswith("offer 2")]
