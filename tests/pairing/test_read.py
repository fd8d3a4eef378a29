"""Pictures and frames as they are written: read by the rules of a job, and written as the table pieces."""

from fractions import Fraction

import pytest

from nesting.errors import JobError
from nesting.geometry import ExactSize
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM
from nesting.model.job import Unit
from nesting.pairing import FRAMES, PICTURES, job_tables, pair, pieces_table, read_pairing
from nesting.reading.columns import table_named

FRAME = "frame,inside width,inside height"
PICTURE = "picture,picture width,picture height"


@pytest.fixture
def attic(tmp_path):
    def write(**tables):
        sound = {"frames": f"{FRAME}\noak,11,17\n", "pictures": f"{PICTURE},boards\nFern,5,7,sage or moss\n"}
        for name, text in (sound | tables).items():
            if text is not None:
                (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
        return tmp_path

    return write


def faults(path):
    with pytest.raises(JobError) as caught:
        read_pairing(path)
    return str(caught.value).split("\n")


def test_together_the_two_tables_have_the_columns_of_pieces():
    both = {column.heading for table in (FRAMES, PICTURES) for column in table.columns}
    pieces = {column.heading for column in table_named("pieces").columns}
    assert both - pieces == {"frame", "picture", "turn"}
    assert pieces - both == {"piece"}


def test_a_frame_and_a_picture_are_read(attic):
    asked = read_pairing(
        attic(
            frames=f"{FRAME},quantity,allowance,moulding width,frame cost,turn\n oak ,11 1/4,17,3,1/16,1 1/2,7.30,no\n",
            pictures=f"{PICTURE},overlap,boards,priority\nFern,5,7,1/8,Sage or moss,2\n",
        )
    )
    (oak,) = asked.frames
    assert (oak.name, oak.quantity, oak.cost, oak.turn) == ("oak", 3, 730, False)
    assert oak.inside == ExactSize(Fraction(45, 4) * TICKS_PER_INCH, Fraction(17 * TICKS_PER_INCH))
    assert (oak.allowance, oak.width) == (TICKS_PER_INCH // 16, 3 * TICKS_PER_INCH // 2)
    (fern,) = asked.pictures
    assert (fern.name, fern.boards, fern.priority) == ("Fern", ("Sage", "moss"), 2)
    assert fern.shown == ExactSize(Fraction(19, 4) * TICKS_PER_INCH, Fraction(27, 4) * TICKS_PER_INCH)


def test_the_bench_gives_the_unit_and_what_is_left_open(attic):
    asked = read_pairing(attic(bench="name,value\nunit,cm\nallowance,0.7\n"))
    assert asked.job.bench.unit is Unit.CM
    assert asked.frames[0].inside.width == 110 * TICKS_PER_MM
    assert asked.frames[0].allowance == 7 * TICKS_PER_MM
    assert asked.frames[0].turn


def test_the_name_of_a_size_stands_for_both_sides(attic):
    asked = read_pairing(attic(frames=f"{FRAME}\noak,A4,\n"))
    assert asked.frames[0].inside == ExactSize(Fraction(210 * TICKS_PER_MM), Fraction(297 * TICKS_PER_MM))


def test_all_faults_of_all_tables_come_together_in_their_order(attic):
    said = faults(
        attic(
            frames=f"{FRAME},turn\noak,eleven,17,perhaps\nOak,11,17,\n",
            pictures=f"{PICTURE},boards\nFern,,,sage\n,5,7,sage\nMoss,5,,\n",
            offers="shop,board,sheet width,sheet height,price\nnook,sage,31,41,dear\n",
        )
    )
    assert [line.split(":")[0] for line in said] == [
        "offers, row 2, price",
        "frames, row 2, inside width",
        "frames, row 2, turn",
        "frames, row 3, frame",
        "pictures, row 2, picture width",
        "pictures, row 3, picture",
        "pictures, row 4, picture height",
    ]
    assert said[4] == (
        "pictures, row 2, picture width: is empty, so no frame can be found for the picture. "
        "Write the width and the height of the picture, or of the part of it to be seen."
    )


def test_a_heading_of_the_other_table_is_unknown(attic):
    asked = read_pairing(attic(pictures=f"{PICTURE},boards,moulding width\nFern,5,7,sage,1\n"))
    assert asked.job.warnings == ("pictures: 'moulding width' was passed over: this table has no such column",)


def test_missing_tables_are_faults_that_say_what_to_write(attic):
    assert faults(attic(frames=None, pictures=f"{PICTURE}\n")) == [
        "frames: this table is missing. Write a table frames, a row for each frame, or for several alike.",
        "pictures: has no rows. Write a table pictures, a row for each picture, or for several alike.",
    ]


def test_a_table_pieces_is_passed_over_and_that_is_said(attic):
    asked = read_pairing(
        attic(pieces="anything\nat all\n", offers="shop,board,sheet width,sheet height,price\nnook,any,31,41,7\n")
    )
    assert asked.job.warnings == (
        "the table pieces was passed over: frames that it uses are free only if they stand in the table frames too",
    )
    tables = job_tables(pair(asked))
    assert list(tables) == ["pieces", "offers"]
    assert tables["pieces"][1][0] == "Fern"
    assert tables["offers"][1] == ("nook", "any", "31", "41", "7")


def test_the_table_pieces_has_what_was_written_with_units(attic):
    asked = read_pairing(
        attic(
            bench="name,value\nunit,mm\n",
            frames=f"{FRAME},moulding width,frame cost\noak,211,11 in,25,7.30\n",
            pictures=f"{PICTURE},boards,overlap,when,notes\nFern,120,180,sage or moss,-5,later,from the attic\n",
        )
    )
    table = pieces_table(pair(asked))
    assert dict(zip(*table, strict=True)) == {
        "piece": "Fern",
        "inside width": "211 mm",
        "inside height": "11 in",
        "picture width": "120 mm",
        "picture height": "180 mm",
        "overlap": "-5 mm",
        "boards": "sage or moss",
        "moulding width": "25 mm",
        "when": "later",
        "frame cost": "7.30",
        "notes": "frame: oak; from the attic",
    }


def test_a_turned_frame_and_a_cropped_picture_are_written_as_they_are_cut(attic):
    asked = read_pairing(attic(frames=f"{FRAME}\noak,17,9\n", pictures=f"{PICTURE},boards\nFern,8 1/2,11,sage\n"))
    row = dict(zip(*pieces_table(pair(asked)), strict=True))
    assert (row["inside width"], row["inside height"]) == ("9 in", "17 in")
    # 9 less the allowance of 1/8 less 3/4 on both sides: 7 3/8 of the 8 that were to be seen.
    assert (row["show width"], row["show height"]) == ("7 3/8 in", "10 1/2 in")
    assert row["notes"] == "frame: oak, turned"


def test_lengths_that_no_ruler_has_read_back_as_they_are(attic):
    path = attic(frames=f"{FRAME}\noak,17 1/7,11 1/3\n")
    asked = read_pairing(path)
    found = pair(asked)
    assert found.matches[0].fit.turned
    row = dict(zip(*pieces_table(found), strict=True))
    again = read_pairing(attic(frames=f"{FRAME}\noak,{row['inside width']},{row['inside height']}\n"))
    assert again.frames[0].inside == ExactSize(*reversed(asked.frames[0].inside))


def test_copies_in_frames_of_several_rows_are_rows_of_their_own(attic):
    asked = read_pairing(
        attic(
            frames=f"{FRAME}\noak,11,17\nash,12,17\n",
            pictures=f'{PICTURE},quantity,boards\nFern,5,7,2,sage\n"Fern, oak",5,23,1,sage\n',
        )
    )
    headings, *rows = pieces_table(pair(asked))
    assert [row[headings.index("piece")] for row in rows] == ["Fern, oak again", "Fern, ash"]
    assert "quantity" not in headings


def test_copies_in_frames_of_one_row_stay_together(attic):
    asked = read_pairing(attic(frames=f"{FRAME},quantity\noak,11,17,5\n", pictures=f"{PICTURE},quantity\nFern,5,7,3\n"))
    headings, row = pieces_table(pair(asked))
    assert row[headings.index("quantity")] == "3"
    assert row[headings.index("boards")] == ""
