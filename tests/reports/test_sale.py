"""What is said of a sale: a comparison and the till on the screen, to the letter, and the pages of a comparison."""

import io
import re
from decimal import Decimal
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser
from pypdf import PdfReader

from cli.reports.comparing import remarks
from cli.reports.files.folder import write_comparison
from cli.reports.pages.booklet import Paper, Picture
from cli.reports.pages.compare import compose_comparison
from cli.reports.pages.html import write_html
from cli.reports.pages.pdf import write_pdf
from cli.reports.screen.compare import print_comparison
from cli.reports.screen.plan import open_console
from cli.reports.screen.till import print_till
from nesting.drawing import Rectangle, Text
from nesting.drawing.lettering import text_width
from nesting.errors import CannotBeCutError
from nesting.model.job import When
from nesting.scenarios.compare import Case
from tests.goldens import golden, matches
from tests.reports.sale import NOT_CUT, THE_JOB, comparison, till


@pytest.mark.usefixtures("plain_terminal")
@pytest.mark.parametrize("columns", [60, 80])
@pytest.mark.parametrize(
    ("name", "show", "what"), [("compare", print_comparison, comparison), ("till", print_till, till)]
)
def test_the_screen_is_as_kept(columns, name, show, what, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(columns))
    file = io.StringIO()
    show(what(), open_console(file))
    text = file.getvalue()
    assert matches(text, golden(f"{name}-{columns}.txt"))
    assert max(map(len, text.splitlines())) <= columns
    assert not [line for line in text.splitlines() if line.endswith(" ")]
    assert text.startswith("Buy 1 sheet at North store: $8.10.")


def test_a_table_wider_than_the_window_is_divided_with_the_discounts_in_each_part(monkeypatch):
    monkeypatch.setenv("COLUMNS", "40")
    file = io.StringIO()
    print_comparison(comparison(), open_console(file))
    assert max(map(len, file.getvalue().splitlines())) <= 40
    assert file.getvalue().count("62.5 % off") == 2 * 4
    assert file.getvalue().count("What is paid in all, for now") == 2


def said(**changed):
    return " ".join(remarks(comparison(**changed)))


def test_the_sale_of_one_shop_is_said_to_be_that():
    assert "Each row replaces every shop's own discount" in said()
    one = said(sale_at="North store")
    assert "Each row replaces North store's own discount" in one
    assert "and the other shops keep theirs" in one


def test_whether_buying_for_later_pays_is_said():
    # Now 8.10, with the later pieces 12.35: 4.25 more; apart 12.11.
    assert "cost $4.25 more" in said()
    assert "they cost $12.11: buying now saves $7.86. Buying for later pays from 25 % off." in said()
    assert "buying now loses $0.25." in said(apart=400)
    assert "buying now makes no difference." in said(apart=425, pays_from=None)
    assert "Buying for later pays" not in said(pays_from=None)
    figures = comparison().figures
    same = {case: figures[Case(case.discount, When.NOW, case.use_fallout, case.shop)] for case in figures}
    assert "The later pieces need no more board: they can be cut from what this wall leaves." in said(
        figures=same, apart=0, pays_from=None
    )
    assert "makes no difference" not in said(figures=same, apart=0, pays_from=None)
    assert "Buying for later pays at any of these discounts." in said(pays_from=Decimal(0))
    assert "later" not in said(apart=None)


def test_what_is_open_or_was_not_reached_is_said():
    # With later pieces at 62.5 % off 6.54 + 4.25 is found, and 6.00 proven to be the least.
    assert "Figures marked * are not proven: they may come down by up to $4.79." in said()
    proven = {case: found for case, found in comparison().figures.items() if case.when is When.NOW}
    assert "Every figure is proven to be the lowest possible." in said(figures=proven)
    assert "Stopped by hand" in said(complete=False)


def test_a_shop_that_does_not_do_is_named_with_what_it_lacks():
    assert "Quay shop alone has nothing for Ford map." in said()
    figures = comparison().figures
    short = {case: CannotBeCutError((THE_JOB,)) if case.shop == "Quay shop" else its for case, its in figures.items()}
    assert "Quay shop alone does not have enough for all pieces." in said(figures=short)
    much = {
        case: CannotBeCutError((NOT_CUT,) * 5) if case.shop == "Quay shop" else its for case, its in figures.items()
    }
    assert "has nothing for Ford map, Ford map, Ford map and 2 more." in said(figures=much)


