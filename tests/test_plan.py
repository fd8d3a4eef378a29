"""The whole way from a job to a checked plan; `make_plan` raises where its own checker finds a broken rule."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.check import broken_rules
from nesting.errors import CannotBeCutError
from nesting.geometry import Size
from nesting.model.job import ShelfKind, When
from nesting.model.plan import Bought, FalloutLeft, FromFallout, FromShelf
from nesting.options import Left, Options
from nesting.plan import make_plan
from nesting.reading.job import read_job
from nesting.spelling import WHOLE_JOB
from tests.builders import make_bench, make_board, make_job, make_offer, make_piece, make_shelf, make_shop

SHEET = Size(223, 167)


def bought(plan):
    return sum(line.count for line in plan.purchase.lines)


def sources(plan, kind):
    return [sheet.source for sheet in plan.sheets if isinstance(sheet.source, kind)]


def small_job(*pieces, **changes):
    """Build a job of one shop that sells sage and ivory, without trim, kerf or squaring unless told otherwise."""
    facts = {
        "offers": (make_offer(1, "Alder", "sage", 740), make_offer(2, "Alder", "ivory", 900)),
        "shops": (make_shop("Alder"),),
        "bench": make_bench(trim=0, kerf=0, squaring=0),
    }
    return make_job(*pieces, **facts | changes)


# --- fallout ----------------------------------------------------------------------------------------------------

CHAIN = """piece,inside width,inside height,picture width,picture height,boards
map,32,40,24.5,32.5,sage
print,20,30,14.5,22.5,sage
photo,11,14,7.5,10.5,sage
label,5,7,,,sage
"""
CHAIN_OFFERS = "shop,board,sheet width,sheet height,price\nAlder,sage,32,40,7.40\n"
CHAIN_BENCH = "name,value\nallowance,0\noverlap,1/4\nsquaring,1/8\n"


@pytest.fixture
def chain(folder):
    return read_job(folder(pieces=CHAIN, offers=CHAIN_OFFERS, bench=CHAIN_BENCH))


def test_a_chain_of_mats_in_fallouts_takes_one_sheet(chain):
    # Windows 24 x 32, 14 x 22 and 7 x 10; squared by 1/8 in each side 23 3/4 x 31 3/4 takes 20 x 30, 13 3/4 x 21 3/4
    # takes 11 x 14, and 6 3/4 x 9 3/4 takes 5 x 7, which may also lie beside 11 x 14. The map fills the sheet.
    plan = make_plan(chain)
    assert (bought(plan), plan.purchase.total, plan.purchase.lower_bound) == (1, 740, 740)
    assert plan.purchase.proven
    assert [source.mat for source in sources(plan, FromFallout)] in (["M1", "M2"], ["M1", "M2", "M3"])


def test_without_fallout_the_chain_takes_more(chain):
    # 20 x 30 leaves 12 x 40 and 20 x 10 of a second sheet, which take 11 x 14 and 5 x 7.
    plan = make_plan(chain, Options(use_fallout=False))
    assert (bought(plan), plan.purchase.total) == (2, 1480)
    assert plan.summary.fallouts_used == 0
    assert not plan.job.bench.use_fallout


def test_the_bench_can_forbid_fallout_too(folder):
    job = read_job(folder(pieces=CHAIN, offers=CHAIN_OFFERS, bench=CHAIN_BENCH + "use fallout,no\n"))
    assert bought(make_plan(job)) == 2
    assert bought(make_plan(job, Options(use_fallout=True))) == 1


def test_squaring_decides_what_a_fallout_still_takes():
    # the window is 101 x 71; 89 x 59 fits what squaring 6 leaves, not what 7 leaves
    pieces = (make_piece("Fern", (223, 167), (101, 71)), make_piece("Map", (89, 59), row=3))
    for squaring, count in ((6, 1), (7, 2)):
        bench = make_bench(trim=0, kerf=0, squaring=squaring)
        assert bought(make_plan(small_job(*pieces, bench=bench))) == count


def test_every_fallout_that_is_not_divided_is_left_over(chain):
    plan = make_plan(chain, Options(use_fallout=False))
    assert {left.mat for left in plan.leftover if isinstance(left, FalloutLeft)} == {"M1", "M2", "M3"}


# --- stock ------------------------------------------------------------------------------------------------------


def test_trim_is_lost_at_every_edge_of_a_bought_sheet():
    # 223 - 2 x 3 = 217 wide; 167 - 2 x 3 = 161 = 101 + 60 high
    job = small_job(
        make_piece("Fern", (217, 101)), make_piece("Map", (217, 60), row=3), bench=make_bench(trim=3, kerf=0)
    )
    (sheet,) = make_plan(job).sheets
    assert (sheet.size, sheet.root.at, sheet.root.size) == (SHEET, (3, 3), (217, 161))
    assert [one.piece for one in obstacles(replace(job, bench=make_bench(trim=4, kerf=0)))] == ["Fern", "Map"]


def test_a_shelf_sheet_is_trimmed_and_an_offcut_is_not():
    for kind, at in ((ShelfKind.OFFCUT, (0, 0)), (ShelfKind.SHEET, (3, 3))):
        job = small_job(
            make_piece("Fern", (53, 41)),
            shelf=(make_shelf("lid", "sage", (61, 47), kind=kind),),
            bench=make_bench(),
        )
        plan = make_plan(job)
        assert (plan.purchase.total, sources(plan, FromShelf)) == (0, [FromShelf("lid")])
        assert plan.sheets[0].root.at == at


def test_offer_and_board_that_come_cheapest_are_bought():
    job = small_job(
        make_piece("Fern", (101, 73)),
        offers=(
            make_offer(1, "Alder", "sage", 740),
            make_offer(2, "Birch", None, 1299, discount=Decimal(50), at_most=1),
        ),
        shops=(make_shop("Alder"), make_shop("Birch")),
    )
    # 12.99 at half price is 6.495, so 6.50
    plan = make_plan(job)
    assert plan.purchase.total == 650
    assert sources(plan, Bought) == [Bought(2)]


def test_copies_of_a_row_take_one_board_and_rows_of_their_own_may_differ():
    # Two of 223 x 167 in a row: two sheets of one board, though the shelf holds one of each.
    shelf = (make_shelf("a", "sage", SHEET), make_shelf("b", "ivory", SHEET))
    both = {"boards": ("sage", "ivory")}
    together = make_piece("Fern", (223, 167), quantity=2, **both)
    apart = (make_piece("Fern", (223, 167), **both), make_piece("Map", (223, 167), row=3, **both))
    assert make_plan(small_job(together, shelf=shelf)).purchase.total == 740
    assert make_plan(small_job(*apart, shelf=shelf)).purchase.total == 0


def test_a_board_that_may_not_turn_is_not_turned():
    # 160 x 110 goes twice into 223 x 167 only if turned: 110 + 110 = 220.
    for turn, count in ((True, 1), (False, 2)):
        job = small_job(
            make_piece("Fern", (160, 110), quantity=2), boards=(make_board("sage", turn=turn), make_board("ivory"))
        )
        plan = make_plan(job)
        assert bought(plan) == count
        assert {mat.turned for mat in plan.mats} == {turn}


def test_under_mats_and_backings_are_planned_and_bought_too():
    job = small_job(
        make_piece("Fern", (101, 73), (61, 37), under_boards=("ivory",), backing=("oat",)),
        offers=(make_offer(1, "Alder", None, 740), make_offer(2, "Alder", "oat", 310)),
    )
    plan = make_plan(job)
    assert [(mat.board, mat.mat.layer) for mat in plan.mats] == [("sage", 0), ("ivory", 1), ("oat", 2)]
    assert plan.purchase.total == 740 + 740 + 310


def test_later_pieces_are_planned_when_asked_for():
    job = small_job(make_piece("Fern", (101, 73)), make_piece("Map", (223, 167), row=3, when=When.LATER))
    assert (make_plan(job).purchase.total, len(make_plan(job).mats)) == (740, 1)
    later = make_plan(job, Options(when=When.LATER))
    assert (later.purchase.total, len(later.mats), later.when) == (1480, 2, When.LATER)


def test_the_longest_cut_is_kept_to():
    # 110 x 167 twice from 223 x 167 takes an upright cut 167 long; sheets of 110 x 167 need not be cut.
    pieces = (make_piece("Fern", (110, 167), quantity=2),)
    offers = (make_offer(1, "Alder", "sage", 740), make_offer(2, "Alder", "sage", 600, sheet=Size(110, 167)))
    for longest, total in ((None, 740), (Fraction(167), 740), (Fraction(333, 2), 1200)):
        bench = make_bench(trim=0, kerf=0, longest_cut=longest)
        assert make_plan(small_job(*pieces, offers=offers, bench=bench)).purchase.total == total


# --- no plan ----------------------------------------------------------------------------------------------------


def obstacles(job, options=None, **limits):
    with pytest.raises(CannotBeCutError) as caught:
        make_plan(job, options, **limits)
    return caught.value.obstacles


def test_a_blank_larger_than_every_sheet_and_a_board_no_one_sells_are_named_together():
    job = small_job(
        make_piece("Fern", (227, 101)),
        make_piece("Map", (53, 41), row=3),
        make_piece("Moss", (59, 43), row=4, boards=("oat",)),
    )
    large, unsold = obstacles(job)
    assert (large.piece, unsold.piece) == ("Fern", "Moss")
    assert "is larger than every sheet and leftover of sage" in large.problem
    assert "nobody sells oat" in unsold.problem


def test_each_layer_that_cannot_be_cut_is_named():
    job = small_job(make_piece("Fern", (101, 73), (61, 37), under_boards=("oat",), backing=("oat", "grey")))
    job = replace(job, boards=(*job.boards, make_board("grey")))
    under, backing = obstacles(job, Options(use_fallout=False))
    assert "nobody sells oat for its under-mat" in under.problem
    assert "nobody sells oat or grey for its backing" in backing.problem


def test_a_board_that_may_not_turn_can_make_a_blank_too_large():
    piece = make_piece("Fern", (160, 200))
    assert bought(make_plan(small_job(piece))) == 1
    still = small_job(piece, boards=(make_board("sage", turn=False), make_board("ivory")))
    assert [one.piece for one in obstacles(still)] == ["Fern"]


FULL = (223, 167)


def test_the_piece_that_a_limited_offer_does_not_do_for_is_named_with_what_it_wants_and_what_there_is():
    # Each blank is a whole sheet: three are wanted, and the offer has two.
    limited = (make_offer(1, "Alder", "sage", 740, at_most=2),)
    (only,) = obstacles(small_job(make_piece("Fern", FULL, quantity=3), offers=limited), seconds=2.0)
    assert (only.piece, only.problem) == ("Fern", "3 sheets of sage are needed, and only 2 can be bought")


def test_every_board_that_is_short_is_named_with_the_pieces_that_want_it():
    # Six whole sheets of sage, two there; two of ivory, one there. Oat has no limit.
    pieces = [
        make_piece("Fern", FULL, quantity=3),
        make_piece("Map", FULL, quantity=3, row=3),
        make_piece("Moss", FULL, quantity=2, row=4, boards=("ivory",)),
        make_piece("Reed", FULL, quantity=2, row=5, boards=("oat",)),
    ]
    offers = (
        make_offer(1, "Alder", "sage", 740, at_most=2),
        make_offer(2, "Alder", "ivory", 740, at_most=1),
        make_offer(3, "Alder", "oat", 740),
    )
    sage, ivory = obstacles(small_job(*pieces, offers=offers))
    assert sage.piece == WHOLE_JOB
    assert (
        sage.problem == "6 sheets of sage are needed for Fern and Map (pieces, rows 2 and 3), and only 2 can be bought"
    )
    assert (ivory.piece, ivory.problem) == ("Moss", "2 sheets of ivory are needed, and only 1 can be bought")


def test_pieces_with_commas_in_their_names_are_told_apart():
    pieces = [make_piece(name, FULL, row=row) for row, name in enumerate(("Dina, tile", "Emil, tile"), 2)]
    (sage,) = obstacles(small_job(*pieces, offers=(make_offer(1, "Alder", "sage", 740, at_most=1),)))
    assert sage.problem.startswith("2 sheets of sage are needed for Dina, tile and Emil, tile (pieces, rows 2 and 3),")
    more = [make_piece(name, FULL, row=row) for row, name in enumerate(("Dina, tile", "Emil, tile", "Finn"), 2)]
    (sage,) = obstacles(small_job(*more, offers=(make_offer(1, "Alder", "sage", 740, at_most=1),)))
    assert sage.problem.startswith(
        "3 sheets of sage are needed for Dina, tile; Emil, tile and Finn (pieces, rows 2 to 4),"
    )


def test_a_board_that_is_sold_out_or_not_sold_and_held_too_little_of_is_said_of_its_piece():
    # 100 x 140 takes two of 100 x 67 of the three; the third wants a sheet, or room.
    piece, shelf = make_piece("Fern", (100, 67), quantity=3), (make_shelf("R1", "sage", (100, 140)),)
    sold = small_job(piece, shelf=shelf)
    (fern,) = obstacles(sold, Options(left=(Left(None, "sage", 0),)))
    assert fern.piece == "Fern"
    assert fern.problem == "1 sheet of sage is needed beside what is held, and none can be bought"
    (fern,) = obstacles(small_job(piece, shelf=shelf, offers=(make_offer(1, "Alder", "ivory", 740),)))
    assert fern.piece == "Fern"
    assert fern.problem == "1 of 3 blanks of sage finds no room in what the shelf holds, and nobody sells it"


def test_packs_that_there_is_no_room_for_are_said():
    # Three whole sheets in packs of two make four, one of which is left uncut.
    bench = make_bench(trim=0, kerf=0, room_for_sheets=0)
    packs = (make_offer(1, "Alder", "sage", 740, pack_of=2),)
    (only,) = obstacles(small_job(make_piece("Fern", FULL, quantity=3), offers=packs, bench=bench))
    assert only.piece == WHOLE_JOB
    assert only.problem == "packs and minimums leave more sheets uncut than there is room for"


# --- the search -------------------------------------------------------------------------------------------------


def test_a_plan_carries_its_seed_and_its_seconds_and_tells_how_it_goes():
    told = []
    plan = make_plan(small_job(make_piece("Fern", (101, 73))), seed=7, progress=told.append)
    assert plan.seed == 7
    assert 0 < plan.seconds < 10
    assert (told[-1].total, told[-1].lower_bound) == (740, 740)
    assert plan.proof == "This is the cheapest possible: fewer or cheaper sheets cannot hold every mat."


def test_the_same_seed_and_rounds_give_the_same_plan():
    job = small_job(
        make_piece("Fern", (101, 73), (61, 37), quantity=3),
        make_piece("Map", (53, 41), (31, 19), row=3, quantity=2),
        make_piece("Moss", (97, 59), row=4, quantity=2),
    )
    first, second = (make_plan(job, seed=5, rounds=200, seconds=60.0) for _ in range(2))
    assert replace(first, seconds=0.0) == replace(second, seconds=0.0)


# --- every rule on and off --------------------------------------------------------------------------------------

SIDES = st.integers(13, 97)
BOARDS = st.sampled_from([("sage",), ("ivory",), ("sage", "ivory"), ("ivory", "sage")])


@st.composite
def pieces(draw, row):
    """Draw a piece whose window, if it has one, leaves borders wide enough for an under-mat's reveal."""
    w, h = draw(SIDES), draw(SIDES)
    shown = None
    if min(w, h) > 40 and draw(st.booleans()):
        shown = (w - 2 * draw(st.integers(9, 13)), h - 2 * draw(st.integers(9, 13)))
    return make_piece(
        f"piece {row}",
        (w, h),
        shown,
        row=row,
        quantity=draw(st.integers(1, 2)),
        boards=draw(BOARDS),
        under_boards=draw(st.sampled_from([(), (), ("oat",), ("sage", "oat")])) if shown else (),
        under_inset=Fraction(draw(st.integers(0, 3))) if shown else Fraction(0),
        backing=draw(st.sampled_from([(), (), ("oat",)])),
        bottom_extra=Fraction(draw(st.integers(0, 3))) if shown else Fraction(0),
        frame_cost=draw(st.integers(0, 900)),
        quote=draw(st.one_of(st.none(), st.integers(500, 4000))),
        when=draw(st.sampled_from([When.NOW, When.NOW, When.LATER])),
    )


