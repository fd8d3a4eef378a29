"""Shares, credit and waste of the plan made by hand, worked by hand."""

from dataclasses import replace
from fractions import Fraction

import pytest

from cli.reports.sentences import group_totals
from nesting.costing import Nested, cost_pieces, measure_waste, summarise
from nesting.geometry import Size
from nesting.model.plan import Line, Purchase, Waste
from nesting.plan import make_plan
from nesting.reading.job import read_job
from tests.builders import make_bench
from tests.sound import JOB, PURCHASE, S3, S5, nested_by_hand


def test_board_shares_follow_blank_area_and_add_up():
    # Alder's 5.00 and 1.97 by value: sage 444 + 697 x 444/2392 = 573.37, ivory 1948 + 697 x 1948/2392 = 2515.63.
    # Birch: oat 1220 + 361 = 1581. Sage blanks 2 x 7373 + 1325 = 16071, the one from the fallout too:
    # Fern 573.37 x 7373/16071 = 263.05, Map 573.37 x 1325/16071 = 47.27. Moss 2515.63 + 1581 = 4096.63.
    # Rounded down 263 + 263 + 47 + 4096 = 4669; the cent left goes to Moss, which lost most.
    costs, _ = cost_pieces(nested_by_hand())
    assert [(cost.piece, cost.copy, cost.board) for cost in costs] == [
        ("Fern", 1, 263),
        ("Fern", 2, 263),
        ("Map", 1, 47),
        ("Moss", 1, 4097),
    ]
    assert sum(cost.board for cost in costs) == PURCHASE.total == 4670


def test_a_piece_costs_its_board_frame_and_other_and_saves_the_rest_of_the_quote():
    costs, _ = cost_pieces(nested_by_hand())
    assert (costs[0].total, costs[0].saved, costs[0].group) == (263 + 400 + 150, 1800 - 263, "hall")
    assert (costs[2].total, costs[2].saved, costs[2].group) == (47, None, None)
    assert costs[3].saved == 2900 - 4097


def test_what_is_kept_is_credited_and_fallout_blanks_bear_nothing():
    # Sage came in 223 x 167 = 37241, kept 8686 + 4234 + 6279 + 61 x 27 = 20846: credit 573.37 x 20846/37241 = 320.95,
    # the rest, 252.42, on the two Ferns alone. Ivory came in 2 x 13843, kept 13843 uncut + 3618 + 5356 + 37 x 15 =
    # 23372: credit 2123.64, rest 391.98. Oat came in 2 x 14803 + 5723 from the shelf, kept 14803 + 1652 + 5092 + 4750 =
    # 26297: credit 1176.81, rest 404.19. Down: 126 + 126 + 0 + 796 + 3621 = 4669; the cent left goes to the credit.
    costs, credit = cost_pieces(nested_by_hand())
    assert [cost.credited for cost in costs] == [126, 126, 0, 796]
    assert credit == 3622
    assert sum(cost.credited for cost in costs) + credit == 4670


def test_delivery_follows_the_count_of_sheets_where_the_goods_cost_nothing():
    # 9.00 for one sheet of sage and two of ivory, all free: 3.00 and 6.00.
    # Sage: Fern 300 x 7373/16071 = 137.63 each, Map 24.73; Moss 600. Down 137 + 137 + 24 + 600, two cents left: to Map
    # (0.73), then to the first Fern (0.63).
    free = Purchase(
        lines=tuple(replace(line, unit_price=0) for line in PURCHASE.lines[:2]),
        delivery={"Alder": 900},
        tax={"Alder": 0},
        lower_bound=0,
    )
    costs, _ = cost_pieces(replace(nested_by_hand(), purchase=free))
    assert [cost.board for cost in costs] == [138, 137, 25, 600]


def test_free_goods_of_one_shop_carry_its_fee_beside_the_paid_goods_of_another():
    # Alder's 5.00 by count, 1.67 for sage and 3.33 for ivory; Birch's 1220 + 361 for oat. Fern 166.67 x 7373/16071 =
    # 76.46 each, Map 13.74, Moss 333.33 + 1581 = 1914.33. Down 2079; two cents left, to Map and to the first Fern.
    lines = tuple(replace(line, unit_price=0) if line.shop == "Alder" else line for line in PURCHASE.lines)
    free = Purchase(lines, {"Alder": 500, "Birch": 300}, {"Alder": 0, "Birch": 61}, 0)
    costs, _ = cost_pieces(replace(nested_by_hand(), purchase=free))
    assert [cost.board for cost in costs] == [77, 76, 14, 1914]


