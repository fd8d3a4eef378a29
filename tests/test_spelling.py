"""When two ways of writing a name mean one thing, and names that no user can write."""

import pytest

from nesting.reading.columns import plain_key
from nesting.spelling import Spellings, fold, internal, without_mark

ACUTE, COMPOSED = "\N{COMBINING ACUTE ACCENT}", "\N{LATIN SMALL LETTER E WITH ACUTE}"


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (f"caf{COMPOSED}", f"cafe{ACUTE}"),
        (f"caf{COMPOSED}", f"CAFE{ACUTE}"),
        ("deep sage", " Deep\N{NO-BREAK SPACE} SAGE"),
        ("sage", "\N{FULLWIDTH LATIN SMALL LETTER S}age"),
        ("fir", "\N{LATIN SMALL LIGATURE FI}r"),
        ("weiss", "wei\N{LATIN SMALL LETTER SHARP S}"),
        ("sage", "sa\N{SOFT HYPHEN}ge"),
        ("sage", "\N{ZERO WIDTH NO-BREAK SPACE}sage"),
    ],
)
def test_one_name_spelt_in_two_ways(one: str, other: str) -> None:
    assert fold(one) == fold(other)
    assert plain_key(one) == plain_key(other)


@pytest.mark.parametrize(("one", "other"), [(f"caf{COMPOSED}", "cafe"), ("sage 1", "sage 2"), ("sage-", "sage")])
def test_names_that_differ_in_what_is_seen_stay_apart(one: str, other: str) -> None:
    assert fold(one) != fold(other)


def test_a_folded_name_folds_to_itself() -> None:
    for code in range(0x20, 0x3000):
        assert fold(fold(chr(code))) == fold(chr(code)), hex(code)


def test_the_first_spelling_is_kept() -> None:
    names = Spellings()
    assert names.spell(f"Cafe{ACUTE}") == f"Cafe{ACUTE}"
    assert names.spell(f"CAF{COMPOSED.upper()}") == f"Cafe{ACUTE}"
    assert names.all == (f"Cafe{ACUTE}",)


def test_a_name_of_the_programs_own_is_no_name_of_a_user_and_is_shown_without_its_mark() -> None:
    assert fold(internal("left 1")) != fold("left 1")
    assert without_mark(internal("left 1")) == without_mark("left 1") == "left 1"
