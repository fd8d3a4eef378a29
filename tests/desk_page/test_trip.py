"""The list of a trip to the shops, on paper."""

import io

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from tests.desk_page.conftest import Running


@pytest.fixture(scope="module")
def shop_page(desk_browser, tmp_path_factory):
    """Open Shop with the demonstration wall's plan, once all its answers are there."""
    running = Running(tmp_path_factory.mktemp("home"))
    page = desk_browser.new_page(viewport={"width": 1280, "height": 900})
    page.set_default_timeout(120_000)
    page.goto(running.address)
    page.get_by_role("button", name="Open a copy of the demonstration wall").click()
    page.wait_for_url("**/pieces")
    page.goto(page.url.replace("/pieces", "/plan"))
    page.get_by_role("button", name="Plan", exact=True).first.click()
    page.get_by_role("button", name="Take to shop and bench").click()
    page.wait_for_url("**/shop")
    expect(page.get_by_text("Still being worked out")).to_have_count(0, timeout=120_000)
    yield page
    page.close()
    running.end()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_demonstration_walls_list_with_all_its_answers_is_one_page(shop_page, paper):
    (text,) = (each.extract_text() for each in PdfReader(io.BytesIO(shop_page.pdf(format=paper))).pages)
    answers = ("sold out or short", "One sheet fewer", "What else fits", "11 × 14", "Worth stocking", "names first")
    assert [words for words in ("Buy 7 sheets", "Weir Street Papers", *answers, "Take care") if words not in text] == []
    assert "1 / 1" in text
