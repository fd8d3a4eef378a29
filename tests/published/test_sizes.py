"""The sizes that come with the program, against what has been published about them."""

from itertools import pairwise

import pytest

from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM
from nesting.model.job import Unit
from nesting.reading.named_sizes import named_sizes, size_named
from tests.published.test_units import ISO_216

BY_NAME = {size.name: size for size in named_sizes()}

# Photo prints and frames, in inches: common practice, no source (ISO 1008 gives prints in mm; these are trade names).
PRINTS = [
    *("3.5x5", "4x6", "5x7", "6x8", "8x10", "8x12"),
    *("10x12", "11x14", "12x16", "16x20", "20x24", "20x30"),
]
FRAMES = ["4x6", "5x7", "8x10", "8.5x11", "11x14", "12x16", "16x20", "18x24", "20x24", "24x36", "30x40"]


def in_ticks(name):
    return tuple(float(side) * TICKS_PER_INCH for side in name.split("x"))


@pytest.mark.parametrize("name", ISO_216)
def test_paper(name):
    # ISO 216:2007, in mm.
    assert BY_NAME[name].size == tuple(side * TICKS_PER_MM for side in ISO_216[name])
    assert BY_NAME[name].source == "ISO 216:2007"


def test_there_is_no_other_paper():
    assert {size.name for size in named_sizes() if size.is_paper} == set(ISO_216)


@pytest.mark.parametrize(("names", "used_for"), [(PRINTS, "prints"), (FRAMES, "frames")])
def test_prints_and_frames(names, used_for):
    kept = {size.size: size for size in named_sizes() if used_for in size.used_for.split(" and ")}
    assert set(kept) == {in_ticks(name) for name in names}
    assert {size.source for size in kept.values()} == {"common practice, no source"}
    assert all(size_named(name, Unit.IN) == in_ticks(name) for name in names)


def test_halving_a_sheet_of_paper_gives_the_next():
    # Computed: by ISO 216:2007 each size is half of the one before, down to the millimetre.
    for series in ("A", "B"):
        sizes = [BY_NAME[name].size for name in sorted(BY_NAME) if name.startswith(series)]
        for larger, smaller in pairwise(sizes):
            assert smaller == (larger.height / TICKS_PER_MM // 2 * TICKS_PER_MM, larger.width)
