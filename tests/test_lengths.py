import subprocess
import sys
from fractions import Fraction

import pint
import pytest

from nesting import lengths
from nesting.errors import LengthError, WindowfallError
from nesting.lengths import (
    TICKS_PER_INCH,
    TICKS_PER_MM,
    format_length,
    parse_length,
    parse_size,
    round_down,
    round_near,
    round_up,
)
from nesting.model.job import Unit

SIXTEENTH = TICKS_PER_INCH // 16
INCH = Fraction(TICKS_PER_INCH)
FORMS = "Write it like 11 1/4, 11.25, 1 ft 3 in or 285 mm."
COMMA = "has a comma that may mean thousands or decimals. Write"
DATE = (
    "looks like a date: a spreadsheet turned the fraction into a date. "
    "Format the column as Text, then write the length again, such as 8 3/8."
)


def unknown(word):
    return (
        f"has {word!r} after the number, which is no unit that boards are measured in. "
        "Write in, ft, mm, cm or m after the number, or nothing for the job's own unit."
    )


@pytest.mark.parametrize(
    "text",
    [
        "11 1/4",
        "11-1/4",
        '11-1/4"',
        "11 - 1/4",
        "11\N{VULGAR FRACTION ONE QUARTER} in",
        "11 \N{VULGAR FRACTION ONE QUARTER}",
        "11 1\N{FRACTION SLASH}4\N{DOUBLE PRIME}",
        "11\N{NO-BREAK SPACE}1/4\N{NO-BREAK SPACE}in",
        "11\N{NON-BREAKING HYPHEN}1/4 inches",
        "11\N{EN DASH}1/4\N{RIGHT DOUBLE QUOTATION MARK}",
        "11.25",
        "11,25 inch",
        "  11.25 IN. ",
        "45/4",
        "285.75 mm",
        "28.575 cm",
        "0.28575 m",
        "285.75 millimetres",
        "11 1/4''",
    ],
)
def test_forms_of_one_length(text):
    assert parse_length(text, Unit.IN) == 11 * INCH + INCH / 4


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1 ft 3 in", 15),
        ("1 ft 3", 15),
        ("1'3\"", 15),
        ("1\N{PRIME} 3\N{DOUBLE PRIME}", 15),
        ("1\N{RIGHT SINGLE QUOTATION MARK} 3\N{RIGHT DOUBLE QUOTATION MARK}", 15),
        ("1'-3 1/2\"", Fraction(31, 2)),
        ("2 feet", 24),
        ("2ft.", 24),
        ("1 1/2 foot", 18),
        ("1 yd", 36),
        ("1 YD", 36),
        (".5", Fraction(1, 2)),
        ("\N{VULGAR FRACTION FIVE EIGHTHS}", Fraction(5, 8)),
        ("0", 0),
    ],
)
def test_other_forms(text, inches):
    assert parse_length(text, Unit.IN) == inches * INCH


@pytest.mark.parametrize(("text", "millimetres"), [("285 mm", 285), ("28,5 cm", 285), ("1,25 cm", Fraction(25, 2))])
def test_metric_forms_in_a_job_in_inches(text, millimetres):
    assert parse_length(text, Unit.IN) == millimetres * TICKS_PER_MM


@pytest.mark.parametrize(("unit", "ticks"), [(Unit.IN, 7 * 16256), (Unit.MM, 7 * 640), (Unit.CM, 7 * 6400)])
def test_bare_number_is_in_the_jobs_unit(unit, ticks):
    assert parse_length("7", unit) == ticks


def test_thirds_stay_exact():
    assert parse_length("1/3", Unit.IN) == INCH / 3


