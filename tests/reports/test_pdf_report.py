"""plan.pdf: as many pages as wanted, words that are found, sizes true to scale, the same bytes for the same plan."""

import io
import re
from collections.abc import Callable

import pytest
from pypdf import PdfReader

from cli.reports.pages.booklet import Beside, Booklet, Care, Column, Paper, Row, Section, Table, Words
from cli.reports.pages.compose import compose
from cli.reports.pages.pdf import write_pdf
from cli.reports.pages.pdf_tables import FIGURE, SMALL, Columns
from cli.reports.pages.pen import Pen
from nesting.bench.cut_order import cutting_list
from nesting.bench.rounds import Batch
from nesting.bench.steps import sentences_of, steps_of
from nesting.drawing import Drawing, Rectangle, Text
from nesting.drawing.sheet import draw_sheet
from nesting.lengths import TICKS_PER_MM
from nesting.model.plan import CutSheet, Plan
from nesting.names import size_words
from tests.demo_wall import kept_plan
from tests.handmade import plan
from tests.reports.big import metric, one_piece

POINTS_PER_TENTH = 72 / 254


def as_pdf(booklet: Booklet) -> bytes:
    file = io.BytesIO()
    write_pdf(booklet, file)
    return file.getvalue()


def read(data: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(data))


def boxes(data: bytes, page: int) -> list[tuple[float, float]]:
    """Width and height of every rectangle on a page, in points, as the page draws them."""
    content = read(data).pages[page].get_contents()
    assert content is not None
    found = re.findall(rb"([-\d.]+) ([-\d.]+) ([-\d.]+) ([-\d.]+) re", content.get_data())
    return [(float(w), float(h)) for _, _, w, h in found]


def page_of(data: bytes, tag: str) -> int:
    pages = read(data).pages
    return next(number for number, page in enumerate(pages) if page.extract_text().startswith(tag))


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert as_pdf(compose(plan())) == as_pdf(compose(plan()))
    assert as_pdf(compose(plan())) != as_pdf(compose(metric()))


def test_pages_are_filled_and_a_sheet_stays_whole_with_its_cuts() -> None:
    reader = read(as_pdf(compose(plan())))
    # Till with costs; the wall; S1 with its eight steps; S2, the mats and S3; settings of S3's mats, glass, leftovers.
    assert len(reader.pages) <= 6
    assert [entry["/Title"].split(":")[0] for entry in reader.outline][:5] == ["Till", "Costs", "Each", "Wall", "S1"]
    said = [page.extract_text() for page in reader.pages]
    for sheet in plan().sheets:
        steps = steps_of(cutting_list(plan(), Batch((sheet,))))
        (page,) = [words for words in said if "From the back" in words and f"{sheet.board}, {size_of(sheet)}" in words]
        for step in steps:
            for sentence in sentences_of(step, plan().job.bench)[1:]:
                assert sentence in " ".join(page.split()), sentence


def size_of(sheet: CutSheet) -> str:
    return size_words(sheet.size, plan().job.bench)


@pytest.mark.parametrize(
    ("pages", "made"), [(17, kept_plan), (6, plan), (4, one_piece)], ids=["demo", "by-hand", "one"]
)
def test_there_are_no_more_pages_than_there_need_be(pages: int, made: Callable[[], Plan]) -> None:
    assert len(read(as_pdf(compose(made()))).pages) <= pages


def test_a_list_of_cuts_that_no_page_holds_goes_on_overleaf_beside_its_drawing_again() -> None:
    drawing = Drawing("S1", "a sheet", 700, 900, (Text(0, 40, "drawn here", 40, "#000000"),))
    rows = tuple(Row((f"{number}\n", "1/8", f"step{number}\nRest: A."), tick=f"cut-{number}") for number in range(40))
    table = Table("", (Column("No.", 7), Column("Set to", 24, figure=True), Column("Cut", 62)), rows)
    section = Section("a", "S1", "Title", (Beside(drawing, table),))
    pages = [page.extract_text() for page in read(as_pdf(Booklet("x", "x", Paper.LETTER, (section,)))).pages]
    assert len(pages) == 2
    assert all("drawn here" in page for page in pages)
    words = " ".join(pages).split()
    assert [word for word in words if word.startswith("step")] == [f"step{number}" for number in range(40)]


