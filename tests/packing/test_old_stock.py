"""Old stock is used before new sheets are divided, fallouts before shelf pieces; by hand."""

from collections import Counter

import pytest

from nesting.geometry import Size
from nesting.model.cut_tree import Way
from nesting.model.plan import Bought, FromFallout, FromShelf
from nesting.packing.engine import interpreted
from nesting.packing.instance import Lot
from nesting.packing.old_stock import Age, OldStock, use_old_stock
from nesting.packing.pattern import Split, contents
from nesting.packing.solution import Sheet
from nesting.plan import make_plan
from tests.builders import make_bench, make_job, make_offer, make_piece, make_shelf, make_shop
from tests.packing.posed import held, instance, lots, offer

BIG = Size(41, 31)


def beside(*items):
    """Return a pattern with these items side by side, from the left, on BIG."""
    part = None
    for item in reversed(items):
        part = Split(Way.UPRIGHT, item.w, Split(Way.LEVEL, item.h, item, None), part)
    return part


def moved(problem, *sheets):
    boards = (0,) * len(problem.lots)
    stock = OldStock.of(problem, boards, 0)
    after = use_old_stock(problem, 0, sheets, stock, interpreted())
    before = sum((contents(sheet.part) for sheet in sheets), Counter())
    items = Counter(problem.kind(size, 0) for sheet in after for size in contents(sheet.part).elements())
    assert items == Counter(problem.kind(size, 0) for size in before.elements())
    return [(age, sheet.size, sorted(contents(sheet.part).elements())) for age, sheet in stock.aged(after)]


def test_what_fits_a_shelf_piece_leaves_the_new_sheet():
    # 17 x 13 has room on 23 x 13 but not both; the smaller one goes into what is left of it, 6 x 13 turned.
    problem = instance(lots((17, 13, 1), (13, 5, 1), (19, 29, 1)), [offer(*BIG, 700)], held=(held(23, 13),))
    new = Sheet(0, BIG, beside(Size(17, 13), Size(5, 13), Size(19, 29)))
    assert moved(problem, new) == [
        (Age.SHELF, Size(23, 13), [Size(5, 13), Size(17, 13)]),
        (Age.NEW, BIG, [Size(19, 29)]),
    ]


def test_a_fallout_is_used_before_a_shelf_piece_and_that_before_a_new_sheet():
    # The mat of 31 x 23 drops 19 x 11, which takes 17 x 7 from the shelf piece; 13 x 11 then takes its place there.
    mat = Lot(Size(31, 23), (0,), (0,), (Size(19, 11),))
    small = tuple(Lot(size, (n,), (0,), ()) for n, size in enumerate((Size(17, 7), Size(13, 11)), start=1))
    problem = instance((mat, *small), [offer(*BIG, 700)], held=(held(17, 12),))
    sheets = (
        Sheet(0, Size(17, 12), Split(Way.LEVEL, 7, Size(17, 7), None)),
        Sheet(0, BIG, Split(Way.UPRIGHT, 31, Split(Way.LEVEL, 23, Size(31, 23), None), None)),
        Sheet(0, BIG, beside(Size(13, 11))),
    )
    assert moved(problem, *sheets) == [
        (Age.FALLOUT, Size(19, 11), [Size(13, 11)]),
        (Age.SHELF, Size(17, 12), [Size(17, 7)]),
        (Age.NEW, BIG, [Size(31, 23)]),
    ]


@pytest.mark.parametrize(("room", "left"), [(None, 0), (0, 1)])
def test_the_last_item_stays_on_a_new_sheet_that_may_not_be_left_uncut(room, left):
    problem = instance(lots((17, 13, 1)), [offer(*BIG, 700)], held=(held(17, 13),), room=room)
    assert len([age for age, *_ in moved(problem, Sheet(0, BIG, beside(Size(17, 13)))) if age is Age.NEW]) == left


def test_no_pattern_has_more_of_a_kind_than_there_are():
    # 17 x 13 would fit three times on 39 x 17; there are two of them and one of 5 x 13.
    problem = instance(lots((17, 13, 2), (13, 5, 1)), [offer(*BIG, 700)], held=(held(39, 17),))
    assert moved(problem, Sheet(0, BIG, beside(Size(17, 13), Size(13, 17), Size(5, 13)))) == [
        (Age.SHELF, Size(39, 17), [Size(5, 13), Size(13, 17), Size(13, 17)]),
    ]


def test_a_cut_that_is_too_long_is_not_made():
    problem = instance(lots((17, 13, 1)), [offer(*BIG, 700)], held=(held(39, 17),), longest=16)
    assert [age for age, *_ in moved(problem, Sheet(0, BIG, beside(Size(17, 13))))] == [Age.NEW]


def test_a_blank_is_cut_from_a_piece_of_its_size_that_lies_there():
    job = make_job(
        make_piece("Fern", (8, 10)),
        make_piece("Map", (31, 23), (19, 11), row=3),
        shelf=(make_shelf("a", "sage", (8, 10)),),
        offers=(make_offer(1, "Alder", "sage", 500, sheet=Size(41, 31)),),
        shops=(make_shop("Alder"),),
        bench=make_bench(trim=0, kerf=0, squaring=1, use_fallout=False),
    )
    plan = make_plan(job)
    source = {sheet.id: type(sheet.source) for sheet in plan.sheets}
    assert {placed.mat.piece: source[placed.sheet] for placed in plan.mats} == {"Fern": FromShelf, "Map": Bought}
    assert FromFallout not in source.values()
