"""A plan file read back, and everything that can be wrong with one."""

import json
from pathlib import Path
from typing import Any

import pytest

from nesting.errors import PlanFileError
from nesting.geometry import Size
from nesting.identity import identity_of
from nesting.model.job import Unit
from nesting.model.plan import Bought, FromFallout, FromShelf
from nesting.model.status import SolveStatus
from nesting.plan_file.read import Spare, read_plan_file
from tests.goldens import golden
from tests.handmade import plan
from tests.shelf.shelves import write_plan


@pytest.fixture
def told(tmp_path: Path) -> dict[str, Any]:
    return json.loads((write_plan(plan(), tmp_path) / "plan.json").read_text())


def refusal(told: object, folder: Path) -> str:
    path = folder / "plan.json"
    path.write_text(json.dumps(told))
    with pytest.raises(PlanFileError) as caught:
        read_plan_file(path)
    return str(caught.value).replace(str(path), "P")


def test_what_was_written_is_read_back(tmp_path: Path) -> None:
    made = plan()
    read = read_plan_file(write_plan(made, tmp_path))
    assert read == read_plan_file(tmp_path / "plan.json")
    assert [(sheet.id, sheet.board, sheet.source, sheet.size) for sheet in read.sheets] == [
        (sheet.id, sheet.board, sheet.source, sheet.size) for sheet in made.sheets
    ]
    assert {type(sheet.source) for sheet in read.sheets} == {Bought, FromShelf, FromFallout}
    assert read.leftover == made.leftover
    assert [placed.mat.windows for placed in read.mats] == [placed.mat.windows for placed in made.mats]
    assert [placed.mat.borders for placed in read.mats] == [placed.mat.borders for placed in made.mats]
    assert (read.unit, read.squaring, read.keep_at_least) == (Unit.IN, 2032, Size(4 * 16256, 5 * 16256))
    assert read.spares == ()
    assert read.in_file == frozenset()


def test_sheets_that_are_bought_and_not_cut_are_spare(told: dict[str, Any], tmp_path: Path) -> None:
    told["purchase"]["lines"][0]["count"] = 3
    (tmp_path / "plan.json").write_text(json.dumps(told))
    assert read_plan_file(tmp_path).spares == (Spare(1, "slate", Size(32 * 16256, 40 * 16256), 2),)


@pytest.mark.usefixtures("told")
def test_the_mark_of_a_plan_is_where_its_identity_begins(tmp_path: Path) -> None:
    read = read_plan_file(tmp_path)
    assert read.mark == read.identity[:6]
    assert len(read.identity) == 16
    assert identity_of(plan()).plan == read.identity


def test_a_plan_keeps_its_identity_wherever_it_lies_and_however_it_is_laid_out(
    told: dict[str, Any], tmp_path: Path
) -> None:
    first = read_plan_file(tmp_path).identity
    other = tmp_path / "elsewhere.json"
    other.write_text(json.dumps(told, indent=4, sort_keys=True))
    assert read_plan_file(other).identity == first
    told["search"] = {"proof": "none", "seconds": 9.75, "seed": 3}
    told["job"]["path"] = "copied/stairs"
    told["purchase"]["total"] = "1.00"
    other.write_text(json.dumps(told))
    assert read_plan_file(other).identity == first


@pytest.mark.parametrize(
    "change",
    [
        lambda t: t["mats"][0].update(piece="another"),
        lambda t: t["mats"][0].update(turned=not t["mats"][0]["turned"]),
        lambda t: t["sheets"][1].update(board="slate"),
        lambda t: t["sheets"][0]["cuts"]["size"].__setitem__(0, 7),
        lambda t: t["purchase"]["lines"][0].update(count=3),
        lambda t: t["bench"].update(squaring=7),
    ],
)
def test_a_plan_that_cuts_otherwise_has_another_identity(change: Any, told: dict[str, Any], tmp_path: Path) -> None:
    first = read_plan_file(tmp_path).identity
    change(told)
    (tmp_path / "plan.json").write_text(json.dumps(told))
    assert read_plan_file(tmp_path).identity != first


