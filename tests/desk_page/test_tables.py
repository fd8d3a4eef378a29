"""Tables are kept losslessly, changed in one step, and nothing is overwritten that was not seen."""

import threading

import pytest

from cli.desk.tables import Change, ChangedOutsideError, NotSavedError, Tables


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
    assert tables.undo() == "renamed Fern"
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