def test_sheets_of_a_board_from_two_shops_are_paid_for_together():
    # Sage for 4.44 and 2 x 3.05, ivory for 9.74: Fern 1054 x 7373/16071 = 483.55 each, Map 86.90, Moss 974. Down 2026;
    # two cents left, to Map and to the first Fern.
    lines = (
        Line("Alder", "sage", 1, Size(223, 167), 1, 444),
        Line("Birch", "sage", 4, Size(131, 113), 2, 305),
        Line("Birch", "ivory", 5, Size(127, 109), 1, 974),
    )
    costs, _ = cost_pieces(replace(nested_by_hand(), purchase=Purchase(lines, {}, {}, 0)))
    assert [cost.board for cost in costs] == [484, 483, 87, 974]


def test_a_shop_without_terms_adds_nothing_to_its_goods():
    # A cent for sage goes to the first Fern, a cent for ivory to Moss.
    lines = (Line("Alder", "sage", 1, Size(223, 167), 1, 1), Line("Birch", "ivory", 5, Size(127, 109), 1, 1))
    costs, _ = cost_pieces(replace(nested_by_hand(), purchase=Purchase(lines, {}, {}, 0)))
    assert [cost.board for cost in costs] == [1, 0, 0, 1]


def test_a_board_that_no_blank_took_is_shared_beside_those_taken():
    # Ivory for 9.74 is Moss's; rust for 25.52 is shared over all: Fern 737.36 each, Map 132.51, Moss 974 + 944.77.
    # Down 737 + 737 + 132 + 1918 = 3524; two cents left, to Moss and to Map.
    lines = (Line("Alder", "ivory", 2, Size(127, 109), 1, 974), Line("Alder", "rust", 1, Size(131, 113), 1, 2552))
    costs, _ = cost_pieces(replace(nested_by_hand(), purchase=Purchase(lines, {}, {}, 0)))
    assert [cost.board for cost in costs] == [737, 737, 133, 1919]


def test_a_board_that_no_blank_took_is_shared_over_all_blanks():
    # A sheet of rust for 25.52, left uncut. All blanks together are 2 x 7373 + 1325 + 3 x 3149 = 25518:
    # Fern 2552 x 7373/25518 = 737.36 each, Map 132.51, Moss 944.77. Down 2550; two cents left, to Moss and to Map.
    rust = Purchase((Line("Alder", "rust", 1, Size(131, 113), 1, 2552),), {"Alder": 0}, {"Alder": 0}, 0)
    costs, credit = cost_pieces(replace(nested_by_hand(), purchase=rust, sheets=(S3, S5), leftover=()))
    assert [cost.board for cost in costs] == [737, 737, 133, 945]
    # In the credited way the whole sheet goes onto the shelf.
    assert (credit, [cost.credited for cost in costs]) == (2552, [0, 0, 0, 0])


def test_nothing_bought_costs_nothing():
    nothing = Purchase((), {}, {}, 0)
    costs, credit = cost_pieces(replace(nested_by_hand(), purchase=nothing))
    assert {(cost.board, cost.credited) for cost in costs} == {(0, 0)}
    assert credit == 0


def test_no_pieces_cost_nothing():
    assert cost_pieces(Nested(JOB, (), (), (), Purchase((), {}, {}, 0))) == ((), 0)


def test_waste_is_what_is_neither_in_mats_nor_kept():
    # Cut: 223 x 167 + 127 x 109 + 97 x 59 + 113 x 131 = 71610; the fallout is part of the first.
    # In mats: 2 x (101 x 73 - 71 x 37) + 53 x 25 + (67 x 47 - 47 x 25) + (67 x 47 - 41 x 19) + 67 x 47 = 18310.
    # Kept: 20846 sage + 9529 ivory + 11494 oat = 41869. The rest is trim, kerf, squaring and slivers.
    waste = measure_waste(nested_by_hand())
    assert waste == Waste(in_mats=18310, kept=41869, scrap=71610 - 18310 - 41869)
    assert waste.cut == 71610
    assert waste.percent == Fraction(1143100, 71610)


def test_nothing_cut_wastes_nothing():
    assert measure_waste(Nested(JOB, (), (), (), PURCHASE)).percent == 0


def summary_of(nested):
    return summarise(nested, *cost_pieces(nested))


def test_the_summary_counts_sheets_fallouts_and_shelf_pieces():
    summary = summary_of(nested_by_hand())
    assert summary.sheets_bought == 5
    assert summary.sheets_by_board == {"sage": 1, "ivory": 2, "oat": 2}
    assert summary.sheets_uncut == 2
    assert (summary.fallouts_used, summary.shelf_used) == (1, 1)
    assert summary.credit == 3622


