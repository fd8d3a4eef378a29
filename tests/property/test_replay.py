"""Whatever is planned, what is printed for the bench, done in order on paper, ends with exactly the plan."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.bench.bevels import by_hand, mat_work
from nesting.bench.bevels import settings as bevel_settings
from nesting.bench.cut_order import cutting_list
from nesting.bench.rounds import leftover_labels, rounds
from nesting.bench.steps import line_of, steps_of
from nesting.check import broken_rules
from nesting.errors import CannotBeCutError
from nesting.geometry import Size
from nesting.lengths import round_near
from nesting.model.cut_tree import Offcut, leaves
from nesting.model.job import ShelfKind, Unit
from nesting.model.plan import Bought, FalloutLeft, FromFallout, FromShelf, OffcutLeft
from nesting.plan import make_plan
from tests.builders import exact, make_bench, make_board, make_job, make_offer, make_piece, make_shelf, make_shop
from tests.paper import bevel, execute

RULERS = {Unit.IN: 1016, Unit.MM: 640}


@st.composite
def pieces(draw, ruler, number):
    """A piece with or without a window; large windows leave fallouts that hold smaller pieces, and so on down."""
    inside = draw(st.sampled_from([(151, 113), (97, 71), (61, 43), (37, 23), (19, 13)]))
    inside = inside if draw(st.booleans()) else inside[::-1]
    borders = draw(st.integers(2, 4)), draw(st.integers(2, 5))
    shown = tuple(side - 2 * border for side, border in zip(inside, borders, strict=True))
    across = draw(st.sampled_from([1, 1, 2])) if inside[0] > 40 else 1
    has_window = draw(st.integers(0, 4)) > 0
    if has_window:
        shown = (Fraction(shown[0] - 3 * (across - 1), across) * ruler, shown[1] * ruler)
    return make_piece(
        f"P{number}",
        tuple(side * ruler + draw(st.integers(0, 40)) for side in inside),
        shown if has_window else None,
        quantity=draw(st.integers(1, 3)),
        across=across if has_window else 1,
        gap=Fraction(3 * ruler),
        bottom_extra=Fraction(draw(st.sampled_from([0, 0, ruler]))),
        boards=draw(st.sampled_from([("sage",), ("sage", "oat"), ("oat",)])),
        under_boards=draw(st.sampled_from([(), (), ("oat",)])) if has_window and across == 1 else (),
        reveal=Fraction(ruler),
        backing=draw(st.sampled_from([(), (), ("ivory",)])),
    )


@st.composite
def jobs(draw):
    unit = draw(st.sampled_from(Unit))
    ruler = RULERS.get(unit, 640)
    longest = draw(st.sampled_from([None, None, 181]))
    trim, kerf = (draw(st.sampled_from([0, half * ruler // 2])) for half in (5, 3))
    return make_job(
        *(draw(pieces(ruler, number)) for number in range(1, draw(st.integers(2, 6)))),
        offers=(
            make_offer(1, "Alder", None, 740, sheet=Size(181 * ruler, 233 * ruler + 7), discount=Decimal(40)),
            make_offer(2, "Alder", "ivory", 310, sheet=Size(167 * ruler, 131 * ruler), pack_of=2),
        ),
        shops=(make_shop("Alder"),),
        shelf=(
            make_shelf("ledge", "sage", (101 * ruler + 13, 73 * ruler + 5)),
            make_shelf("spare", "oat", (127 * ruler, 211 * ruler), kind=ShelfKind.SHEET),
            make_shelf("scrap", "sage", (41 * ruler, 29 * ruler), quantity=2, kind=ShelfKind.FALLOUT),
        ),
        boards=(make_board("sage"), make_board("ivory", turn=draw(st.booleans())), make_board("oat")),
        bench=make_bench(
            unit=unit,
            ruler=ruler,
            trim=trim,
            kerf=kerf,
            squaring=draw(st.sampled_from([0, ruler, 777])),
            keep_at_least=exact(11 * ruler, 17 * ruler),
            longest_cut=None if longest is None else Fraction(longest * ruler),
            guide_reach=draw(st.sampled_from([None, Fraction(3 * ruler)])),
            overcut=Fraction(draw(st.sampled_from([0, ruler, ruler * 5 // 4]))),
        ),
    )


def sizes_in_stock(plan, fallen):
    """What lies ready before a round: every size that a source can have, turned where the board may be."""
    offers = {offer.number: offer.sheet for offer in plan.job.offers}
    shelf = {piece.label: piece.size for piece in plan.job.shelf}
    for sheet in plan.sheets:
        match sheet.source:
            case Bought(offer):
                size = offers[offer]
            case FromShelf(label):
                size = shelf[label]
            case FromFallout(mat, window):
                size = fallen.get((mat, window))
        yield sheet.id, size


def cut_round(plan, this, fallen):
    """Replay the printed straight cuts of a round; return its blanks and the offcuts that it leaves."""
    bench, ready = plan.job.bench, dict(sizes_in_stock(plan, fallen))
    blanks, offcuts = {}, {}
    for batch in this.batches:
        cuts = cutting_list(plan, batch)
        lines = [line_of(step, bench) for step in steps_of(cuts)]
        for place, sheet in enumerate(batch.sheets):
            assert sorted(sheet.size) == sorted(ready[sheet.id])
            root = next(iter(leaves(sheet.root)))
            uncut = (
                " ".join(plan.mats[next(leaves(one.root)).item].mat.id for one in batch.sheets)
                if root == sheet.root
                else ""
            )
            whole = sheet.id if len(batch.sheets) == 1 else "sheet"
            on_bench = execute(
                lines,
                sheet.size,
                unit=bench.unit,
                kerf=bench.kerf,
                whole=whole if lines else uncut,
            )
            for name, paper in on_bench.items():
                front = (sheet.size.w - paper.x - paper.w, paper.y), (paper.w, paper.h)
                if name.startswith("scrap ") or " offcut " in name:
                    offcuts[sheet.id, front] = name
                else:
                    blanks[name.split(" ")[place]] = sheet.id, front
    return blanks, offcuts


def cut_windows(plan, this):
    """Replay the bevel settings of a round; return the windows by mat and number, as seen from the front."""
    bench, works = plan.job.bench, [mat_work(plan, placed) for placed in this.mats]
    sides = {}
    for setting in bevel_settings(works):
        for cut in setting.cuts:
            sides.setdefault((cut.mat, cut.window), []).append((cut.side, setting.guide, cut.start, setting.stop))
    for cut in by_hand(works):
        sides.setdefault((cut.mat, cut.window), []).append((cut.side, cut.guide, cut.start, cut.stop))
    blanks = {placed.mat.id: placed.mat.blank for placed in this.mats}
    found = {}
    for (mat, window), cuts in sides.items():
        paper = bevel(blanks[mat], cuts, round_near(bench.overcut, bench.ruler))
        found[mat, window] = (blanks[mat].w - paper.x - paper.w, paper.y), (paper.w, paper.h)
    return found


EASY = [HealthCheck.too_slow, HealthCheck.data_too_large]


@settings(max_examples=60, suppress_health_check=EASY)
@given(job=jobs())
def test_the_printed_lines_and_the_settings_end_with_the_blanks_windows_and_leftovers(job):
    replay(job)


@pytest.mark.slow
@settings(max_examples=1000, suppress_health_check=EASY)
@given(job=jobs())
def test_they_do_for_many_more_jobs(job):
    replay(job)


def replay(job):
    """Do at a paper bench what is printed for a plan of the job, and look what lies there then."""
    try:
        plan = make_plan(job, seconds=1.0, rounds=2)
    except CannotBeCutError:
        return
    assert broken_rules(plan) == ()
    blanks, offcuts, windows = {}, {}, {}
    for this in rounds(plan):
        cut, left = cut_round(plan, this, {name: size for name, (_, size) in windows.items()})
        assert set(cut) == {placed.mat.id for placed in this.mats}
        blanks |= cut
        offcuts |= left
        windows |= cut_windows(plan, this)
    assert set(blanks) == {placed.mat.id for placed in plan.mats}
    for placed in plan.mats:
        sheet, (_, size) = blanks[placed.mat.id]
        assert sheet == placed.sheet
        assert size == (placed.mat.blank.turned if placed.turned else placed.mat.blank)
    assert windows == {(p.mat.id, n): window_of(w) for p in plan.mats for n, w in enumerate(p.mat.windows)}
    listed = {
        (left.sheet, (left.at, left.size)): (left.keep, label)
        for left, label in zip(plan.leftover, leftover_labels(plan), strict=True)
        if isinstance(left, OffcutLeft)
    }
    assert offcuts.keys() == listed.keys()
    for place, (keep, label) in listed.items():
        first, _, numbered = label.partition(" ")
        assert offcuts[place].startswith("scrap ") != keep
        assert not keep or (offcuts[place].endswith(numbered) and first in offcuts[place])
    used = {(s.source.mat, s.source.window) for s in plan.sheets if isinstance(s.source, FromFallout)}
    fallen = {(left.mat, left.window): left.size for left in plan.leftover if isinstance(left, FalloutLeft)}
    assert fallen == {name: size for name, (_, size) in windows.items() if name not in used}
    assert sum(isinstance(leaf, Offcut) for sheet in plan.sheets for leaf in leaves(sheet.root)) == len(offcuts)


def window_of(window):
    return window.at, window.size
