"""What to buy, worked by hand to the cent, from the tables of a job to its proven purchase.

Unless a case says otherwise a sheet is 31 x 41 in and a blank 29 x 37 in, more than half of it, so that each blank
takes a sheet of its own and the number of sheets is plain. Two halves, 31 x 20 in, share a sheet.
"""

import pytest

from nesting.plan import make_plan
from nesting.reading.job import read_job

PIECES = "piece,quantity,inside width,inside height,boards"
OFFERS = "shop,board,sheet width,sheet height,price,discount,at most,at least,pack of"
SHOPS = "shop,delivery,free over,tax"
BENCH = "name,value\nallowance,0\n"


def table(head, *rows):
    return "\n".join((head, *rows)) + "\n"


def wholes(count, boards="sage", name="fern"):
    """Ask for blanks that take a sheet each."""
    return f"{name},{count},29,37,{boards}"


def halves(count, boards="sage", name="fern"):
    """Ask for blanks of which two share a sheet."""
    return f"{name},{count},31,20,{boards}"


def offer(shop, board, price, *, sheet="31,41", discount="", most="", least="", pack=""):
    return f"{shop},{board},{sheet},{price},{discount},{most},{least},{pack}"


@pytest.fixture
def buys(folder):
    """Plan pieces against offers and return the proven total and the counts by offer row and board."""

    def plan(pieces, offers, shops=(), bench=BENCH):
        tables = {"pieces": table(PIECES, *pieces), "offers": table(OFFERS, *offers), "bench": bench}
        if shops:
            tables["shops"] = table(SHOPS, *shops)
        purchase = make_plan(read_job(folder(**tables)), refined=False).purchase
        assert purchase.proven
        return purchase.total, {(line.offer, line.board): line.count for line in purchase.lines}

    return plan


# --- a coupon for one sheet -----------------------------------------------------------------------------------------


def test_a_coupon_takes_half_off_one_sheet_of_three(buys):
    # 7.40 less 50 % = 3.70 once, 2 x 7.40 = 14.80: together 18.50.
    offers = [offer("nook", "sage", "7.40"), offer("nook", "sage", "7.40", discount="50%", most=1)]
    assert buys([wholes(3)], offers) == (1850, {(1, "sage"): 2, (2, "sage"): 1})


def test_a_coupon_for_any_board_goes_to_the_dearest(buys):
    # Two of sage at 7.40, two of ivory at 9.90. 40 % off one: off ivory 3.96, off sage 2.96.
    # 2 x 7.40 + 9.90 + (9.90 - 3.96 = 5.94) = 30.64.
    offers = [
        offer("nook", "sage", "7.40"),
        offer("nook", "ivory", "9.90"),
        offer("slip", "any", "9.90", discount="40", most=1),
    ]
    total, counts = buys([wholes(2), wholes(2, "ivory", "moss")], offers)
    assert (total, counts) == (3064, {(1, "sage"): 2, (2, "ivory"): 1, (3, "ivory"): 1})


def test_a_coupon_that_saves_less_than_its_shop_delivers_for_is_left(buys):
    # The coupon saves 3.70 and its shop's delivery costs 3.71: 2 x 7.40 = 14.80 against 7.40 + 3.70 + 3.71 = 14.81.
    # At 3.69 it is used: 7.40 + 3.70 + 3.69 = 14.79.
    offers = [offer("nook", "sage", "7.40"), offer("slip", "sage", "7.40", discount="50", most=1)]
    assert buys([wholes(2)], offers, ["slip,3.71,,"]) == (1480, {(1, "sage"): 2})
    assert buys([wholes(2)], offers, ["slip,3.69,,"]) == (1479, {(1, "sage"): 1, (2, "sage"): 1})


