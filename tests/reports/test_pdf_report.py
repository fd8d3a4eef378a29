"""plan.pdf: as many pages as wanted, words that are found, sizes true to scale, the same bytes for the same plan."""

import io
import re

import pytest
from pypdf import PdfReader

from cli.reports.pages.booklet import Booklet, Care, Column, Paper, Row, Section, Table, Words
from cli.reports.pages.compose import compose
from cli.reports.pages.pdf import write_pdf
from nesting.drawing import Rectangle
from nesting.drawing.sheet import draw_sheet
from nesting.lengths import TICKS_PER_MM
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


def test_every_sheet_begins_a_page_and_a_fallout_with_its_cuts_is_one() -> None:
    data = as_pdf(compose(plan()))
    reader = read(data)
    # Till, wall, S1 and its eleven cuts, S2, mats and settings, S3, its plain mats, fit, labels with costs, leftovers.
    assert len(reader.pages) == 12
    starts = [page_of(data, tag) for tag in ("Till", "Wall", "S1", "S2", "Mats", "S3", "Fit", "Labels", "Left")]
    assert starts == [0, 1, 2, 4, 5, 7, 9, 10, 11]
    assert [entry["/Title"].split(":")[0] for entry in reader.outline][:4] == ["Till", "Wall", "S1", "S2"]


@pytest.mark.parametrize(("paper", "wide", "high"), [(Paper.LETTER, 612, 792), (Paper.A4, 595.28, 841.89)])
def test_the_paper_is_as_asked(paper: Paper, wide: float, high: float) -> None:
    box = read(as_pdf(compose(plan(), paper))).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((wide, high), abs=0.01)


def test_words_and_fractions_are_found_as_they_read() -> None:
    text = "\n".join(page.extract_text() for page in read(as_pdf(compose(plan()))).pages)
    for words in (
        "Buy 1 sheet at North store: $8.10. 1 slate 32 × 40",
        "whole sheet, 32 × 40: trim top to bottom, 1/8 from the left edge.",
        "A very long name <for> a small & narrow label",
        "start 3 1/2: M3 top",
        "9 3/4 × 14",
    ):
        assert words in text
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
    told = re.search(r"Drawn to scale, 1 to ([0-9.]+)\.", read(data).pages[page].extract_text())
    assert told is not None
    made = kept_plan()
    sheet = made.sheets[0].size
    wide, high = (side / TICKS_PER_MM / 25.4 * 72 for side in sheet)
    drawn = min(boxes(data, page), key=lambda box: abs(box[1] / box[0] - high / wide) + abs(box[1] - high / 6.4) / 1e4)
    scale = high / drawn[1]
    assert scale == pytest.approx(float(told[1]), abs=0.05)
    blanks = [mat.mat.blank.turned if mat.turned else mat.mat.blank for mat in made.mats if mat.sheet == "S1"]
    for blank in blanks:
        size_wanted = [side / TICKS_PER_MM / 25.4 * 72 / scale for side in blank]
        assert any(box == pytest.approx(size_wanted, abs=1) for box in boxes(data, page)), blank


def test_drawings_keep_their_size_on_paper() -> None:
    made = plan()
    data = as_pdf(compose(made))
    drawn = boxes(data, page_of(data, "S2"))
    candidates = [draw_sheet(made, made.sheets[1], depth=depth, head=False) for depth in (1690, 1500, 1300, 1150, 1000)]
    matching = [
        drawing
        for drawing in candidates
        if all(
            any(
                box == pytest.approx((shape.w * POINTS_PER_TENTH, shape.h * POINTS_PER_TENTH), abs=0.01)
                for box in drawn
            )
            for shape in drawing.shapes
            if isinstance(shape, Rectangle)
        )
    ]
    assert len(matching) == 1


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
