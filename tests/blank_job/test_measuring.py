"""The page to measure with: what is measured, and which numbers go into the job."""

import io
import math

import openpyxl
import pytest

from cli.blank_job.guide import MEASURING_SHEET
from cli.blank_job.measuring import HEADINGS, explained, measuring_rows, write_measuring_page
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM, parse_length
from nesting.model.job import Unit
from nesting.reading.job import read_job
from tests.blank_job.written import written


@pytest.mark.parametrize("unit", list(Unit))
def test_the_example_takes_the_smallest_and_is_the_first_example_of_the_job(tmp_path, unit):
    name, *cells = next(measuring_rows(unit, ()))
    assert name == "an example"
    top, bottom, left, right, one, other, _, width, height = (parse_length(cell, unit) for cell in cells)
    assert (width, height) == (min(top, bottom), min(left, right))
    assert top != bottom
    assert left != right
    assert read_job(written(tmp_path / "wall.xlsx", unit)).pieces[0].inside == (width, height)
    # By geometry (Pythagoras) the diagonals of such a frame lie about this.
    assert abs((one + other) / 2 - math.hypot(top, left)) < TICKS_PER_INCH / 8
    lean = TICKS_PER_INCH / 8 if unit is Unit.IN else 3 * TICKS_PER_MM
    assert 0 < abs(one - other) <= lean


def test_every_frame_has_its_line_and_there_are_lines_to_spare():
    assert len(list(measuring_rows(Unit.IN, ()))) == 16
    rows = list(measuring_rows(Unit.IN, [f"frame {n}" for n in range(40)]))
    assert len(rows) == 44
    assert rows[1] == ("frame 0",) + ("",) * 9
    assert rows[-1] == ("",) * 10
    assert {len(row) for row in rows} == {len(HEADINGS)}


@pytest.mark.parametrize("unit", list(Unit))
def test_it_says_which_numbers_to_write(unit):
    said = " ".join(explained(unit))
    for words in ("the smaller width as inside width", "the smaller height as inside height", "diagonals", "depth"):
        assert words in said
    assert ("1/8 in" in said, "3 mm" in said) == (unit is Unit.IN, unit is not Unit.IN)
    assert "=" not in said


@pytest.mark.parametrize("lean", [1, 5, 13])
@pytest.mark.parametrize(("width", "height"), [(97, 131), (151, 89), (61, 211), (211, 61)])
def test_the_difference_of_the_diagonals_off_the_longer_side_is_enough_for_a_frame_that_leans(width, height, lean):
    # Computed: a parallelogram whose longer sides lie level, its other sides leaning by `lean` along them.
    long, short = max(width, height), min(width, height)
    upright = math.sqrt(short**2 - lean**2)
    difference = math.hypot(long + lean, upright) - math.hypot(long - lean, upright)
    assert difference > lean
    # What is left of the other side is shorter by less than the usual allowance of an eighth of an inch, 3.175 mm.
    assert short - upright < 3.175


def test_the_page_holds_names_as_they_are_written():
    file = io.StringIO()
    write_measuring_page(Unit.MM, ["<b>fern</b> & moss"], file)
    page = file.getvalue()
    assert "<td>&lt;b&gt;fern&lt;/b&gt; &amp; moss</td>" in page
    assert page.count("<th>") == len(HEADINGS)
    assert page.count("<tr>") == 17
    assert "http" not in page


def test_the_sheet_is_made_to_be_printed(tmp_path):
    for unit, paper in ((Unit.IN, 1), (Unit.CM, 9)):
        sheet = openpyxl.load_workbook(written(tmp_path / "wall.xlsx", unit))[MEASURING_SHEET]
        assert [cell.value for cell in sheet[7]] == list(HEADINGS)
        assert sheet.page_setup.orientation == "landscape"
        assert int(sheet.page_setup.paperSize) == paper
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert int(sheet.page_setup.fitToHeight) == 0
        assert sheet.print_title_rows == "$7:$7"
        assert all(cell.border.left.style for cell in sheet[9])
        assert sheet.row_dimensions[9].height >= 24
