"""What the pages hold, before they are set on any paper."""

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest

from cli.reports.pages.bench import bench_sections
from cli.reports.pages.booklet import Beside, Booklet, Cards, Care, Paper, Picture, Row, Section, Table, Words
from cli.reports.pages.compose import compose
from cli.reports.pages.fitting import fitting_section
from nesting.bench.cautions import CAUTIONS, Matter
from nesting.bench.cut_order import cutting_list
from nesting.bench.rounds import rounds
from nesting.bench.steps import line_of, steps_of
from nesting.drawing import Text
from nesting.model.plan import Plan
from nesting.names import NO_BREAK
from nesting.plan import make_plan
from tests.demo_wall import kept_plan
from tests.handmade import inches, job, plan
from tests.paper import execute
from tests.reports.big import metric, one_piece, overcut


def section(booklet: Booklet, key: str) -> Section:
    return next(each for each in booklet.sections if each.key == key)


def tables(part: Section) -> list[Table]:
    return [block for block in part.blocks if isinstance(block, Table)]


def said(booklet: Booklet) -> str:
    """All words but those of the drawings."""
    words = []
    for part in booklet.sections:
        words += [part.tag, part.title]
        for block in part.blocks:
            match block:
                case Words() | Care():
                    words.append(block.words)
                case Table() | Beside(_, Table()):
                    table = block.table if isinstance(block, Beside) else block
                    words += [table.heading, *(" ".join(row.cells) for row in table.rows)]
                case Cards():
                    words += [" ".join(card.lines) for card in block.cards]
                case Picture():
                    words.append(block.drawing.title)
    return "\n".join(words)


def test_the_pages_stand_in_the_order_in_which_they_are_wanted() -> None:
    bench = ["wall", "sheet-S1", "sheet-S2", "mats-0", "sheet-S3", "mats-1", "fitting"]
    assert [part.key for part in compose(plan()).sections] == ["till", "costs", "each", *bench, "left"]
    # The table of twenty-five pieces has no room on the first page.
    demo = [part.key for part in compose(kept_plan()).sections if not part.key.startswith(("sheet-", "mats-"))]
    assert demo == ["till", "costs", "wall", "each", "fitting", "left"]


@pytest.mark.parametrize("made", [kept_plan, plan, metric], ids=["demo", "by-hand", "metric"])
def test_no_page_names_an_option_of_a_command(made: Callable[[], Plan]) -> None:
    words = said(compose(made(), credit_leftovers=True, labels=True))
    assert "Leftovers: the best that was found; others may be more useful still." in words
    assert not re.search(r"--\w", words)


def test_labels_come_last_on_pages_of_their_own_where_they_are_asked_for() -> None:
    *_, labels = compose(plan(), labels=True).sections
    assert (labels.key, labels.own_page) == ("labels", True)
    cards = [card for block in labels.blocks if isinstance(block, Cards) for card in block.cards]
    assert sorted(name for card in cards for _, name in card.ticks) == ["M1", "M2", "M3", "M4", "M5", "M6"]


def test_there_is_a_list_for_each_shop_and_one_for_the_shelf() -> None:
    till = section(compose(plan()), "till")
    shop, shelf = tables(till)
    assert shop.heading == "North store"
    assert [row.cells for row in shop.rows] == [
        ("1", "slate", "32 × 40", "$4.25", "$4.25"),
        ("", "delivery", "", "", "$3.50"),
        ("", "tax", "", "", "$0.35"),
        ("", "To pay at North store", "", "", "$8.10"),
    ]
    assert [row.cells for row in shelf.rows] == [("S2", "box lid", "grey card", "7 × 17")]


def test_costs_have_the_columns_that_say_anything() -> None:
    made = plan()
    (full,) = tables(section(compose(made), "each"))
    assert [column.heading for column in full.columns] == ["Piece", "Boards", "Frame", "Other", "Total", "Saved"]
    assert full.rows[0].cells == ("Sea holly, 1 to 2 each", "$1.41", "$4.50", "$0.00", "$5.91", "$17.09")
    bare = tuple(replace(cost, frame=0, other=0, quote=None) for cost in made.pieces)
    (few,) = tables(section(compose(plan(pieces=bare)), "each"))
    assert [column.heading for column in few.columns] == ["Piece", "Boards", "Total"]


