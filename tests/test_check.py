"""A planted fault for every rule that a plan must obey."""

from dataclasses import replace
from fractions import Fraction

import pytest

from nesting.check import assert_sound, broken_rules
from nesting.errors import LayoutError
from nesting.geometry import Point, Size
from nesting.job import ShelfKind, When
from nesting.packing.status import SolveStatus
from nesting.packing.tree import Offcut, Placed, nodes
from nesting.planned import Borders, Bought, FalloutLeft, FromFallout, FromShelf, Line, Waste, Window
from tests.builders import exact, make_offer, make_shelf
from tests.planting import (
    changed,
    with_bench,
    with_board,
    with_cost,
    with_left,
    with_line,
    with_mat,
    with_offer,
    with_purchase,
    with_root,
    with_sheet,
    with_shelf_kind,
    with_shop,
    with_summary,
)
from tests.sound import S1, S2, S3, S4, S5, level, sound_plan

FERN_COLUMN, SECOND_COLUMN, LAST_COLUMN = S1.root.parts
FERN, ABOVE_FERN = FERN_COLUMN.parts
MOSS_COLUMN, BESIDE_MOSS = S2.root.parts

PLANTED = {
    # sizes
    "blank a tick too wide": (lambda p: with_mat(p, 0, blank=Size(102, 73)), "M1: blank 102 x 73 instead of 101 x 73"),
    "blank turned on paper": (lambda p: with_mat(p, 2, blank=Size(25, 53)), "M3: blank 25 x 53 instead of 53 x 25"),
    "border shifted by a tick": (lambda p: with_mat(p, 0, borders=Borders(14, 16, 18, 18)), "M1: borders"),
    "top and bottom swapped": (lambda p: with_mat(p, 3, borders=Borders(10, 10, 12, 10)), "M4: borders"),
    "borders missing": (lambda p: with_mat(p, 0, borders=None), "M1: borders None"),
    "window shifted by a tick": (
        lambda p: with_mat(p, 0, windows=(Window(Point(16, 18), Size(71, 37)),)),
        "M1: windows [(16, 18, 71, 37)]",
    ),
    "window a tick too small": (
        lambda p: with_mat(p, 0, windows=(Window(Point(15, 18), Size(70, 37)),)),
        "M1: windows [(15, 18, 70, 37)]",
    ),
    "window twice": (lambda p: with_mat(p, 0, windows=p.mats[0].mat.windows * 2), "M1: windows"),
    "window in a backing": (
        lambda p: with_mat(p, 5, windows=(Window(Point(13, 17), Size(41, 19)),)),
        "M6: windows [(13, 17, 41, 19)] instead of []",
    ),
    "boards of another layer": (
        lambda p: with_mat(p, 4, boards=("oat", "sage")),
        "M5: boards oat, sage instead of oat",
    ),
    "board not allowed": (lambda p: with_mat(p, 2, board="oat"), "M3: cut from oat, which is not among sage"),
    "copies on different boards": (
        lambda p: with_mat(p, 1, board="ivory"),
        "Fern: copies take different boards in layer 0: ivory, sage",
    ),
    "turned on a board that may not": (
        lambda p: with_mat(p, 3, turned=True),
        "M4: lies turned on ivory, which may not be turned",
    ),
    "mat dropped": (lambda p: replace(p, mats=p.mats[:-1]), "Moss copy 1 layer 2: listed 0 times instead of once"),
    "mat duplicated": (
        lambda p: replace(p, mats=(*p.mats, p.mats[2])),
        "Map copy 1 layer 0: listed 2 times instead of once",
    ),
    "one id for two mats": (lambda p: with_mat(p, 1, id="M1"), "M1: the id of 2 mats"),
    "mat not asked for": (lambda p: with_mat(p, 2, copy=2), "Map copy 2 layer 0: listed but not asked for"),
    "mats out of order": (
        lambda p: replace(p, mats=(p.mats[1], p.mats[0], *p.mats[2:])),
        "mats: not in the order of the pieces",
    ),
    "later piece left out": (
        lambda p: replace(p, when=When.LATER),
        "Bell copy 1 layer 0: listed 0 times instead of once",
    ),
    # sheets and where they come from
    "one id for two sheets": (lambda p: with_sheet(p, S2, id="S1"), "S1: the id of 2 sheets"),
    "no such offer": (lambda p: with_sheet(p, S1, source=Bought(9)), "S1: there is no offer 9"),
    "sheet of another size": (
        lambda p: with_sheet(p, S1, size=Size(224, 167)),
        "S1: is 224 x 167, but comes as 223 x 167",
    ),
    "sheet of an oriented board turned": (
        lambda p: with_board(p, "oat", turn=False),
        "S4: is 113 x 131, but comes as 131 x 113",
    ),
    "trim missing": (
        lambda p: with_sheet(p, S1, root=replace(S1.root, at=Point(0, 0))),
        "S1: cutting starts at (0, 0), not at (3, 3)",
    ),
    "trim missing at the far edges": (
        lambda p: with_sheet(p, S1, root=replace(S1.root, size=Size(220, 164))),
        "S1: what is divided is not the sheet less 3 at each edge",
    ),
    "trim of a shelf sheet missing": (
        lambda p: with_shelf_kind(p, ShelfKind.SHEET),
        "S3: cutting starts at (0, 0), not at (3, 3)",
    ),
    "squaring missing": (
        lambda p: with_sheet(p, S5, root=replace(S5.root, at=Point(0, 0), size=Size(71, 37))),
        "S5: what is divided is not the sheet less 5 at each edge",
    ),
    "no such shelf piece": (
        lambda p: with_sheet(p, S3, source=FromShelf("loft")),
        "S3: nothing on the shelf is called loft",
    ),
    "shelf piece of another board": (lambda p: with_sheet(p, S3, board="sage"), "S3: is sage, but comes from oat"),
    "shelf piece of another size": (
        lambda p: with_sheet(p, S3, size=Size(97, 61)),
        "S3: is 97 x 61, but comes as 97 x 59",
    ),
    "shelf used too often": (
        lambda p: replace(p, sheets=(*p.sheets, replace(S3, id="S6"))),
        "ledge: cut 2 times, but the shelf holds 1",
    ),
    "fallout forbidden": (
        lambda p: with_bench(p, use_fallout=False),
        "S5: is a fallout, and the job uses none",
    ),
    "no such window": (
        lambda p: with_sheet(p, S5, source=FromFallout("M1", 1)),
        "S5: mat M1 has no window 1",
    ),
    "fallout of no mat": (lambda p: with_sheet(p, S5, source=FromFallout("M9", 0)), "S5: mat M9 has no window 0"),
    "fallout of another board": (
        lambda p: with_sheet(p, S5, source=FromFallout("M5", 0)),
        "S5: is sage, but comes from oat",
    ),
    "fallout of another size": (
        lambda p: with_sheet(p, S5, size=Size(73, 37)),
        "S5: is 73 x 37, but comes as 71 x 37",
    ),
    "fallout used twice": (
        lambda p: replace(p, sheets=(*p.sheets, replace(S5, id="S6"))),
        "M1: the fallout of window 0 is used 2 times",
    ),
    "fallout serving its own mat": (
        lambda p: with_mat(p, 0, sheet="S5"),
        "S5: falls out of M1, which is not cut from a sheet before it",
    ),
    "fallout before its sheet": (
        lambda p: replace(p, sheets=(S5, *p.sheets[:-1])),
        "S5: falls out of M1, which is not cut from a sheet before it",
    ),
    # cuts
    "blank dropped": (
        lambda p: with_sheet(p, S1, root=changed(S1, FERN, Offcut(FERN.at, FERN.size))),
        "M1: cut 0 times instead of once",
    ),
    "blank cut twice": (
        lambda p: with_sheet(p, S1, root=changed(S1, ABOVE_FERN, Placed(ABOVE_FERN.at, ABOVE_FERN.size, 0))),
        "M1: cut 2 times instead of once",
    ),
    "no such mat": (
        lambda p: with_sheet(p, S1, root=changed(S1, FERN, replace(FERN, item=6))),
        "S1: there is no mat number 6",
    ),
    "a mat counted from the end": (
        lambda p: with_sheet(p, S1, root=changed(S1, FERN, replace(FERN, item=-6))),
        "S1: there is no mat number -6",
    ),
    "wrong turn": (
        lambda p: with_mat(p, 1, turned=False),
        "S1: M2 is 101 x 73 as it lies, its part 73 x 101",
    ),
    "mat of another board than its sheet": (
        lambda p: with_sheet(p, S2, board="sage"),
        "S2: M4 is ivory, the sheet sage",
    ),
    "mat said to be elsewhere": (lambda p: with_mat(p, 0, sheet="S2"), "S1: M1 is said to come out of S2"),
    "empty part": (
        lambda p: with_sheet(p, S1, root=changed(S1, LAST_COLUMN, Offcut(Point(181, 3), Size(0, 161)))),
        "S1: the part at (181, 3) is empty",
    ),
    "thin kerf": (
        lambda p: with_bench(p, kerf=3),
        "S2: the part at (72, 3) does not lie one kerf after the part before it",
    ),
    "kerf forgotten": (
        lambda p: with_sheet(p, S1, root=changed(S1, LAST_COLUMN, Offcut(Point(179, 3), Size(41, 161)))),
        "S1: the part at (179, 3) does not lie one kerf after the part before it",
    ),
    "last part overlapping": (
        lambda p: with_sheet(p, S1, root=changed(S1, LAST_COLUMN, Offcut(Point(178, 3), Size(42, 161)))),
        "S1: the part at (178, 3) does not lie one kerf after the part before it",
    ),
    "last part past the edge": (
        lambda p: with_sheet(p, S1, root=changed(S1, LAST_COLUMN, Offcut(Point(181, 3), Size(40, 161)))),
        "S1: the parts at (3, 3) reach past the edge",
    ),
    "kerf strip too wide": (
        lambda p: with_root(p, S1, FERN_COLUMN, SECOND_COLUMN),
        "S1: a strip of 41 at (3, 3) is left over, wider than the kerf",
    ),
    "kerf strip a tick too wide": (
        lambda p: with_sheet(p, S1, root=changed(S1, LAST_COLUMN, Offcut(Point(181, 3), Size(36, 161)))),
        "S1: a strip of 3 at (3, 3) is left over, wider than the kerf",
    ),
    "cut not from edge to edge": (
        lambda p: with_sheet(p, S1, root=changed(S1, LAST_COLUMN, Offcut(Point(181, 3), Size(39, 160)))),
        "S1: the part at (181, 3) does not run from edge to edge",
    ),
    "cut that divides nothing": (
        lambda p: with_root(p, S5, level(S5.root.at, S5.root.size, *S5.root.parts)),
        "S5: the cut at (5, 5) divides nothing",
    ),
    "cut without parts": (
        lambda p: with_sheet(p, S1, root=changed(S1, LAST_COLUMN, level((181, 3), (39, 161)))),
        "S1: the cut at (181, 3) divides nothing",
    ),
    "cut the other way": (
        lambda p: with_root(p, S1, *S1.root.parts, divide=level),
        "S1: the part at (3, 3) does not run from edge to edge",
    ),
    "too long a cut": (
        lambda p: with_bench(p, longest_cut=Fraction(160)),
        "S1: a cut of 161 at (3, 3) is longer than the cutter makes",
    ),
    # leftovers
    "offcut not listed": (lambda p: replace(p, leftover=p.leftover[1:]), "S1: the offcut at (3, 78) is not listed"),
    "offcut listed twice": (
        lambda p: replace(p, leftover=(*p.leftover, p.leftover[0])),
        "S1: the offcut listed at (3, 78) is not there",
    ),
    "offcut listed at another size": (
        lambda p: with_left(p, 0, size=Size(101, 85)),
        "S1: the offcut listed at (3, 78) is not there",
    ),
    "fallout not listed": (
        lambda p: replace(p, leftover=p.leftover[:-1]),
        "M5: the fallout of window 0 is not listed",
    ),
    "divided fallout listed": (
        lambda p: replace(p, leftover=(*p.leftover, FalloutLeft("M1", 0, Size(71, 37), keep=True))),
        "M1: the fallout listed for window 0 is not left",
    ),
    "fallout listed as squared": (
        lambda p: with_left(p, 10, size=Size(61, 27)),
        "M2: the fallout of window 0 is not listed at the size of its window",
    ),
    "sliver kept": (lambda p: with_left(p, 5, keep=True), "S3: what is left, 10 x 67, is marked to keep"),
    "large offcut thrown away": (
        lambda p: with_left(p, 0, keep=False),
        "S1: what is left, 86 x 101, is marked as scrap",
    ),
    "fallout kept as if it were square": (
        lambda p: with_left(p, 12, keep=True),
        "M5: what is left, 9 x 31, is marked to keep",
    ),
    # purchase
    "offer that does not sell the board": (lambda p: with_line(p, 0, board="oat"), "offer 1: does not sell oat"),
    "any board where the shop has a row of its own": (
        lambda p: with_line(p, 1, board="sage"),
        "offer 2: does not sell sage",
    ),
    "any board for a backing": (
        lambda p: replace(
            with_line(p, 1, board="oat"),
            job=replace(p.job, pieces=tuple(replace(piece, under_boards=()) for piece in p.job.pieces)),
        ),
        "offer 2: does not sell oat",
    ),
    "no such offer line": (lambda p: with_line(p, 0, offer=9), "offer 9: there is no such offer"),
    "offer listed twice": (
        lambda p: with_purchase(p, lines=(*p.purchase.lines, p.purchase.lines[0])),
        "offer 1: 2 lines for sage",
    ),
    "a line of nothing": (lambda p: with_line(p, 0, count=0), "offer 1: 0 sheets of sage"),
    "wrong shop": (lambda p: with_line(p, 0, shop="Birch"), "offer 1: is from Alder, not Birch"),
    "wrong sheet": (lambda p: with_line(p, 0, sheet=Size(167, 223)), "offer 1: the sheet is not 167 x 223"),
    "wrong price": (lambda p: with_line(p, 1, unit_price=975), "offer 2: a sheet costs 974 cents, not 975"),
    "more cut than bought": (
        lambda p: replace(p, sheets=(*p.sheets, replace(S1, id="S6"))),
        "offer 1: 2 sheets of sage are cut, 1 bought",
    ),
    "cut but not bought": (
        lambda p: with_purchase(p, lines=p.purchase.lines[1:]),
        "offer 1: 1 sheets of sage are cut, 0 bought",
    ),
    "pack broken": (lambda p: with_line(p, 2, count=3), "offer 3: 3 sheets of oat are not whole packs of 2"),
    "limit broken": (lambda p: with_line(p, 0, count=4), "offer 1: 4 sheets, at most 3 are sold"),
    "minimum broken": (lambda p: with_line(p, 1, count=1), "offer 2: 1 sheets, at least 2 must be bought"),
    "no room for sheets": (
        lambda p: with_bench(p, room_for_sheets=1),
        "purchase: 2 sheets are left uncut, there is room for 1",
    ),
    "wrong fee": (
        lambda p: with_purchase(p, delivery={"Alder": 0, "Birch": 300}),
        "Alder: delivery is 500 cents, not 0",
    ),
    "free delivery just at the mark": (
        lambda p: with_purchase(with_shop(p, "Alder", free_over=2392), delivery={"Birch": 300}),
        "Alder: delivery is 500 cents, not 0",
    ),
    "fee though over the mark": (
        lambda p: with_shop(p, "Alder", free_over=2391),
        "Alder: delivery is 0 cents, not 500",
    ),
    "fee of a shop where nothing is bought": (
        lambda p: with_purchase(p, delivery={**p.purchase.delivery, "Cedar": 100}),
        "Cedar: delivery is 0 cents, not 100",
    ),
    "wrong tax": (lambda p: with_purchase(p, tax={"Alder": 198, "Birch": 61}), "Alder: tax is 197 cents, not 198"),
    "fee taxed": (
        # 8.25 % of 2392 + 500 is 238.59
        lambda p: with_purchase(p, tax={"Alder": 239, "Birch": 61}),
        "Alder: tax is 197 cents, not 239",
    ),
    "wrong total": (
        lambda p: with_purchase(p, tax={"Alder": 198, "Birch": 61}),
        "purchase: comes to 4670 cents, not 4671",
    ),
    "bound above the total": (
        lambda p: with_purchase(p, lower_bound=4671),
        "bound: 4671 cents cannot be the least that a plan of 4670 cents can cost",
    ),
    "bound below nothing": (lambda p: with_purchase(p, lower_bound=-1), "bound: -1 cents cannot be the least"),
    "proven wrongly": (
        lambda p: replace(p, status=SolveStatus.PROVEN_OPTIMAL),
        "bound: said to be proven, with a bound of 4444 cents under a total of 4670",
    ),
    "a plan of a job that has none": (
        lambda p: replace(p, status=SolveStatus.INFEASIBLE),
        "bound: there is a plan, yet the search is said to have ended as infeasible",
    ),
    # costs
    "shares not adding up": (
        lambda p: with_cost(p, 0, board=p.pieces[0].board + 1),
        "costs: the board shares come to 4671 cents, not 4670",
    ),
    "credited shares not adding up": (
        lambda p: with_cost(p, 0, credited=p.pieces[0].credited - 1),
        "costs: the credited shares and the credit come to 4669 cents, not 4670",
    ),
    "share of another piece": (
        lambda p: with_cost(with_cost(p, 0, board=p.pieces[0].board - 2), 3, board=p.pieces[3].board + 2),
        "Fern copy 1: board share is 261 cents instead of about 263",
    ),
    "fallout blank charged in the credited way": (
        lambda p: with_cost(with_cost(p, 2, credited=2), 3, credited=p.pieces[3].credited - 2),
        "Map copy 1: credited share is 2 cents instead of about 0.00",
    ),
    "credit too large": (
        lambda p: with_summary(with_cost(p, 3, credited=p.pieces[3].credited - 9), credit=p.summary.credit + 9),
        "costs: the credit is 3631 cents instead of about 362",
    ),
    "wrong frame cost": (lambda p: with_cost(p, 0, frame=401), "Fern copy 1: frame cost is 401 instead of 400"),
    "wrong other cost": (lambda p: with_cost(p, 0, other=0), "Fern copy 1: other cost is 0 instead of 150"),
    "wrong quote": (lambda p: with_cost(p, 2, quote=0), "Map copy 1: quote is 0 instead of None"),
    "wrong group": (lambda p: with_cost(p, 0, group=None), "Fern copy 1: group is None instead of hall"),
    "piece not costed": (
        lambda p: replace(p, pieces=p.pieces[1:]),
        "costs: the pieces are not each there once, in their order",
    ),
    "piece costed twice": (
        lambda p: replace(p, pieces=(*p.pieces, p.pieces[0])),
        "costs: the pieces are not each there once, in their order",
    ),
    # summary
    "sheets bought": (lambda p: with_summary(p, sheets_bought=3), "summary: sheets bought is 3 instead of 5"),
    "sheets by board": (lambda p: with_summary(p, sheets_by_board={"sage": 5}), "summary: sheets by board is"),
    "sheets uncut": (lambda p: with_summary(p, sheets_uncut=0), "summary: sheets left uncut is 0 instead of 2"),
    "fallouts used": (lambda p: with_summary(p, fallouts_used=2), "summary: fallouts used is 2 instead of 1"),
    "shelf used": (lambda p: with_summary(p, shelf_used=0), "summary: shelf pieces used is 0 instead of 1"),
    "first choice": (
        lambda p: with_summary(p, first_choice=4),
        "summary: pieces in the board liked best is 4 instead of 3",
    ),
    "saved": (lambda p: with_summary(p, saved=None), "summary: saved is None instead of 1877"),
    "cutter": (
        lambda p: with_summary(p, mats_to_pay_cutter=11),
        "summary: mats to pay for the cutter is 11 instead of 12",
    ),
    "waste": (
        lambda p: with_summary(
            p, waste=Waste(p.summary.waste.in_mats, p.summary.waste.kept + 1, p.summary.waste.scrap)
        ),
        "summary: waste is",
    ),
}