def offers(number):
    return st.builds(
        make_offer,
        st.just(number),
        st.sampled_from(["Alder", "Birch"]),
        st.sampled_from([None, "sage", "ivory", "oat"]),
        st.integers(100, 1300),
        sheet=st.sampled_from([SHEET, Size(127, 109)]),
        discount=st.sampled_from([Decimal(0), Decimal(40), Decimal("12.5")]),
        at_most=st.sampled_from([None, None, 3]),
        at_least=st.sampled_from([None, None, 2]),
        pack_of=st.sampled_from([1, 1, 2]),
    )


SHOPS = st.builds(
    make_shop,
    st.just("Alder"),
    delivery=st.integers(0, 500),
    free_over=st.one_of(st.none(), st.integers(0, 3000)),
    tax=st.sampled_from(["0", "8.25", "17"]),
)
BENCHES = st.builds(
    make_bench,
    trim=st.integers(0, 3),
    kerf=st.integers(0, 3),
    squaring=st.integers(0, 5),
    ruler=st.sampled_from([1, 2]),
    allowance=st.sampled_from([Fraction(0), Fraction(1, 2)]),
    longest_cut=st.sampled_from([None, None, Fraction(225), Fraction(335, 2)]),
    use_fallout=st.booleans(),
)


@st.composite
def jobs(draw):
    """Draw a job of four pieces at most; every board is sold without a limit, so that there is a plan."""
    rows = tuple(draw(pieces(row)) for row in range(2, 2 + draw(st.integers(1, 3))))
    first = replace(draw(pieces(9)), when=When.NOW)
    endless = tuple(
        make_offer(number, "Birch", board, 1500, sheet=SHEET)
        for number, board in enumerate(("sage", "ivory", "oat"), start=1)
    )
    some = tuple(draw(offers(number)) for number in range(4, 4 + draw(st.integers(0, 2))))
    shelf = draw(
        st.lists(
            st.tuples(st.sampled_from(["sage", "ivory", "oat"]), SIDES, SIDES, st.sampled_from(ShelfKind)), max_size=2
        )
    )
    return make_job(
        first,
        *rows,
        offers=endless + some,
        shops=(draw(SHOPS), make_shop("Birch")),
        shelf=tuple(
            make_shelf(f"held {n}", board, (w, h), kind=kind, quantity=2) for n, (board, w, h, kind) in enumerate(shelf)
        ),
        boards=tuple(make_board(name, turn=draw(st.booleans())) for name in ("sage", "ivory", "oat")),
        bench=draw(BENCHES),
    )


