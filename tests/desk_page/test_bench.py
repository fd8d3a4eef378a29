"""From the bench to the shelf by requests alone: parts booked, a mat spoiled, what is kept for one wall."""

import io
import json
import re
import shutil
import time
from pathlib import Path

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from cli.desk import walls as desk_walls
from cli.desk.bookings import refusal
from cli.desk.drafts import Drafts
from nesting.errors import ShelfError
from nesting.plan_file.read import read_plan_file
from nesting.shelf.store import load_shelf
from tests.desk_page.conftest import Running

# Two blanks of 16 x 20 stand beside each other on a sheet of 32 x 40 and leave half of it.
PIECES = "piece,inside width,inside height,picture width,picture height,boards\n{rows}"
OFFERS = "shop,board,sheet width,sheet height,price\nQuay shop,any,32,40,8.00\n"


class Wall:
    """A wall of a running desk, and what is asked of it."""

    def __init__(self, running: Running, name: str, *pieces: str) -> None:
        self.running = running
        self.id = running.ask("/do/new", name=name)["wall"]
        self.folder = running.home / "windowfall" / "walls" / name
        rows = "".join(f"{piece},16,20,8,10,moss\n" for piece in pieces)
        (self.folder / "pieces.csv").write_text(PIECES.format(rows=rows))
        (self.folder / "offers.csv").write_text(OFFERS)

    def ask(self, what: str, status: int = 200, /, **asked: object) -> dict:
        return self.running.ask(f"/wall/{self.id}/do/{what}", status, **asked)

    def plans(self) -> list[Path]:
        return sorted((self.folder / "plans").glob("[0-9]*"))

    def until(self, pattern: str, count: int = 1) -> list[Path]:
        ends = time.monotonic() + 40
        while len(found := sorted(self.folder.glob(pattern))) < count:
            assert time.monotonic() < ends, f"{pattern} never came"
            time.sleep(0.05)
        return found

    def plan(self) -> str:
        (self.folder / "plans" / "draft.json").unlink(missing_ok=True)
        self.ask("plan")
        self.until("plans/draft.json")
        return self.take()

    def take(self) -> str:
        draft = json.loads((self.folder / "plans" / "draft.json").read_text())["id"]
        return self.ask("take", draft=draft)["plan"]

    def view(self, plan: str) -> dict:
        return json.loads((self.folder / "plans" / plan / "view.json").read_text())

    def tick(self, plan: str, sheet: str, *mats: str) -> None:
        for each in self.view(plan)["rounds"]:
            for steps in (its["steps"] for its in each["sheets"] if sheet in its["ids"]):
                for step in steps:
                    self.ask("tick", plan=plan, key=step["key"], done=True)
        for mat in mats:
            self.ask("tick", plan=plan, key=f"mat-{mat}", done=True)

    def page(self, place: str, plan: str = "") -> str:
        return self.running.request("GET", f"/wall/{self.id}/{place}" + (f"?plan={plan}" if plan else ""))[1]


@pytest.fixture
def shelf(running):
    yield running.home / "windowfall" / "shelf.csv"
    for each in (running.home / "windowfall").glob("shelf.csv*"):
        shutil.rmtree(each) if each.is_dir() else each.unlink()


pytestmark = pytest.mark.usefixtures("shelf")


def test_it_is_booked_in_two_parts_and_taken_back(running, shelf):
    wall = Wall(running, "In two parts", "Fern", "Vetch")
    plan = wall.plan()
    wall.ask("book", 422, plan=plan)
    wall.tick(plan, "S1", "M1")
    first = wall.ask("book", plan=plan)
    assert first["booked"] == ["S1", "M1"]
    wall.tick(plan, "S1", "M2")
    assert wall.ask("book", plan=plan)["booked"] == ["M2"]
    there = {piece.kind.value for piece in load_shelf(shelf).pieces}
    assert there == {"offcut", "fallout"}
    assert wall.ask("unbook", plan=plan)["said"] == "Taken back: M2. What that put on the shelf is off it again."
    assert wall.ask("book", plan=plan)["booked"] == ["M2"]