def test_the_sound_plan_breaks_no_rule():
    assert broken_rules(sound_plan()) == ()
    assert_sound(sound_plan())


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_named(name):
    plant, line = PLANTED[name]
    assert any(broken.startswith(line) for broken in broken_rules(plant(sound_plan())))


def test_a_broken_plan_is_raised_with_every_line():
    plan = with_line(with_mat(sound_plan(), 0, blank=Size(102, 73)), 2, count=3)
    with pytest.raises(LayoutError) as raised:
        assert_sound(plan)
    assert str(raised.value).splitlines()[1:] == list(broken_rules(plan))
    assert "M1: blank 102 x 73 instead of 101 x 73" in str(raised.value)
    assert "offer 3: 3 sheets of oat are not whole packs of 2" in str(raised.value)


@pytest.mark.parametrize("sheet", [S1, S2, S3, S4, S5], ids=lambda sheet: sheet.id)
def test_no_part_of_any_tree_can_be_moved_or_stretched_by_a_tick(sheet):
    for node in nodes(sheet.root):
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            moved = replace(node, at=Point(node.at.x + dx, node.at.y + dy))
            sized = replace(node, size=Size(node.size.w + dx, node.size.h + dy))
            for other in (moved, sized):
                assert broken_rules(with_sheet(sound_plan(), sheet, root=changed(sheet, node, other)))