def test_a_copy_is_first_choice_when_every_layer_is():
    # Moss is cut from ivory, its second best; its under-mat and backing from the best do not make up for it.
    assert summary_of(nested_by_hand()).first_choice == 3


@pytest.mark.parametrize(
    ("cutter_cost", "mats"),
    [
        (None, None),
        (9000, 12),  # 7123 to go at 1877 / 3 = 625.67 a mat: 11.38
        (1877, 0),
        (1878, 1),
        (1500, 0),
        (3754, 3),  # 1877 to go: three mats exactly
    ],
)
def test_how_many_more_mats_pay_for_the_cutter(cutter_cost, mats):
    job = replace(JOB, bench=make_bench(cutter_cost=cutter_cost))
    summary = summary_of(replace(nested_by_hand(), job=job))
    assert summary.saved == 2 * (1800 - 263) + 2900 - 4097 == 1877
    assert summary.mats_to_pay_cutter == mats


def test_a_wall_that_saves_nothing_never_pays_for_the_cutter():
    pieces = tuple(replace(piece, quote=None if piece.quote is None else 100) for piece in JOB.pieces)
    summary = summary_of(replace(nested_by_hand(), job=replace(JOB, pieces=pieces)))
    assert summary.saved == 300 - 263 - 263 - 4097
    assert summary.mats_to_pay_cutter is None


def test_a_wall_that_saves_just_nothing_never_pays_for_the_cutter():
    nested = nested_by_hand()
    pieces, credit = cost_pieces(nested)
    summary = summarise(nested, [replace(piece, quote=piece.board) for piece in pieces], credit)
    assert (summary.saved, summary.mats_to_pay_cutter) == (0, None)


def test_boards_of_which_nothing_is_bought_are_not_counted():
    summary = summary_of(replace(nested_by_hand(), purchase=replace(PURCHASE, lines=PURCHASE.lines[:1])))
    assert summary.sheets_by_board == {"sage": 1}


def test_the_order_of_the_sheets_is_no_matter_for_what_is_kept():
    nested = nested_by_hand()
    assert cost_pieces(replace(nested, sheets=nested.sheets[::-1])) == cost_pieces(nested)


def test_without_quotes_nothing_is_said_of_saving():
    pieces = tuple(replace(piece, quote=None) for piece in JOB.pieces)
    summary = summary_of(replace(nested_by_hand(), job=replace(JOB, pieces=pieces)))
    assert (summary.saved, summary.mats_to_pay_cutter) == (None, None)


PIECES = "piece,quantity,group,inside width,inside height,boards,frame cost,other cost,quote\n"
WALL = PIECES + "fern,1,hall,31,29,sage,4.00,1.50,18.00\nmoss,2,den,31,6,sage,,,4.50\n"
ONE_SHEET = "shop,board,sheet width,sheet height,price\nnook,sage,31,41,12.71\n"
NOOK = "shop,delivery,tax\nnook,3.00,10\n"


@pytest.mark.parametrize(("cutter", "mats"), [("60.00", 15), ("60.12", 15), ("60.13", 16), ("10.02", 0)])
def test_a_wall_from_its_tables_to_the_payback(folder, cutter, mats):
    # One sheet 12.71, tax 10 % 1.271, so 1.27, delivery 3.00: 16.98, over 31 x 41 = 1271 square inches.
    # Fern 31 x 29 = 899: 1698 x 899 / 1271 = 1201.02. Moss 31 x 6 = 186: 248.49 each. Down 1201 + 248 + 248 = 1697, and
    # the cent left goes to the first Moss. Saved 18.00 - 12.01 = 5.99, 4.50 - 2.49 = 2.01, 4.50 - 2.48 = 2.02: 10.02 in
    # all, 3.34 a mat. A cutter of 60.00 has 49.98 to go, 14.96 mats; of 60.12 just 50.10, 15 mats.
    bench = f"name,value\nallowance,0\ncutter cost,{cutter}\n"
    plan = make_plan(read_job(folder(pieces=WALL, offers=ONE_SHEET, shops=NOOK, bench=bench)))
    assert (plan.purchase.total, plan.purchase.proven) == (1698, True)
    assert [(cost.board, cost.total, cost.saved) for cost in plan.pieces] == [
        (1201, 1751, 599),
        (249, 249, 201),
        (248, 248, 202),
    ]
    assert (plan.summary.saved, plan.summary.mats_to_pay_cutter) == (1002, mats)
    assert group_totals(plan) == (("hall", 1, 1751), ("den", 2, 497))