# --- nine sheets, and a pack of ten ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("price", "needed", "total", "counts"),
    [
        ("7.40", 9, 6500, {(2, "sage"): 10}),  # 9 x 7.40 = 66.60 against 10 x 6.50 = 65.00: one is left over
        ("7.20", 9, 6480, {(1, "sage"): 9}),  # 9 x 7.20 = 64.80
        ("7.40", 8, 5920, {(1, "sage"): 8}),  # 8 x 7.40 = 59.20
        ("7.40", 12, 7980, {(1, "sage"): 2, (2, "sage"): 10}),  # 65.00 + 2 x 7.40 = 79.80; two packs are 130.00
        ("7.40", 19, 13000, {(2, "sage"): 20}),  # two packs 130.00 against 65.00 + 9 x 7.40 = 131.60
    ],
)
def test_a_pack_of_ten_is_bought_where_it_is_cheaper(buys, price, needed, total, counts):
    offers = [offer("nook", "sage", price), offer("nook", "sage", "6.50", pack=10)]
    assert buys([wholes(needed)], offers) == (total, counts)


def test_a_pack_holds_one_board_so_nine_of_two_boards_are_bought_singly(buys):
    # Five of sage and four of ivory: 9 x 7.40 = 66.60. A pack of either is 65.00 and the other board still to pay:
    # 65.00 + 4 x 7.40 = 94.60.
    offers = [offer("nook", "any", "7.40"), offer("mill", "any", "6.50", pack=10)]
    total, counts = buys([wholes(5), wholes(4, "ivory", "moss")], offers)
    assert (total, counts) == (6660, {(1, "sage"): 5, (1, "ivory"): 4})


def test_a_pack_is_not_bought_where_there_is_no_room_for_the_tenth(buys):
    # Nine as above, one left uncut. Eight at 7.40 are 59.20, and at 8.20 they are 65.60, dearer than the pack, of
    # which two would be left.
    offers = [offer("nook", "sage", "7.40"), offer("nook", "sage", "6.50", pack=10)]
    dear = [offer("nook", "sage", "8.20"), offers[1]]
    one, two = (f"{BENCH}room for sheets,{room}\n" for room in (1, 2))
    assert buys([wholes(9)], offers, bench=one) == (6500, {(2, "sage"): 10})
    assert buys([wholes(8)], offers, bench=one) == (5920, {(1, "sage"): 8})
    assert buys([wholes(8)], dear, bench=two) == (6500, {(2, "sage"): 10})
    assert buys([wholes(8)], dear, bench=one) == (6560, {(1, "sage"): 8})


# --- a fee that one more sheet avoids -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("free_over", "total", "count"),
    [
        ("", 2380, 2),  # 2 x 7.40 + 9.00 = 23.80, and never free
        ("14.79", 1480, 2),  # 14.80 is more than 14.79: free as it is
        ("14.80", 2220, 3),  # 14.80 is not more: a third sheet, 22.20, is 1.60 less than the fee
        ("22.19", 2220, 3),
        ("22.20", 2380, 2),  # two more would be 29.60
    ],
)
def test_one_more_sheet_avoids_the_fee(buys, free_over, total, count):
    assert buys([wholes(2)], [offer("nook", "sage", "7.40")], [f"nook,9.00,{free_over},"]) == (
        total,
        {(1, "sage"): count},
    )


def test_the_sheet_that_avoids_a_fee_is_the_cheapest_in_the_shop(buys):
    # 2 x 7.40 = 14.80, with the fee of 5.00 it is 19.80; free over 16.00. A third large sheet makes 22.20, a small one
    # 14.80 + 2.10 = 16.90. At 1.20 it makes just 16.00, which is not more, so two small ones: 17.20.
    for price, total, count in (("2.10", 1690, 1), ("1.20", 1720, 2)):
        offers = [offer("nook", "sage", "7.40"), offer("nook", "sage", price, sheet="11,17")]
        assert buys([wholes(2)], offers, ["nook,5.00,16.00,"]) == (total, {(1, "sage"): 2, (2, "sage"): count})