@settings(max_examples=25)
@given(job=jobs(), when=st.sampled_from(When), seed=st.integers(0, 99))
def test_whatever_the_rules_the_plan_keeps_to_them(job, when, seed):
    plan = make_plan(job, Options(when=when), seconds=2.0, seed=seed)
    assert broken_rules(plan) == ()
    assert plan.purchase.lower_bound <= plan.purchase.total


@settings(max_examples=10)
@given(job=jobs(), seed=st.integers(0, 99))
def test_a_proven_plan_with_fallout_is_never_dearer_than_one_without(job, seed):
    with_it, without = (make_plan(job, Options(use_fallout=use), seconds=2.0, seed=seed) for use in (True, False))
    assert with_it.purchase.lower_bound <= without.purchase.total


def test_a_piece_that_the_longest_cut_keeps_from_being_cut_is_named():
    bench = make_bench(trim=0, kerf=0, longest_cut=Fraction(166))
    (only,) = obstacles(small_job(make_piece("Fern", (110, 167), quantity=2), bench=bench), seconds=1.0)
    assert only.piece == "Fern"


def test_a_board_that_no_one_sells_is_named_though_its_own_fallout_would_be_of_it():
    (under,) = obstacles(small_job(make_piece("Fern", (101, 73), (61, 37), under_boards=("oat",))))
    assert "nobody sells oat for its under-mat" in under.problem


