"""The pages for people say what is so."""

import ast
import doctest
import os
import re
import shlex
import shutil
import subprocess
from pathlib import Path

import click
import openpyxl
import pytest
from click.testing import CliRunner

from cli.main import run, windowfall
from nesting.pairing import FRAMES, PICTURES
from nesting.reading.columns import BENCH, TABLES

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "data" / "README.md"]
README = PAGES[0].read_text(encoding="utf-8")
SHOWN = re.findall(r"```text\n(\$ windowfall .*?)```", README, re.DOTALL)
DEVELOPERS = PAGES[1].read_text(encoding="utf-8")
DEMO = "python3 -m venv .venv && .venv/bin/python -m pip install . && .venv/bin/windowfall demo"
TESTS = 'python3 -m venv .venv && .venv/bin/python -m pip install -e ".[test]" && .venv/bin/python -m pytest'


def test_the_readme_begins_with_the_job_then_a_picture_then_the_two_commands() -> None:
    places = [README.index(part) for part in ("You have a wall of pictures", "![", f"\n{DEMO}\n", f"\n{TESTS}\n")]
    assert places == sorted(places)
    assert [line for line in README.splitlines() if line][1].startswith("You have a wall of pictures")


def test_each_command_stands_alone() -> None:
    assert re.findall(r"```sh\n(.*?)```", README, re.DOTALL) == [f"{DEMO}\n", f"{TESTS}\n"]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: f"{page.parent.name}/{page.name}")
def test_links_lead_somewhere(page: Path) -> None:
    for link in re.findall(r"\]\(([^)#]+)[^)]*\)", page.read_text(encoding="utf-8")):
        assert (page.parent / link).exists(), link


def test_every_command_and_option_that_is_named_exists_and_the_other_way_round() -> None:
    named = set(re.findall(r"`windowfall (\w+)", README + DEVELOPERS))
    assert named <= set(windowfall.commands)
    groups = [command for command in windowfall.commands.values() if isinstance(command, click.Group)]
    below = [command for group in groups for command in group.commands.values()]
    options = {
        name
        for command in (windowfall, *windowfall.commands.values(), *below)
        for option in command.params
        if isinstance(option, click.Option)
        for name in option.opts
    }
    shown = set(re.findall(r"(?<=[`\w ])--[a-z][a-z-]*", README))
    assert shown - {"--help"} <= options


def test_every_option_is_explained_in_the_help_of_its_command() -> None:
    groups = {name: command for name, command in windowfall.commands.items() if isinstance(command, click.Group)}
    every = [*windowfall.commands.items(), *(its for group in groups.values() for its in group.commands.items())]
    for name, command in every:
        told = " ".join(CliRunner().invoke(command, ["--help"]).output.split())
        for option in command.params:
            if isinstance(option, click.Option):
                assert len((option.help or "").split()) >= 3, (name, option.name)
                assert all(spelt in told for spelt in option.opts), (name, option.name)


def test_the_readme_is_short_and_in_the_order_in_which_it_is_wanted() -> None:
    assert len(README.splitlines()) <= 200
    headings = re.findall(r"^## (.*)$", README, re.MULTILINE)
    wanted = ["Set up", "A first plan", "At a sale", "At the bench", "The shelf", "Pairing pictures and frames"]
    assert headings == [*wanted, "Take care", "In other programs and notebooks", "Licence"]


