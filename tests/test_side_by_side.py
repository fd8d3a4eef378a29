"""Tests that run side by side: which do, and that what was left out is still said, once."""

import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.goldens import WRITE
from tests.side_by_side import workers

ROOT = Path(__file__).parent.parent
NAMED, WHOLE = pytest.Config.ArgsSource.ARGS, pytest.Config.ArgsSource.TESTPATHS

CONFTEST = """
import pytest
from tests.left_out import gather_left_out, leave_out, say_left_out

def pytest_collection_modifyitems(config, items):
    leave_out(config, items, "press", lambda: None, "of the press did NOT run.")
    leave_out(config, items, "knife", lambda: "there", "of the knife did NOT run.")

def pytest_testnodedown(node):
    gather_left_out(node)

def pytest_terminal_summary(terminalreporter, config):
    say_left_out(terminalreporter, config)

@pytest.fixture
def press():
    raise AssertionError

@pytest.fixture
def knife():
    pass
"""
TESTS = """
def test_pressed(press): pass
def test_pressed_twice(press): pass
def test_cut(knife): pass
def test_ruled(): pass
"""


@pytest.mark.parametrize(
    ("source", "marks", "cores", "number"),
    [
        (WHOLE, "not slow", 2, 2),
        (WHOLE, "not slow", 16, 16),
        (WHOLE, "not slow", 1, 0),
        (WHOLE, "slow", 2, 0),
        (WHOLE, "", 2, 0),
        (NAMED, "not slow", 2, 0),
    ],
)
def test_only_the_whole_of_the_quick_tests_is_shared_out(source, marks, cores, number, monkeypatch):
    monkeypatch.delenv(WRITE, raising=False)
    config = SimpleNamespace(args_source=source, option=SimpleNamespace(markexpr=marks))
    assert workers(config, cores) == number
    monkeypatch.setenv(WRITE, "write")
    assert workers(config, cores) == 0


@pytest.mark.parametrize("processes", [0, 2])
def test_what_was_left_out_is_said_once(processes, tmp_path):
    (tmp_path / "conftest.py").write_text(CONFTEST, encoding="utf-8")
    (tmp_path / "test_bench.py").write_text(TESTS, encoding="utf-8")
    (tmp_path / "pytest.ini").write_text("[pytest]\npythonpath = " + str(ROOT), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", f"--numprocesses={processes}"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "\n2 passed" in done.stdout
    assert done.stdout.count(" LEFT OUT ") == 1
    assert done.stdout.count("2 tests of the press did NOT run.") == 1
    assert "knife" not in done.stdout