def test_a_board_that_nothing_is_sold_or_held_of_is_passed_over_for_another_that_would_do():
    piece = make_piece("Fern", (101, 73), boards=("ivory", "sage"))
    job = make_job(piece, shelf=(make_shelf("R1", "sage", (211, 307)),), offers=())
    assert [placed.board for placed in make_plan(job, seconds=1.0).mats] == ["sage"]


def card_and_print(*, card=("sage", "rust"), **changes):
    """Return a card of 30 x 20 that the fallout of a print takes, 53 - 10 by 41 - 10 once squared."""
    pieces = (
        make_piece("Card", (30, 20), boards=card),
        make_piece("Print", (80, 60), (53, 41), row=3, boards=("sage", "rust")),
    )
    facts = {
        "offers": (make_offer(1, "Alder", "rust", 1000),),
        "shops": (make_shop("Alder"), make_shop("Birch")),
        "boards": (make_board("sage"), make_board("rust")),
    }
    return make_job(*pieces, **facts | changes)


def test_a_board_that_would_only_fall_out_of_a_mat_that_cannot_have_it_is_no_board_to_cut_from():
    # Sage is not sold, so the print is rust, and no sage falls out of it: one sheet of rust, 10.00, holds both.
    plan = make_plan(card_and_print())
    assert (plan.purchase.total, plan.purchase.proven) == (1000, True)
    assert {placed.board for placed in plan.mats} == {"rust"}


