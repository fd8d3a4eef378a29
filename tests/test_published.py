"""The table of values with a source and the tests that hold them say the same."""

import ast
import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.published.test_guillotine import CONSTRAINED, UNCONSTRAINED

FOLDER = Path(__file__).parent / "published"
FILES = sorted(FOLDER.glob("test_*.py"))
KINDS = {"published", "common practice", "computed", "from memory"}


@dataclass(frozen=True, slots=True)
class Held:
    """A row of the table."""

    test: str
    value: str
    source: str
    kind: str

    @property
    def file(self):
        return FOLDER / self.test.partition("::")[0]


def table():
    lines = (FOLDER / "README.md").read_text(encoding="utf-8").splitlines()
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("| `")]
    return [Held(test.strip("`"), value, source, kind) for test, value, source, kind in rows]


ROWS = table()


def names_in(path):
    nodes = ast.parse(path.read_text(encoding="utf-8")).body
    functions = [node.name for node in nodes if isinstance(node, ast.FunctionDef)]
    return [f"{path.name}::{name}" for name in functions if name.startswith("test_")]


def numbers(text):
    """Return the numbers in a text, ``1/2`` as one, those within names left out."""
    return set(re.findall(r"(?<![\w./])\d+(?:\.\d+|/\d+)?(?![\w/])", re.sub(r"(?<=\d)x(?=\d)", " x ", text)))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_test_has_its_rows(path):
    assert names_in(path) != []
    assert set(names_in(path)) <= {row.test for row in ROWS}


def test_every_row_has_its_test():
    there = {name for path in FILES for name in names_in(path)}
    assert {row.test for row in ROWS} <= there


def test_no_row_stands_twice():
    assert len({(row.test, row.value) for row in ROWS}) == len(ROWS)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.test}: {row.value}"[:80])
def test_a_row_says_what_its_test_does(row):
    assert row.kind in KINDS
    assert row.source
    text = row.file.read_text(encoding="utf-8")
    assert numbers(row.value) <= numbers(text), "a number of the table stands nowhere in the test"
    named = [source.removeprefix("data ") for source in row.source.split("; ") if re.search(r"\d", source)]
    assert [source for source in named if source not in text] == []
    assert named or row.kind != "published"


def test_what_is_from_memory_never_stands_alone():
    grounded = {row.test for row in ROWS if row.kind != "from memory"}
    assert {row.test for row in ROWS} <= grounded


@pytest.mark.parametrize(
    ("test", "optima"),
    [
        ("test_most_value_with_any_number_of_copies", UNCONSTRAINED),
        ("test_most_value_with_copies_limited", CONSTRAINED),
    ],
)
def test_every_optimum_has_its_row(test, optima):
    listed = [row.value for row in ROWS if row.test.endswith(test) and row.kind != "from memory"]
    assert listed == [f"{name}: {fixed}, {turned}" for name, (fixed, turned) in optima.items()]
