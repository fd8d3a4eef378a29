"""Tables are kept losslessly, changed in one step, and nothing is overwritten that was not seen."""

import threading

import pytest

from cli.desk.grid import read_grid
from cli.desk.tables import Change, ChangedOutsideError, NotSavedError, Tables
from nesting.reading.columns import table_named

PIECES = table_named("pieces")
ODD = 'boards;Piece ;my own;inside width;inside height\r\n"moss";" Fern";3/8;11 1/4;15\r\n\r\nmoss;"say ""so""";;12;17'


@pytest.mark.parametrize(
    "data",
    [ODD.encode(), b"\xef\xbb\xbf" + ODD.encode(), ODD.encode("utf-16"), b"", b"\n\npiece,boards\nFern,moss\n"],
)
def test_a_table_is_kept_to_the_byte(data):
    assert read_grid(data, PIECES).data() == data


def test_only_a_changed_row_differs():
    changed = read_grid(ODD.encode(), PIECES).with_cell(4, "inside width", "13 1/8").data().decode()
    assert changed == ODD.replace('moss;"say ""so""";;12;17', 'moss;"say ""so""";;13 1/8;17\r\n')


def test_a_new_row_and_a_new_column_come_last():
    grid = read_grid(b"piece,boards\nFern,moss", PIECES).with_cell(3, "piece", "Vetch").with_cell(3, "quantity", "2")
    assert grid.data() == b"piece,boards,quantity\nFern,moss\nVetch,,2\n"


def test_rows_are_removed_but_never_the_headings():
    assert (
        read_grid(b"piece,boards\nFern,moss\nVetch,moss\n", PIECES).without((1, 2)).data()
        == b"piece,boards\nVetch,moss\n"
    )


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