def test_a_chain_of_fallouts_that_feeds_itself_is_named():
    # Each of two mats lies in the fallout of the other.
    plan = with_mat(with_mat(sound_plan(), 0, sheet="S6"), 1, sheet="S5")
    plan = replace(plan, sheets=(*plan.sheets, replace(S5, id="S6", source=FromFallout("M2", 0))))
    assert "S5: falls out of M1, which is not cut from a sheet before it" in broken_rules(plan)


def test_proven_may_stand_where_the_bound_meets_the_total():
    plan = replace(with_purchase(sound_plan(), lower_bound=4670), status=SolveStatus.PROVEN_OPTIMAL)
    assert broken_rules(plan) == ()


def test_a_limit_counts_the_sheets_of_all_boards():
    plan = with_offer(sound_plan(), 2, at_most=2, at_least=None)
    lines = (*plan.purchase.lines, Line("Alder", "oat", 2, Size(127, 109), 1, 974))
    assert "offer 2: 3 sheets, at most 2 are sold" in broken_rules(with_purchase(plan, lines=lines))


def test_a_minimum_may_be_met_with_two_boards():
    plan = with_offer(sound_plan(), 2, at_least=3)
    lines = (*plan.purchase.lines, Line("Alder", "oat", 2, Size(127, 109), 1, 974))
    assert not [line for line in broken_rules(with_purchase(plan, lines=lines)) if line.startswith("offer 2")]