def test_a_fee_may_be_worth_many_small_sheets(buys):
    # One sheet of 2.50 and a fee of 30.00 that falls away over 20.00: nine sheets, 22.50, against 32.50.
    assert buys([wholes(1)], [offer("nook", "sage", "2.50")], ["nook,30.00,20.00,"]) == (2250, {(1, "sage"): 9})


# --- a dearer shop that wins because of a fee -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("needed", "total", "counts"),
    [
        (2, 1580, {(2, "sage"): 2}),  # 2 x 7.00 + 6.50 = 20.50 against 2 x 7.90 = 15.80
        (7, 5530, {(2, "sage"): 7}),  # 7 x 7.00 + 6.50 = 55.50 against 7 x 7.90 = 55.30
        (8, 6250, {(1, "sage"): 8}),  # 8 x 7.00 + 6.50 = 62.50 against 8 x 7.90 = 63.20
    ],
)
def test_a_dearer_shop_wins_where_the_cheaper_one_delivers_for_a_fee(buys, needed, total, counts):
    offers = [offer("nook", "sage", "7.00"), offer("mill", "sage", "7.90")]
    assert buys([wholes(needed)], offers, ["nook,6.50,,"]) == (total, counts)


def test_two_boards_come_from_one_shop_though_each_is_cheaper_elsewhere(buys):
    # Sage 7.00 at nook, 7.60 at mill; ivory 9.20 at mill alone; each shop delivers for 3.00.
    # Apart 7.00 + 9.20 + 6.00 = 22.20; all at mill 7.60 + 9.20 + 3.00 = 19.80.
    offers = [offer("nook", "sage", "7.00"), offer("mill", "sage", "7.60"), offer("mill", "ivory", "9.20")]
    total, counts = buys([wholes(1), wholes(1, "ivory", "moss")], offers, ["nook,3.00,,", "mill,3.00,,"])
    assert (total, counts) == (1980, {(2, "sage"): 1, (3, "ivory"): 1})
    # Six of sage: apart 42.00 + 9.20 + 6.00 = 57.20; all at mill 45.60 + 9.20 + 3.00 = 57.80.
    total, counts = buys([wholes(6), wholes(1, "ivory", "moss")], offers, ["nook,3.00,,", "mill,3.00,,"])
    assert (total, counts) == (5720, {(1, "sage"): 6, (3, "ivory"): 1})


# --- tax that turns the choice --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tax", "total", "counts"),
    [
        ("0", 2220, {(1, "sage"): 3}),
        ("7", 2375, {(1, "sage"): 3}),  # 22.20 x 7 % = 1.554, so 1.55; 23.75 against 23.85
        ("8.25%", 2385, {(2, "sage"): 3}),  # 22.20 x 8.25 % = 1.8315, so 1.83; 24.03 against 3 x 7.95 = 23.85
    ],
)
def test_tax_turns_the_choice_of_shop(buys, tax, total, counts):
    offers = [offer("nook", "sage", "7.40"), offer("mill", "sage", "7.95")]
    assert buys([wholes(3)], offers, [f"nook,,,{tax}"]) == (total, counts)


def test_tax_rounded_once_a_shop_turns_the_choice(buys):
    # 5 % of 1.11 is 0.0555, so 0.06: one sheet 1.17 against 1.16 at mill. 5 % of 2.22 is 0.111, so 0.11: two are 2.33
    # against 2.32. At 4.05 % one is 1.11 + 0.044955 (0.04) = 1.15 and beats mill.
    offers = [offer("nook", "sage", "1.11"), offer("mill", "sage", "1.16")]
    assert buys([wholes(1)], offers, ["nook,,,5"]) == (116, {(2, "sage"): 1})
    assert buys([wholes(2)], offers, ["nook,,,5"]) == (232, {(2, "sage"): 2})
    assert buys([wholes(1)], offers, ["nook,,,4.05"]) == (115, {(1, "sage"): 1})


