from contextlib import suppress
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from nesting.errors import LengthError
from nesting.lengths import format_length, parse_length, parse_size, round_down, round_near, round_up
from nesting.model.job import Unit

BINARY_RULERS = st.sampled_from([127 * 2**n for n in range(8)])
METRIC_RULERS = st.sampled_from([16, 64, 160, 320, 640, 1280, 3200])
RULERS = BINARY_RULERS | METRIC_RULERS
UNITS = st.sampled_from(list(Unit))
MARKS = st.integers(-3900, 3900)
LENGTHS = st.fractions(min_value=-(10**7), max_value=10**7, max_denominator=10**6)


@given(MARKS, RULERS, UNITS, st.booleans())
def test_reading_what_was_printed_gives_the_same_mark(count, ruler, unit, mark):
    text = format_length(count * ruler, unit, ruler, mark=mark)
    assert parse_length(text, unit, signed=True) == count * ruler


@given(st.integers(-(10**7), 10**7), RULERS, UNITS)
def test_reading_what_was_printed_gives_the_same_length_between_the_marks_too(ticks, ruler, unit):
    assert parse_length(format_length(ticks, unit, ruler), unit, signed=True) == ticks


@given(MARKS, BINARY_RULERS)
def test_fractions_are_in_lowest_terms(count, ruler):
    fraction = format_length(count * ruler, Unit.IN, ruler).rpartition(" ")[2].lstrip("-")
    over, _, under = fraction.partition("/")
    if under:
        assert int(over) % 2 == 1
        assert int(over) < int(under)
        assert 128 % int(under) == 0


@given(LENGTHS, RULERS)
def test_rounding_keeps_to_the_ruler_and_near(length, ruler):
    down, near, up = (rounded(length, ruler) for rounded in (round_down, round_near, round_up))
    assert down % ruler == near % ruler == up % ruler == 0
    assert length - ruler < down <= length <= up < length + ruler
    assert near in {down, up}
    assert -Fraction(ruler, 2) < near - length <= Fraction(ruler, 2)


@given(st.integers(0, 999), st.integers(1, 999), st.integers(2, 999), UNITS)
def test_a_mixed_number_is_its_sum(whole, over, under, unit):
    if over < under:
        parts = parse_length(str(whole), unit) + parse_length(f"{over}/{under}", unit)
        assert parse_length(f"{whole} {over}/{under}", unit) == parse_length(f"{whole}-{over}/{under}", unit) == parts


@given(
    st.text(alphabet="0123456789 .,/-x'\"inmftc\N{VULGAR FRACTION ONE HALF}\N{FRACTION SLASH}e+", max_size=12), UNITS
)
def test_any_text_is_a_length_or_a_fault(text, unit):
    with suppress(LengthError):
        assert parse_length(text, unit) >= 0
    with suppress(LengthError):
        assert min(parse_size(text, unit)) >= 0