def test_a_sheet_is_booked_once_it_is_divided_and_its_mats_later(running, shelf):
    wall = Wall(running, "Divided", "Fern", "Vetch")
    plan = wall.plan()
    wall.tick(plan, "S1")
    assert "All cuts made: S1." in wall.page("finish", plan)
    first = wall.ask("book", plan=plan)
    assert first["booked"] == ["S1"]
    assert {piece.kind.value for piece in load_shelf(shelf).pieces} == {"offcut"}
    wall.tick(plan, "S1", "M1", "M2")
    assert wall.ask("book", plan=plan)["booked"] == ["M1", "M2"]


def test_a_booking_that_the_shelf_refuses_names_the_plan_that_comes_first(running):
    wall = Wall(running, "In order", "Fern")
    first = wall.plan()
    wall.tick(first, "S1", "M1")
    wall.ask("book", plan=first)
    with (wall.folder / "pieces.csv").open("a") as pieces:
        pieces.write("Vetch,10,12,5,7,moss\n")
    second = wall.plan()
    wall.tick(second, "S1", "M1")
    (kept,) = wall.ask("unbook", plan=first)["refused"]  # the second one needs what the first one left
    assert kept["words"].endswith("Drop that first")
    drafts = Drafts(wall.folder)
    mark = read_plan_file(drafts.taken(first).folder / "plan.json").mark
    missing = ShelfError("shelf.csv", (f"S1 is cut from S1 offcut 1, plan {mark}, which is not on the shelf yet",))
    (why,) = refusal([desk_walls.Wall(wall.id, "In order", wall.folder)], drafts.taken(second), missing)
    name = f"In order, {drafts.taken(first).name}"
    assert why == {"words": missing.reasons[0], "way": f"/wall/{wall.id}/bench?plan={first}", "name": name}
    assert kept["way"] == f"/wall/{wall.id}/bench?plan={second}"


def test_what_is_cut_is_not_planned_again(running):
    wall = Wall(running, "Partly cut", "Fern", "Vetch")
    plan = wall.plan()
    wall.tick(plan, "S1", "M1")
    wall.ask("book", plan=plan)
    rest = wall.view(wall.plan())
    assert [mat["name"] for each in rest["rounds"] for mat in each["mats"]] == ["Vetch"]


def test_a_plan_older_than_its_tables_says_what_differs(running):
    wall = Wall(running, "Changed", "Fern", "Vetch")
    plan = wall.plan()
    assert "since" not in wall.page("bench", plan)
    (wall.folder / "offers.csv").write_text(OFFERS.replace("8.00", "9.00"))
    assert "no mat of this plan: cutting is safe." in wall.page("bench", plan)
    pieces = wall.folder / "pieces.csv"
    pieces.write_text(pieces.read_text().replace("Vetch,16,20", "Vetch,16,19"))
    assert "Changed since this plan was made: Vetch. Do not cut their mats." in wall.page("bench", plan)


def test_a_spoiled_mat_is_planned_again_beside_the_plan_and_from_what_it_left(running):
    wall = Wall(running, "Spoiled", "Fern", "Vetch")
    plan = wall.plan()
    wall.tick(plan, "S1", "M2")
    wall.ask("spoil", plan=plan, mat="M1")
    wall.until("plans/[0-9]*/view.json", 2)
    again = wall.plans()[-1].name
    assert wall.view(again)["again"] == ["Fern M1"]
    assert wall.view(again)["shops"] == []  # the other half of the sheet is on the shelf
    assert "Spoiled. It is cut again by a plan of its own." in wall.page("bench", plan)
    assert "Fern M1 again" in wall.page("bench", plan)
    assert 'write "again" beside it; a label that names its plan needs none.' in wall.page("bench", again)
    assert wall.ask("book", plan=plan)["booked"] == ["M2"]
    wall.tick(again, "S1", "M1")
    assert "M1" in wall.ask("book", plan=again)["booked"]


def test_of_a_mat_that_was_spoiled_before_its_window_was_cut_nothing_is_kept(running, shelf):
    wall = Wall(running, "Scrap", "Fern", "Vetch")
    plan = wall.plan()
    wall.ask("spoil", plan=plan, mat="M1", scrap=True)
    wall.until("plans/[0-9]*/view.json", 2)
    assert {piece.kind.value for piece in load_shelf(shelf).pieces} == {"offcut"}
    (again,) = (each.name for each in wall.plans() if each.name != plan)
    assert "What if" not in wall.page("shop", again)  # that would reckon with the whole wall
    assert 'write one on board, write "again" beside it' in wall.page("bench", again).replace("&#34;", '"')
    assert f"<strong>{Drafts(wall.folder).taken(plan).name}</strong>" in wall.page("bench")  # it is mended first
    wall.tick(plan, "S1", "M2")
    assert "<strong>Fern M1 again</strong>" in wall.page("bench")