def test_what_is_bought_at_two_shops_is_rounded_twice(buys):
    # 1 % of 0.49 is 0.0049, so nothing; of 0.98 it is 0.0098, so 0.01. One sheet at each shop is 0.98, two at one 0.99.
    offers = [offer("nook", "sage", "0.49"), offer("mill", "sage", "0.49")]
    assert buys([wholes(2)], offers, ["nook,,,1", "mill,,,1"]) == (98, {(1, "sage"): 1, (2, "sage"): 1})


def test_the_fee_is_not_taxed_and_so_a_dear_fee_may_be_the_better(buys):
    # nook: 20.00 + 10 % = 22.00; mill: 17.00 + 3.00 fee + 10 % of 17.00 = 21.70 (a taxed fee would make 22.00, a tie).
    offers = [offer("nook", "sage", "20.00"), offer("mill", "sage", "17.00")]
    assert buys([wholes(1)], offers, ["nook,,,10", "mill,3.00,,10"]) == (2170, {(2, "sage"): 1})


# --- a minimum that makes five cheaper than four --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("needed", "total", "counts"),
    [
        (3, 2220, {(1, "sage"): 3}),  # 3 x 7.40 = 22.20 against 5 x 5.55 = 27.75
        (4, 2775, {(2, "sage"): 5}),  # 4 x 7.40 = 29.60
        (6, 3330, {(2, "sage"): 6}),  # 6 x 5.55 = 33.30: a minimum is no pack
    ],
)
def test_five_at_a_quarter_off_are_cheaper_than_four(buys, needed, total, counts):
    # 7.40 less 25 % = 5.55, from five sheets on.
    offers = [offer("nook", "sage", "7.40"), offer("nook", "sage", "7.40", discount="25", least=5)]
    assert buys([wholes(needed)], offers) == (total, counts)


def test_a_minimum_counts_all_boards_together(buys):
    # Two of sage and two of ivory: 4 x 7.40 = 29.60; five at 5.55 of either board = 27.75.
    offers = [offer("nook", "any", "7.40"), offer("mill", "any", "7.40", discount="25", least=5)]
    total, counts = buys([wholes(2), wholes(2, "ivory", "moss")], offers)
    assert total == 2775
    assert {number for number, _ in counts} == {2}
    assert sorted(counts.values()) == [2, 3]


def test_a_minimum_in_packs_is_the_next_whole_pack(buys):
    # At least five in packs of two are six: 6 x 5.00 = 30.00 against 4 x 7.40 = 29.60; at 4.90 they are 29.40.
    offers = [offer("nook", "sage", "7.40"), offer("nook", "sage", "5.00", least=5, pack=2)]
    assert buys([wholes(4)], offers) == (2960, {(1, "sage"): 4})
    offers[1] = offer("nook", "sage", "4.90", least=5, pack=2)
    assert buys([wholes(4)], offers) == (2940, {(2, "sage"): 6})


# --- a 40 x 60 that loses to two 32 x 40 ----------------------------------------------------------------------------

# The sizes of sheet are common practice, no source. Blanks of 38 x 30 lie one on a 32 x 40 and two on a 40 x 60.


def posters(count, width=38, height=30):
    return f"poster,{count},{width},{height},sage"


def sheets(large, small="7.40"):
    return [offer("nook", "sage", large, sheet="40,60"), offer("nook", "sage", small, sheet="32,40")]


@pytest.mark.parametrize(
    ("large", "needed", "total", "counts"),
    [
        ("15.99", 2, 1480, {(2, "sage"): 2}),  # 2 x 7.40 = 14.80 against 15.99
        ("13.99", 2, 1399, {(1, "sage"): 1}),
        ("13.99", 3, 2139, {(1, "sage"): 1, (2, "sage"): 1}),  # 13.99 + 7.40; 3 x 7.40 = 22.20, 2 x 13.99 = 27.98
        ("15.99", 5, 3700, {(2, "sage"): 5}),  # 5 x 7.40 = 37.00; 2 x 15.99 + 7.40 = 39.38
    ],
)
def test_a_large_sheet_against_two_small_ones(buys, large, needed, total, counts):
    assert buys([posters(needed)], sheets(large)) == (total, counts)


