"""What may happen at the till, worked by hand on sheets of 107 x 62 that hold two blanks of 53 x 62."""

from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from io import StringIO
from random import Random

import pytest
from rich.console import Console

import nesting.scenarios.room_left
import nesting.scenarios.session
from cli.reports.screen.till import print_till
from nesting.check import assert_sound
from nesting.errors import CannotBeCutError
from nesting.geometry import ExactSize, Size
from nesting.model.job import Job, When
from nesting.model.plan import Plan
from nesting.options import Left, Options
from nesting.plan import make_plan
from nesting.scenarios.afterwards import shelf_after
from nesting.scenarios.room_left import how_many_more, one_sheet_fewer
from nesting.scenarios.session import Session
from nesting.scenarios.shortages import Instead, every_piece_liked_best, shortages
from nesting.scenarios.stocking import extras, yearly_use
from nesting.scenarios.till import at_the_till
from nesting.shelf.held import Move
from nesting.shelf.history import Change
from tests.builders import make_bench, make_board, make_job, make_offer, make_piece, make_shelf, make_shop
from tests.every_purchase import least_cost
from tests.small_jobs import small_job

SHEET = Size(107, 62)
BENCH = make_bench(trim=0, kerf=0)


def sage(number, shop, price, **changed):
    return make_offer(number, shop, "sage", price, sheet=SHEET, **changed)


def wall(*pieces, bench=BENCH, **changed):
    shops = make_shop("Alder"), make_shop("Birch")
    facts = {"offers": (sage(1, "Alder", 500), sage(2, "Birch", 700)), "shops": shops}
    return make_job(*pieces, bench=bench, **(facts | changed))


def asked(job, options=None) -> tuple[Plan, Session]:
    session = Session(job, options or Options(), seconds=30)
    first = session.plan(seconds=5)
    assert isinstance(first, Plan)
    return first, session


def inside(w, h):
    return ExactSize(Fraction(w), Fraction(h))


def test_a_board_that_is_sold_out_is_bought_elsewhere_as_many_as_are_missing() -> None:
    first, session = asked(wall(make_piece("Fern", (53, 62), quantity=4)))
    none, one = shortages(first, session)
    assert (none.left, one.left) == (Left("Alder", "sage", 0), Left("Alder", "sage", 1))
    assert isinstance(none.answer, Instead)
    assert isinstance(one.answer, Instead)
    assert (none.answer.more, one.answer.more) == (400, 200)
    assert none.answer.buys == ((2, "Birch", "sage", SHEET),)
    assert one.answer.buys == ((1, "Birch", "sage", SHEET),)
    assert one.answer.leaves == ((1, "Alder", "sage", SHEET),)


def test_what_no_other_shop_has_is_said_with_the_pieces() -> None:
    first, session = asked(wall(make_piece("Fern", (53, 62)), offers=(sage(1, "Alder", 500),)))
    (only,) = shortages(first, session)
    assert isinstance(only.answer, Instead)
    assert (only.answer.without, only.answer.fewest, only.answer.more) == ((("Fern", 1),), True, -500)


def test_pieces_change_board_where_that_is_cheapest_and_the_boards_liked_best_cost_so_much_more() -> None:
    job = wall(
        make_piece("Fern", (53, 62)),
        make_piece("Moss", (53, 62), row=3, boards=("oat", "sage")),
        offers=(sage(1, "Alder", 500), make_offer(2, "Birch", "oat", 650, sheet=SHEET)),
        boards=(make_board("sage"), make_board("oat")),
    )
    first, session = asked(job)
    assert first.purchase.total == 500
    liked = every_piece_liked_best(first, session)
    assert isinstance(liked, Instead)
    assert (liked.more, liked.changed) == (650, (("Moss", "oat", 0),))
    best, its = asked(wall(make_piece("Fern", (53, 62))))
    assert every_piece_liked_best(best, its) is None


def test_so_many_more_fit_as_there_is_room_for_and_the_plan_of_them_buys_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(nesting.scenarios.room_left, "_SECONDS", 20.0)  # the compiler may have to be loaded
    first, session = asked(wall(make_piece("Fern", (53, 62), quantity=3)))
    for size, count in (((53, 62), 1), ((54, 31), 2), ((54, 62), 1), ((55, 62), 0), ((18, 31), 6)):
        many = how_many_more(first, session, "sage", inside(*size))
        assert (many.count, many.most) == (count, True), size
        further = [placed for placed in many.plan.mats if placed.mat.piece != "Fern"]
        assert len(further) == count
        assert len(many.plan.mats) in {count, 3 + count}
        assert_sound(many.plan)
        if count:
            assert many.plan.purchase.total == 0


