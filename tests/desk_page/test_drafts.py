"""The last five drafts of a wall: kept, laid beside one another, and gone back to with what was chosen for them."""

import json
import re
import time
from dataclasses import asdict, replace
from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from cli.desk.drafts import MOST_DRAFTS, Draft, Drafts, UnknownPlanError, plan_id
from cli.desk.tables import Change, Tables
from tests.desk_page.conftest import Running
from tests.desk_page.test_bench import Wall
from tests.desk_page.test_day import SOON, follow
from tests.desk_page.test_moving import NOW

expect.set_options(timeout=SOON)


def draft(number, version="v", choices="c0ffee"):
    """Return a draft made in this minute of the day."""
    view = {"identity": f"abcdef{number:02}"}
    return Draft(plan_id(view, NOW + timedelta(minutes=number)), view, version, "t", choices, f"asked {number}")


def asked(drafts):
    return [each.asked for each in drafts]


def test_five_are_kept_and_that_put_aside_first_goes_first(tmp_path):
    drafts = Drafts(tmp_path)
    for number in range(1, 7):
        drafts.keep(draft(number))
    assert (drafts.draft().asked, asked(drafts.earlier())) == (
        "asked 6",
        ["asked 5", "asked 4", "asked 3", "asked 2"],
    )
    assert MOST_DRAFTS == 5
    drafts.go_back(draft(2).id)
    assert (drafts.draft().asked, asked(drafts.earlier())) == (
        "asked 2",
        ["asked 6", "asked 5", "asked 4", "asked 3"],
    )
    drafts.keep(draft(7))
    assert asked(drafts.earlier()) == ["asked 6", "asked 5", "asked 4", "asked 2"]
    drafts.go_back(draft(5).id)
    assert asked(drafts.earlier()) == ["asked 7", "asked 6", "asked 4", "asked 2"]


@pytest.mark.parametrize("name", ["id", "choices"])
@pytest.mark.parametrize("text", ["../../../out", "", None, 7])
def test_no_path_comes_from_the_draft_of_a_wall_from_elsewhere(tmp_path, name, text):
    wall = tmp_path / "walls" / "Loft"
    (wall / "plans").mkdir(parents=True)
    (wall / "plans" / "draft.json").write_text(json.dumps({**asdict(draft(1)), name: text}))
    drafts = Drafts(wall)
    assert drafts.draft() is None
    drafts.keep(draft(2))
    assert [path.name for path in tmp_path.rglob("*.json")] == ["draft.json"]


def test_the_same_plan_of_the_same_tables_is_kept_once(tmp_path):
    drafts = Drafts(tmp_path)
    drafts.keep(draft(1))
    drafts.keep(draft(2))
    again = draft(1)
    view = again.view
    drafts.keep(Draft(plan_id(view, NOW + timedelta(hours=1)), view, "v", "t", "c0ffee", "asked again"))
    assert (drafts.draft().asked, asked(drafts.earlier())) == ("asked again", ["asked 2"])
    drafts.keep(draft(1, version="w"))
    assert asked(drafts.earlier()) == ["asked again", "asked 2"]


def test_a_desk_that_ends_on_the_way_back_keeps_both(tmp_path, monkeypatch):
    drafts = Drafts(tmp_path)
    drafts.keep(draft(1))
    drafts.keep(draft(2))
    monkeypatch.setattr(type(tmp_path), "unlink", lambda *_args, **_more: (_ for _ in ()).throw(KeyboardInterrupt))
    with pytest.raises(KeyboardInterrupt):
        drafts.go_back(draft(1).id)
    assert (drafts.draft().asked, asked(drafts.earlier())) == ("asked 1", ["asked 2"])


@pytest.mark.parametrize(
    ("ident", "version", "words"),
    [
        (draft(1).id, "v", "another plan than this page shows"),
        (draft(2).id, "w", "changed since this plan was made"),
        ("../draft", "v", "another plan"),
    ],
)
def test_only_what_the_page_shows_is_taken_and_only_of_the_tables_of_now(tmp_path, ident, version, words):
    drafts, kept = Drafts(tmp_path), []
    drafts.keep(draft(1))
    drafts.keep(draft(2))
    with pytest.raises(UnknownPlanError, match=words):
        drafts.take(ident, version, NOW, kept.append)
    assert (kept, drafts.at_the_bench()) == ([], ())


def test_what_is_not_drawn_is_shown_and_not_taken(running):
    """As a kill leaves it while the sheets are being drawn."""
    wall = Wall(running, "Undrawn", "Fern", "Vetch")
    wall.ask("plan")
    (path,) = wall.until("plans/draft.json")
    kept = json.loads(path.read_text())
    (wall.folder / "plans" / "drawn" / f"{kept['id']}.json").unlink()
    page = wall.page("plan")
    assert kept["view"]["headline"] in page
    assert "They were not drawn" in page
    assert "Take to shop and bench" not in page
    assert "not drawn" in wall.ask("take", 422, draft=kept["id"])["words"]
    wall.plan()
    assert "They were not drawn" not in wall.page("plan")


def drawn(number):
    """Return a draft with its sheets."""
    bought = draft(number)
    return replace(bought, view={**bought.view, "rounds": [f"sheets {number}"], "file": f"file {number}"})


def test_the_sheets_of_a_draft_are_kept_as_long_as_the_draft(tmp_path):
    drafts = Drafts(tmp_path)
    drafts.keep(draft(1))
    assert drafts.sheets(drafts.draft()) == {}
    drafts.keep(drawn(1))
    assert drafts.draft() == draft(1)
    assert drafts.sheets(drafts.draft()) == {"rounds": ["sheets 1"], "file": "file 1"}
    for number in range(2, MOST_DRAFTS + 1):
        drafts.keep(drawn(number))
    drafts.go_back(draft(1).id)
    for each, number in zip((drafts.draft(), *drafts.earlier()), (1, 5, 4, 3, 2), strict=True):
        assert drafts.sheets(each)["rounds"] == [f"sheets {number}"]
    drafts.keep(draft(6))
    assert sorted(path.stem for path in (tmp_path / "plans" / "drawn").iterdir()) == [
        draft(number).id for number in (1, 3, 4, 5)
    ]


