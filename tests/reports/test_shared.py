"""Rows that stand in two columns are shared out as evenly as their order allows."""

import pytest

from cli.reports.pages.pdf_tables import shared


@pytest.mark.parametrize(
    ("heights", "room", "split"),
    [
        ((), 10, (0, 0)),
        ((3,), 10, (1, 0)),
        ((3, 3, 3), 10, (2, 1)),
        ((3, 3, 4, 3), 10, (2, 2)),
        ((9, 1, 1), 10, (1, 2)),
        ((3, 3, 4, 3), 6, (2, 1)),  # what has no room comes on the next page
        ((11,), 10, (0, 0)),
    ],
)
def test_rows_are_shared_out(heights, room, split):
    assert shared(heights, room) == split