def test_pieces_that_cost_the_same_stand_in_one_row_and_every_piece_stands_in_one() -> None:
    made = kept_plan()
    first, second, *others = made.pieces
    like_first = replace(first, piece=others[-1].piece, copy=others[-1].copy)
    (table,) = tables(section(compose(replace(made, pieces=(first, second, *others[:-1], like_first))), "each"))
    sums = [row.cells[1:] for row in table.rows]
    assert len(sums) == len(set(sums))
    (row,) = [row for row in table.rows if row.cells[0].startswith(first.piece)]
    assert row.cells[0].endswith(": each")
    assert row.cells[0].removesuffix(": each").split("; ")[-1].startswith(others[-1].piece)
    named = [name for row in table.rows for name in row.cells[0].removesuffix(": each").split("; ")]
    assert {name.partition(",")[0] for name in named} == {cost.piece for cost in made.pieces}


def beside(part: Section) -> Beside:
    return next(block for block in part.blocks if isinstance(block, Beside))


def printed(row: Row) -> str:
    """The words of a step as they are read off the page: its measure, its sentences, the edges beside their boxes."""
    number, figure, said = row.cells
    exact, _, marks = figure.partition("\nbetween ")
    first, *others = said.split("\n")
    edges = f" {', '.join(name for _, name in row.boxes)}." if row.boxes else ""
    between = f" (between the marks {marks})" if marks else ""
    assert number.strip().isdigit()
    return f"{exact}{between}: {' '.join([first + edges, *others])}"


@pytest.mark.parametrize("made", [plan, kept_plan, metric], ids=lambda made: made.__name__)
def test_the_cuts_stand_as_they_are_replayed_line_by_line(made: Callable[[], Plan]) -> None:
    drawn = made()
    booklet = compose(drawn)
    for this in rounds(drawn):
        for batch in this.batches:
            rows = beside(section(booklet, f"sheet-{batch.sheets[0].id}")).table.rows
            steps = steps_of(cutting_list(drawn, batch))
            assert [printed(row) for row in rows] == [line_of(step, drawn.job.bench) for step in steps]
            assert [row.cells[0].strip() for row in rows] == [str(step.number) for step in steps]


@pytest.mark.parametrize("made", [plan, kept_plan], ids=lambda made: made.__name__)
def test_what_is_printed_cut_with_a_paper_knife_gives_every_mat(made: Callable[[], Plan]) -> None:
    drawn = made()
    booklet, bench = compose(drawn), drawn.job.bench
    found: dict[str, tuple[int, int]] = {}
    for this in rounds(drawn):
        for batch in this.batches:
            lines = [printed(row) for row in beside(section(booklet, f"sheet-{batch.sheets[0].id}")).table.rows]
            whole = batch.sheets[0].id if len(batch.sheets) == 1 else "sheet"
            on_bench = execute(lines, batch.sheets[0].size, unit=bench.unit, kerf=bench.kerf, whole=whole)
            for names, paper in on_bench.items():
                found |= {name: (paper.w, paper.h) for name in names.split(" ") if re.fullmatch("M[0-9]+", name)}
    assert found == {
        placed.mat.id: tuple(placed.mat.blank.turned if placed.turned else placed.mat.blank) for placed in drawn.mats
    }


def test_the_edges_are_one_line_with_a_box_for_each() -> None:
    first = beside(section(compose(plan()), "sheet-S1")).table.rows[0]
    assert first.cells == ("1\n", "1/8", "Trim all four sides, each:\nRest: S1, 31 3/4 × 39 3/4.")
    assert first.boxes == tuple((f"cut-S1-1-{edge}", edge) for edge in ("left", "right", "bottom", "top"))
    assert first.tick is None


def test_a_heavy_line_stands_wherever_the_stop_is_reset_and_nowhere_else() -> None:
    rows = beside(section(compose(plan()), "sheet-S1")).table.rows
    figures = [row.cells[1] for row in rows]
    changes = [place == 0 or figures[place] != figures[place - 1] for place in range(len(figures))]
    assert [row.heavy for row in rows] == changes
    assert changes.count(False) == 1  # the two mats of 11 in


def test_a_measure_between_two_marks_stands_alone_with_the_marks_below_it() -> None:
    rows = beside(section(compose(metric()), "sheet-S1")).table.rows
    assert rows[0].cells[1] == "3.175\nbetween 3 and 4"
    assert "508" in [row.cells[1] for row in rows]


