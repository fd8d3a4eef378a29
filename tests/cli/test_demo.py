"""The demonstration wall: whole, ours, planned, and there once the program is installed."""

import io
import json
from collections import Counter
from pathlib import Path

import pytest

from cli.main import run
from nesting.check import assert_sound
from nesting.data import data_path
from nesting.drawing import draw_sheets
from nesting.drawing.svg import write_svg
from nesting.model.cut_tree import Placed, leaves
from nesting.model.job import When
from nesting.model.plan import FromFallout
from nesting.plan import make_plan
from nesting.sizing import size_pieces, warnings
from tests.demo_wall import demo_job, kept_plan
from tests.goldens import golden, matches

ROOT = Path(__file__).parents[2]


def test_the_demonstration_shows_most_of_what_a_job_can_hold() -> None:
    job = demo_job()
    pieces = [piece for piece in job.pieces if piece.when is When.NOW]
    assert 24 <= sum(piece.quantity for piece in pieces) <= 26
    assert any(piece.across > 1 for piece in pieces)
    assert any(piece.under_boards for piece in pieces)
    assert sum(bool(piece.backing) for piece in pieces) == 1
    assert any(piece.bottom_extra for piece in pieces)
    assert any(len(piece.boards) > 1 for piece in pieces)
    assert any(piece.quantity > 1 for piece in pieces)
    assert len({piece.group for piece in pieces}) == 3
    assert len({offer.shop for offer in job.offers}) == 2
    assert {offer.board for offer in job.offers} >= {None}
    assert len(job.shelf) == 4
    assert not job.warnings
    assert not warnings(job)


def test_a_plan_of_the_demonstration_is_sound_and_uses_fallout() -> None:
    made = make_plan(demo_job(), seconds=2.0)
    assert_sound(made)
    assert made.purchase.lower_bound <= made.purchase.total
    assert any(isinstance(sheet.source, FromFallout) for sheet in made.sheets)


def test_the_kept_plan_still_fits_the_demonstration() -> None:
    kept = json.loads(golden("demo_plan.json").read_text(encoding="utf-8"))
    sized = size_pieces(demo_job(), When.NOW)
    assert [(mat["id"], mat["piece"], mat["blank"]) for mat in kept["mats"]] == [
        (mat.id, mat.piece, list(mat.blank)) for mat in sized
    ]
    made = kept_plan()
    placed = Counter(leaf.item for sheet in made.sheets for leaf in leaves(sheet.root) if isinstance(leaf, Placed))
    assert placed == Counter(range(len(sized)))


def test_the_set_up_ends_with_the_way_to_the_desk(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["demo", "--seconds", "2"]) == 0
    assert capsys.readouterr().out.endswith("with a wall of your own: windowfall desk\n")
    assert run(["demo", "--seconds", "2", "--json"]) == 0
    told = capsys.readouterr()
    assert json.loads(told.out)["summary"]
    assert told.err.endswith("windowfall desk\n")


def test_the_picture_of_the_readme_is_drawn_from_the_kept_plan() -> None:
    file = io.StringIO()
    write_svg(draw_sheets(kept_plan())[0], file)
    assert matches(file.getvalue(), ROOT / "data" / "pictures" / "sheet.svg")


def test_what_the_data_does_not_hold_is_said() -> None:
    with pytest.raises(FileNotFoundError, match="no 'nothing'"):
        data_path("nothing")
