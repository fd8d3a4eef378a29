"""Tables are kept losslessly, changed in one step, and nothing is overwritten that was not seen."""

import threading

import pytest

from cli.desk.tables import Change, ChangedOutsideError, NotSavedError, Step, Tables


def test_a_file_changed_outside_is_not_overwritten(tmp_path):
    path = tmp_path / "pieces.csv"
    path.write_text("piece,boards\nFern,moss\n")
    tables = Tables(tmp_path)
    seen = tables.read("pieces").version()
    path.write_text("piece,boards\nBracken,moss\n")
    with pytest.raises(ChangedOutsideError, match=r"pieces\.csv was changed outside this page"):
        tables.change("pieces", seen, Change("renamed", ((2, "piece", "Vetch"),)))
    assert path.read_text() == "piece,boards\nBracken,moss\n"


def test_of_two_that_change_the_same_table_one_is_told(tmp_path):
    (tmp_path / "pieces.csv").write_text("piece,boards\nFern,moss\n")
    tables = Tables(tmp_path)
    seen, told = tables.read("pieces").version(), []

    def change(name):
        try:
            tables.change("pieces", seen, Change(name, ((2, "piece", name),)))
        except ChangedOutsideError:
            told.append(name)

    threads = [threading.Thread(target=change, args=(name,)) for name in ("Vetch", "Bracken", "Sedge")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(told) == 2
    assert tables.read("pieces").lines[1].cells[0] in {"Vetch", "Bracken", "Sedge"} - set(told)


def test_steps_are_undone_and_redone_by_name(tmp_path):
    path = tmp_path / "pieces.csv"
    path.write_text("piece,boards\nFern,moss\n")
    tables = Tables(tmp_path)
    tables.change("pieces", tables.read("pieces").version(), Change("renamed Fern", ((2, "piece", "Vetch"),)))
    assert tables.steps() == ("renamed Fern", None)
    assert tables.undo() == Step("renamed Fern", "pieces")
    assert path.read_text() == "piece,boards\nFern,moss\n"
    assert tables.steps() == (None, "renamed Fern")
    tables.undo(again=True)
    assert path.read_text() == "piece,boards\nVetch,moss\n"


def test_a_step_is_not_undone_over_a_later_change(tmp_path):
    path = tmp_path / "pieces.csv"
    path.write_text("piece,boards\nFern,moss\n")
    tables = Tables(tmp_path)
    tables.change("pieces", tables.read("pieces").version(), Change("renamed Fern", ((2, "piece", "Vetch"),)))
    path.write_text("piece,boards\nSedge,moss\n")
    with pytest.raises(ChangedOutsideError, match="renamed Fern stays as it is"):
        tables.undo()
    assert path.read_text() == "piece,boards\nSedge,moss\n"


def test_a_link_that_leads_elsewhere_is_read_only(tmp_path):
    elsewhere = tmp_path / "elsewhere.csv"
    elsewhere.write_text("piece,boards\nFern,moss\n")
    wall = tmp_path / "wall"
    wall.mkdir()
    (wall / "pieces.csv").symlink_to(elsewhere)
    tables = Tables(wall)
    with pytest.raises(NotSavedError, match="link"):
        tables.change("pieces", tables.read("pieces").version(), Change("renamed", ((2, "piece", "Vetch"),)))
    assert elsewhere.read_text() == "piece,boards\nFern,moss\n"


def test_what_cannot_be_replaced_is_kept_and_said(tmp_path, monkeypatch):
    (tmp_path / "pieces.csv").write_text("piece,boards\nFern,moss\n")
    tables = Tables(tmp_path)
    seen = tables.read("pieces").version()
    real = type(tmp_path).replace

    def held(path, target):
        if target.name == "pieces.csv":
            raise PermissionError
        return real(path, target)

    monkeypatch.setattr(type(tmp_path), "replace", held)
    with pytest.raises(NotSavedError, match=r"Not yet saved: close .*pieces\.csv"):
        tables.change("pieces", seen, Change("renamed", ((2, "piece", "Vetch"),)))
    kept = [path.read_text() for path in (tmp_path / "history").glob("*.csv")]
    assert "piece,boards\nVetch,moss\n" in kept
    assert (tmp_path / "pieces.csv").read_text() == "piece,boards\nFern,moss\n"
    assert not list(tmp_path.glob(".part-*"))


TWO_ROWS = "piece;width;mine\r\nFern;8;x\r\nVetch;9;\r\n"


@pytest.fixture
def stepped(tmp_path):
    """Return a wall in which the width of Fern was changed, then changed from outside."""
    path = tmp_path / "pieces.csv"
    path.write_bytes(TWO_ROWS.encode())
    tables = Tables(tmp_path)
    tables.change("pieces", tables.read("pieces").version(), Change("widened Fern", ((2, "width", "8 1/2"),)))

    def outside(old, new):
        path.write_bytes(path.read_bytes().replace(old.encode(), new.encode()))
        return path

    return tables, outside


def test_a_step_is_taken_back_and_again_by_its_cells_whatever_else_was_changed(stepped):
    tables, outside = stepped
    path = outside("Vetch;9;", "Vetch;10;mine")
    assert tables.undo() == Step("widened Fern", "pieces")
    assert path.read_bytes().decode() == "piece;width;mine\r\nFern;8;x\r\nVetch;10;mine\r\n"
    outside("Fern;8;x", "Fern;8;y")
    assert tables.undo(again=True) == Step("widened Fern", "pieces")
    assert path.read_bytes().decode() == "piece;width;mine\r\nFern;8 1/2;y\r\nVetch;10;mine\r\n"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("8 1/2", "7"),
        ("Fern;8 1/2;x\r\nVetch;9;\r\n", "Vetch;9;\r\nFern;8 1/2;x\r\n"),
        ("Fern;8 1/2;x\r\nVetch;9;", "Vetch;8 1/2;\r\nFern;9;"),
        ("Fern;8 1/2;x\r\n", ""),
        ("width", "breadth"),
    ],
    ids=["the cell", "sorted", "sorted and alike", "row gone", "column gone"],
)
def test_a_step_whose_cell_is_another_one_stays(stepped, old, new):
    tables, outside = stepped
    path = outside(old, new)
    before = path.read_bytes()
    with pytest.raises(ChangedOutsideError, match="widened Fern stays as it is"):
        tables.undo()
    assert path.read_bytes() == before
    assert tables.steps() == ("widened Fern", None)


def test_a_step_that_added_a_row_leaves_what_was_written_beside_it(stepped):
    tables, outside = stepped
    tables.change("pieces", tables.read("pieces").version(), Change("added Sedge", ((4, "piece", "Sedge"),)))
    path = outside("Fern;8 1/2;x", "Fern;8 1/2;y")
    tables.undo()
    assert [line.cells for _, line in tables.read("pieces").rows()] == [("Fern", "8 1/2", "y"), ("Vetch", "9", "")]
    assert path.read_bytes().endswith(b"Vetch;9;\r\n\r\n")


def test_a_step_that_removed_a_row_is_taken_back_only_over_the_same_table(stepped):
    tables, outside = stepped
    tables.change("pieces", tables.read("pieces").version(), Change("removed Fern", removed=(2,)))
    outside("Vetch;9;", "Vetch;10;")
    with pytest.raises(ChangedOutsideError, match="removed Fern stays as it is"):
        tables.undo()
    outside("Vetch;10;", "Vetch;9;")
    tables.undo()
    assert [line.cells[0] for _, line in tables.read("pieces").rows()] == ["Fern", "Vetch"]
