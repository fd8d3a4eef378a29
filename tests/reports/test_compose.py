"""What the pages hold, before they are set on any paper."""

import re
from dataclasses import replace
from fractions import Fraction

from cli.reports.pages.booklet import Booklet, Cards, Care, Paper, Picture, Section, Table, Words
from cli.reports.pages.compose import compose
from nesting.bench.cautions import CAUTIONS, Matter
from nesting.bench.cut_order import cutting_list
from nesting.bench.cutting_list import line_of
from nesting.bench.rounds import rounds
from nesting.drawing import Text
from tests.demo_wall import kept_plan
from tests.handmade import inches, job, plan
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
                case Table():
                    words += [block.heading, *(" ".join(row.cells) for row in block.rows)]
                case Cards():
                    words += [" ".join(card.lines) for card in block.cards]
                case Picture():
                    words.append(block.drawing.title)
    return "\n".join(words)


def test_the_pages_stand_in_the_order_in_which_they_are_wanted() -> None:
    keys = [part.key for part in compose(plan()).sections]
    assert keys == [
        "till",
        "wall",
        "sheet-S1",
        "sheet-S2",
        "mats-0",
        "sheet-S3",
        "mats-1",
        "fitting",
        "labels",
        "costs",
        "left",
    ]


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
    full = tables(section(compose(made), "costs"))[0]
    assert [column.heading for column in full.columns] == ["Piece", "Boards", "Frame", "Other", "Total", "Saved"]
    assert full.rows[0].cells == ("Sea holly, each of 1 to 2", "$1.41", "$4.50", "$0.00", "$5.91", "$17.09")
    bare = tuple(replace(cost, frame=0, other=0, quote=None) for cost in made.pieces)
    few = tables(section(compose(plan(pieces=bare)), "costs"))[0]
    assert [column.heading for column in few.columns] == ["Piece", "Boards", "Total"]


def test_the_cuts_stand_as_they_are_replayed_line_by_line() -> None:
    made = plan()
    booklet = compose(made)
    for this in rounds(made):
        for batch in this.batches:
            (table,) = tables(section(booklet, f"sheet-{batch.sheets[0].id}"))
            printed = [row.cells[1].replace("\n", " ") for row in table.rows]
            assert printed == [line_of(cut, made.job.bench) for cut in cutting_list(made, batch)]


def test_a_heavy_line_stands_wherever_the_cutter_is_set_anew_and_nowhere_else() -> None:
    (table,) = tables(section(compose(plan()), "sheet-S1"))
    figures = [row.cells[0] for row in table.rows]
    changes = [place == 0 or figures[place] != figures[place - 1] for place in range(len(figures))]
    assert [row.heavy for row in table.rows] == changes
    assert changes.count(False) >= 3  # the four trims are made with one setting


def test_a_measure_between_two_marks_stands_alone_with_the_marks_below_it() -> None:
    (table,) = tables(section(compose(metric()), "sheet-S1"))
    assert table.rows[0].cells[0] == "3.175\nbetween 3 and 4"
    assert "508" in [row.cells[0] for row in table.rows]


def test_a_cut_that_is_too_long_for_the_cutter_says_so_below_its_measure() -> None:
    made = plan()
    short = replace(made, job=replace(made.job, bench=replace(made.job.bench, longest_cut=Fraction(inches("32")))))
    (table,) = tables(section(compose(short), "sheet-S1"))
    assert [row.cells[0] for row in table.rows[:4]].count("1/8\nby straightedge") == 2


def test_settings_are_grouped_and_say_where_the_cut_starts() -> None:
    settings = tables(section(compose(plan()), "mats-0"))[0]
    rows = {row.cells[:2]: row.cells[2].strip() for row in settings.rows}
    assert rows["2", "2"] == "start 2: M1, M2 each left, top, right, bottom"
    # Borders of the map: sides 3 1/2, top 3, bottom 4; left runs to the top, right to the bottom.
    assert rows["3 1/2", "3"] == "start 4: M3 left"
    assert rows["3 1/2", "4"] == "start 3: M3 right"
    assert rows["4", "3 1/2"] == "start 3 1/2: M3 bottom"
    assert [row.heavy for row in settings.rows] == [True, True, False, True, True]