@pytest.mark.parametrize("text", ["-1/4", "\N{MINUS SIGN}0.25", "- 1/4 in"])
def test_negative_only_where_allowed(text):
    assert parse_length(text, Unit.IN, signed=True) == -INCH / 4
    with pytest.raises(LengthError) as caught:
        parse_length(text, Unit.IN)
    assert str(caught.value) == "must be 0 or more. Take the minus sign away, or leave the cell empty."


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", f"is empty. {FORMS}"),
        ("wide", f"is not a length. {FORMS}"),
        ("NaN", f"is not a length. {FORMS}"),
        ("inf", f"is not a length. {FORMS}"),
        ("1e308", f"is not a length. {FORMS}"),
        ("1 000", f"is not a length. {FORMS}"),
        ("11 x 4", f"is not a length. {FORMS}"),
        ("1 1\N{VULGAR FRACTION ONE HALF}", f"is not a length. {FORMS}"),
        ("1.5 1/2", f"is not a length. {FORMS}"),
        ("11 in 1/4", f"is not a length. {FORMS}"),
        ("9" * 5000, f"is not a length. {FORMS}"),
        ("\N{ARABIC-INDIC DIGIT ONE}\N{ARABIC-INDIC DIGIT TWO}", f"has digits other than 0 to 9. {FORMS}"),
        ("\N{FULLWIDTH DIGIT ONE}", f"has digits other than 0 to 9. {FORMS}"),
        ("1/0", f"divides by zero. {FORMS}"),
        ("11 1/0", f"divides by zero. {FORMS}"),
        ("1,234", f"{COMMA} 1234 if it means thousands, otherwise 1.234."),
        ("0,125", f"{COMMA} 0.125."),
        ("1,234.5", f"{COMMA} it with a full stop for decimals and nothing between thousands, like 1234.5."),
        ("28, 5", f"{COMMA} 28.5."),
        ("3-Aug", DATE),
        ("Aug-3", DATE),
        ("2024-03-08", DATE),
        ("3/8/2024", DATE),
        ("8.3.2024 00:00:00", DATE),
        (
            "11 5/4",
            "has a fraction of one or more after a whole number. Write a fraction that is less than one, like 11 1/4.",
        ),
        (
            "1 63/8",
            (
                "has a fraction of one or more after a whole number. "
                "Write 16 3/8 if the space slipped, or else a smaller fraction."
            ),
        ),
        ("1 ft 3 cm", "has something other than inches after the feet. Write it like 1 ft 3 in."),
        ("1 ft 3 in 4", "has something other than inches after the feet. Write it like 1 ft 3 in."),
        ("200 m", "is longer than 100 m. Write a length that fits a workshop, and check its unit."),
        ("11 nm", unknown("nm")),
        ("11 kg", unknown("kg")),
        ("11 sage", unknown("sage")),
        ("11 if", unknown("if")),
        ("50%", unknown("%")),
        ("11 (mm)", unknown("(mm)")),
        ("11 X", unknown("X")),
        ("11 " + "sage" * 11, unknown("sage" * 10)),
        ("1\N{SUPERSCRIPT TWO}", unknown("\N{SUPERSCRIPT TWO}")),
    ],
)
def test_what_is_no_length_is_a_fault(text, message):
    with pytest.raises(LengthError) as caught:
        parse_length(text, Unit.IN)
    assert str(caught.value) == message
    assert isinstance(caught.value, WindowfallError)


def test_longest_length_is_allowed():
    assert parse_length("100 m", Unit.IN) == 100_000 * TICKS_PER_MM


@pytest.mark.parametrize("word", ["in", "inch", "inches", "mm", "cm", "ft", "foot", "feet"])
def test_common_units_agree_with_the_registry(word):
    exact = pint.UnitRegistry(non_int_type=Fraction)
    millimetres = exact.Quantity(Fraction(1), exact.parse_units(word)).to("mm").magnitude
    assert parse_length(f"1 {word}", Unit.CM) == millimetres * TICKS_PER_MM


@pytest.mark.parametrize(
    ("text", "unit", "size"),
    [
        ("4 x 6 in", Unit.MM, (4 * INCH, 6 * INCH)),
        ("4x6", Unit.IN, (4 * INCH, 6 * INCH)),
        ("100 by 150 mm", Unit.IN, (Fraction(64000), Fraction(96000))),
        ("10 \N{MULTIPLICATION SIGN} 15", Unit.CM, (Fraction(64000), Fraction(96000))),
        ("4 in x 150 mm", Unit.CM, (4 * INCH, Fraction(96000))),
        ('3 1/2" x 5"', Unit.MM, (INCH * 7 / 2, 5 * INCH)),
        ("5", Unit.IN, (5 * INCH, 5 * INCH)),
    ],
)
def test_sizes_in_one_cell(text, unit, size):
    assert parse_size(text, unit) == size


