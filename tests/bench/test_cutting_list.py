"""Measures on the ruler and between its marks."""

import pytest

from nesting.bench.cutting_list import measure_words
from nesting.model.job import Unit
from tests.handmade import bench, inches


@pytest.mark.parametrize(
    ("ticks", "words"),
    [
        (inches("10 1/2"), "10 1/2"),
        (inches("10 17/32"), "10 17/32 (between the marks 10 1/2 and 10 9/16)"),
        (1920, "3 mm (between the marks 1/16 and 1/8)"),
    ],
)
def test_a_measure_between_two_marks_says_so(ticks, words):
    assert measure_words(ticks, bench()) == words


def test_a_measure_in_millimetres_between_two_marks_says_so():
    metric = bench(unit=Unit.MM, ruler=640)
    assert measure_words(7040, metric) == "11"
    assert measure_words(7360, metric) == "11.5 (between the marks 11 and 12)"
