"""However early the desk ends, it ends without a word; and what it left half done goes at the next start."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from cli.desk.files import clear_unfinished
from cli.desk.worker import COMMAND, STOP
from nesting.data import data_path
from tests.desk_page.conftest import ROOT, START, Running, free_port

pytestmark = pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="looks for processes as Linux has them")


def children(pid):
    return Path(f"/proc/{pid}/task/{pid}/children").read_text().split()


@pytest.mark.parametrize("after", [0.0, 0.003, 0.02, 0.1, 0.4])
@pytest.mark.parametrize("ending", ["kill", "Ctrl-C"])
def test_the_process_that_plans_ends_without_a_word_while_it_starts(tmp_path, ending, after):
    with (tmp_path / "said").open("wb") as said:
        desk = subprocess.Popen(
            [sys.executable, "-c", START, "desk", "--no-browser", "--port", str(free_port())],
            cwd=ROOT,
            env=Running.environment(tmp_path),
            stdout=subprocess.DEVNULL,
            stderr=said,
            start_new_session=True,
        )
        ends = time.monotonic() + 20
        while not (planners := children(desk.pid)):
            assert time.monotonic() < ends
            time.sleep(0.001)
        time.sleep(after)
        if ending == "kill":
            desk.kill()
        else:
            os.killpg(desk.pid, signal.SIGINT)  # a terminal sends it to every process of its group
        desk.wait(10)
    ends = time.monotonic() + 10
    while any(Path(f"/proc/{pid}").exists() for pid in planners):
        assert time.monotonic() < ends, "a process was left"
        time.sleep(0.01)
    assert (tmp_path / "said").read_text() == ""


def left_over(home):
    """Leave what a kill leaves: a wall half made, one half deleted, a file and a plan half written."""
    data = home / "windowfall"
    for path in (
        data / "walls" / ".part-abc" / "pieces.csv",
        data / ".bin" / ".gone-20260308-090507 Loft" / "pieces.csv",
        data / "walls" / "Loft" / ".part-def",
        data / "walls" / "Loft" / "plans" / ".part-20260308-090507-abcdef01" / "view.json",
    ):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("half")
    whole = data / "walls" / "Loft" / "pieces.csv"
    whole.write_text("piece\n")
    return whole


def files(home):
    return {path for path in (home / "windowfall").rglob("*") if path.is_file() and path.suffix != ".json"}


def test_what_a_kill_left_half_done_goes_at_the_next_start(tmp_path):
    whole = left_over(tmp_path)
    started = Running(tmp_path)
    try:
        assert files(tmp_path) == {whole}
        assert [path.name for path in (tmp_path / "windowfall" / "walls").iterdir()] == ["Loft"]
        left_over(tmp_path)
        half = files(tmp_path)
        second = Running(tmp_path)  # on a port of its own, while the first may be writing
        second.end()
        assert files(tmp_path) == half
        assert len(half) > 1
    finally:
        started.end()


def test_what_a_link_leads_to_stays(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "mine").write_text("whole")
    data = tmp_path / "windowfall"
    data.mkdir()
    (data / ".part-link").symlink_to(elsewhere)
    clear_unfinished()
    assert (elsewhere / "mine").read_text() == "whole"
    assert list(data.iterdir()) == []


def test_a_stop_is_heeded_where_the_desk_was_started_in_the_background(tmp_path):
    """A shell without job control lets what it starts in the background ignore interrupts, and all that comes of it."""
    asked = {"kind": "compare", "folder": str(data_path("demo")), "version": "", "shelf": str(tmp_path / "none.csv")}
    command = [sys.executable, "-c", COMMAND, json.dumps([str(ROOT), *sys.path])]
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        planner = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    finally:
        signal.signal(signal.SIGINT, before)
    with planner:
        planner.stdin.write(f"{json.dumps({'ticket': 1, **asked})}\n".encode())
        planner.stdin.flush()
        answers = (json.loads(line) for line in planner.stdout if line.strip())
        assert "known" in next(answers)
        planner.stdin.write(f"{json.dumps(STOP)}\n".encode())
        planner.stdin.flush()
        last = next(answer for answer in answers if "known" not in answer)
        planner.stdin.close()
    assert last == {"ticket": 1, "stopped": True}
