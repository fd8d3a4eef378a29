import pytest

from nesting.model.job import ShelfKind, Unit, When
from nesting.reading.columns import BENCH, NOTES, TABLES, Kind, plain_key, table_named

COLUMNS = [column for table in TABLES for column in table.columns] + list(BENCH)


def test_tables_stand_in_the_order_in_which_names_are_first_spelt():
    assert [table.name for table in TABLES] == ["pieces", "offers", "shops", "shelf", "boards", "bench"]


@pytest.mark.parametrize(
    ("table", "required"),
    [
        ("pieces", {"piece", "inside width", "inside height", "boards"}),
        ("offers", {"shop", "board", "sheet width", "sheet height", "price"}),
        ("shops", {"shop"}),
        ("shelf", {"label", "board", "width", "height"}),
        ("boards", {"board"}),
        ("bench", {"name"}),
    ],
)
def test_what_every_row_needs(table, required):
    assert {column.heading for column in table_named(table).columns if column.required} == required


def test_headings_differ_by_more_than_case_and_spaces():
    for columns in (*(table.columns for table in TABLES), BENCH):
        assert len({plain_key(column.heading) for column in columns}) == len(columns)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_table_takes_notes(table):
    assert NOTES in table.columns


@pytest.mark.parametrize("column", COLUMNS, ids=lambda column: column.heading)
def test_a_meaning_is_one_sentence(column):
    assert column.meaning.endswith(".")
    assert ". " not in column.meaning
    assert column.meaning[0].isupper() or column.meaning[0].isdigit()


@pytest.mark.parametrize("column", COLUMNS, ids=lambda column: column.heading)
def test_only_choices_have_words_to_choose_from(column):
    assert bool(column.choices) == (column.kind is Kind.CHOICE)
    assert not column.choices or column.required or column.default in column.choices


def test_words_to_choose_from_are_those_of_the_job():
    assert table_named("pieces").column("when").choices == tuple(When)
    assert table_named("shelf").column("kind").choices == tuple(ShelfKind)
    assert BENCH[0].choices == tuple(Unit)


def test_defaults_by_unit():
    gap = table_named("pieces").column("gap")
    assert [gap.default_in(unit) for unit in Unit] == ["1 in", "25 mm", "25 mm"]
    assert [table_named("pieces").column("down").default_in(unit) for unit in Unit] == ["1", "1", "1"]


def test_there_is_no_other_table_or_column():
    with pytest.raises(KeyError):
        table_named("frames")
    with pytest.raises(KeyError):
        table_named("pieces").column("colour")


def test_a_note_says_meaning_form_and_what_an_empty_cell_is():
    pieces = table_named("pieces")
    assert pieces.column("gap").note_in(Unit.CM) == (
        "Width of the bars between several windows.",
        "A length such as 11 1/4, 11.25 or 285 mm. Plain numbers are cm.",
        "If left empty: 25 mm.",
    )
    assert pieces.column("when").note_in(Unit.IN)[1:] == ("Choose now or later.", "If left empty: now.")
    assert pieces.column("inside height").note_in(Unit.IN)[1:] == (
        "Measure at both sides and write the smaller.",
        "A length such as 11 1/4, 11.25 or 285 mm. Plain numbers are inches.",
        "Every row needs it.",
    )
    assert pieces.column("overlap").note_in(Unit.IN)[-1] == "If left empty: as in the table bench."
    assert pieces.column("group").note_in(Unit.IN)[-1] == "If left empty: nothing."
    assert pieces.column("reveal").note_in(Unit.IN)[-1] == "If left empty: 1/4 in."
