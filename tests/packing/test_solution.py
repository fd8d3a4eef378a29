"""What a board has for nothing, and what is done to a complete solution before it is kept."""

from nesting.geometry import Size
from nesting.model.cut_tree import Way
from nesting.packing.instance import FreeStock, Lot
from nesting.packing.pattern import Split, contents
from nesting.packing.solution import Sheet, Solution, board_demand, spread, usual_sheet, without_surplus
from tests.packing.posed import held, instance, lots, offer, till


def test_free_stock_is_what_is_held_and_the_fallouts_of_the_lots_that_have_the_board():
    # Two of 11 x 7 drop 5 x 3 each and, of a second window, nothing usable; the kerf of 2 is added to each size.
    framed = Lot(Size(11, 7), (0, 1), (1, 0), (Size(5, 3), Size(0, 3)))
    plain = Lot(Size(3, 2), (2,), (0,), ())
    problem = instance((framed, plain), [], kerf=2, turn=(True, True), held=(held(13, 5, 3), held(17, 0)))
    fallouts = FreeStock(Size(7, 5), 2, 0)
    assert problem.free_stock == ((FreeStock(Size(15, 7), 3, None), fallouts), (fallouts,))
    assert board_demand(problem, (1, 0), 0).free == {(15, 7): 3}
    assert board_demand(problem, (1, 0), 1).free == {(7, 5): 2}
    assert board_demand(problem, (0, 0), 0).free == {(15, 7): 3, (7, 5): 2}


def test_a_surplus_is_taken_from_free_stock_first_and_then_from_the_fullest_sheet():
    # Two of 7 x 5 are wanted, four are cut: one of the held piece, two and one of bought sheets. The held piece is left
    # uncut, and the sheet with two gives up one, so that both bought sheets are still in use.
    one = Split(Way.UPRIGHT, 7, Split(Way.LEVEL, 5, Size(7, 5), None), None)
    two = Split(Way.UPRIGHT, 7, Split(Way.LEVEL, 5, Size(7, 5), Size(7, 5)), None)
    problem = instance(lots((7, 5, 2)), [offer(13, 10, 300)], held=(held(11, 7),))
    sheets = [Sheet(0, Size(11, 7), one), Sheet(0, Size(13, 10), two), Sheet(0, Size(13, 10), one)]
    left = without_surplus(problem, (0,), sheets)
    assert [(sheet.size, contents(sheet.part)) for sheet in left] == [((13, 10), {(7, 5): 1})] * 2


def test_free_stock_gives_its_only_item_to_a_bought_sheet_and_a_bought_sheet_does_not():
    # The held piece and one bought sheet have an item each; a second bought one, for which there is no room, needs one.
    problem = instance(lots((7, 5, 2)), [offer(13, 10, 300)], held=(held(11, 8),))
    whole = Split(Way.UPRIGHT, 7, Split(Way.LEVEL, 5, Size(7, 5), None), None)
    shelf, bought = Sheet(0, Size(11, 8), whole), Sheet(0, Size(13, 10), whole)
    assert spread(problem, (0,), [bought, shelf], 0, Size(13, 10)) == [bought, bought]
    assert spread(problem, (0,), [bought, bought], 0, Size(12, 9)) is None


def test_the_usual_sheet_is_the_middle_one_by_price_of_those_that_are_sold():
    # A large sheet for 1900 beside two for 400, with tax 440; what is held is not sold, whatever there is of it.
    offers = [offer(13, 10, 400), offer(40, 60, 1900)]
    problem = instance(lots((7, 5, 6)), offers, held=(held(11, 7, 3),), tills=(till(tax="10"),))
    one = Split(Way.UPRIGHT, 7, Split(Way.LEVEL, 5, Size(7, 5), None), None)
    sizes = [(40, 60), (13, 10), (11, 7), (13, 10), (11, 7), (11, 7)]

    def usual(*used):
        return usual_sheet(problem, Solution((0,), tuple(Sheet(0, Size(*size), one) for size in used), {}, 0))

    assert usual(*sizes) == 440
    assert usual((40, 60), (11, 7)) == 2090
    assert usual((11, 7)) == 0