def test_overcut_and_reach_change_what_is_printed() -> None:
    settings, hand = tables(section(compose(overcut()), "mats-0"))
    assert [row.cells[:2] for row in settings.rows] == [("3", "3 7/16"), ("2", "1 15/16")]
    assert "M3 left\nStart 3 15/16 from the bottom edge, end 2 15/16 from the other." in [
        row.cells[1] for row in hand.rows
    ]
    assert "by so much" in said(compose(overcut()))
    assert "by so much" not in said(compose(plan()))


def test_every_mat_says_what_its_fallout_is_for() -> None:
    (cards,) = (block for block in section(compose(plan()), "mats-0").blocks if isinstance(block, Cards))
    by_name = {card.ticks[0][1]: card for card in cards.cards}
    assert by_name["M3"].lines[-1] == "Window: 17 × 13. Fallout: S3: Token"
    assert by_name["M3"].lines[2] == "Pencil, from each edge: sides 3 1/2; top 3; bottom 4"
    assert by_name["M1"].lines[2] == "Pencil, from each edge: 2"
    assert [name for _, name in by_name["M1"].ticks] == ["M1", "M2"]
    assert by_name["M1"].lines[0] == "Sea holly, 1 of 2 and 1 more alike"


def test_several_windows_have_all_their_pencil_lines() -> None:
    (cards,) = (block for block in section(compose(kept_plan()), "mats-0").blocks if isinstance(block, Cards))
    packets = next(card for card in cards.cards if card.lines[0] == "Seed packets")
    sides = "3 11/16 and 8 5/16 and 12 15/16"
    assert packets.lines[2] == f"Pencil, from each edge: sides {sides}; top and bottom 2 1/2"
    assert packets.lines[3:] == ("Windows 1 to 3, each: 3 1/2 × 5. Fallout: scrap",)


def test_notes_on_odd_borders_are_words_below_the_wall() -> None:
    assert tables(section(compose(kept_plan()), "wall")) == []
    first, *others = kept_plan().mats
    assert first.mat.borders is not None
    thin = replace(first, mat=replace(first.mat, borders=replace(first.mat.borders, left=16256 // 2)))
    wall = section(compose(replace(kept_plan(), mats=(thin, *others))), "wall")
    assert isinstance(wall.blocks[0], Picture)
    (notes,) = tables(wall)
    assert notes.rows[0].cells[0] == "1"
    assert (
        notes.rows[0].cells[1].startswith("Sea holly: a border is narrower than 1, which looks thin in a frame larger")
    )
    drawn = " ".join(
        shape.words
        for block in wall.blocks
        if isinstance(block, Picture)
        for shape in block.drawing.shapes
        if isinstance(shape, Text)
    )
    told = {int(number) for number in re.findall(r"see note\s(\d+)", drawn)}
    assert told == set(range(1, len(notes.rows) + 1))


def test_each_caution_stands_once_at_most_and_where_it_matters() -> None:
    booklet = compose(kept_plan())
    places = [(block.words, part.key) for part in booklet.sections for block in part.blocks if isinstance(block, Care)]
    assert len(places) == len({words for words, _ in places}) == len(CAUTIONS)
    at = {each.matter: key for each in CAUTIONS for words, key in places if words == each.words}
    assert at[Matter.KEEPING] == "till"
    assert at[Matter.BLADE] == booklet.sections[2].key
    assert at[Matter.SETTING] == "mats-0"
    assert at[Matter.GLASS] == at[Matter.WALL] == "fitting"


def test_no_two_boxes_to_tick_share_a_key() -> None:
    keys = [
        key
        for part in compose(kept_plan()).sections
        for block in part.blocks
        for key in (
            [row.tick for row in block.rows]
            if isinstance(block, Table)
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
    assert "The one piece that is left is too small to keep." in words


def test_leftovers_are_listed_by_the_names_to_write_on_them() -> None:
    (kept,) = tables(section(compose(plan()), "left"))
    assert [row.cells for row in kept.rows][:2] == [
        ("S1 offcut 1", "slate", "9 3/4 × 14"),
        ("S1 offcut 4", "slate", "11 3/4 × 22 7/8"),
    ]
    assert ("M1 fallout", "slate", "6 3/4 × 9 3/4") in [row.cells for row in kept.rows]  # once squared
    assert "2 other pieces are too small to keep" in said(compose(plan()))


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
