"""Forty slips: of each `check` says one thing, to the letter; and what it passes, `plan` can start on."""

import csv
import re
from pathlib import Path

import pytest

from cli.main import run
from tests.corpus.slips import Slip, slips

SLIPS = tuple(slips())
PLACE = re.compile(r"^(pieces|offers|shops|shelf|boards|bench|the job|step|class)\b")
"""A message begins with the table or the piece that it is about."""


def written(slip: Slip, folder: Path) -> str:
    """Write the job of a slip, and return its path."""
    if slip.build is not None:
        return str(slip.build(folder))
    for name, rows in slip.tables.items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
    return str(folder)


@pytest.mark.usefixtures("plain_terminal")
@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip.name)
def test_what_is_said_of_a_slip(slip: Slip, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", written(slip, tmp_path)]) == slip.code
    captured = capsys.readouterr()
    if slip.code == 0:
        assert slip.said in " ".join(captured.out.split())
        assert "No mistakes found." in captured.out
    else:
        # One mistake, one sentence.
        assert [line[2:] for line in captured.err.splitlines() if line.startswith("- ")] == [slip.said]
        assert PLACE.match(slip.said)
        assert "No mistakes found." not in captured.out


def test_there_are_forty() -> None:
    assert len({slip.name for slip in SLIPS}) == 40
