"""What is said beside a price and a plan, on jobs small enough to be worked out by hand."""

import time

import pytest

from cli.desk.planning import planned
from nesting.errors import JobError
from tests.desk_page.test_bench import Wall

OFFERS = "shop,board,sheet width,sheet height,price\nQuay shop,any,32,40,8.00\n"


@pytest.fixture
def wall(tmp_path):
    """Return what asks of a wall with these pieces (name, inside width and height)."""

    def made(*pieces, kind, **more):
        rows = "".join(f"{name},{width},{height},moss\n" for name, width, height in pieces)
        (tmp_path / "pieces.csv").write_text(f"piece,inside width,inside height,boards\n{rows}")
        (tmp_path / "offers.csv").write_text(OFFERS)
        told = []
        return planned(
            {"kind": kind, "folder": str(tmp_path), "version": str(pieces), "shelf": "", **more}, told.append
        ), told

    return made


def test_a_frame_adds_what_its_own_sheet_costs(wall):
    found, _ = wall(("Fern", 30, 38), ("Vetch", 31, 39), kind="row", row=3)
    assert found == {"row": 3, "words": "This frame adds $8.00."}


def test_a_frame_that_fits_beside_the_others_adds_nothing(wall):
    found, _ = wall(("Fern", 15, 38), ("Vetch", 15, 38), kind="row", row=2)
    assert found["words"] == "This frame adds nothing: its mat fits on the sheets that the others need."


def test_half_an_inch_less_is_named_where_it_saves_a_sheet(wall):
    """Blanks 16 and 16 1/4 wide do not stand on 32; 16 and 15 3/4 do."""
    found, _ = wall(("Fern", "16 1/8", "39"), ("Vetch", "16 3/8", "39"), kind="row", row=3)
    assert found["words"] == "This frame adds $8.00. 1/2 in narrower would save a sheet, $8.00."


def test_one_frame_alone_is_the_price_itself(wall):
    assert wall(("Fern", 15, 38), kind="row", row=2)[0]["words"] == ""


def test_what_if_is_told_line_by_line_and_ends_whole(wall):
    found, told = wall(("Fern", 15, 38), ("Vetch", 15, 38), kind="till")
    headings = [section["heading"] for section in found["sections"]]
    assert headings == ["If a board is sold out or short", "What else fits"]
    assert found["sections"][0]["rows"] == [
        ["No moss at Quay shop", "Fern and Vetch cannot be cut then. It costs $8.00 less."]
    ]
    first = told[0]["known"]["sections"]
    assert [section["heading"] for section in first] == headings[:1]


def test_compare_tells_each_figure_once_it_is_known(wall):
    found, told = wall(("Fern", 15, 38), ("Vetch", 15, 38), kind="compare")
    rows = dict(found["sections"][0]["rows"][place][:2] for place in range(6))
    assert rows == {
        "as offered": "$8.00",
        "0\N{NO-BREAK SPACE}% off": "$8.00",
        "25\N{NO-BREAK SPACE}% off": "$6.00",
        "40\N{NO-BREAK SPACE}% off": "$4.80",
        "50\N{NO-BREAK SPACE}% off": "$4.00",
        "60\N{NO-BREAK SPACE}% off": "$3.20",
    }
    assert told[0]["known"]["sections"][0]["rows"][0][1] == "$8.00"
    assert told[0]["known"]["remarks"] == []


def test_where_nothing_is_bought_that_is_said_and_no_table_of_nothing_is_shown(wall, tmp_path):
    (tmp_path / "shelf.csv").write_text("label,board,width,height\nA,moss,32,40\n")
    till, _ = wall(("Fern", 15, 38), kind="till")
    assert till["remarks"][0] == "Nothing is to be bought: the shelf is enough, so nothing can be sold out."
    compared, told = wall(("Fern", 15, 38), kind="compare")
    said = {"sections": [], "remarks": ["Nothing is to be bought: the shelf is enough, whatever the discount."]}
    assert compared == said == told[0]["known"]


def test_a_plan_within_limits_has_no_what_if(wall, tmp_path):
    (tmp_path / "choices.csv").write_text("name,value\nsheets,1\n")
    assert wall(("Fern", 30, 38), ("Vetch", 31, 39), kind="till")[0]["sections"] == []
    plan, _ = wall(("Fern", 30, 38), ("Vetch", 31, 39), kind="plan")
    assert plan["left_out"][0] == "Vetch: does not fit the limit of 1 sheet."
    price, _ = wall(("Fern", 30, 38), ("Vetch", 31, 39), kind="price")
    assert (price["total"], price["left_out"]) == ("$8.00", 1)


def test_what_is_bought_is_told_before_many_sheets_are_drawn(wall, monkeypatch):
    pieces = ("Fern", 30, 38), ("Vetch", 31, 39)
    whole, told = wall(*pieces, kind="plan")
    assert [each for each in told if "known" in each] == []
    monkeypatch.setattr("cli.desk.planning._MANY_SHEETS", 1)
    drawn, told = wall(*pieces, kind="plan")
    (bought,) = (each["known"] for each in told if "known" in each)
    assert {**drawn, "file": ""} == {**whole, "file": ""}  # which says how many seconds it took
    assert bought == {**{key: what for key, what in drawn.items() if key != "file"}, "rounds": None}
    assert len(drawn["rounds"][0]["sheets"]) == 2


def test_faults_are_raised_to_be_said(wall):
    with pytest.raises(JobError, match="is neither a length nor a size"):
        wall(("Fern", "much", 38), kind="price")


def test_what_if_of_a_plan_at_the_bench_does_not_wait_for_that_of_the_draft(running):
    """The draft's answers are stopped, and those of the plan come in their place."""
    wall = Wall(running, "Both", *(f"P{number}" for number in range(9)))
    wall.ask("plan")
    wall.until("plans/draft.json")
    wall.ask("aside", what="till", plan=None)
    taken = wall.take()
    wall.ask("aside", what="till", plan=taken)
    wall.until(f"plans/{taken}/till.json")


def test_a_price_that_gave_way_to_a_plan_is_begun_again_after_it(running):
    wall = Wall(running, "Gave way", *(f"P{number}" for number in range(9)))
    wall.ask("options")
    wall.ask("plan")
    wall.until("plans/draft.json")
    ends = time.monotonic() + 40
    while "total" not in (page := wall.page("pieces").partition('"price": ')[2]) or '"busy": true' in page:
        assert time.monotonic() < ends, page[:200]
        time.sleep(0.05)
