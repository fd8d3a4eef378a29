"""A kill at any moment leaves the old shelf or the new one; many commands at once lose nothing."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from nesting.shelf.store import history_of, load_shelf, undo_change

ROOT = Path(__file__).parent.parent.parent
CROWD = """
import sys
from cli.main import run
for place in range(int(sys.argv[2])):
    if run(["shelf", "add", f"board {sys.argv[1]}", "11", str(place + 1), "--shelf", sys.argv[3]]):
        sys.exit(1)
"""


def program(*arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, *arguments],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    )


def killed(folder: Path, command: str, kills: int) -> dict[str, Any]:
    answer, said = program(str(Path(__file__).with_name("kills.py")), str(folder), command, str(kills)).communicate()
    assert answer, said
    seen = json.loads(answer)
    assert seen.get("torn", 0) == seen["broken after"] == 0
    assert seen["steps"] == sorted(seen["steps"], reverse=True)
    assert {*seen["steps"]} == {"old", "new"}
    assert len(seen["steps"]) >= 12
    return seen


def crowded(path: Path, processes: int, changes: int) -> None:
    crowd = [program("-c", CROWD, str(number), str(changes), str(path)) for number in range(processes)]
    for one in crowd:
        _, said = one.communicate()
        assert one.returncode == 0, said
    held = load_shelf(path).pieces
    assert len(held) == processes * changes
    assert len({piece.label for piece in held}) == processes * changes
    assert {(piece.board, piece.size.h // 16256) for piece in held} == {
        (f"board {number}", place + 1) for number in range(processes) for place in range(changes)
    }
    assert len(history_of(path).in_force(load_shelf(path).change)) == processes * changes


@pytest.mark.parametrize("command", ["add", "done", "undo"])
def test_a_kill_leaves_the_old_shelf_or_the_new_one(command: str, tmp_path: Path) -> None:
    assert killed(tmp_path, command, 12)["between"] >= 4


@pytest.mark.slow
@pytest.mark.parametrize("command", ["add", "done", "undo"])
def test_many_kills_leave_the_old_shelf_or_the_new_one(command: str, tmp_path: Path) -> None:
    seen = killed(tmp_path, command, 250)
    assert seen["between"] >= 100
    assert seen["old"]
    assert seen["new"]


def test_commands_at_once_lose_nothing(tmp_path: Path) -> None:
    crowded(tmp_path / "shelf.csv", 4, 5)


@pytest.mark.slow
def test_eight_processes_with_fifty_changes_each_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "shelf.csv"
    crowded(path, 8, 50)
    for _ in range(50):
        undo_change(path)
    assert len(load_shelf(path).pieces) == 350


@pytest.mark.parametrize("room", ["none", "for the shelf", "for half a line of the log", "for all"])
def test_a_disk_that_is_full_leaves_the_shelf_as_it_is(room: str, tmp_path: Path) -> None:
    path = tmp_path / "shelf.csv"
    crowded(path, 1, 3)
    before, log = path.read_bytes(), tmp_path / "shelf.csv.history" / "log.jsonl"
    lines = log.read_bytes()
    limit = {"none": 1, "for the shelf": len(before), "for half a line of the log": len(lines) + 50, "for all": 10**6}
    limited = (
        "import resource, signal, sys\n"
        "from cli.main import run\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        f"resource.setrlimit(resource.RLIMIT_FSIZE, ({limit[room]}, {limit[room]}))\n"
        'sys.exit(run(["shelf", "add", "sage", "11", "17", "--shelf", sys.argv[1]]))\n'
    )
    full = program("-c", limited, str(path))
    _, said = full.communicate()
    assert (len(log.read_bytes()) - len(lines) == 50) == (room == "for half a line of the log")
    if room == "for all":
        assert full.returncode == 0
        undo_change(path)
    else:
        assert full.returncode == 2
        assert said.startswith("A file could not be read or written: File too large")
    assert path.read_bytes() == before
    assert not list(tmp_path.rglob("*.part"))
    more = program("-c", CROWD, "after", "1", str(path))
    more.communicate()
    assert more.returncode == 0
    assert len(load_shelf(path).pieces) == 4
    undo_change(path)
    assert path.read_bytes() == before