def test_a_board_sold_out_or_sold_elsewhere_is_passed_over_the_same_way():
    any_board = card_and_print(offers=(make_offer(1, "Alder", None, 1000),))
    apart = card_and_print(offers=(make_offer(1, "Alder", "sage", 700), make_offer(2, "Birch", "rust", 1000)))
    packs = card_and_print(
        offers=(make_offer(1, "Alder", "sage", 100, pack_of=3), make_offer(2, "Birch", "rust", 1000))
    )
    for job, options in (
        (any_board, Options(left=(Left(None, "sage", 0),))),
        (apart, Options(shops=("Birch",))),
        (packs, Options(left=(Left(None, "sage", 2),))),
    ):
        plan = make_plan(job, options)
        assert (plan.purchase.total, plan.purchase.proven) == (1000, True)
        assert {placed.board for placed in plan.mats} == {"rust"}


def test_a_piece_whose_only_board_would_fall_out_of_a_mat_that_cannot_have_it_is_named():
    (card,) = obstacles(card_and_print(card=("sage",)))
    assert (card.piece, card.problem) == ("Card", "nobody sells sage for its mat, and the shelf holds none")
    sold = card_and_print(card=("sage",), offers=(make_offer(1, "Alder", None, 1000),))
    (card,) = obstacles(sold, Options(left=(Left(None, "sage", 0),)))
    assert card.piece == "Card"
    assert card.problem == "no sage for its mat is left to be bought at the shops asked for, and the shelf holds none"


def test_boards_are_taken_away_along_a_whole_chain_of_fallouts():
    # Out of the poster, 120 x 90 in 163 x 133, comes 110 x 80, the print's; out of that 43 x 31, the card's: none sage.
    job = card_and_print()
    poster = make_piece("Poster", (163, 133), (120, 90), row=4, boards=("sage", "rust"))
    plan = make_plan(replace(job, pieces=(*job.pieces, poster)))
    assert (plan.purchase.total, plan.purchase.proven) == (1000, True)
    assert {placed.board for placed in plan.mats} == {"rust"}
    named = obstacles(replace(card_and_print(card=("sage",)), pieces=(*card_and_print(card=("sage",)).pieces, poster)))
    assert [one.piece for one in named] == ["Card"]


def test_fallout_of_a_board_that_is_held_only_for_the_larger_mat_still_serves_the_smaller():
    # The shelf's sage, 80 x 60, takes the print alone; the card lies in what falls out of it. Nothing is bought.
    plan = make_plan(card_and_print(card=("sage",), shelf=(make_shelf("R1", "sage", (80, 60)),)))
    assert (plan.purchase.total, plan.purchase.proven) == (0, True)
    assert {placed.board for placed in plan.mats} == {"sage"}
