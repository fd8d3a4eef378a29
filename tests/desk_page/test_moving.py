"""Walls are renamed, copied, put in the bin and put back; the list says what each holds."""

import datetime as dt
import os

import pytest
from playwright.sync_api import expect

from cli.desk.cards import card
from cli.desk.moving import NotMovedError, binned, copied, put_back, put_in_bin, renamed
from cli.desk.walls import Walls
from tests.desk_page.conftest import Running

NOW = dt.datetime(2026, 3, 8, 9, 5, 7).astimezone()


@pytest.fixture
def walls(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return Walls()


def names(walls):
    return [wall.name for wall in walls.known()]


def files(folder):
    return {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_new_wall_may_have_all_of_another_but_its_pieces(walls):
    other = walls.make("Hall", "cm", "€")
    (other.folder / "Offers.CSV").write_bytes(b"shop;board;price\r\nQuay;moss;8,00\r\n")
    (other.folder / "offers.csv").unlink()
    (other.folder / "boards.csv").write_text("board,swatch\nmoss,green\n")
    for name in ("pieces.csv", "choices.csv", "shelf.csv"):
        (other.folder / name).write_text("name,value\ndiscount,50\n")
    made = walls.make_like("Stairs", other).folder
    assert (made / "offers.csv").read_bytes() == b"shop;board;price\r\nQuay;moss;8,00\r\n"
    assert (made / "boards.csv").read_text() == "board,swatch\nmoss,green\n"
    assert (made / "bench.csv").read_text() == "name,value\nunit,cm\ncurrency,€\n"
    assert "discount" not in (made / "choices.csv").read_text() + (made / "pieces.csv").read_text()
    assert not (made / "shelf.csv").exists()


def test_a_renamed_wall_keeps_all_that_is_in_it(walls):
    wall = walls.make("Loft")
    (wall.folder / "plans").mkdir()
    (wall.folder / "plans" / "draft.json").write_text("{}")
    before = files(wall.folder)
    again = renamed(walls, wall, "  Attic: north/../x ")
    assert names(walls) == ["Attic north..x"]
    assert files(walls.wall(again.id).folder) == before


def test_a_name_may_change_its_case_alone(walls):
    renamed(walls, walls.make("loft"), "Loft")
    assert names(walls) == ["Loft"]


@pytest.mark.parametrize(
    ("name", "words"), [("LÓFT", "There is another wall named LÓFT"), (" ", "needs a name")], ids=["taken", "none"]
)
def test_a_name_that_cannot_be_given_changes_nothing(walls, name, words):
    walls.make("Loft")
    hall = walls.make("Hall")
    with pytest.raises(NotMovedError, match=words):
        renamed(walls, hall, name)
    assert names(walls) == ["Hall", "Loft"]


def test_a_wall_that_lies_elsewhere_is_not_moved(walls, tmp_path):
    job = tmp_path / "job"
    job.mkdir()
    wall = walls.wall(walls.opened(str(job)))
    for move in (lambda: renamed(walls, wall, "Hall"), lambda: put_in_bin(walls, wall, NOW)):
        with pytest.raises(NotMovedError, match="not the desk's own"):
            move()
    assert job.is_dir()


def test_a_copy_has_the_tables_and_no_plan(walls):
    wall = walls.copy_demo()
    (wall.folder / "plans").mkdir()
    again = copied(walls, wall)
    assert again.name == "Demonstration wall copy"
    assert files(again.folder) == files(wall.folder)
    assert not (again.folder / "plans").exists()
    assert copied(walls, wall).name == "Demonstration wall copy 2"


def test_a_copy_that_fails_leaves_nothing(walls, monkeypatch):
    wall = walls.copy_demo()

    def full(*_paths):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("shutil.copyfile", full)
    with pytest.raises(NotMovedError, match="cannot be copied: No space left on device"):
        copied(walls, wall)
    assert list(walls.home.iterdir()) == [wall.folder]


def test_what_went_to_the_bin_comes_back_beside_what_took_its_name(walls):
    wall = walls.copy_demo()
    before = files(wall.folder)
    put_in_bin(walls, wall, NOW)
    assert names(walls) == []
    (thrown,) = binned()
    assert thrown.name == "Demonstration wall"
    assert thrown.folder.parent.name == ".bin"
    walls.make("Demonstration wall")
    again = put_back(walls, thrown.id)
    assert (again.name, files(again.folder), binned()) == ("Demonstration wall 2", before, ())
    with pytest.raises(NotMovedError, match="no such wall in the bin"):
        put_back(walls, thrown.id)


def test_a_folder_that_is_held_stays(walls, monkeypatch):
    wall = walls.make("Loft")

    def held(_path, _target):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(wall.folder), "rename", held)
    with pytest.raises(NotMovedError, match="Close what has it open"):
        put_in_bin(walls, wall, NOW)
    assert names(walls) == ["Loft"]


def test_the_list_says_what_a_wall_holds(walls):
    wall = walls.make("Loft")
    (wall.folder / "pieces.csv").write_text("piece,quantity,inside width\nFern,3,8\nVetch,,9\nSedge,x,10\ntotal,99,\n")
    for path in wall.folder.iterdir():
        os.utime(path, (NOW.timestamp(), NOW.timestamp()))
    # Three of Fern, one of Vetch, and one of Sedge, whose quantity is a fault.
    assert card(walls, wall) == {
        "id": wall.id,
        "name": "Loft",
        "pieces": "5 pieces",
        "changed": "8 March 2026, 09:05",
        "bench": "",
        "own": True,
    }
    (wall.folder / "pieces.csv").write_bytes(b"piece\n\xff\n")
    assert card(walls, wall)["pieces"] == "its table pieces cannot be read"


def test_a_wall_that_is_being_planned_stays(tmp_path):
    started = Running(tmp_path)
    try:
        started.enter()
        wall = started.ask("/do/demo")["wall"]
        started.ask(f"/wall/{wall}/do/plan")
        for name in ("rename", "bin"):
            words = started.ask(f"/wall/{wall}/do/{name}", 422, name="Hall")["words"]
            assert words == "Demonstration wall is being planned. Wait for the plan, or stop it."
        copy = started.ask(f"/wall/{wall}/do/copy")["wall"]
        thrown = started.ask(f"/wall/{copy}/do/bin")["bin"]
        assert started.ask("/do/back", bin=thrown)["wall"] == copy
    finally:
        started.end()


def test_it_is_done_by_buttons_on_the_list(desk_browser, tmp_path):
    started = Running(tmp_path)
    page = desk_browser.new_page()
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    try:
        page.goto(started.address)
        page.get_by_label("A new wall").fill("Loft")
        page.get_by_role("button", name="Begin").click()
        page.wait_for_url("**/pieces")
        page.get_by_role("link", name="Windowfall").click()
        page.get_by_text("More for Loft", exact=True).click()
        page.get_by_role("button", name="Copy", exact=True).click()
        expect(page.locator("a.wall strong")).to_have_text(["Loft", "Loft copy"])
        page.get_by_text("More for Loft copy").click()
        page.get_by_label("Another name").and_(page.locator(":visible")).fill("<b>Attic</b>")
        page.get_by_role("button", name="Rename").and_(page.locator(":visible")).click()
        expect(page.locator("a.wall strong")).to_have_text(["bAtticb", "Loft"])
        page.get_by_text("More for Loft", exact=True).click()
        page.get_by_role("button", name="Move to the bin").and_(page.locator(":visible")).click()
        expect(page.locator("a.wall strong")).to_have_text(["bAtticb"])
        page.get_by_text("In the bin: 1").click()
        page.get_by_role("button", name="Put back Loft").click()
        expect(page.locator("a.wall strong")).to_have_text(["bAtticb", "Loft"])
        expect(page.locator("#binned")).to_have_count(0)
        home = tmp_path / "windowfall" / "walls"
        (home / "Loft" / "offers.csv").write_text("shop,board,sheet width,sheet height,price\nQuay,any,32,40,8.00\n")
        page.get_by_label("A new wall").fill("Porch")
        page.get_by_label("with the prices").select_option("Loft")
        expect(page.get_by_label("measured in")).to_be_disabled()
        page.get_by_role("button", name="Begin").click()
        page.wait_for_url("**/pieces")
        assert (home / "Porch" / "offers.csv").read_text() == (home / "Loft" / "offers.csv").read_text()
        assert errors == []
    finally:
        page.close()
        started.end()
