"""Every bad job of the corpus gets the message and the exit code that are kept for it, and never a traceback."""

import json
import os
import re
from functools import cache
from itertools import chain
from pathlib import Path

import pytest

from cli.main import run
from cli.progress import PREPARING
from tests.corpus.case import Case
from tests.corpus.column_cases import column_cases
from tests.corpus.command_cases import command_cases
from tests.corpus.file_cases import file_cases
from tests.corpus.job_cases import job_cases
from tests.goldens import WRITE

KEPT = Path(__file__).with_name("said.json")
CASES = tuple(chain(column_cases(), job_cases(), file_cases(), command_cases()))

MESSAGE = re.compile(r"""^- [^:]*:( '([^'\\]|\\.)*'| "([^"\\]|\\.)*")? ?""")
"""The place of a fault and what is given there: what follows is the message."""

LONGEST = 4
"""Lines of an answer that are kept; the rest is counted."""


@cache
def kept() -> dict[str, list[str]]:
    """Return what must be said of each case: the exit code, then the lines."""
    return json.loads(KEPT.read_text(encoding="utf-8"))


def answer(case: Case, folder: Path, capsys: pytest.CaptureFixture[str]) -> list[str]:
    """Run a case and return its exit code and what it said, with the path that is different each time left out."""
    path = str(case.write(folder))
    code = run([argument.replace("JOB", path) for argument in case.arguments])
    said = capsys.readouterr().err.splitlines() if code else []
    lines = [line.replace(path, "JOB").replace(str(folder), "FOLDER") for line in said if line not in {"", PREPARING}]
    if len(lines) > LONGEST + 1:
        lines[LONGEST:] = [f"and {len(lines) - LONGEST} lines more"]
    return [str(code), *(line[:700] for line in lines)]


@pytest.mark.usefixtures("plain_terminal")
@pytest.mark.parametrize("case", CASES, ids=lambda case: ascii(case.name))
def test_it_says_what_is_kept(case: Case, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = answer(case, tmp_path, capsys)
    if os.environ.get(WRITE) == "write":
        KEPT.write_text(json.dumps(kept() | {case.name: said}, indent=1) + "\n", encoding="utf-8", newline="\n")
        kept.cache_clear()
    assert said == kept()[case.name]


def test_the_corpus_is_as_large_as_promised() -> None:
    assert {case.name for case in CASES} == set(kept())
    assert len(CASES) == len(kept())
    bad = [said for said in kept().values() if said[0] != "0"]
    assert len(bad) >= 150
    assert len({MESSAGE.sub("", line) for said in bad for line in said if line.startswith(("- ", "Error"))}) >= 60


def test_nothing_kept_is_a_mistake_of_the_program_or_steers_a_terminal() -> None:
    for said in kept().values():
        assert said[0] in {"0", "1", "2"}
        assert said[0] == "0" or len(said) > 1
        for line in said:
            assert not any(word in line for word in ("made a mistake", "Traceback", "\x1b", "\x9b", "\u202e"))
