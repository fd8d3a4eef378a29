"""Help that teaches: examples that run, the nearest command or path, completion, and output without colours."""

import os
import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from cli import progress
from cli.main import run, windowfall
from cli.teaching import LESSONS, teach
from nesting.plan import Progress

ROOT = Path(__file__).parents[2]
PROGRAM = [sys.executable, "-c", "from cli.main import main; main()"]
pytestmark = pytest.mark.usefixtures("plain_terminal")


def commands(group: click.Group, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    for name, command in group.commands.items():
        yield (*path, name)
        if isinstance(command, click.Group):
            yield from commands(command, (*path, name))


EVERY = sorted(commands(windowfall))


def helped(path: tuple[str, ...]) -> str:
    answer = CliRunner().invoke(windowfall, [*path, "--help"])
    assert answer.exit_code == 0
    return answer.output


def examples(path: tuple[str, ...]) -> list[str]:
    """Find the lines of a help that begin as a command line of this command does."""
    start = f"windowfall {' '.join(path)}"
    return [
        line.strip().removeprefix("For example: ").removeprefix("Example: ").strip()
        for line in helped(path).splitlines()
        if start in line and not line.startswith("Usage")
    ]


@pytest.mark.parametrize("path", EVERY, ids=" ".join)
def test_every_help_has_an_example_that_the_command_line_reads(
    path: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("wall.xlsx").touch()
    Path("attic").mkdir()
    found = examples(path)
    assert found
    for example in found:
        words = shlex.split(example)[1:]
        assert tuple(words[: len(path)]) == path
        command: click.Command = windowfall
        for name in path:
            assert isinstance(command, click.Group)
            command = command.commands[name]
        command.make_context(path[-1], words[len(path) :], resilient_parsing=False)


def test_every_lesson_is_of_a_command_and_every_command_has_one() -> None:
    assert set(LESSONS) == {" ".join(path) for path in EVERY}


@pytest.mark.parametrize("columns", [60, 80])
@pytest.mark.parametrize("path", [(), *EVERY], ids=" ".join)
def test_help_fits_its_window_and_no_line_of_the_list_is_cut_short(path: tuple[str, ...], columns: int) -> None:
    text = CliRunner().invoke(windowfall, [*path, "--help"], terminal_width=columns).output
    assert max(map(len, text.splitlines())) <= columns
    assert "..." not in text.partition("Commands:")[2]


def test_commands_are_listed_in_the_order_in_which_they_are_wanted() -> None:
    listed = [line.split()[0] for line in helped(()).split("Commands:")[1].splitlines() if line.startswith("  ")]
    assert [name for name in listed if name in windowfall.commands] == [name for name in LESSONS if " " not in name]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["pln"], "Did you mean 'plan'?"),
        (["shelf", "lst"], "Did you mean 'list'?"),
        (["xyzzy"], "The commands are: desk, start, pair, check, plan, compare, till, demo, shelf, done."),
        (["my wall"], 'my wall is there: to plan it, windowfall plan "my wall"'),
        (["check"], "For example: windowfall check wall.xlsx"),
        (["shelf", "correct"], "For example: windowfall shelf correct R7"),
        (["check", "my", "wall"], "in it goes in quotes"),
        (["check", "my wal"], 'Did you mean "my wall"?'),
        (["check", "nowhere/wall"], "There is no folder nowhere either."),
        (["check", "--drawing", "my wall"], "Did you mean one of: '--drawings'"),
    ],
)
def test_a_mistake_is_answered_with_what_was_probably_meant(
    arguments: list[str],
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("my wall").mkdir()
    Path("my").touch()
    assert run(arguments) == 2
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_is_a_script_for_the_shell(shell: str) -> None:
    answer = subprocess.run(
        PROGRAM,
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=False,
        env=os.environ | {"_WINDOWFALL_COMPLETE": f"{shell}_source"},
    )
    if shell == "bash" and "Shell completion is not supported for Bash" in answer.stderr:
        assert not answer.stdout
        return
    assert answer.returncode == 0
    assert "_WINDOWFALL_COMPLETE" in answer.stdout
    assert "windowfall" in answer.stdout


def test_completion_completes_commands_and_options() -> None:
    answer = subprocess.run(
        PROGRAM,
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=True,
        env=os.environ | {"_WINDOWFALL_COMPLETE": "bash_complete", "COMP_WORDS": "windowfall ch", "COMP_CWORD": "1"},
    )
    assert answer.stdout.split() == ["plain,check"]


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run([*arguments]) == 0
    return capsys.readouterr().out


def test_colours_are_for_a_terminal_that_wants_them(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    demo = str(ROOT / "data" / "demo")
    assert "\x1b[" not in printed(capsys, "check", demo)
    monkeypatch.setenv("FORCE_COLOR", "1")  # as if on a terminal
    assert "\x1b[1m" in printed(capsys, "check", demo)
    assert "\x1b[" not in printed(capsys, "check", demo, "--plain")
    assert "\x1b[" not in printed(capsys, "--plain", "check", demo)
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b[3" not in printed(capsys, "check", demo)


class _Terminal:
    """A standard error that says it is a terminal."""

    def __init__(self) -> None:
        self.written = ""

    def isatty(self) -> bool:
        return True

    def write(self, words: str) -> int:
        self.written += words
        return len(words)

    def flush(self) -> None:
        pass


@pytest.mark.parametrize("plain", [False, True])
def test_progress_has_no_colours_either_where_that_is_asked_for(monkeypatch: pytest.MonkeyPatch, plain: bool) -> None:
    terminal = _Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    with click.Context(windowfall) as context:
        context.color = False if plain else None
        with progress.shown_progress("$") as show:
            show(Progress(1.0, 2200, 1700))
    assert ("\x1b[3" in terminal.written) is not plain


def test_faults_part_no_word_on_a_terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "pieces.csv").write_text("piece,inside widht,inside height,boards\nFern,11,14,moss\n")
    terminal = _Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("COLUMNS", "43")
    assert run(["check", str(tmp_path)]) == 2
    lines = terminal.written.splitlines()
    assert lines[1:3] == ["- pieces, row 1: 'inside widht' is not a", "  heading of this table. Did you mean"]
    assert max(map(len, lines)) <= 43


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (click.IntRange(0), "0 or more"),
        (click.IntRange(1, 999_999), "1 to 999999"),
        (click.FloatRange(0, min_open=True), "more than 0"),
        (click.FloatRange(0, 86_400, min_open=True), "more than 0, up to 86400"),
    ],
)
def test_ranges_are_said_in_words(kind: click.IntRange | click.FloatRange, words: str) -> None:
    group = click.Group("one", commands=[click.Command("two", params=[click.Option(["--many"], type=kind)])])
    teach(group)
    answer = CliRunner().invoke(group, ["two", "--help"], terminal_width=80)
    assert f"[{words}]" in answer.output
    refused = CliRunner().invoke(group, ["two", "--many", "-1"])
    assert f"-1{'' if isinstance(kind, click.IntRange) else '.0'} is not in the range {words}." in refused.output


def test_no_help_says_a_range_in_signs() -> None:
    assert not [path for path in EVERY if "<=" in helped(path) or ">=" in helped(path) or "x>" in helped(path)]


# Words that would name a second time what the glossary has a word for.
OTHER_WORDS = (
    "aperture",
    "cutout",
    "cut-out",
    "remnant",
    "dropout",
    "drop-out",
    "matboard",
    "rebate",
    "passepartout",
    "spacer",
)


def test_the_words_are_those_of_the_glossary() -> None:
    pages = [helped(path) for path in [(), *EVERY]]
    pages += [(ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")]
    pages += [path.read_text(encoding="utf-8") for room in ("cli", "nesting") for path in (ROOT / room).rglob("*.py")]
    said = "\n".join(pages).casefold()
    assert [word for word in OTHER_WORDS if word in said] == []
