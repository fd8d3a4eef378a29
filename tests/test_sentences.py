"""No sentence that a person once stumbled over is left anywhere that one is read."""

from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent

# What used to be said, each so short that no other sentence of the program has it.
GONE = (
    "Carry ",
    "to the tills of",
    "cheaper basket",
    "What is meant so may stay so",
    "must be put right first",
    "have the boards liked best",
    "with what comes before it",
    "lain unused",
    "cut upright",
    "cut level",
    "trim upright",
    "trim level",
    "Comes off",
    "Stays:",
    "A bare number is in",
    "a bare number is in",
    "is less than nothing",
    "is nothing. Write",
    "spelt nearly alike",
    "A per cent off is meant",
    "none below",
    "Ctrl-C takes it",
)


def spoken() -> list[Path]:
    """Return what people read or what writes it: the program, its golden files, the corpus, the page for users."""
    solver = ROOT / "nesting" / "packing"  # its comments speak of cuts as the field does, and it says nothing to people
    source = [path for top in ("nesting", "cli") for path in (ROOT / top).rglob("*.py") if solver not in path.parents]
    kept = [path for path in (ROOT / "tests" / "golden").iterdir() if path.suffix in {".txt", ".svg", ".json"}]
    return [*source, *kept, ROOT / "tests" / "corpus" / "said.json", ROOT / "README.md"]


@pytest.mark.parametrize("words", GONE)
def test_it_is_said_no_more(words: str) -> None:
    assert [str(path.relative_to(ROOT)) for path in spoken() if words in path.read_text(encoding="utf-8")] == []


def test_the_places_that_are_looked_through_are_there() -> None:
    assert len(spoken()) > 150