def test_edges_that_are_too_long_for_the_cutter_are_said_to_be() -> None:
    made = plan()
    short = replace(made, job=replace(made.job, bench=replace(made.job.bench, longest_cut=Fraction(inches("32")))))
    first = beside(section(compose(short), "sheet-S1")).table.rows[0]
    assert "Too long for the cutter, by straightedge: left, right." in first.cells[2]


def test_settings_are_grouped_and_say_where_the_cut_starts() -> None:
    settings = tables(section(compose(plan()), "mats-0"))[-1]
    rows = {row.cells[:2]: row.cells[2].strip() for row in settings.rows}
    assert rows["2", "2"] == "2: M1, M2 left, top, right, bottom"
    # Borders of the map: sides 3 1/2, top 3, bottom 4; left runs to the top, right to the bottom.
    assert rows["3 1/2", "3"] == "4: M3 left"
    assert rows["3 1/2", "4"] == "3: M3 right"
    assert rows["4", "3 1/2"] == "3 1/2: M3 bottom"
    assert [row.heavy for row in settings.rows] == [True, True, False, True, True]
    assert settings.halved


def test_three_mats_in_a_row_are_named_by_the_first_and_the_last() -> None:
    settings = tables(section(compose(kept_plan()), "mats-0"))[-1]
    said = " ".join(row.cells[2] for row in settings.rows)
    assert "M15 to M17 bottom" in said
    assert "M1, M2 left" in said


def test_overcut_and_reach_change_what_is_printed() -> None:
    *_, settings, hand = tables(section(compose(overcut()), "mats-0"))
    assert [row.cells[:2] for row in settings.rows] == [("3", "3 7/16"), ("2", "1 15/16")]
    assert "M3 left\nStart 3 15/16 from the bottom edge, end 2 15/16 from the other." in [
        row.cells[1] for row in hand.rows
    ]
    assert "by so much" in said(compose(overcut()))
    assert "by so much" not in said(compose(plan()))


def test_every_mat_says_what_its_fallout_is_for() -> None:
    cards = next(block for block in section(compose(plan()), "mats-0").blocks if isinstance(block, Cards))
    by_name = {card.ticks[0][1]: card for card in cards.cards}
    assert by_name["M3"].lines[-2:] == ("Window: 17 × 13", "Fallout: S3: Token")
    assert by_name["M3"].lines[2] == "Pencil lines: sides 3 1/2; top 3; bottom 4"
    assert by_name["M1"].lines[2] == "Pencil lines: 2"
    assert [name for _, name in by_name["M1"].ticks] == ["M1", "M2"]
    assert by_name["M1"].lines[0] == "Sea holly, 2 of them"
    assert by_name["M1"].lines[-1] == "Fallout of each: keep, 6 3/4 × 9 3/4 once squared"


def test_mats_that_are_alike_are_drawn_once_whosever_they_are() -> None:
    booklet = compose(kept_plan())
    blocks = [block for part in booklet.sections for block in part.blocks]
    drawn = {
        card.lines[0]: (tuple(name for _, name in card.ticks), card.lines[-1])
        for block in blocks
        if isinstance(block, Cards)
        for card in block.cards
    }
    assert drawn["Sea holly; Foxglove"][0] == ("M1", "M2")
    assert drawn["Field names, 3 of them"] == (("M15", "M16", "M17"), "Fallouts. M15: S13; M16: S14; M17: S15")
    tables = [block for block in blocks if isinstance(block, Table)]
    plain = [row for each in tables if each.columns[-1].heading == "Plain blank, no window" for row in each.rows]
    assert plain[0].cells == ("M11\n", "Parish bounds, backing, grey card, 29 1/2 × 23 1/2, from S3")
    ticked = [name for names, _ in drawn.values() for name in names]
    ticked += [name for row in plain for name in ([name for _, name in row.boxes] or [row.cells[0].strip()])]
    assert sorted(ticked) == sorted(placed.mat.id for placed in kept_plan().mats)