def test_further_blanks_are_counted_no_further_than_anybody_would_cut() -> None:
    # One Fern of 53 x 62 leaves 54 x 62 of its sheet: room for 3348 blanks of 1 x 1.
    first, asker = asked(wall(make_piece("Fern", (53, 62))))
    many = how_many_more(first, asker, "sage", inside(1, 1))
    assert (many.count, many.most) == (500, False)
    assert len(many.plan.mats) in {500, 501}


def test_what_is_on_the_shelf_and_not_used_is_no_room_in_what_is_bought() -> None:
    shelf = (make_shelf("a", "sage", (50, 31)),)
    first, session = asked(wall(make_piece("Fern", (107, 62)), shelf=shelf))
    assert how_many_more(first, session, "sage", inside(50, 31)).count == 0


def test_one_sheet_fewer_needs_the_least_piece_left_out_that_does_it() -> None:
    job = wall(make_piece("Fern", (53, 62), quantity=2), make_piece("Moss", (54, 31), row=3))
    first, session = asked(job)
    fewer = one_sheet_fewer(first, session, "sage")
    assert fewer is not None
    assert (fewer.without, fewer.sheets, fewer.saved) == ((("Moss", 1),), 1, 500)
    assert fewer.plan.purchase.total == first.purchase.total - 500
    full, its = asked(wall(make_piece("Fern", (53, 62))))
    assert one_sheet_fewer(full, its, "sage") is None


def test_a_sheet_that_two_pieces_need_is_saved_by_leaving_both() -> None:
    first, session = asked(wall(make_piece("Fern", (53, 62), quantity=4)))
    fewer = one_sheet_fewer(first, session, "sage")
    assert fewer is not None
    assert (fewer.without, fewer.saved) == ((("Fern", 2),), 500)


def half_price(**changed):
    facts = {"offers": (sage(1, "Alder", 999, discount=Decimal(50)),), "shops": (make_shop("Alder", tax=Decimal(10)),)}
    later = make_piece("Map", (53, 62), row=3, quantity=3, when=When.LATER)
    return wall(make_piece("Fern", (107, 62)), later, **(facts | changed))


def test_stock_is_reckoned_with_tax_and_kept_to_the_room_there_is() -> None:
    # 9.99 at half price is 5.00 (4.995 half up). Fern takes a sheet, 5.50 with tax; three maps take two more: three
    # sheets are 16.50, so 11.00 more. Another day two sheets are 19.98, with tax 21.98 (2.00 of 1.998): 10.98 saved.
    till = at_the_till(half_price(), Options(), (), {}, seconds=20)
    (extra,) = till.extras
    assert (extra.buys, extra.leaves) == (((2, "Alder", "sage", SHEET),), ())
    assert (extra.more, extra.apart.purchase.total, extra.saved, extra.proven) == (1100, 2198, 1098, True)
    # Four sheets used in a year: five sheets are 27.50, so 22.00 more; another day 39.96 and 4.00 tax: 21.96 saved.
    used = {"sage": 4 * SHEET.area}
    _, often = extras(till.plan, Session(till.plan.job, seconds=20), used, seconds=5)
    assert (often.buys, often.used) == (((4, "Alder", "sage", SHEET),), (("sage", 4),))
    assert (often.more, often.apart.purchase.total, often.saved) == (2200, 4396, 2196)
    bench = make_bench(trim=0, kerf=0, room_for_sheets=1)
    tight = at_the_till(half_price(bench=bench), Options(), (), used, seconds=20)
    assert [its.buys[0][0] for its in tight.extras] == [2, 1]  # what is cut for later is not left uncut
    dear = at_the_till(wall(make_piece("Fern", (53, 62))), Options(), (), {}, seconds=5).plan
    assert extras(dear, Session(dear.job, seconds=20), used, seconds=5) == ()


def test_stock_that_would_be_a_loss_is_not_advised() -> None:
    # Big takes a 32 x 40 at 3.50. With small: a 16 x 20 at 1.50 more (5.00), not a 40 x 60 at 6.00 in place of both.
    # Another day a 16 x 20 is 3.00, as nothing 12 x 16 is left of the 32 x 40: 1.50 saved.
    sizes = ((Size(16, 20), 300), (Size(32, 40), 700), (Size(40, 60), 1200))
    offers = tuple(
        make_offer(number, "Alder", "sage", price, sheet=sheet, discount=Decimal(50))
        for number, (sheet, price) in enumerate(sizes, 1)
    )
    small = make_piece("small", (12, 16), row=3, when=When.LATER)
    till = at_the_till(wall(make_piece("big", (30, 38)), small, offers=offers), Options(), (), {}, seconds=20)
    (extra,) = till.extras
    assert (extra.buys, extra.leaves) == (((1, "Alder", "sage", Size(16, 20)),), ())
    assert (extra.more, extra.apart.purchase.total, extra.saved, extra.proven) == (150, 300, 150, True)


