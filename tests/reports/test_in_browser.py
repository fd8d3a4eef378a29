"""plan.html in a browser: asks for nothing, keeps its ticks, fits phone, tablet and paper, and reads to everyone."""

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page
from pypdf import PdfReader

from cli.reports.pages.booklet import Paper
from cli.reports.pages.compose import compose
from cli.reports.pages.html import write_html
from nesting.bench.cut_order import cutting_list
from nesting.bench.rounds import rounds
from nesting.bench.steps import steps_of
from nesting.model.plan import Plan
from tests.demo_wall import kept_plan
from tests.handmade import plan
from tests.reports.big import many, metric, one_piece, overcut

Open = Callable[..., Page]


@pytest.fixture
def page_of(tmp_path: Path, browser: Browser) -> Open:
    """Open plan.html of a plan from disk, in a browser that knows nothing yet."""

    def opened(made: Plan, *, width: int = 820, name: str = "plan.html", **context: object) -> Page:
        path = tmp_path / name
        with path.open("w", encoding="utf-8") as file:
            write_html(compose(made), file)
        page = browser.new_context(viewport={"width": width, "height": 900}, **context).new_page()
        page.set_default_timeout(10_000)
        page.goto(path.as_uri())
        return page

    return opened


def ticked(page: Page) -> list[str]:
    return page.evaluate("Array.from(document.querySelectorAll('[data-tick]:checked')).map((box) => box.id)")


def test_it_opens_from_disk_and_no_request_leaves_it(tmp_path: Path, browser: Browser) -> None:
    path = tmp_path / "plan.html"
    with path.open("w", encoding="utf-8") as file:
        write_html(compose(kept_plan()), file)
    page = browser.new_page()
    asked: list[str] = []
    said: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(path.as_uri())
    page.get_by_label("Done: 2 chalk 32 × 40").check()
    page.reload()
    assert asked == [path.as_uri()] * 2
    assert said == []


def test_its_policy_refuses_requests_and_foreign_scripts(page_of: Open) -> None:
    page = page_of(plan())
    refused = page.evaluate(
        """async () => {
            const refused = [];
            document.addEventListener("securitypolicyviolation", (event) => refused.push(event.effectiveDirective));
            document.body.append(Object.assign(new Image(), { src: "plan.png" }));
            const script = document.createElement("script");
            script.textContent = "window.foreign = true";
            document.body.append(script);
            await fetch("plan.json").catch(() => {});
            await new Promise((done) => setTimeout(done, 100));
            return [refused.sort(), window.foreign === undefined];
        }"""
    )
    assert refused == [["connect-src", "img-src", "script-src-elem"], True]


def test_ticks_survive_a_reload_and_belong_to_this_plan_alone(page_of: Open) -> None:
    page = page_of(plan())
    assert ticked(page) == []
    page.locator("#cut-S1-2").check()
    page.locator("#mat-M3").check()
    assert page.locator("#done").inner_text() == "2"
    assert not page.get_by_text("Scripts are off").is_visible()
    page.reload()
    assert ticked(page) == ["cut-S1-2", "mat-M3"]
    assert page.locator("#done").inner_text() == "2"
    assert page.locator("[data-of=sheet-S1]").inner_text() == "1/11"
    page.locator("#cut-S1-2").uncheck()
    page.reload()
    assert ticked(page) == ["mat-M3"]
    with Path(page.url.removeprefix("file://")).open("w", encoding="utf-8") as file:
        write_html(compose(kept_plan()), file)
    page.reload()
    assert ticked(page) == []


def test_it_reads_and_ticks_with_scripts_off(page_of: Open) -> None:
    page = page_of(plan(), java_script_enabled=False)
    assert page.get_by_text("Scripts are off").is_visible()
    assert not page.get_by_text("ticked off. Ticks stay").is_visible()
    assert page.get_by_text("Trim all four sides").first.is_visible()
    page.locator("#cut-S1-2").check()
    assert page.locator("#cut-S1-2").is_checked()