@pytest.mark.usefixtures("shelf")
def test_each_place_begins_with_the_plan_for_which_there_is_something_to_do(running):
    wall = Wall(running, "Two plans", "Fern", "Vetch", "Sedge", "Rush")
    plan = wall.plan()
    for shop in wall.view(plan)["shops"]:
        for line in shop["lines"]:
            wall.ask("tick", plan=plan, key=line["key"], done=True)
    wall.ask("spoil", plan=plan, mat="M1", scrap=True)
    wall.until("plans/[0-9]*/view.json", 2)
    (again,) = (each.name for each in wall.plans() if each.name != plan)
    headline = wall.view(again)["headline"]
    assert headline.startswith("Buy 1 sheet at Quay shop")  # the first sheet holds four, and no fifth
    assert f'<p class="headline">{headline}' in wall.page("shop")
    assert f'<p class="headline">{headline}' in wall.page("bench", again)
    assert headline not in wall.page("bench", plan)
    wall.tick(plan, "S1", "M2", "M3", "M4")
    wall.tick(again, "S1", "M1")

    def card():
        return running.request("GET", "/")[1].partition("<strong>Two plans</strong>")[2].partition("</a>")[0]

    first = wall.page("finish")
    assert f"<strong>{Drafts(wall.folder).taken(plan).name}</strong>" in first
    assert "1 of Fern M1 again is done and not booked yet." in first
    assert "cut, and not booked yet" in card()
    wall.ask("book", plan=plan)
    assert "<strong>Fern M1 again</strong>" in wall.page("finish")
    assert "not booked yet" not in wall.page("finish")
    wall.ask("book", plan=again)
    assert "not booked yet" not in card()


@pytest.mark.usefixtures("shelf")
def test_a_plan_whose_board_has_gone_from_the_shelf_is_not_taken(running):
    first = Wall(running, "Gives", "Fern")
    plan = first.plan()
    first.tick(plan, "S1", "M1")
    first.ask("book", plan=plan)
    wall = Wall(running, "Takes", "Vetch")
    wall.ask("plan")
    wall.until("plans/draft.json")
    drafts = Drafts(wall.folder)
    draft = drafts.draft()
    label = next(sheet["source"]["label"] for sheet in json.loads(drafts.sheets(draft)["file"])["sheets"])
    assert "Take to shop and bench" in wall.page("plan")
    first.ask("unbook", plan=plan)
    page = wall.page("plan")
    assert f"Not on the shelf any more: {label}. Plan again." in page
    assert "Take to shop and bench" not in page
    assert wall.ask("take", 422, draft=draft.id)["words"] == f"Not on the shelf any more: {label}. Plan again."


def test_of_a_plan_that_was_put_away_nothing_is_ticked(running):
    wall = Wall(running, "Put away", "Fern")
    plan = wall.plan()
    wall.ask("away", plan=plan)
    assert wall.ask("tick", 422, plan=plan, key="cut-S1-1", done=True)["words"] == (
        "This plan was put away: do not cut it."
    )


FALLEN = PIECES.format(rows="Fern,30,38,26,34,moss\nVetch,16,20,8,10,moss\n")


def test_what_was_to_come_out_of_a_spoiled_mat_is_not_cut_here(running, shelf):
    wall = Wall(running, "Fallen")
    (wall.folder / "pieces.csv").write_text(FALLEN)
    plan = wall.plan()
    assert [(sheet["ids"], sheet["fallout_of"]) for each in wall.view(plan)["rounds"] for sheet in each["sheets"]] == [
        (["S1"], []),
        (["S2"], ["M1"]),
    ]
    wall.tick(plan, "S1")
    wall.ask("spoil", plan=plan, mat="M1", scrap=True)
    wall.until("plans/[0-9]*/view.json", 2)
    assert "Do not cut this: M1 was spoiled" in wall.page("bench", plan)
    taken = Drafts(wall.folder).taken(plan)
    assert taken.spoiled == {"M1", "M2"}
    assert not taken.is_open
    assert "S2" not in wall.page("finish", plan)
    (again,) = (each.name for each in wall.plans() if each.name != plan)
    assert {piece.quantity for piece in load_shelf(shelf).pieces if piece.kind.value != "offcut"} == set()
    assert "Go on with" not in wall.page("bench", again)