def test_stock_that_costs_as_much_another_day_is_not_advised() -> None:
    # Coupons are not there another day, but what the first plan leaves is: half of its sheet, which the map fits.
    job = wall(make_piece("Fern", (53, 62)), make_piece("Map", (54, 62), row=3, when=When.LATER))
    assert at_the_till(job, Options(), (), {}, seconds=10).extras == ()


@pytest.mark.parametrize("seed", range(25))
def test_what_is_advised_is_the_difference_of_plans_made_apart_from_it(seed: int) -> None:
    job = job_with_later(seed)
    try:
        first = make_plan(job, Options(), seconds=5)
    except CannotBeCutError:
        return
    for extra in extras(first, Session(job, seconds=20), {}, seconds=5):
        assert extra.proven
        both = replace(job, pieces=tuple(replace(piece, when=When.NOW) for piece in job.pieces))
        assert extra.more == least_cost(both) - least_cost(job)
        assert extra.apart.purchase.total == least_cost(later_alone(first))
        assert extra.saved == extra.apart.purchase.total - extra.more > 0
        apart = Counter({its[1:]: its[0] for its in extra.buys})
        apart.subtract({its[1:]: its[0] for its in extra.leaves})
        assert +apart == +(sheets(extra.stocked) - sheets(first))


def sheets(made: Plan) -> Counter[tuple[str, str, Size]]:
    counts: Counter[tuple[str, str, Size]] = Counter()
    for line in made.purchase.lines:
        counts[line.shop, line.board, line.sheet] += line.count
    return counts


def job_with_later(seed: int) -> Job:
    """Return a small job whose second half is for later, at discounts."""
    job = small_job(seed, most=4)
    chance = Random(seed)  # noqa: S311 - draws jobs, not secrets
    first, *others = job.pieces
    pieces = (first, *(replace(piece, when=When.LATER if chance.random() < 0.6 else When.NOW) for piece in others))
    offers = tuple(replace(offer, discount=Decimal(chance.choice((0, 25, 50)))) for offer in job.offers)
    return replace(job, pieces=pieces, offers=offers)


def later_alone(first: Plan) -> Job:
    """Return what is to be cut another day, put together here from the plan: no discounts, no limited offers."""
    job = first.job
    later = tuple(replace(piece, when=When.NOW) for piece in job.pieces if piece.when is When.LATER)
    offers = tuple(replace(offer, discount=Decimal(0)) for offer in job.offers if offer.at_most is None)
    return replace(job, pieces=later, offers=offers, shelf=shelf_after(first))


@pytest.mark.parametrize(("day", "area"), [(date(2030, 5, 1), 53 * 31 * 3), (date(2031, 5, 1), 0)])
def test_the_log_tells_what_plans_used_up_in_a_year(day: date, area: int) -> None:
    def change(command, *moves):
        return Change(1, 0, "2030-04-02T10:00:00+00:00", command, None, "", moves)

    size, rest = Size(53, 62), Size(53, 31)
    done = change("done", Move("a", "Sage", size, -2), Move("b", "sage", rest, 1))
    added = change("add", Move("c", "sage", size, 9))
    assert yearly_use([added, done], ("sage", "oat"), day) == {"sage": area, "oat": 0}


def test_a_job_without_a_plan_is_said() -> None:
    with pytest.raises(CannotBeCutError):
        at_the_till(wall(make_piece("Fern", (211, 62))), Options(), (), {}, seconds=5)


def test_an_interrupt_ends_with_the_answers_so_far(monkeypatch: pytest.MonkeyPatch) -> None:
    # The plan, sold out at Alder, then one sheet at Alder: the third search is stopped and nothing is planned after it.
    calls = []

    def stopped(*asked, **how):
        calls.append(asked)
        made = make_plan(*asked, **how)
        return made if len(calls) < 3 else replace(made, stopped=True)

    monkeypatch.setattr(nesting.scenarios.session, "make_plan", stopped)
    job = wall(make_piece("Fern", (53, 62), quantity=3), make_piece("Map", (29, 31), row=3, when=When.LATER))
    till = at_the_till(job, Options(), (inside(53, 62),), {}, seconds=20)
    assert len(calls) == 3
    assert [type(its.answer) for its in till.shortages] == [Instead, Instead]
    assert (till.more, till.fewer, till.extras) == ((), (), ())
    till = at_the_till(job, Options(), (inside(53, 62),), {}, seconds=20)  # this time its first search is stopped
    assert [its.answer for its in till.shortages] == [None, None]
    with StringIO() as screen:
        print_till(till, Console(file=screen, width=90))
        said = screen.getvalue()
    assert "Only 1 sage at Alder: not worked out, because the search was stopped." in said
    assert "cannot be cut then" not in said