@pytest.mark.parametrize("made", [kept_plan, one_piece, overcut], ids=lambda made: made.__name__)
def test_nothing_has_to_be_scrolled_sideways(page_of: Open, made: Callable[[], Plan]) -> None:
    page = page_of(made())
    for width in (390, 820, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        beyond = page.evaluate(
            """() => Array.from(document.querySelectorAll("h2, p, td, article, .care, li"))
                .filter((part) => part.getBoundingClientRect().right > innerWidth + 1).length"""
        )
        assert beyond == 0


def test_an_enlarged_drawing_scrolls_in_its_own_frame(page_of: Open) -> None:
    page = page_of(plan(), width=390)
    before = page.locator("#sheet-S1 svg").first.bounding_box()
    page.locator("#sheet-S1 .enlarge input").check()
    after = page.locator("#sheet-S1 svg").first.bounding_box()
    assert before is not None
    assert after is not None
    assert after["width"] > 2 * before["width"]
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_fractions_are_copied_as_they_read(page_of: Open) -> None:
    page = page_of(plan())
    assert page.locator("#mats-0 td.figure").first.inner_text() == "4"
    copied = page.evaluate(
        """() => {
            const figures = Array.from(document.querySelectorAll("#mats-0 td.figure"));
            const figure = figures.find((cell) => cell.querySelector("sup"));
            getSelection().selectAllChildren(figure);
            return getSelection().toString();
        }"""
    )
    assert copied == "3 1/2"


@pytest.mark.parametrize(("made", "pages"), [(plan, 6), (one_piece, 4)], ids=["by-hand", "one-piece"])
def test_it_prints_to_as_many_pages_as_it_should(page_of: Open, made: Callable[[], Plan], pages: int) -> None:
    page = page_of(made())
    printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    starts = [sheet.extract_text().split("\n")[0] for sheet in printed.pages]
    assert len(printed.pages) == pages, starts
    text = [sheet.extract_text() for sheet in printed.pages]
    for tag in ("Wall ", "S1 slate"):
        assert sum(words.startswith(tag) for words in text) == 1, tag
    assert not any("ticked off" in words or "Enlarge" in words for words in text)


@pytest.mark.parametrize(("made", "most"), [(plan, 6), (kept_plan, 18)], ids=lambda each: getattr(each, "__name__", ""))
def test_a_sheet_prints_on_one_page_with_its_cuts(page_of: Open, made: Callable[[], Plan], most: int) -> None:
    drawn = made()
    printed = PdfReader(io.BytesIO(page_of(drawn).pdf(prefer_css_page_size=True)))
    text = [" ".join(sheet.extract_text().split()) for sheet in printed.pages]
    assert len(text) <= most
    found: list[str] = []
    for words in text:
        here = [
            batch
            for this in rounds(drawn)
            for batch in this.batches
            if f"{batch.ids} {batch.sheets[0].board}," in words
        ]
        steps = [steps_of(cutting_list(drawn, batch)) for batch in here]
        assert words.count("Cut piece:") == sum(not step.is_edges for each in steps for step in each), here
        found += [batch.ids for batch in here]
    assert sorted(found) == sorted(batch.ids for this in rounds(drawn) for batch in this.batches)


def test_beside_its_list_a_drawing_stays_in_sight_and_uses_the_screen(page_of: Open) -> None:
    page = page_of(kept_plan(), width=1280)
    drawing = page.locator("#sheet-S4 .beside svg").first
    rows = page.locator("#sheet-S4 .beside tbody tr")
    at = drawing.bounding_box()
    assert at is not None
    assert at["height"] > 700
    page.evaluate("document.querySelectorAll('#sheet-S4 .beside tbody tr')[4].scrollIntoView()")
    seen = drawing.bounding_box()
    assert seen is not None
    assert seen["y"] >= 0
    assert seen["y"] + seen["height"] <= 900
    page.set_viewport_size({"width": 390, "height": 844})
    narrow = drawing.bounding_box()
    first = rows.first.bounding_box()
    assert narrow is not None
    assert first is not None
    assert narrow["width"] >= 340
    assert narrow["y"] + narrow["height"] <= first["y"]


@pytest.mark.parametrize(("made", "wide"), [(plan, 612), (metric, 595)], ids=["letter", "A4"])
def test_it_prints_on_the_paper_of_the_unit(page_of: Open, made: Callable[[], Plan], wide: int) -> None:
    printed = PdfReader(io.BytesIO(page_of(made()).pdf(prefer_css_page_size=True)))
    assert float(printed.pages[0].mediabox.width) == pytest.approx(wide, abs=1)
    assert compose(made()).paper is (Paper.LETTER if wide == 612 else Paper.A4)


def test_it_reads_to_everyone(page_of: Open) -> None:
    page = page_of(overcut())
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        results = Axe().run(page)
        assert results.violations_count == 0, results.generate_report()
        assert any(rule["id"] == "color-contrast" for rule in results.response["passes"])


def test_ticked_rows_are_told_by_more_than_colour(page_of: Open) -> None:
    page = page_of(many(2))
    words = page.locator("tr:has(#glass-0) td").last
    assert "line-through" not in words.evaluate("(cell) => getComputedStyle(cell).textDecorationLine")
    page.locator("#glass-0").check()
    assert "line-through" not in words.evaluate("(cell) => getComputedStyle(cell).textDecorationLine")
    page.locator("#back-1-0").check()
    assert "line-through" in words.evaluate("(cell) => getComputedStyle(cell).textDecorationLine")
