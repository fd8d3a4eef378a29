"""Jobs on disk, for the tests of what reads them; tests side by side; and a last word on tests that did not run."""

from collections.abc import Generator
from datetime import UTC, datetime
from typing import Any

import openpyxl
import pytest
from hypothesis import settings

import cli.commands.done
import cli.commands.mending
import cli.commands.shelf
from tests.desk import Desk
from tests.jobs import OFFERS, ONE_OFFER, ONE_PIECE, PIECES
from tests.left_out import gather_left_out, say_left_out
from tests.reports.chromium import demanded_chromium
from tests.side_by_side import compile_kernels, workers

settings.register_profile("untimed", deadline=None)  # no test may fail because the machine is busy
settings.load_profile("untimed")


@pytest.hookimpl(wrapper=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> Generator[None, int, int]:
    return workers(config, (yield))


def pytest_configure(config: pytest.Config) -> None:
    if config.option.numprocesses:
        demanded_chromium()  # what a worker raises while it gathers tests is not told in words
        compile_kernels()


def pytest_testnodedown(node: Any) -> None:
    gather_left_out(node)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    say_left_out(terminalreporter, config)


@pytest.fixture
def folder(tmp_path):
    """Write a job folder; a sound piece and offer are there unless given otherwise."""

    def write(**tables):
        for name, text in ({"pieces": ONE_PIECE, "offers": ONE_OFFER} | tables).items():
            if text is not None:
                data = text if isinstance(text, bytes) else text.encode()
                (tmp_path / f"{name}.csv").write_bytes(data)
        return tmp_path

    return write


@pytest.fixture
def workbook(tmp_path):
    """Write a job workbook from rows of values."""

    def write(change=None, **tables):
        book = openpyxl.Workbook()
        book.remove(book.active)
        sound = {
            "pieces": [PIECES.split(","), ["fern", 11, 17, "sage"]],
            "offers": [OFFERS.split(","), ["nook", "sage", 31, 41, 7.4]],
        }
        for name, rows in (sound | tables).items():
            sheet = book.create_sheet(name)
            for row in rows:
                sheet.append(row)
        if change:
            change(book)
        book.save(tmp_path / "job.xlsx")
        return tmp_path / "job.xlsx"

    return write


@pytest.fixture
def plain_terminal(monkeypatch):
    """Let what the screen gets not hang on the terminal that the tests were started from."""
    for name in ("NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "80")


@pytest.fixture
def desk(tmp_path, capsys, monkeypatch):
    """Give a desk with a shelf file of its own, on one day; a screen of 60 columns."""
    monkeypatch.setenv("COLUMNS", "60")
    made = Desk(tmp_path, capsys)
    monkeypatch.setenv("WINDOWFALL_SHELF", str(made.path))
    for module in (cli.commands.shelf, cli.commands.done, cli.commands.mending):
        monkeypatch.setattr(module, "now", lambda: datetime(2026, 3, 31, 17, 43, tzinfo=UTC))
    return made