def test_an_offcut_is_kept_whichever_way_it_holds_the_least_size():
    line = "S1: what is left, 58 x 73, is marked to keep"
    assert line not in broken_rules(with_bench(sound_plan(), keep_at_least=exact(58, 73)))
    assert line in broken_rules(with_bench(sound_plan(), keep_at_least=exact(59, 73)))
    assert line in broken_rules(with_bench(sound_plan(), keep_at_least=exact(58, Fraction(147, 2))))


def test_offers_are_found_by_their_number():
    plan = sound_plan()
    offers = (make_offer(7, "Cedar", "sage", 100), *reversed(plan.job.offers))
    assert broken_rules(replace(plan, job=replace(plan.job, offers=offers))) == ()


def test_a_shelf_piece_held_twice_may_be_cut_twice():
    plan = replace(
        sound_plan(), job=replace(sound_plan().job, shelf=(make_shelf("ledge", "oat", (97, 59), quantity=2),))
    )
    plan = replace(plan, sheets=(*plan.sheets, replace(S3, id="S6")))
    assert not any(line.startswith("ledge") for line in broken_rules(plan))


def test_a_strip_no_wider_than_the_kerf_goes_with_it():
    narrow = with_bench(sound_plan(), kerf=1)
    assert any("a strip of 2 at (5, 5) is left over" in line for line in broken_rules(narrow))


def test_a_turned_sheet_is_no_fault_where_the_board_may_turn():
    assert S4.size == Size(131, 113).turned
    assert not any(line.startswith("S4") for line in broken_rules(sound_plan()))