@pytest.mark.parametrize("text", [None, "", "{", "[]", '{"rounds": []}'])
def test_a_draft_whose_sheets_are_lost_is_as_one_that_is_not_drawn(tmp_path, text):
    drafts = Drafts(tmp_path)
    drafts.keep(drawn(1))
    path = tmp_path / "plans" / "drawn" / f"{draft(1).id}.json"
    path.unlink()
    if text is not None:
        path.write_text(text)
    assert drafts.sheets(drafts.draft()) == {}
    with pytest.raises(UnknownPlanError, match="not drawn"):
        drafts.take(draft(1).id, "v", NOW, pytest.fail)


def test_a_draft_that_is_not_kept_is_not_gone_back_to(tmp_path):
    drafts = Drafts(tmp_path)
    drafts.keep(draft(1))
    for ident in (draft(1).id, "../draft", ""):
        with pytest.raises(UnknownPlanError, match="not kept any more"):
            drafts.go_back(ident)


def test_a_table_is_put_back_to_the_byte(tmp_path):
    path, written = tmp_path / "choices.csv", b"value;name\r\nyes;later\r\n;;mine\r\n"
    path.write_bytes(written)
    tables = Tables(tmp_path)
    kept, of = tables.keep_aside("choices"), tables.version(choices=False)
    tables.choose("discount", "50")
    assert path.read_bytes() != written
    tables.put_back("choices", kept)
    assert path.read_bytes() == written
    (tmp_path / "pieces.csv").write_text("piece\n")
    tables.change("pieces", tables.read("pieces").version(), Change("named", ((2, "piece", "Vetch"),)))
    assert tables.version(choices=False) != of


def test_nothing_chosen_is_put_back_as_nothing_chosen(running):
    """A folder from elsewhere need not have the table choices; two plans of one second are two drafts."""
    wall = Wall(running, "Bare", "Fern")
    (wall.folder / "choices.csv").unlink()
    wall.plan()
    before = Drafts(wall.folder).draft().id
    wall.ask("options", sheets="3")
    wall.ask("plan")
    wall.until(f"plans/drafts/{before}.json")  # the new one follows it
    ends = time.monotonic() + 20
    while Drafts(wall.folder).draft().id == before:
        assert time.monotonic() < ends
        time.sleep(0.02)
    wall.ask("goback", draft=before)
    wall.ask("plan")
    assert "is being planned" in wall.ask("goback", 422, draft=before)["words"]
    assert (wall.folder / "choices.csv").read_bytes() == b""
    assert wall.ask("options")["options"]["sheets"] is None
    assert wall.plan()


def test_going_back_puts_back_what_was_chosen_and_it_can_be_taken(desk_browser, tmp_path):
    started = Running(tmp_path)
    page = desk_browser.new_page(viewport={"width": 1280, "height": 900})
    page.set_default_timeout(SOON)
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    try:
        started.enter()
        wall = Wall(started, "Two ways", "Fern", "Vetch", "Sedge", "Rush", "Reed", "Flag")
        page.goto(started.address.replace(started.code, started.ask("/again", job=None)["code"]))
        page.wait_for_url("**/")
        page.goto(f"http://127.0.0.1:{started.port}/wall/{wall.id}/plan")
        page.get_by_role("button", name="Plan", exact=True).click()
        expect(page.locator(".headline")).to_have_text("Buy 2 sheets at Quay shop: $16.00.")
        expect(page.locator(".last")).to_have_count(0)
        page.get_by_label("At most").fill("1")
        page.get_by_label("At most").press("Tab")
        page.get_by_role("button", name="Plan again").click()
        expect(page.locator(".headline")).to_have_text("Buy 1 sheet at Quay shop: $8.00.")
        rows = page.locator(".last li")
        expect(rows).to_have_count(2)
        expect(rows.nth(0)).to_contain_text("at most 1 sheet;")
        expect(rows.nth(0)).to_contain_text("$8.00")
        expect(rows.nth(0)).to_contain_text("shown above")
        expect(rows.nth(1)).to_contain_text("$16.00")
        rows.nth(1).get_by_role("button", name=re.compile("^Go back to it")).click()
        expect(page.locator(".headline")).to_have_text("Buy 2 sheets at Quay shop: $16.00.")
        expect(page.get_by_label("At most")).to_have_value("")
        expect(page.locator(".warn")).to_have_count(0)
        assert "sheets,1" not in (wall.folder / "choices.csv").read_text()
        page.get_by_role("button", name="Take to shop and bench").click()
        page.wait_for_url("**/shop")
        expect(page.locator(".headline")).to_have_text("Buy 2 sheets at Quay shop: $16.00.")
        follow(page.get_by_role("link", name="Plan", exact=True))
        (wall.folder / "pieces.csv").write_text((wall.folder / "pieces.csv").read_text().replace("Fern,16", "Fern,15"))
        page.reload()
        expect(rows.nth(1)).to_contain_text("before the tables were changed")
        words = wall.ask("take", 422, draft=json.loads((wall.folder / "plans/draft.json").read_text())["id"])["words"]
        assert "Plan again" in words
        for width in (390, 820, 1280):
            page.set_viewport_size({"width": width, "height": 900})
            assert page.evaluate("document.documentElement.scrollWidth") <= width
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
        assert errors == []
    finally:
        page.close()
        started.end()