def test_rows_in_two_columns_are_read_down_the_left_one_first_on_every_page() -> None:
    rows = tuple(Row((f"name{number}", "for"), tick=f"a-{number}") for number in range(101))
    table = Table("", (Column("Name", 50), Column("What", 50)), rows, halved=True)
    data = as_pdf(Booklet("x", "x", Paper.LETTER, (Section("a", "A", "Title", (table,)),)))
    found = []
    for page in read(data).pages:
        said = re.findall(r"name(\d+)", page.extract_text())
        assert sorted(map(int, said)) == list(range(len(found), len(found) + len(said)))
        found += said
    assert len(found) == 101
    assert len(read(data).pages) == 2
    half = (612 - 190 / 25.4 * 72) / 2 + 95 / 25.4 * 72
    first = read(data).pages[0].get_contents().get_data()
    starts = [float(x) for x in re.findall(rb"1 0 0 1 ([-\d.]+) [-\d.]+ Tm", first)]
    assert any(x > half for x in starts)


@pytest.mark.parametrize(("paper", "wide", "high"), [(Paper.LETTER, 612, 792), (Paper.A4, 595.28, 841.89)])
def test_the_paper_is_as_asked(paper: Paper, wide: float, high: float) -> None:
    box = read(as_pdf(compose(plan(), paper))).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((wide, high), abs=0.01)


def test_words_and_fractions_are_found_as_they_read() -> None:
    text = "\n".join(page.extract_text() for page in read(as_pdf(compose(plan()))).pages)
    for words in (
        "Buy 1 sheet at North store: $8.10. 1 slate 32 × 40",
        "Trim all four sides, each:",
        "B: top to bottom, from right.",
        "A very long name <for> a small & narrow label",
        "3 1/2: M3 top",
        "9 3/4 × 14",
    ):
        assert words in " ".join(text.split())
    assert "\N{REPLACEMENT CHARACTER}" not in text


def test_a_fraction_of_ten_and_a_half_reads_as_such() -> None:
    words = Words("Set the guide to 10 1/2 and no further; ½ ″ \N{FRACTION SLASH} × are there too.")
    booklet = Booklet("x", "x", Paper.A4, (Section("a", "A", "Title", (words,)),))
    assert (
        "guide to 10 1/2 and no further; ½ ″ \N{FRACTION SLASH} × are" in read(as_pdf(booklet)).pages[0].extract_text()
    )


def test_sheets_are_true_to_the_scale_that_is_told_within_a_point() -> None:
    data = as_pdf(compose(kept_plan()))
    page = page_of(data, "S1")
    told = re.search(r"From the back, scale 1:([0-9.]+)", read(data).pages[page].extract_text())
    assert told is not None
    made = kept_plan()
    sheet = made.sheets[0].size
    wide, high = (side / TICKS_PER_MM / 25.4 * 72 for side in sheet)
    drawn = min(boxes(data, page), key=lambda box: abs(box[1] / box[0] - high / wide) + abs(box[1] - high / 12.6) / 1e4)
    scale = high / drawn[1]
    assert scale == pytest.approx(float(told[1]), abs=0.1)
    blanks = [mat.mat.blank.turned if mat.turned else mat.mat.blank for mat in made.mats if mat.sheet == "S1"]
    for blank in blanks:
        size_wanted = [side / TICKS_PER_MM / 25.4 * 72 / scale for side in blank]
        assert any(box == pytest.approx(size_wanted, abs=1) for box in boxes(data, page)), blank


def test_drawings_keep_their_size_on_paper() -> None:
    made = plan()
    data = as_pdf(compose(made))
    page = next(
        number for number, page in enumerate(read(data).pages) if "grey card, 7 × 17, from" in page.extract_text()
    )
    drawn = boxes(data, page)
    for shape in draw_sheet(made, made.sheets[1], beside=True).shapes:
        if isinstance(shape, Rectangle):
            wanted = pytest.approx((shape.w * POINTS_PER_TENTH, shape.h * POINTS_PER_TENTH), abs=0.01)
            assert any(box == wanted for box in drawn), shape


def test_the_letters_are_in_the_file() -> None:
    reader = read(as_pdf(compose(one_piece())))
    fonts = reader.pages[0]["/Resources"]["/Font"]
    used = [font.get_object() for font in fonts.values()]
    assert used
    for font in used:
        if font["/Subtype"] == "/TrueType":
            assert "DejaVuSans" in font["/BaseFont"]
            assert "/FontFile2" in font["/FontDescriptor"]


def test_words_of_any_length_and_any_letter_stay_on_the_page() -> None:
    name = "Wegerichblütenstandszeichnung" * 9 + " \udcff \x00"
    care = Care("Mind the " + "edge " * 60, "common practice, no source")
    booklet = Booklet(name, "x", Paper.LETTER, (Section("a", name, name, (Words(name), care)),))
    for page in read(as_pdf(booklet)).pages:
        page.extract_text()
        content = page.get_contents()
        assert content is not None
        starts = [float(x) for x in re.findall(rb"1 0 0 1 ([-\d.]+) [-\d.]+ Tm", content.get_data())]
        assert all(0 <= x < 612 for x in starts)