def test_plain_blanks_that_are_alike_stand_in_one_row_with_a_box_and_the_sheet_for_each() -> None:
    made = kept_plan()
    backs = {
        placed.mat.id: replace(placed, mat=replace(placed.mat, windows=(), borders=None, blank=made.mats[0].mat.blank))
        for placed in made.mats
        if placed.mat.id in ("M1", "M2", "M3")
    }
    changed = replace(made, mats=tuple(backs.get(placed.mat.id, placed) for placed in made.mats))
    (mats,) = [part for part in bench_sections(changed) if part.key == "mats-0"]
    (row,) = [row for table in tables(mats) for row in table.rows if row.cells[0] == "3 alike\n"]
    assert row.tick is None
    assert row.boxes == tuple((f"mat-{name}", name) for name in backs)
    what, names, origins = row.cells[1].split("\n")
    assert what == "chalk, 15 1/8 × 19 1/4"
    assert names == "; ".join(placed.mat.piece for placed in backs.values())
    assert origins == "from S1: M1, M2; from S2: M3"


def test_several_windows_have_all_their_pencil_lines() -> None:
    cards = next(block for block in section(compose(kept_plan()), "mats-0").blocks if isinstance(block, Cards))
    packets = next(card for card in cards.cards if card.lines[0] == "Seed packets")
    sides = "3 11/16 and 8 5/16 and 12 15/16"
    assert packets.lines[2] == f"Pencil lines: sides {sides}; top and bottom 2 1/2"
    assert packets.lines[3:] == ("Windows 1 to 3, each: 3 1/2 × 5", "Fallout of each: scrap")


def test_glass_and_backs_of_a_size_share_a_row_with_a_box_for_each() -> None:
    (panes,) = tables(section(compose(plan()), "fitting"))
    assert [(row.cells, [name for _, name in row.boxes]) for row in panes.rows][:2] == [
        (("24 × 20", "\nFord map"), ["1 glass", "1 back"]),
        (("11 × 14", "\nSea holly"), ["2 glass", "2 backs"]),
    ]
    token = next(row for row in panes.rows if row.cells[0] == "7 × 5")
    assert token.cells[1] == "\nToken"
    assert [name for _, name in token.boxes] == ["1 glass", "1 back in the plan, cut from grey card"]


def test_sizes_for_many_names_have_the_whole_width() -> None:
    made = plan()
    assert all(table.halved for table in tables(fitting_section(made)))
    name, many = made.job.pieces[0].name, "x, " * 80
    pieces = tuple(replace(each, name=many if each.name == name else each.name) for each in made.job.pieces)
    mats = tuple(
        replace(each, mat=replace(each.mat, piece=many if each.mat.piece == name else each.mat.piece))
        for each in made.mats
    )
    (panes,) = tables(fitting_section(replace(made, job=replace(made.job, pieces=pieces), mats=mats)))
    assert not panes.halved