def test_ids_that_follow_the_rows_are_no_part_of_the_identity(told: dict[str, Any], tmp_path: Path) -> None:
    first = read_plan_file(tmp_path)
    swapped = json.loads(json.dumps(told).replace('"M1"', '"M"').replace('"M2"', '"M1"').replace('"M"', '"M2"'))
    swapped["mats"].reverse()
    (tmp_path / "plan.json").write_text(json.dumps(swapped))
    second = read_plan_file(tmp_path)
    assert second.identity == first.identity
    assert (second.keys["M1"], second.keys["M2"]) == (first.keys["M2"], first.keys["M1"])
    assert first.keys["M1"] != first.keys["M2"]
    assert second.keys["S1"] == first.keys["S1"]


def test_the_kept_plan_of_the_demonstration_is_read() -> None:
    read = read_plan_file(golden("demo_plan.json"))
    assert read.mats
    assert read.sheets
    assert read.status is SolveStatus.PROVEN_OPTIMAL


def test_a_plan_file_from_before_the_status_was_kept_is_read(told: dict[str, Any], tmp_path: Path) -> None:
    del told["search"]["status"]
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(told))
    assert read_plan_file(path).status is None


def test_what_is_no_plan_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(PlanFileError, match=r"plan.json is not there. Give the folder that plan --out wrote"):
        read_plan_file(tmp_path)
    (tmp_path / "plan.json").write_bytes(b"\xff\xfe{")
    with pytest.raises(PlanFileError, match="it is not JSON"):
        read_plan_file(tmp_path)
    for foreign in ([], {}, {"format": "other"}, "windowfall plan"):
        assert (
            refusal(foreign, tmp_path) == "P is no plan file of Windowfall. Give the plan.json that plan --out wrote."
        )


def test_a_plan_file_of_a_newer_program_is_told(told: dict[str, Any], tmp_path: Path) -> None:
    assert refusal(told | {"version": 2}, tmp_path) == (
        "P is of version 2, written by a newer Windowfall; this one knows version 1. Bring the program up to date."
    )


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda t: t.pop("sheets"), "it has no sheets"),
        (lambda t: t.update(ticks_per_mm=641), "ticks_per_mm is not 640"),
        (lambda t: t["sheets"][1].pop("board"), "sheets, number 2 has no board"),
        (lambda t: t["sheets"][1].update(size=[3, 5, 7]), "sheets, number 2, size is no pair of whole numbers"),
        (lambda t: t["sheets"][1].update(size=[3, 0]), "sheets, number 2, size is no size"),
        (lambda t: t["sheets"][1].update(size=[3, 5.5]), "sheets, number 2, size, number 2 is no whole number from 0"),
        (lambda t: t["search"].update(status="perfect"), "search, status is no way in which a search ends"),
        (lambda t: t["sheets"][0]["source"].update(kind="lent"), "is none of bought, shelf and fallout"),
        (lambda t: t["sheets"][2].update(id="S1"), "it has two parts of one id"),
        (lambda t: t["mats"][0].update(sheet="S9"), "names a sheet, a mat or a window that is not in it"),
        (lambda t: t["sheets"][2]["source"].update(window=1), "names a sheet, a mat or a window that is not in it"),
        (
            lambda t: t["sheets"].insert(0, t["sheets"].pop(2)),
            "has the fallout S3 before the sheet that it falls out of",
        ),
        (lambda t: t["leftover"][0].update(keep="yes"), "leftover, number 1, keep is not true or false"),
        (lambda t: t["mats"].append("M9"), "mats, number 7 is not a group of fields"),
        (lambda t: t["bench"].update(unit="ell"), "bench, unit is no unit"),
        (lambda t: t["sheets"][1].pop("cuts"), "sheets, number 2 has no cuts"),
        (lambda t: t.update(shelf_table=[{"label": "lid"}]), "shelf_table, number 1 has no quantity"),
        (lambda t: t.update(again={}), "again has no plan"),
    ],
)
def test_a_plan_file_that_was_changed_is_told_with_the_place(
    change: Any, said: str, told: dict[str, Any], tmp_path: Path
) -> None:
    change(told)
    answer = refusal(told, tmp_path)
    assert answer.startswith("P is a plan file that something has changed: ")
    assert said in answer
    assert answer.endswith("Plan the job again.")
