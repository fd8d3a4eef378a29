"""plan.html as text: whole, escaped, and with a policy that fits it."""

import base64
import hashlib
import io
import re
from dataclasses import replace
from html.parser import HTMLParser

from cli.reports.pages.booklet import Booklet, Paper, Section, Words
from cli.reports.pages.compose import compose
from cli.reports.pages.html import write_html
from tests.demo_wall import kept_plan
from tests.handmade import plan


def as_html(booklet: Booklet) -> str:
    file = io.StringIO()
    write_html(booklet, file)
    return file.getvalue()


def test_the_policy_names_the_style_and_the_script_that_are_there_and_nothing_else() -> None:
    page = as_html(compose(plan()))
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)
    assert policy is not None
    for part, directive in (("style", "style-src"), ("script", "script-src")):
        (text,) = re.findall(rf"<{part}>(.*?)</{part}>", page, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"{directive} &#39;sha256-{digest}&#39;;" in policy[1]
    assert policy[1].startswith("default-src &#39;none&#39;;")
    assert "unsafe" not in policy[1]


def test_nothing_in_it_comes_from_elsewhere() -> None:
    page = as_html(compose(kept_plan()))
    assert not re.search(r"(?:src|srcset|action|poster|data)\s*=\s*[\"']", page)
    assert all(target.startswith("#") for target in re.findall(r'href="([^"]*)"', page))
    assert not re.search(r"url\(|@import", page)
    assert set(re.findall(r"https?://[^\s\"<]*", page)) == {"http://www.w3.org/2000/svg"}


def test_what_users_write_is_never_markup() -> None:
    made = plan()
    nasty = '</style><script>alert(1)</script><b title="x">&amp;\udcff'
    pieces = tuple(replace(each, group=nasty) for each in made.job.pieces)
    page = as_html(compose(replace(made, job=replace(made.job, pieces=pieces, path=f"{nasty}.xlsx"))))
    assert "<script>alert" not in page
    assert page.count("<script>") == page.count("</script>") == page.count("<style>") == 1
    assert "&lt;script&gt;alert(1)" in page
    page.encode("utf-8")


def test_every_tag_that_is_opened_is_closed() -> None:
    class Balance(HTMLParser):
        def __init__(self) -> None:
            super().__init__()
            self.open: list[str] = []

        def handle_starttag(self, tag: str, attrs: object) -> None:  # noqa: ARG002 - the parser's own signature
            if tag not in {"meta", "input", "rect", "path"}:
                self.open.append(tag)

        def handle_endtag(self, tag: str) -> None:
            assert tag in {"rect", "path"} or self.open.pop() == tag

    balance = Balance()
    balance.feed(as_html(compose(plan())))
    assert balance.open == []


def test_ids_are_there_once_and_links_lead_to_them() -> None:
    page = as_html(compose(kept_plan()))
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    assert {target.removeprefix("#") for target in re.findall(r'href="([^"]*)"', page)} <= set(ids)


def test_the_same_plan_gives_the_same_page() -> None:
    assert as_html(compose(plan())) == as_html(compose(replace(plan(), seconds=3.0)))


def test_no_sum_of_money_is_broken_before_its_sign() -> None:
    words = Words("It costs 6.02 € more and 44.2 % of 12 in.")
    page = as_html(Booklet("x", "x", Paper.A4, (Section("a", "A", "Title", (words,)),)))
    assert '<span class="n">6.02 €</span> more' in page
    assert '<span class="n">44.2 %</span>' in page
    assert '<span class="n">12 in.</span>' in page