def test_notes_on_odd_borders_are_words_below_the_wall() -> None:
    assert len(tables(section(compose(kept_plan()), "wall"))) == 1
    first, *others = kept_plan().mats
    assert first.mat.borders is not None
    thin = replace(first, mat=replace(first.mat, borders=replace(first.mat.borders, left=16256 // 2)))
    wall = section(compose(replace(kept_plan(), mats=(thin, *others))), "wall")
    assert isinstance(wall.blocks[1], Picture)
    listed, notes = tables(wall)
    assert notes.rows[0].cells[0] == "1"
    assert (
        notes.rows[0].cells[1].startswith("Sea holly: a border is narrower than 1, which looks thin in a frame larger")
    )
    drawn = " ".join(row.cells[1] for row in listed.rows)
    told = {int(number) for number in re.findall(r"see note\s(\d+)", drawn)}
    assert told == set(range(1, len(notes.rows) + 1))


def test_each_caution_stands_once_at_most_and_where_it_matters() -> None:
    booklet = compose(kept_plan())
    places = [(block.words, part.key) for part in booklet.sections for block in part.blocks if isinstance(block, Care)]
    assert len(places) == len({words for words, _ in places}) == len(CAUTIONS)
    at = {each.matter: key for each in CAUTIONS for words, key in places if words == each.words}
    assert at[Matter.KEEPING] == "till"
    assert at[Matter.BLADE] == next(part.key for part in booklet.sections if part.key.startswith("sheet-"))
    assert at[Matter.SETTING] == "mats-0"
    assert at[Matter.GLASS] == at[Matter.WALL] == "fitting"


def test_no_two_boxes_to_tick_share_a_key() -> None:
    keys = [
        key
        for part in compose(kept_plan()).sections
        for block in part.blocks
        for key in (
            [key for row in block.rows for key in (row.tick, *(key for key, _ in row.boxes))]
            if isinstance(block, Table)
            else [key for row in block.table.rows for key in (row.tick, *(key for key, _ in row.boxes))]
            if isinstance(block, Beside)
            else [key for card in block.cards for key, _ in card.ticks]
            if isinstance(block, Cards)
            else []
        )
        if key is not None
    ]
    assert len(keys) == len(set(keys)) > 100


def test_a_plan_without_any_cut_or_purchase_says_so() -> None:
    words = said(compose(one_piece()))
    assert "Buy nothing" in words
    assert "Nothing to cut: the whole of S1 is the blank." in words
    assert "All 1 pieces are" not in words
    assert "The one piece that is left is too small to keep: try" in words


def test_leftovers_are_listed_by_the_names_to_write_on_them() -> None:
    (kept,) = tables(section(compose(plan()), "left"))
    assert [row.cells for row in kept.rows][:2] == [
        ("S1 offcut 1", "slate, 9 3/4 × 14"),
        ("S1 offcut 4", "slate, 11 3/4 × 22 7/8"),
    ]
    assert ("M1 fallout", "slate, 6 3/4 × 9 3/4") in [row.cells for row in kept.rows]  # once squared
    assert "2 other pieces are too small to keep" in said(compose(plan()))


def test_one_label_names_a_leftover_in_the_list_of_cuts_on_the_drawing_and_in_the_list_of_what_is_left() -> None:
    booklet = compose(replace(plan(), identity="3fa9c1"))
    left = section(booklet, "left")
    (kept,) = tables(left)
    assert "S1 offcut 4" in [row.cells[0] for row in kept.rows]
    cutting = section(booklet, "sheet-S1").blocks
    assert any(
        " On what is kept write plan 3fa9c1 too. " in block.words for block in cutting if isinstance(block, Words)
    )
    (how,) = (block.words for block in left.blocks if isinstance(block, Words))
    assert how.startswith(
        "Write on the back of each its label, plan 3fa9c1 too, such as S1 offcut 1, plan 3fa9c1. The shelf lists it so"
    )
    sheet = beside(section(booklet, "sheet-S1"))
    # What is written on all of them is said once, so that lists and drawings have room for the rest.
    assert any("Rest: KEEP S1 offcut 4, 11 3/4 × 22 7/8." in row.cells[2] for row in sheet.table.rows)
    drawn = " ".join(shape.words for shape in sheet.drawing.shapes if isinstance(shape, Text))
    assert "S1 offcut 4" in drawn.replace(NO_BREAK, " ")
    assert "3fa9c1" not in drawn


def _alike(count: int) -> Plan:
    """Plan so many mats that are alike, each with a fallout worth keeping."""
    holly = job().pieces[0]
    return make_plan(
        replace(job(), pieces=(replace(holly, quantity=count),), offers=job().offers[:1], shelf=()), seconds=1.0
    )


def test_leftovers_that_are_alike_stand_in_one_row_with_a_box_for_each() -> None:
    five = _alike(5)
    kept = tables(section(compose(five), "left"))
    (row,) = kept[-1].rows
    assert row.cells[0].endswith("\n5 alike")
    assert [name for _, name in row.boxes] == [f"M{number} fallout" for number in range(1, 6)]
    assert all(row.tick and not row.boxes for table in kept[:-1] for row in table.rows)
    few = _alike(3)
    assert all(row.tick and not row.boxes for table in tables(section(compose(few), "left")) for row in table.rows)


def test_the_paper_is_that_of_the_unit_unless_it_is_told() -> None:
    assert compose(plan()).paper is Paper.LETTER
    assert compose(metric()).paper is Paper.A4
    assert compose(plan(), Paper.A4).paper is Paper.A4


def test_ticks_are_kept_for_this_plan_however_long_its_search_took() -> None:
    made = plan()
    assert compose(made).identity == compose(replace(made, seconds=9.0, seed=3)).identity
    other = replace(made, mats=tuple(replace(placed, turned=not placed.turned) for placed in made.mats))
    assert compose(made).identity != compose(other).identity
    assert compose(plan(job=job(path="folder/Stiege.xlsx"))).title == "Stiege"
