"""Row heights and notes of the workbook to fill in: every word is seen, and no note covers another."""

from itertools import combinations

import openpyxl
import pytest

from cli.blank_job.layout import placed_notes, row_height
from nesting.model.job import Unit
from nesting.reading.columns import TABLES
from tests.blank_job.written import written


def test_a_row_is_as_high_as_its_words_want():
    # 11 points with a third more between the lines and 4 points of air.
    assert row_height("board", 10) == pytest.approx(11 * 1.3 + 4)
    assert row_height("inside width", 10) == pytest.approx(2 * 11 * 1.3 + 4)
    assert row_height("", 10) == row_height("board", 10)
    # Larger letters: fewer of them on a line, and each line higher.
    assert row_height("four words of some", 18, 12) == pytest.approx(2 * 12 * 1.3 + 4)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
@pytest.mark.parametrize("unit", [Unit.IN, Unit.CM])
def test_no_note_covers_another(table, unit):
    notes = placed_notes(["\n".join(column.note_in(unit)) for column in table.columns], [10] * len(table.columns))
    assert [note.place for note in notes] == list(range(len(table.columns)))
    for one, other in combinations(notes, 2):
        beside = one.left + one.width <= other.left
        above = one.top + one.height <= other.top or other.top + other.height <= one.top
        assert beside or above, (one.words, other.words)
    assert len({note.top for note in notes}) > 1


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_rows_with_words_have_a_height_in_the_workbook(tmp_path, table):
    sheet = openpyxl.load_workbook(written(tmp_path / "wall.xlsx"))[table.name]
    filled = [number for number, row in enumerate(sheet.iter_rows(values_only=True), 1) if any(row)]
    assert filled[0] == 1
    for number in filled:
        assert sheet.row_dimensions[number].height >= 18
    if table.name == "bench":  # the note on keep at least takes several lines of 44 letters
        names = {sheet.cell(number, 1).value: number for number in filled}
        assert sheet.row_dimensions[names["keep at least"]].height > 40