def test_without_quotes_nothing_is_said_of_savings():
    only = {Case(None): comparison().figures[Case(None)]}
    assert "Saved is what the quotes come to, less what the boards of the quoted pieces cost." in said(figures=only)
    assert "own discount" not in said(figures=only)


def page() -> str:
    file = io.StringIO()
    write_html(compose_comparison(comparison()), file)
    return file.getvalue()


def test_the_page_has_answer_chart_and_figures_and_asks_for_nothing():
    text = page()
    assert "Buy 1 sheet at North store: $8.10. 1 slate 32 × 40 (inches)." in " ".join(text.split())
    assert text.count("<svg") == 1
    assert text.count("<table") == 4
    assert not re.search(r"(?:src|srcset|action|poster|data)\s*=\s*[\"']", text)
    assert set(re.findall(r"https?://[^\s\"<]*", text)) == {"http://www.w3.org/2000/svg"}


def test_the_chart_shows_what_fallout_saves_beside_what_is_paid():
    (chart,) = (
        block.drawing for block in compose_comparison(comparison()).sections[0].blocks if isinstance(block, Picture)
    )
    words = [shape.words for shape in chart.shapes if isinstance(shape, Text)]
    # As offered $8.10 is paid, and 1.11 more without fallout.
    assert "$8.10; fallout saves $1.11" in words
    assert "saved by using fallout" in words
    boxes = [shape for shape in chart.shapes if isinstance(shape, Rectangle)]
    paid = next(box for box in boxes if box.line and not box.dashed)
    saved = next(box for box in boxes if box.dashed)
    assert (saved.x, saved.y) == (paid.x + paid.w, paid.y)
    assert saved.w / paid.w == pytest.approx(111 / 810, abs=0.01)
    for text in (shape for shape in chart.shapes if isinstance(shape, Text)):
        assert text.x + text_width(text.words, text.size) <= chart.width


def test_a_chart_of_a_job_without_fallout_says_nothing_of_it():
    figures = {case: found for case, found in comparison().figures.items() if case.use_fallout}
    (chart,) = (
        block.drawing
        for block in compose_comparison(comparison(figures=figures)).sections[0].blocks
        if isinstance(block, Picture)
    )
    assert not any("fallout" in shape.words for shape in chart.shapes if isinstance(shape, Text))
    assert not any(shape.dashed for shape in chart.shapes if isinstance(shape, Rectangle))


def test_the_pdf_is_one_page_with_the_same_words():
    file = io.BytesIO()
    write_pdf(compose_comparison(comparison(), Paper.LETTER), file)
    reader = PdfReader(io.BytesIO(file.getvalue()))
    assert len(reader.pages) == 1
    text = " ".join(" ".join(sheet.extract_text() for sheet in reader.pages).split())
    for words in ("Buy 1 sheet at North store", "62.5 % off", "* $10.79", "buying now saves $7.86"):
        assert words in text


def test_both_files_are_written_and_nothing_else_is_touched(tmp_path: Path):
    (tmp_path / "mine.txt").write_text("kept")
    assert "compare.html and compare.pdf" in write_comparison(comparison(), tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["compare.html", "compare.pdf", "mine.txt"]


def test_in_a_browser_it_fits_a_phone_reads_to_everyone_and_no_request_leaves_it(tmp_path: Path, browser: Browser):
    path = tmp_path / "compare.html"
    path.write_text(page(), encoding="utf-8")
    opened = browser.new_context(viewport={"width": 390, "height": 900}).new_page()
    asked, errors = [], []
    opened.on("request", lambda request: asked.append(request.url))
    opened.on("console", lambda message: errors.append(message.text))
    opened.goto(path.as_uri())
    assert (asked, errors) == ([path.as_uri()], [])
    assert opened.evaluate("document.documentElement.scrollWidth") <= 390
    results = Axe().run(opened)
    assert results.violations_count == 0, results.generate_report()
