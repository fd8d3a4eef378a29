"""The page for the shop: all that is said of the till, in letters that are read at arm's length."""

import io
from collections import defaultdict
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser
from pypdf import PdfReader

from cli.reports.at_the_till import extra_words, fewer_words, liked_words, short_words
from cli.reports.files.folder import write_till
from cli.reports.pages.booklet import Paper, Table
from cli.reports.pages.html import write_html
from cli.reports.pages.pdf import write_pdf
from cli.reports.pages.till import compose_till
from tests.reports.sale import till


def plain(text: str) -> str:
    return " ".join(text.split())


def letters() -> tuple[str, dict[float, str]]:
    """Return the text of the PDF, and what is set in each size of letters."""
    file = io.BytesIO()
    write_pdf(compose_till(till(), Paper.LETTER), file)
    sizes: defaultdict[float, str] = defaultdict(str)

    def sort(text: str, _matrix: object, _place: object, _font: object, size: float) -> None:
        sizes[size] += text

    said = [sheet.extract_text(visitor_text=sort) for sheet in PdfReader(io.BytesIO(file.getvalue())).pages]
    return plain(" ".join(said)), sizes


def test_the_page_says_all_that_the_screen_says() -> None:
    found = till()
    text, _ = letters()
    for short in found.shortages:
        what, answer = short_words(found.plan, short)
        assert plain(what) in text
        assert plain(answer)[1:] in text
    for words in (
        *(fewer_words(found.plan, fewer) for fewer in found.fewer),
        *(extra_words(found.plan, extra) for extra in found.extras),
        liked_words(found),
    ):
        assert plain(words) in text


def test_what_is_read_in_the_shop_is_set_in_thirteen_points_at_least() -> None:
    _, sizes = letters()
    large = plain(" ".join(text for size, text in sizes.items() if size >= 13))
    for words in ("slate", "Only 2 slate at Quay shop", "Sea holly (all 2) and Ford map", "needs one sheet fewer"):
        assert words in large


@pytest.mark.parametrize("missing", ["shortages", "fewer", "more", "extras"])
def test_a_table_with_nothing_in_it_is_left_out(missing: str) -> None:
    blocks = compose_till(till(**{missing: ()})).sections[0].blocks
    assert all(block.rows for block in blocks if isinstance(block, Table))
    assert len(blocks) < len(compose_till(till()).sections[0].blocks)


def test_both_files_are_written_and_nothing_else_is_touched(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("kept")
    assert "till.html and till.pdf" in write_till(till(), tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine.txt", "till.html", "till.pdf"]


def test_on_a_phone_it_fits_reads_to_everyone_and_no_request_leaves_it(tmp_path: Path, browser: Browser) -> None:
    path = tmp_path / "till.html"
    with path.open("w", encoding="utf-8") as file:
        write_html(compose_till(till()), file)
    opened = browser.new_context(viewport={"width": 390, "height": 900}).new_page()
    asked: list[str] = []
    opened.on("request", lambda request: asked.append(request.url))
    opened.goto(path.as_uri())
    assert asked == [path.as_uri()]
    assert opened.evaluate("document.documentElement.scrollWidth") <= 390
    size = "parseFloat(getComputedStyle(document.querySelector('td.large')).fontSize)"
    assert opened.evaluate(size) >= 20
    results = Axe().run(opened)
    assert results.violations_count == 0, results.generate_report()
