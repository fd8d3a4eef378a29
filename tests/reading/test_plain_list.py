"""A plain list of frames and pictures: its headings, its cells as written, and what is wrong with it."""

from fractions import Fraction

import pytest

from nesting.errors import JobError
from nesting.model.job import Unit
from nesting.reading.plain_list import read_list

INCH = 16256
MM = 640
HEADINGS = "name,frame width,frame height,picture width,picture height,quantity"


@pytest.fixture
def listed(tmp_path):
    def write(text, unit=Unit.IN):
        path = tmp_path / "frames.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return read_list(path, unit)

    return write


def faults(listed, text, unit=Unit.IN):
    with pytest.raises(JobError) as caught:
        listed(text, unit)
    return str(caught.value).split("\n")


def test_what_people_call_the_columns(listed):
    fern, moss = listed(f"{HEADINGS},Remarks\nFern,11 1/4,17,5,7 3/8,3,\nMoss,A3,,A5,,,by the door\n")
    assert fern.cells == {
        "piece": "Fern",
        "inside width": "11 1/4",
        "inside height": "17",
        "picture width": "5",
        "picture height": "7 3/8",
        "quantity": "3",
    }
    assert moss.cells == {"piece": "Moss", "inside width": "A3", "picture width": "A5", "notes": "by the door"}
    assert (fern.piece.name, fern.piece.quantity, fern.piece.boards) == ("Fern", 3, ())
    assert fern.piece.inside == (Fraction(45, 4) * INCH, 17 * INCH)
    assert moss.piece.picture == (148 * MM, 210 * MM)


def test_the_first_column_names_the_pieces_where_no_heading_does(listed):
    (one,) = listed("Child;frame w;frame h\nIda;28;41\n")
    assert one.piece.name == "Ida"
    assert "piece: is a column that is missing" in " ".join(faults(listed, "frame w;frame h\n28;41\n"))
    assert "Did you mean piece?" in " ".join(faults(listed, "pieec;frame w;frame h\nIda;28;41\n"))


def test_the_unit_of_bare_numbers(listed):
    (one,) = listed("title;inside_width;Inside Height;board\nFern;28,5;41,3;sage or ink\n", Unit.CM)
    assert one.piece.inside == (285 * MM, 413 * MM)
    assert one.cells["inside width"] == "28,5"
    assert one.piece.boards == ("sage", "ink")


def test_where_both_stand_moulding_width_is_the_width_of_the_front(listed):
    (one,) = listed("piece,inside width,inside height,moulding width\nFern,11,17,1 1/4\n")
    assert one.piece.inside == (11 * INCH, 17 * INCH)
    assert one.piece.moulding_width == Fraction(5, 4) * INCH


def test_every_fault_has_its_row_and_the_column_as_the_file_calls_it(listed):
    assert faults(listed, f"{HEADINGS}\nFern,eleven,17,5,7,0\n\nfern,11,3-Aug,5,,\nMoss,,17,,,\n") == [
        (
            "frames.csv, row 2, frame width: 'eleven' is neither a length nor a size. "
            "Write a length such as 11 1/4 or 285 mm, or a size such as 8x10 or A4."
        ),
        ("frames.csv, row 2, quantity: '0' is not a whole number from 1 to 999999. Write a whole number, such as 2."),
        "frames.csv, row 4, name: 'fern' is in row 2 already. Give each row a name of its own.",
        (
            "frames.csv, row 4, frame height: '3-Aug' looks like a date: a spreadsheet turned the fraction into a "
            "date. Format the column as Text, then write the length again, such as 8 3/8."
        ),
        (
            "frames.csv, row 4, picture height: is empty though the other side is given. "
            "Write both the width and the height, or neither."
        ),
        (
            "frames.csv, row 5, frame width: is empty. "
            "Write here: width inside the frame's recess, measured from the back."
        ),
    ]


def test_headings_that_are_wrong(listed):
    assert faults(listed, "name,frame widht,frame height,name\nFern,11,17,x\n") == [
        "frames.csv, row 1: 'name' is there twice. Keep one column of this heading.",
        (
            "frames.csv, row 1, inside width: is a column that is missing. "
            "Add a column with this heading: width inside the frame's recess, measured from the back; if 'frame widht' "
            "is it, name it inside width."
        ),
    ]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (f"{HEADINGS}\n", "frames.csv: has no rows below its headings. Write a row for each frame."),
        ("\n,,\n", "frames.csv: has nothing in it. Write a row of headings and a row for each frame."),
        (b"PK\0\0", "frames.csv: is not a text file. Save the table as 'CSV UTF-8'."),
        (
            "name,frame width,frame height\nf\N{LATIN SMALL LETTER E WITH ACUTE},1,2".encode("cp1252"),
            (
                "frames.csv, row 2: is not in UTF-8, so its accents and fractions cannot be read for certain. "
                "Save it as 'CSV UTF-8'."
            ),
        ),
    ],
)
def test_files_that_list_nothing(listed, text, message):
    assert faults(listed, text) == [message]