def test_what_was_cut_of_a_fallout_stays_when_its_mat_is_spoiled_later(running):
    wall = Wall(running, "Late")
    (wall.folder / "pieces.csv").write_text(FALLEN)
    plan = wall.plan()
    wall.tick(plan, "S1")
    wall.tick(plan, "S2", "M2")
    wall.ask("spoil", plan=plan, mat="M1")
    wall.until("plans/[0-9]*/view.json", 2)
    assert Drafts(wall.folder).taken(plan).spoiled == {"M1"}
    assert "Do not cut this" not in wall.page("bench", plan)
    assert "M2 Vetch" in wall.page("finish", plan)


def test_sheets_that_stay_whole_are_booked_with_the_last_part(running, shelf):
    wall = Wall(running, "Minimum", "Fern")
    (wall.folder / "offers.csv").write_text(OFFERS.replace("price\n", "price,at least\n").replace("8.00\n", "8.00,3\n"))
    plan = wall.plan()
    said = "Of what is bought, 2 moss 32 × 40 stay whole, for the shelf"
    for place in ("plan", "shop"):
        assert said in wall.page(place).replace("\N{NO-BREAK SPACE}", " ")
    wall.tick(plan, "S1")
    wall.ask("book", plan=plan)
    assert "sheet" not in {piece.kind.value for piece in load_shelf(shelf).pieces}
    wall.tick(plan, "S1", "M1")
    wall.ask("book", plan=plan)
    assert [piece.quantity for piece in load_shelf(shelf).pieces if piece.kind.value == "sheet"] == [2]
    page = wall.page("finish", plan)
    assert "Booked already: S1, M1." in page
    assert 'id="book"' not in page
    for piece in load_shelf(shelf).pieces:
        assert f"<strong>{piece.label}</strong>: moss" in page


def test_once_all_is_booked_the_plan_says_so(running):
    wall = Wall(running, "All cut", "Fern")
    plan = wall.plan()
    page = wall.page("plan")
    assert "This plan is at shop and bench" in page
    assert 'id="take"' not in page
    wall.tick(plan, "S1", "M1")
    assert "M1 Fern" in wall.page("finish", plan)
    assert "is cut and booked" not in wall.page("plan")
    wall.ask("book", plan=plan)
    page = wall.page("plan")
    assert "Every piece of this wall is cut and booked." in page
    assert "Plan again before you buy or cut" not in page
    wall.ask("unbook", plan=plan)
    assert "is cut and booked" not in wall.page("plan")


def test_a_spoiled_mat_that_was_not_is_taken_back_with_its_plan(running):
    wall = Wall(running, "Not spoiled", "Fern", "Vetch")
    plan = wall.plan()
    wall.ask("spoil", plan=plan, mat="M1")
    wall.until("plans/[0-9]*/view.json", 2)
    assert "Fern M1 again" in wall.page("bench", plan)
    wall.ask("unbook", plan=plan)
    assert "Spoiled. It is cut again" not in wall.page("bench", plan)
    assert "Fern M1 again" not in wall.page("bench", plan)


def test_what_is_kept_for_one_wall_is_not_cut_for_another(running, shelf):
    one = Wall(running, "First", "Fern", "Vetch")
    plan = one.plan()
    one.tick(plan, "S1", "M1", "M2")
    one.ask("book", plan=plan)
    assert [piece.quantity for piece in load_shelf(shelf).pieces if piece.kind.value == "offcut"] == [1]
    two = Wall(running, "Second", "Sedge")
    taken = two.plan()
    assert two.view(taken)["shops"] == []  # cut from what the first wall left
    three = Wall(running, "Third", "Bracken")
    assert [line["count"] for shop in three.view(three.plan())["shops"] for line in shop["lines"]] == [1]
    two.ask("away", plan=taken)
    assert "This plan will not be cut" not in two.page("bench")
    assert three.view(three.plan())["shops"] == []


