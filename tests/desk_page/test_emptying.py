"""Emptying the bin: asked for twice, and nothing stays reserved for a wall that is gone."""

import shutil

import pytest
from playwright.sync_api import expect

from cli.desk.emptying import emptied
from cli.desk.moving import NotMovedError, binned, put_in_bin
from cli.desk.walls import Walls
from nesting.plan_file.read import read_plan_file
from nesting.shelf.store import history_of, load_shelf
from tests.desk_page.conftest import Running
from tests.desk_page.test_bench import Wall
from tests.desk_page.test_day import SOON
from tests.desk_page.test_moving import NOW

expect.set_options(timeout=SOON)


@pytest.fixture
def walls(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return Walls()


@pytest.fixture
def desk(tmp_path):
    started = Running(tmp_path)
    started.enter()
    yield started
    started.end()


def reserved(desk):
    """Return the plans for which something is reserved on the shelf."""
    path = desk.home / "windowfall" / "shelf.csv"
    return {kept.plan for kept in history_of(path).reservations(load_shelf(path).change)}


def from_the_shelf(desk, name, piece):
    """Return a wall with a plan at the bench that is cut from the shelf, and the identity of that plan."""
    wall = Wall(desk, name, piece)
    plan = wall.plan()
    view = wall.view(plan)
    assert view["shops"] == []
    assert read_plan_file(wall.folder / "plans" / plan / "plan.json").identity == view["identity"]
    return wall, view["identity"]


def thrown(desk, wall):
    return desk.ask(f"/wall/{wall.id}/do/bin")["bin"]


def test_what_a_wall_had_reserved_is_free_once_it_is_gone_and_not_before(desk):
    desk.ask("/do/shelf", change="add", board="moss", width="17", height="21", quantity="2")
    (one, first), (_, second) = from_the_shelf(desk, "One", "Fern"), from_the_shelf(desk, "Two", "Vetch")
    ident = thrown(desk, one)
    assert reserved(desk) == {first, second}
    assert desk.ask("/do/empty", bins=[ident]) == {"emptied": 1}
    assert reserved(desk) == {second}
    assert list((desk.home / "windowfall" / ".bin").iterdir()) == []
    assert desk.ask("/do/empty", bins=[ident]) == {"emptied": 0}


def test_the_same_plan_of_a_wall_that_stays_keeps_what_it_reserved(desk):
    desk.ask("/do/shelf", change="add", board="moss", width="17", height="21")
    one, identity = from_the_shelf(desk, "One", "Fern")
    shutil.copytree(one.folder, one.folder.with_name("One more"))
    desk.ask("/do/empty", bins=[thrown(desk, one)])
    assert reserved(desk) == {identity}


def test_what_came_to_the_bin_since_stays_in_it(walls, tmp_path):
    shown = put_in_bin(walls, walls.make("Loft"), NOW)
    since = put_in_bin(walls, walls.make("Hall"), NOW)
    assert emptied(walls, [shown.id, "../walls"], tmp_path / "shelf.csv", NOW) == 1
    assert [each.id for each in binned()] == [since.id]


def test_a_plan_that_cannot_be_read_keeps_its_wall(desk):
    wall = Wall(desk, "Torn", "Fern")
    plan = wall.plan()
    (wall.folder / "plans" / plan / "plan.json").write_text("{")
    assert "plan.json" in desk.ask("/do/empty", 422, bins=[thrown(desk, wall)])["words"]
    assert len(list((desk.home / "windowfall" / ".bin").iterdir())) == 1


def test_a_folder_that_is_held_stays(walls, tmp_path, monkeypatch):
    each = put_in_bin(walls, walls.make("Loft"), NOW)

    def held(_path, _target):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(tmp_path), "rename", held)
    with pytest.raises(NotMovedError, match="Close what has it open"):
        emptied(walls, [each.id], tmp_path / "shelf.csv", NOW)
    assert each.folder.is_dir()


@pytest.mark.parametrize("bins", [None, "x", [7], {}])
def test_what_the_page_would_not_ask_is_refused(desk, bins):
    wall = Wall(desk, "Kept", "Fern")
    thrown(desk, wall)
    desk.ask("/do/empty", 422, bins=bins)
    assert len(list((desk.home / "windowfall" / ".bin").iterdir())) == 1


def test_it_is_asked_for_twice_on_the_page(desk_browser, tmp_path):
    started = Running(tmp_path)
    page = desk_browser.new_page(viewport={"width": 390, "height": 800})
    page.set_default_timeout(SOON)
    try:
        started.enter()
        for name in ("Loft", "Hall", "Attic"):
            thrown(started, Wall(started, name, "Fern"))
        page.goto(started.address.replace(started.code, started.ask("/again", job=None)["code"]))
        page.wait_for_url("**/")
        folder = tmp_path / "windowfall" / ".bin"
        page.get_by_text("In the bin: 3").click()
        page.get_by_role("button", name="Delete Loft").dblclick()  # a hasty hand
        assert len(list(folder.iterdir())) == 3
        page.get_by_role("button", name="Yes, delete Loft for good").click()
        expect(page.get_by_text("In the bin: 2")).to_be_visible()
        assert sorted(each.name.split(" ", 1)[1] for each in folder.iterdir()) == ["Attic", "Hall"]
        page.get_by_text("In the bin: 2").click()
        page.get_by_role("button", name="Empty the bin").click()
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        page.get_by_role("button", name="Yes, delete all 2 walls for good").click()
        expect(page.locator("#binned")).to_have_count(0)
        assert list(folder.iterdir()) == []
    finally:
        page.close()
        started.end()