@pytest.fixture(scope="module")
def wall(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shown")
    assert run(["demo", "--copy", str(folder / "wall")]) == 0
    return folder


@pytest.mark.usefixtures("plain_terminal")
@pytest.mark.parametrize("shown", SHOWN, ids=lambda shown: " ".join(shown.split()[2:4]))
def test_what_the_readme_shows_is_what_is_printed(
    shown: str, wall: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(wall)
    command, *lines = shown.splitlines()
    assert run([*shlex.split(command)[2:], "--seconds", "180"]) == 0
    printed = capsys.readouterr().out
    left_away = "(?:.*\n)*?"
    pattern = "".join(left_away if line == "..." else f"{re.escape(line)}\n" for line in lines)
    assert re.fullmatch(pattern, printed), printed


def test_every_table_and_column_is_explained_where_it_is_filled_in(tmp_path: Path) -> None:
    assert run(["start", str(tmp_path / "wall.xlsx")]) == 0
    book = openpyxl.load_workbook(tmp_path / "wall.xlsx")
    for table in TABLES:
        notes = {cell.value: cell.comment.text for cell in book[table.name][1] if cell.comment is not None}
        assert list(notes) == [column.heading for column in table.columns]
        for column in table.columns:
            assert column.meaning in notes[column.heading]
            assert ("Every row needs it." in notes[column.heading]) == column.required
    settings = {row[0].value: row[2].value for row in book["bench"].iter_rows(min_row=2) if row[0].value}
    assert list(settings) == [setting.heading for setting in BENCH]
    assert all(setting.meaning in settings[setting.heading] for setting in BENCH)


def test_every_column_of_frames_and_pictures_stands_in_the_help_of_pair() -> None:
    told = " ".join(CliRunner().invoke(windowfall, ["pair", "--help"]).output.split())
    for table in (FRAMES, PICTURES):
        words = told[told.index(f"Columns of {table.name}: ") :]
        missing = [its.heading for its in table.columns if its.heading != "notes" and its.heading not in words]
        assert missing == []


def packages() -> list[Path]:
    """Return every package of the project, outermost first."""
    return sorted(path.parent for top in ("nesting", "cli") for path in (ROOT / top).rglob("__init__.py"))


def test_the_map_names_every_package() -> None:
    rooms = re.findall(r"^\| `([^`]+/)` \|", DEVELOPERS.split("## Rules")[0], re.MULTILINE)
    assert sorted(rooms) == sorted(f"{path.relative_to(ROOT).as_posix()}/" for path in packages())


@pytest.mark.parametrize("package", packages(), ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_module_is_named_where_its_package_is_described(package: Path) -> None:
    description = ast.get_docstring(ast.parse((package / "__init__.py").read_text(encoding="utf-8"))) or ""
    row = f"| `{package.relative_to(ROOT).as_posix()}/` |"
    description += next(line for line in DEVELOPERS.splitlines() if line.startswith(row))
    there = {path.stem for path in package.glob("*.py")} - {"__init__"}
    named = set(re.findall(r"`(\w+)`", description))
    if package.name == "commands":  # most have the name of their command
        named |= set(windowfall.commands)
    assert there <= named


def test_the_page_for_developers_can_be_read_in_a_quarter_of_an_hour() -> None:
    assert len(DEVELOPERS.split()) < 1800


def test_the_files_that_the_page_for_developers_names_exist() -> None:
    for name in re.findall(r"`((?:nesting|cli|tests|data|\.ci)/[\w./]*)`", DEVELOPERS):
        assert (ROOT / name).exists(), name


def test_every_notebook_stands_in_the_readme() -> None:
    there = {f"notebooks/{path.name}" for path in (ROOT / "notebooks").glob("*.py")}
    assert set(re.findall(r"`(notebooks/\w+\.py)`", README)) == there


def test_every_file_of_the_report_stands_in_the_readme() -> None:
    folder = (ROOT / "cli" / "reports" / "files" / "folder.py").read_text(encoding="utf-8")
    written = set(re.findall(r'folder / f?"([^"]+)"', folder))
    assert "plan.json" in written
    assert [name for name in written if f"`{name.replace('{drawing.name}', 'S1')}`" not in README] == []


def test_what_the_readme_does_in_python_is_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    (session,) = re.findall(r"```python\n(.*?)```", README, re.DOTALL)
    quick = session.replace("seconds=10", "seconds=10, rounds=20")
    found = doctest.DocTestRunner().run(doctest.DocTestParser().get_doctest(quick, {}, "README.md", "README.md", 0))
    assert found.attempted == len(re.findall("^>>> ", session, re.MULTILINE)) > 0
    assert found.failed == 0


def test_ci_runs_the_command_of_the_readme() -> None:
    script = ROOT / ".ci" / "run"
    assert os.access(script, os.X_OK)
    pattern = re.search(r"grep -m 1 -E '([^']+)' README.md", script.read_text(encoding="utf-8"))
    assert pattern is not None
    assert [line for line in README.splitlines() if re.fullmatch(pattern[1].strip("^$"), line)] == [TESTS]


def test_ci_is_sound_shell() -> None:
    bash = shutil.which("bash")
    assert bash is not None
    subprocess.run([bash, "-n", str(ROOT / ".ci" / "run")], check=True)
