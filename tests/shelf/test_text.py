"""The shelf file as text: read back as written, and every fault of a hand told with its place."""

from datetime import date

import pytest

from nesting.errors import ShelfError
from nesting.geometry import Size
from nesting.model.job import ShelfKind, Unit
from nesting.shelf.text import read_shelf, shelf_text, size_text
from tests.shelf.shelves import FIRST, HEADINGS, held, shelf

INCH = 16256


def read(*rows: str, first: str = FIRST, headings: str = HEADINGS):
    return read_shelf("\r\n".join((first, headings, *rows)).encode(), "shelf.csv")


def faults(*rows: str, first: str = FIRST, headings: str = HEADINGS) -> list[str]:
    with pytest.raises(ShelfError) as caught:
        read(*rows, first=first, headings=headings)
    assert str(caught.value).startswith("The shelf file shelf.csv was left as it is:\n- ")
    return str(caught.value).split("\n- ")[1:]


def test_what_is_written_is_what_a_spreadsheet_shows() -> None:
    piece = held("R3", "oat", Size(11 * INCH + INCH // 4, 64000), quantity=2, origin="hall, S1", notes='so "so"')
    text = shelf_text(shelf(piece, change=7, next_number=4))
    assert text.decode("utf-8-sig").split("\r\n") == [
        "windowfall shelf,format,1,unit,in,change,7,next,4",
        HEADINGS,
        'R3,oat,11 1/4 in,100 mm,2,offcut,"hall, S1",2026-03-31,,"so ""so"""',
        "",
    ]


def test_what_is_written_is_read_back() -> None:
    first = held("R3", "moos grün", Size(13, 17), quantity=2, kind=ShelfKind.SHEET, used=date(2026, 4, 1), notes="x\ny")
    for unit in Unit:
        whole = shelf(first, held("lid", put=None), unit=unit, change=7, next_number=9)
        assert read_shelf(shelf_text(whole), "shelf.csv") == whole


def test_a_hand_may_leave_out_what_has_a_default() -> None:
    found = read_shelf(b"Windowfall Shelf;format;1\nHeight;board;LABEL;width\n17;Oat;lid;3/8\n", "shelf.csv")
    assert found == shelf(held("lid", "Oat", Size(6096, 17 * INCH), put=None))


def test_a_metric_shelf_reads_bare_numbers_in_its_unit() -> None:
    found = read("R1,oat,300,41,,,,,,", first="windowfall shelf,format,1,unit,MM")
    assert (found.unit, found.pieces[0].size, found.next_number) == (Unit.MM, Size(300 * 640, 41 * 640), 2)


@pytest.mark.parametrize(
    "day", ["2026-03-31", "31.03.2026", "3/31/2026", "31-Mar-2026", "31 March 2026", "Mar 31, 2026", "31-Mar-26"]
)
def test_days_that_a_spreadsheet_rewrote_are_read_where_they_can_mean_one_day(day: str) -> None:
    assert read(f'R1,oat,3,5,,,,"{day}",,').pieces[0].put == date(2026, 3, 31)
    assert read("R1,oat,3,5,,,,4/4/2026,,").pieces[0].put == date(2026, 4, 4)


def test_days_that_may_mean_two_or_none_are_faults() -> None:
    remedy = "Write year, month and day, such as 2026-03-31."
    assert faults("R1,oat,3,5,,,,3/4/2026,30.2.2026,", "R2,oat,3,5,,,,soon,2026-02-30,") == [
        f"shelf file, row 3, put there: '3/4/2026' may be either of two days. {remedy}",
        f"shelf file, row 3, last used: '30.2.2026' is not a day. {remedy}",
        f"shelf file, row 4, put there: 'soon' is not a day. {remedy}",
        f"shelf file, row 4, last used: '2026-02-30' is not a day. {remedy}",
    ]


def test_all_faults_are_told_at_once_with_their_places() -> None:
    found = faults(
        "R1,oat,11 1/4,14,1,offcut,,,,",
        "r1,any,3-Aug,1.234,none,window,,,,",
        ",oat,0,5,0,,,,,",
        "R3,oat,#REF!,5,,,,,,,spare",
    )
    for place, said in (
        ("row 4, label", "is in row 3 already"),
        ("row 4, board", "names no board"),
        ("row 4, width", "a spreadsheet turned the fraction into a date"),
        ("row 4, quantity", "is not a whole number from 1"),
        ("row 4, kind", "is not one of sheet, offcut, fallout"),
        ("row 5, label", "is empty"),
        ("row 5, width", "must be more than 0"),
        ("row 6, width", "is an error of a spreadsheet's formula"),
        ("row 6", "stands under no heading"),
    ):
        assert any(fault.startswith(f"shelf file, {place}:") and said in fault for fault in found), (place, found)


def test_a_missing_or_unknown_column_is_told() -> None:
    assert faults("R1,oat,3", headings="label,board,width") == [
        "shelf file, row 2, height: is a column that is missing. Add a column with this heading: its height."
    ]
    assert any("'colour' is not a heading of this table" in told for told in faults("R1,3", headings="label,colour"))
    assert faults(headings="")[0].startswith("shelf file, row 2: the row of headings is missing. Write: label, board")


def test_a_file_that_is_no_shelf_file_is_told() -> None:
    for data in (b"", b"\r\n\r\n", b"label,board\nR1,oat\n"):
        with pytest.raises(
            ShelfError, match="this is no shelf file: its first row does not begin with windowfall shelf"
        ):
            read_shelf(data, "shelf.csv")


def test_other_encodings_are_told_and_never_guessed() -> None:
    with pytest.raises(ShelfError, match="shelf file, row 3: is not in UTF-8"):
        read_shelf(f"{FIRST}\n{HEADINGS}\nR1,grün,3,5\n".encode("latin-1"), "shelf.csv")
    assert read_shelf(f"{FIRST}\n{HEADINGS}\nR1,grün,3,5\n".encode("utf-16"), "shelf.csv").pieces[0].board == "grün"
    with pytest.raises(ShelfError, match="row 3: has a row that is not well-formed CSV"):
        read_shelf(f'{FIRST}\n{HEADINGS}\nR1,"gr"n,3,5\n'.encode(), "shelf.csv")


def test_a_file_of_a_newer_program_is_left_alone() -> None:
    (said,) = faults(first="windowfall shelf,format,2")
    assert said.startswith("the shelf file is of format 2, written by a newer Windowfall; this one knows format 1.")
    assert said.endswith("Bring the program up to date.")
    assert faults(first="windowfall shelf,format,one") == [
        "shelf file, row 1, format: 'one' is no format of a shelf file. Write 1 after format."
    ]


def test_the_first_row_is_checked_too() -> None:
    assert faults(first="windowfall shelf,format,1,unit,ell,change,x,next,-1") == [
        "shelf file, row 1, unit: 'ell' is no unit of a shelf file. Write in, mm or cm.",
        "shelf file, row 1, change: 'x' is not a whole number. Leave the cell after change empty.",
        "shelf file, row 1, next: '-1' is not a whole number. Leave the cell after next empty.",
    ]


def test_the_next_label_is_beyond_every_label_that_is_there() -> None:
    assert read("R41,oat,3,5,,,,,,").next_number == 42


def test_sizes_say_their_unit_once_where_it_is_one() -> None:
    assert size_text(Size(INCH // 2, 3 * INCH), Unit.IN) == "1/2 × 3 in"
    assert size_text(Size(6400, 3 * INCH), Unit.IN) == "10 mm × 3 in"
    assert size_text(Size(6400, 640), Unit.CM) == "1 × 0.1 cm"
