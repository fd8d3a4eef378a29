"""A job that is being typed: each row says what is wrong with it, with its mend, and no other row."""

import pytest

from nesting.row_by_row import look_at, look_at_row, sized_rows

HEADINGS = "piece,inside width,inside height,picture width,picture height,boards"
OFFERS = "shop,board,sheet width,sheet height,price\nQuay,moss,32,40,8\n"


@pytest.fixture
def looked(tmp_path):
    """Return what is seen of a wall with these rows, offers and boards on the user's shelf."""

    def look(*rows, offers=OFFERS, held=()):
        (tmp_path / "pieces.csv").write_text("\n".join((HEADINGS, *rows, "")))
        (tmp_path / "offers.csv").write_text(offers)
        return look_at(tmp_path, held)

    return look


def said(look):
    return {sized.row: [(its.column, its.words, dict(its.mend)) for its in sized.remarks] for sized in sized_rows(look)}


def test_a_board_that_nobody_sells_is_said_with_the_nearest_that_is_sold(looked):
    words = "Nobody sells mos, and none is on the shelf. Write a price for it, or another board."
    found = said(looked("Fern,8,10,5,7,mos", "Vetch,8,10,5,7,moss"))
    assert found == {2: [("boards", words, {"boards": "moss"})], 3: []}


@pytest.mark.parametrize(
    "more",
    [
        {"held": ("Mos",)},
        {"offers": "shop,board,sheet width,sheet height,price\n"},
        {"offers": OFFERS + "Lane,any,32,40,9\n"},
    ],
)
def test_a_board_is_not_missed_on_a_shelf_or_before_there_are_prices(looked, more):
    assert said(looked("Fern,8,10,5,7,mos", **more)) == {2: []}


def test_a_blank_larger_than_every_sheet_is_said(looked):
    """A blank of 33 x 20 does not lie on 32 x 40; turned it does. 33 x 33 does neither way."""
    (said_of,) = said(looked("Fern,33 1/8,20 1/8,5,7,moss", "Vetch,33 1/8,33 1/8,5,7,moss"))[3]
    plain = said_of[1].replace("\N{NO-BREAK SPACE}", " ")
    assert plain.startswith("The blank, 33 \N{MULTIPLICATION SIGN} 33, is larger than every sheet of moss.")
    assert not [words for _, words, _ in said(looked("Fern,33 1/8,20 1/8,5,7,moss"))[2] if "larger than every" in words]


def test_width_and_height_that_are_swapped_are_exchanged_by_the_mend(looked):
    """An upright 11 x 17 in a frame of 18 x 12 has no border above it; lying it has."""
    remarks = said(looked("Fern,18,12,11,17,moss"))[2]
    assert {str(mend) for _, _, mend in remarks} == {str({"picture width": "17", "picture height": "11"})}


def test_one_bad_row_blocks_no_other(looked):
    look = looked("Fern,much,10,5,7,moss", "Vetch,8,10,5,7,moss")
    rows = {sized.row: sized for sized in sized_rows(look)}
    assert [its.column for its in rows[2].remarks] == ["inside width"]
    assert rows[3].size.startswith("Blank 7 7/8")


def test_a_row_is_drawn_as_it_is_typed(looked):
    look = looked("Fern,8,10,5,7,moss")
    cells = {"piece": "Vetch", "inside width": "11 1/", "inside height": "14", "boards": "moss"}
    half = look_at_row(look, 3, cells)
    assert (half.drawing, half.remarks[0].column) == ("", "inside width")
    whole = look_at_row(look, 3, {**cells, "inside width": "11 1/4"})
    assert whole.drawing.startswith("<svg")
    assert whole.remarks == ()


@pytest.mark.parametrize(("unit", "mark"), [("mm", "1 mm"), ("in", "1 mm"), ("cm", "0.1 cm")])
def test_it_is_said_why_a_window_is_smaller_than_was_asked(looked, tmp_path, unit, mark):
    """Blank 277, window wanted 188: borders of 44.5 become 45, and 187 is left. From 278 they are 45 as it is."""
    (tmp_path / "bench.csv").write_text(f"name,value\nunit,{unit}\nruler,1 mm\nallowance,3 mm\noverlap,6 mm\n")
    rows = "Fern,280 mm,361 mm,200 mm,280 mm,moss", "Vetch,281 mm,361 mm,200 mm,280 mm,moss"
    words = f"Borders are rounded up to {mark}, so the window is a little smaller than asked."
    assert [sized.rounding for sized in sized_rows(looked(*rows))] == [words, ""]


def test_a_name_that_another_row_has_is_said_while_it_is_typed(looked):
    found = look_at_row(
        looked("Fern,8,10,5,7,moss"), 3, {"piece": "fern", "inside width": "8", "inside height": "10", "boards": "moss"}
    )
    assert [its.words for its in found.remarks] == ["Stands twice. Give each row a name of its own."]


def test_a_row_is_drawn_from_the_back_layer_by_layer(looked):
    """Blank 11 5/8 x 14 7/8 (inside less 1/8), window 7 1/2 x 10 1/2 in its middle."""
    look = looked("Fern,11 3/4,15,8,11,moss")
    cells = {"piece": "Fern", "inside width": "11 3/4", "inside height": "15", "boards": "moss"}
    picture = {"picture width": "8", "picture height": "11"}
    (back,) = look_at_row(look, 2, {**cells, **picture}).backs
    assert (back.name, back.lines) == ("Fern", "left 2 1/16, top 2 3/16, right 2 1/16, bottom 2 3/16")
    assert "<title>Fern, seen from the back</title>" in back.drawing
    front, under = look_at_row(look, 2, {**cells, **picture, "under boards": "moss", "reveal": "1/4"}).backs
    assert (front.name, under.name) == ("Fern", "Fern, under-mat")
    assert look_at_row(look, 2, cells).backs == ()
    assert look_at_row(look, 2, {**cells, **picture, "boards": ""}).backs == (back,)  # the board comes last
    assert look_at_row(look, 2, {**cells, **picture, "inside width": "11 3/"}).backs == ()