@pytest.mark.parametrize("text", ["4 x wide", "4 x", "x 6", "4 x 6 kg"])
def test_a_size_with_a_side_that_is_no_length_is_a_fault(text):
    with pytest.raises(LengthError):
        parse_size(text, Unit.IN)


def test_three_lengths_are_no_size():
    with pytest.raises(LengthError) as caught:
        parse_size("4 x 6 x 8", Unit.IN)
    assert str(caught.value) == "has more than two lengths. Write a width and a height, such as 4 x 6 in."


def test_rounding_to_the_ruler():
    for offset, down, near, up in ((0, 0, 0, 0), (1, 0, 0, 1), (507, 0, 0, 1), (508, 0, 1, 1), (1015, 0, 1, 1)):
        length = Fraction(37 * SIXTEENTH + offset)
        assert round_down(length, SIXTEENTH) == (37 + down) * SIXTEENTH
        assert round_near(length, SIXTEENTH) == (37 + near) * SIXTEENTH
        assert round_up(length, SIXTEENTH) == (37 + up) * SIXTEENTH


def test_halfway_goes_up_below_nothing_too():
    assert round_near(Fraction(-508), SIXTEENTH) == 0
    assert round_down(Fraction(-1), SIXTEENTH) == -SIXTEENTH
    assert round_up(Fraction(-1), SIXTEENTH) == 0


@pytest.mark.parametrize(
    ("ticks", "unit", "ruler", "plain", "marked"),
    [
        (170688, Unit.IN, SIXTEENTH, "10 1/2", "10 1/2 in"),
        (127, Unit.IN, 127, "1/128", "1/128 in"),
        (-20320, Unit.IN, SIXTEENTH, "-1 1/4", "-1 1/4 in"),
        (-4064, Unit.IN, SIXTEENTH, "-1/4", "-1/4 in"),
        (-480, Unit.MM, 160, "-0.75", "-0.75 mm"),
        (0, Unit.IN, SIXTEENTH, "0", "0 in"),
        (2 * TICKS_PER_INCH, Unit.IN, SIXTEENTH, "2", "2 in"),
        (182400, Unit.MM, 640, "285", "285 mm"),
        (182400, Unit.CM, 640, "28.5", "28.5 cm"),
        (16, Unit.MM, 16, "0.025", "0.025 mm"),
        (-16, Unit.CM, 16, "-0.0025", "-0.0025 cm"),
    ],
)
def test_printing_what_is_on_the_ruler(ticks, unit, ruler, plain, marked):
    assert format_length(ticks, unit, ruler) == plain
    assert format_length(ticks, unit, ruler, mark=True) == marked


def test_a_finer_fraction_than_the_rulers_is_printed_exactly():
    assert format_length(TICKS_PER_INCH + 127, Unit.IN, SIXTEENTH) == "1 1/128"


def test_what_no_fraction_of_the_inch_says_is_printed_in_millimetres():
    assert format_length(640000, Unit.IN, SIXTEENTH) == "1000 mm"
    assert format_length(1, Unit.IN, SIXTEENTH) == "0.0015625 mm"


def test_a_ruler_in_millimetres_is_answered_in_millimetres():
    assert format_length(10 * TICKS_PER_INCH, Unit.IN, TICKS_PER_MM) == "254 mm"


@pytest.mark.parametrize(
    "unit", ["in", "IN", "inch", "Inches", '"', "''", "ft", "foot", "FEET", "'", "mm", "cm", "CM."]
)
def test_common_units_are_not_looked_up(unit, monkeypatch):
    monkeypatch.setattr(lengths, "_looked_up", pytest.fail)
    assert parse_length(f"3 {unit}", Unit.IN) == 3 * parse_length(f"1{unit}", Unit.MM) > 0


def test_reading_common_units_loads_nothing_heavy():
    program = (
        "import sys; from nesting.lengths import parse_length; from nesting.model.job import Unit; "
        "[parse_length(t, Unit.IN) for t in ('11 1/4', '285 mm', '28,5 cm', '1 ft 3 in')]; "
        "sys.exit(sum(name in sys.modules for name in ('pint', 'pandas', 'numpy', 'openpyxl')))"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