@pytest.fixture
def bench_page(desk_browser, tmp_path):
    """Return the page of a plan at the bench; nothing on it may go wrong."""
    started = Running(tmp_path)
    page = desk_browser.new_page(viewport={"width": 1280, "height": 900})
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    try:
        started.enter()
        wall = Wall(started, "At the bench", "Fern")
        plan = wall.plan()
        page.goto(started.address.replace(started.code, started.ask("/again", job=None)["code"]))
        page.wait_for_url("**/")
        page.goto(f"http://127.0.0.1:{started.port}/wall/{wall.id}/bench?plan={plan}")
        page.wait_for_load_state("networkidle")
        yield page
        assert errors == []
    finally:
        page.close()
        started.end()


def test_the_bench_says_when_all_is_cut_and_comes_back_to_what_was_left_out(bench_page):
    button, ended = bench_page.locator("#next"), bench_page.locator("#ended")
    boxes = bench_page.locator("li.step input[data-key]")
    for _ in range(boxes.count()):
        expect(ended).to_be_hidden()
        step = bench_page.locator("li.step.now").get_attribute("data-key")
        shown = bench_page.locator(".where.now:visible")
        assert [each.get_attribute("data-of") for each in shown.all()] == [step] * step.startswith("cut-")
        button.click()
    expect(ended).to_contain_text("All is cut.")
    expect(button).to_be_disabled()
    boxes.last.evaluate("box => box.closest('section').scrollIntoView()")
    bench_page.locator("#all").click()
    boxes.first.uncheck()
    expect(ended).to_be_hidden()
    boxes.first.check()
    expect(ended).to_be_visible()
    boxes.first.uncheck()
    bench_page.locator("#all").click()
    bench_page.locator("#back").click()
    button.click()
    button.click()
    expect(bench_page.locator("li.step.now")).to_have_attribute("data-key", boxes.first.get_attribute("data-key"))
    expect(bench_page.locator("li.step.now .figure small")).to_have_text("in")


def test_a_mat_that_is_sound_after_all_stays_in_the_plan(bench_page):
    for _ in range(bench_page.locator("li.step").count() - 1):
        bench_page.locator("#next").click()
    spoil = bench_page.get_by_role("button", name="Spoiled: plan it again")
    spoil.click()
    bench_page.get_by_role("button", name="No, it is sound").click()
    expect(spoil).to_be_visible()
    expect(bench_page.get_by_role("button", name="No, it is sound")).to_be_hidden()
    spoil.click()
    bench_page.keyboard.press("Escape")
    expect(spoil).to_be_visible()


def test_on_paper_a_sheet_stands_below_its_heading_and_the_wall_is_named(bench_page):
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(bench_page.pdf(format="A4"))).pages]
    assert "At the bench" in pages[0]
    assert "bought at Quay shop" in pages[0]
    assert "From the back, scale 1:" in pages[0]
    assert len(pages) <= 2
    assert not any("This plan will not be cut" in page for page in pages)


def test_on_paper_no_sheet_goes_over_two_pages_and_each_page_has_its_number_and_the_day(desk_browser, running):
    wall = Wall(running, "On paper")
    rows = (f"P{number},{15 - number / 8},{36 + number / 8},8,10,moss\n" for number in range(8))
    (wall.folder / "pieces.csv").write_text(PIECES.format(rows="".join(rows)))
    plan = wall.plan()
    context = desk_browser.new_context()
    key, _, value = running.cookie.partition("=")
    context.add_cookies([{"name": key, "value": value, "url": f"http://127.0.0.1:{running.port}"}])
    page = context.new_page()
    page.goto(f"http://127.0.0.1:{running.port}/wall/{wall.id}/bench?plan={plan}")
    page.wait_for_load_state()
    pages = [each.extract_text() for each in PdfReader(io.BytesIO(page.pdf(format="Letter"))).pages]
    context.close()
    names = [sheet["ids"][0] for each in wall.view(plan)["rounds"] for sheet in each["sheets"]]
    assert len(names) == 4
    for name in names:
        its = [place for place, text in enumerate(pages) if f"{name} cut " in text or f"{name} moss" in text]
        assert len(its) == 1, name
    assert all(f"{number} / {len(pages)}" in text for number, text in enumerate(pages, 1))
    assert re.search(r"On paper, printed \d+ \w+ 20\d\d", pages[0])