def test_a_row_that_no_page_holds_goes_on_overleaf_and_is_ticked_once() -> None:
    names = [f"name{number}" for number in range(700)]
    row = Row(("7", " ".join(names)), tick="a")
    table = Table("Long", (Column("How many", 12, figure=True), Column("For", 60)), (row, Row(("8", "last"), tick="b")))
    data = as_pdf(Booklet("x", "x", Paper.LETTER, (Section("a", "A", "Title", (table,)),)))
    pages = read(data).pages
    assert len(pages) > 1
    said = " ".join(page.extract_text() for page in pages).split()
    assert [word for word in said if word.startswith("name")] == names
    for page in pages:
        stands = re.findall(rb"1 0 0 1 ([-\d.]+) ([-\d.]+) Tm", page.get_contents().get_data())
        assert all(float(y) > 20 for x, y in stands if float(x) > 0)
    ticks = [
        box for number in range(len(pages)) for box in boxes(data, number) if box[0] == pytest.approx(14.17, abs=0.01)
    ]
    assert len(ticks) == 2


def test_a_heading_wider_than_its_column_is_broken_and_touches_no_other() -> None:
    headings = "all shops", "Main Street Framing only", "Hobby and Craft Barn only"
    columns = Column("Discount", 30), *(Column(heading, 17, right=True) for heading in headings)
    table = Table("", columns, (Row(("as offered", "$1.00", "$2.00", "$3.00")),))
    data = as_pdf(Booklet("x", "x", Paper.LETTER, (Section("a", "A", "Title", (table,)),)))
    text = read(data).pages[0].extract_text()
    assert all(word in text for heading in headings for word in heading.split())
    pen = Pen(io.BytesIO(), Paper.LETTER, "x")
    places = Columns(pen, table, 190 * 72 / 25.4)
    for (_, _, wide), lines in zip(places.places, places.heads, strict=True):
        assert lines
        assert max(pen.width_of(line, SMALL, bold=True) for line in lines) <= wide
    assert max(map(len, places.heads)) > 1
    assert places.head_height > 2 * SMALL


@pytest.mark.parametrize("kept", ["6.02 €", "1299.00 kr", "12 1/2 in", "39.7 cm", "44.2 %", "6.02 CHF"])
def test_no_sum_and_no_measure_is_broken_wherever_the_line_ends(kept: str) -> None:
    pen = Pen(io.BytesIO(), Paper.LETTER, "x")
    for room in range(110, 260):
        lines = pen.wrapped(f"take white, so that it costs {kept} more than before", 13, room)
        assert any(kept in line for line in lines), (room, lines)


@pytest.mark.parametrize("halved", [False, True])
@pytest.mark.parametrize("tick", [None, "a"])
def test_figures_stand_on_one_line_and_apart_from_what_follows(tick: str | None, *, halved: bool) -> None:
    figures = "17 15/16", "12 11/16", "17 15/16 × 23 7/8"
    columns = *(Column(str(place), 20, figure=True) for place in range(2)), Column("What", 40)
    rows = tuple(Row((figure, "1/8", "Mill pond"), tick=tick) for figure in figures)
    pen = Pen(io.BytesIO(), Paper.LETTER, "x")
    table = Columns(pen, Table("", columns, rows, halved=halved), 93 * 72 / 25.4)
    for row in rows:
        first, *_ = table.cells(row)
        assert [line.words for line in first] == [row.cells[0]]
    space = pen.width_of("  ", 10)
    starts = [x for _, x, _ in table.places]
    for place, start in enumerate(starts[1:]):
        widest = max(pen.width_of(row.cells[place], FIGURE, bold=True) for row in rows)
        assert starts[place] + widest + space < start
    _, x, wide = table.places[-1]
    assert x + wide == pytest.approx(table.room)


def test_a_short_heading_is_not_broken_within_its_word() -> None:
    pen = Pen(io.BytesIO(), Paper.LETTER, "x")
    columns = Column("No.", 7), Column("Set to", 24, figure=True), Column("Cut, face down", 62)
    drawing = Drawing("a", "a", 100, 100, ())
    table = Table("", columns, (Row(("1\n", "12 1/16", "S4"), tick="a", drawing=drawing),))
    places = Columns(pen, table, 118 * 72 / 25.4)
    assert places.places[0][2] < pen.width_of("No.", SMALL, bold=True)
    assert places.heads == (("No.",), ("Set to",), ("Cut, face down",))
