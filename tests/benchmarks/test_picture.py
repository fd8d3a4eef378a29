"""What the picture shows."""

import pytest

from tests.benchmarks.measures import OURS, REFERENCE
from tests.benchmarks.picture import draw, lines
from tests.benchmarks.test_table import RUN, measure


def test_a_line_for_each_solver_and_all_classes_in_one():
    made = lines([*RUN, measure(OURS, 0, 4, 3, kind="class7"), measure(OURS, 0, 3, 3, kind="flat")])
    assert list(made) == [f"classes, {OURS}, 2 s", f"classes, {REFERENCE}, 2 s", f"flat, {OURS}, 2 s"]
    [point] = made[f"classes, {OURS}, 2 s"]
    assert point.n == 17
    assert point.above == pytest.approx(100 * (27 / 25 - 1))
    assert point.proven == pytest.approx(50)
    [point] = made[f"classes, {REFERENCE}, 2 s"]
    assert point.proven == pytest.approx(100 / 3)


def test_it_is_drawn_or_said_why_not(tmp_path):
    said = draw(RUN, tmp_path)
    drawn = sorted(path.name for path in tmp_path.iterdir())
    assert drawn == ([] if said.startswith("No picture: matplotlib") else ["plot.png", "plot.svg"])