def test_trim_makes_the_large_sheet_lose(buys):
    # Untrimmed the 40 x 60 takes two of 38 x 30: 13.99. Trimmed by 1/4 in it is 59 1/2 long and takes one, as the
    # 32 x 40 does: 2 x 7.40 = 14.80.
    assert buys([posters(2)], sheets("13.99"), bench=f"{BENCH}trim,1/4\n") == (1480, {(2, "sage"): 2})


def test_a_saw_makes_the_large_sheet_lose(buys):
    # Two of 30 and a kerf of 1/8 in are 60 1/8. Of 38 x 29 it still takes two.
    saw = f"{BENCH}kerf,1/8\n"
    assert buys([posters(2)], sheets("13.99"), bench=saw) == (1480, {(2, "sage"): 2})
    assert buys([posters(2, 38, 29)], sheets("13.99"), bench=saw) == (1399, {(1, "sage"): 1})


def test_a_blank_that_only_the_large_sheet_takes_makes_room_for_the_small_one(buys):
    # 39 x 41 needs the 40 x 60 and leaves 40 x 19, enough for 38 x 18 but not for 38 x 30.
    offers = sheets("15.99")
    assert buys(["map,1,39,41,sage", posters(1, 38, 18)], offers) == (1599, {(1, "sage"): 1})
    assert buys(["map,1,39,41,sage", posters(1)], offers) == (2339, {(1, "sage"): 1, (2, "sage"): 1})


# --- two boards, where an alternative saves a sheet -----------------------------------------------------------------

BOTH = [offer("nook", "sage", "7.40"), offer("nook", "ivory", "7.40")]


def test_two_halves_share_a_sheet_where_the_second_best_board_will_do(buys):
    # Fern in sage and Moss in ivory or sage, half a sheet each: one sheet of sage, 7.40; liked best in ivory, 14.80.
    pieces = [halves(1), halves(1, "ivory or sage", "moss")]
    assert buys(pieces, BOTH) == (740, {(1, "sage"): 1})
    assert buys([halves(1), halves(1, "ivory", "moss")], BOTH) == (1480, {(1, "sage"): 1, (2, "ivory"): 1})


def test_one_of_six_halves_changes_its_board_and_saves_a_sheet(buys):
    # Three halves of each take two sheets of each, 29.60. With Bell in sage there are four and two: three, 22.20.
    pieces = [halves(3), halves(2, "ivory", "moss"), halves(1, "ivory or sage", "bell")]
    assert buys(pieces, BOTH) == (2220, {(1, "sage"): 2, (2, "ivory"): 1})


def test_copies_of_a_row_change_their_board_together(buys):
    # A half in sage, a half in ivory, two that may be either. Rows apart: two halves of each board, two sheets, 14.80.
    # Copies in one row: three halves of one board and one of the other, three sheets, 22.20.
    fixed = [halves(1), halves(1, "ivory", "bell")]
    apart = [halves(1, "ivory or sage", "moss"), halves(1, "ivory or sage", "reed")]
    assert buys([*fixed, *apart], BOTH) == (1480, {(1, "sage"): 1, (2, "ivory"): 1})
    total, counts = buys([*fixed, halves(2, "ivory or sage", "moss")], BOTH)
    assert (total, sorted(counts.values())) == (2220, [1, 2])


def test_a_dear_board_is_passed_over_where_the_cheap_one_will_do(buys):
    # Ivory or sage, two halves of each row: ivory at 9.90 would be 7.40 + 9.90; all in sage two sheets, 14.80.
    offers = [offer("nook", "sage", "7.40"), offer("nook", "ivory", "9.90")]
    assert buys([halves(2), halves(2, "ivory or sage", "moss")], offers) == (1480, {(1, "sage"): 2})
