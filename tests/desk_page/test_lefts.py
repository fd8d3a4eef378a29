"""A board of which a shop has fewer than planned: said in the shop, planned anew, and taken back."""

from itertools import count

import pytest
from playwright.sync_api import expect

from tests.desk_page.test_bench import Wall
from tests.desk_page.test_measures import page  # noqa: F401 - a fixture

NUMBERS = count(1)
# Of moss two sheets are needed; slate would do for both, at more.
PIECES = "piece,inside width,inside height,picture width,picture height,boards\n" + "".join(
    f"{piece},30,38,20,28,moss or slate\n" for piece in ("Fern", "Vetch")
)
OFFERS = "shop,board,sheet width,sheet height,price\nAlder,moss,32,40,8.00\nAlder,slate,32,40,9.00\n"


@pytest.fixture
def wall(running):
    wall = Wall(running, f"Short {next(NUMBERS)}")
    (wall.folder / "pieces.csv").write_text(PIECES)
    (wall.folder / "offers.csv").write_text(OFFERS)
    return wall


def bought(view):
    return {line["board"]: line["count"] for shop in view["shops"] for line in shop["lines"]}


def key(view):
    return view["shops"][0]["lines"][0]["key"]


def test_the_wall_is_planned_with_what_is_there_and_the_old_plan_put_away(wall):
    plan = wall.plan()
    assert bought(wall.view(plan)) == {"moss": 2}
    (wall.folder / "plans" / "draft.json").unlink()
    wall.ask("tick", plan=plan, key=key(wall.view(plan)), done=True)  # on the list, not at the bench
    wall.ask("fewer", plan=plan, key=key(wall.view(plan)), count="1")
    wall.until("plans/draft.json")
    assert "Alder has 1 sheet of moss left." in wall.page("plan")
    assert "left,Alder:moss=1" in (wall.folder / "choices.csv").read_text()
    again = wall.take()
    assert bought(wall.view(again)) == {"moss": 1, "slate": 1}
    assert plan not in wall.page("shop")
    (wall.folder / "plans" / "draft.json").unlink()
    wall.ask("fewer", plan=again, key=key(wall.view(again)), count="0")
    wall.until("plans/draft.json")
    assert "Alder has no moss left." in wall.page("plan")
    assert "Alder:moss=1" not in (wall.folder / "choices.csv").read_text()
    assert bought(wall.view(wall.take())) == {"slate": 2}
    wall.ask("restock", left="Alder:moss=0")
    assert "left." not in wall.page("plan")
    assert bought(wall.view(wall.plan())) == {"moss": 2}


def test_a_plan_that_is_begun_stays(wall):
    plan = wall.plan()
    buy = key(wall.view(plan))
    assert "no such plan" in wall.ask("fewer", 422, plan="20260101-000000-abc", key=buy, count="1")["words"]
    assert "nothing of that name" in wall.ask("fewer", 422, plan=plan, key="buy-9-9", count="1")["words"]
    for wrong in ("", "two", "-1", "1.5", "1234567"):
        assert f"{wrong!r} is not a whole number" in wall.ask("fewer", 422, plan=plan, key=buy, count=wrong)["words"]
    wall.tick(plan, "S1")
    assert "is cut already" in wall.ask("fewer", 422, plan=plan, key=buy, count="1")["words"]
    assert "left" not in (wall.folder / "choices.csv").read_text()
    assert plan in wall.page("shop")


def test_it_is_asked_beside_the_line_of_the_list(page):  # noqa: F811 - the fixture
    page, wall = page
    (wall.folder / "pieces.csv").write_text(PIECES)
    (wall.folder / "offers.csv").write_text(OFFERS)
    plan = wall.plan()
    page.goto(page.url.replace("/pieces", f"/shop?plan={plan}"))
    page.get_by_text("Fewer there?").click()
    page.get_by_label("Sheets there").fill("1")
    page.get_by_role("button", name="Plan again with so many").click()
    page.wait_for_url("**/plan")
    expect(page.get_by_text("Alder has 1 sheet of moss left.")).to_be_visible()
    expect(page.locator(".headline")).to_have_text("Buy 2 sheets at Alder: $17.00.")
    page.get_by_role("button", name="There is enough again").click()
    expect(page.get_by_text("Alder has 1 sheet of moss left.")).to_have_count(0)
