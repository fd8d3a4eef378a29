"""The command line: what it prints where, and with which exit code it leaves."""

import io
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

import nesting.plan
from cli import progress
from cli.main import main, run, windowfall
from nesting.errors import CannotBeCutError, Obstacle
from nesting.model.job import When
from nesting.plan import Options, Progress
from tests.handmade import plan

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.usefixtures("plain_terminal")
PROGRAM = [sys.executable, "-c", "from cli.main import main; main()"]


class Planner:
    """Stands for the search: keeps what it was asked and answers with the plan made by hand."""

    def __init__(self) -> None:
        self.asked: list[tuple[Options, float, int]] = []
        self.discounts: list[str] = []

    def __call__(self, job, options, *, seconds, seed, progress, ahead):
        del progress, ahead
        self.asked.append((options, seconds, seed))
        self.discounts = [str(offer.discount) for offer in job.offers]
        return plan()


@pytest.fixture
def planner(monkeypatch: pytest.MonkeyPatch) -> Planner:
    stand_in = Planner()
    monkeypatch.setattr(nesting.plan, "make_plan", stand_in)
    return stand_in


@pytest.fixture
def wall(tmp_path: Path) -> Path:
    """A job of one piece and one offer."""
    folder = tmp_path / "wall"
    folder.mkdir()
    (folder / "pieces.csv").write_text(
        "piece,inside width,inside height,picture width,picture height,boards\nFern,11 1/8,14 1/8,7 1/2,10 1/2,moss\n"
    )
    (folder / "offers.csv").write_text("shop,board,sheet width,sheet height,price\nQuay shop,moss,32,40,7.00\n")
    return folder


def raising(error: BaseException) -> Callable[..., None]:
    def fail(*_arguments: object, **_settings: object) -> None:
        raise error

    return fail


def program(*arguments: str, **settings: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*PROGRAM, *arguments], cwd=ROOT, capture_output=True, encoding="utf-8", check=False, **settings
    )


def test_help_names_every_command_and_the_exit_codes() -> None:
    answer = CliRunner().invoke(windowfall, ["--help"])
    assert answer.exit_code == 0
    for word in ("plan", "check", "demo", "0 done", "1 no plan", "2 the job or the command line is wrong"):
        assert word in " ".join(answer.output.split())


@pytest.mark.parametrize("command", ["plan", "check", "demo"])
def test_every_command_has_help_and_those_that_write_a_report_name_its_files(command: str) -> None:
    answer = CliRunner().invoke(windowfall, [command, "--help"])
    assert answer.exit_code == 0
    named = [word in answer.output for word in ("plan.html", "plan.pdf", "plan.xlsx", "plan.json")]
    assert named == [command != "check"] * 4


def test_help_is_quick() -> None:
    before = os.times()
    program("--help")
    after = os.times()
    assert after.children_user + after.children_system - before.children_user - before.children_system < 0.3


def test_the_version_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--version"]) == 0
    assert capsys.readouterr().out == f"windowfall {nesting.__version__}\n"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["plann"], "Did you mean 'plan'?"),
        (["plan"], "Missing argument 'JOB'"),
        (["plan", "nowhere"], "'nowhere' does not exist"),
        (["demo", "--seconds", "soon"], "'soon' is not a valid number"),
        (["demo", "--seconds", "0"], "--seconds"),
        (["demo", "--seed", "-1"], "--seed"),
        (["demo", "--discont", "5"], "--discount"),
    ],
)
def test_a_wrong_command_line_is_2_and_says_where(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == 2
    captured = capsys.readouterr()
    assert said in captured.err
    assert not captured.out


def test_no_command_at_all_shows_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([]) == 2
    assert "windowfall [OPTIONS] COMMAND" in capsys.readouterr().err


def test_the_options_reach_the_planner(planner: Planner, wall: Path) -> None:
    assert run(["plan", str(wall)]) == 0
    assert run(["plan", str(wall), "--later", "--no-fallout", "--seconds", "3", "--seed", "7", "--discount", "40"]) == 0
    assert planner.asked == [(Options(), 10.0, 0), (Options(When.LATER, use_fallout=False), 3.0, 7)]
    assert planner.discounts == ["40"]


@pytest.mark.usefixtures("planner")
def test_the_answer_goes_to_standard_output_and_no_report_is_written(
    wall: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(wall)
    assert run(["plan", "."]) == 0
    captured = capsys.readouterr()
    assert captured.out.startswith("Buy 1 sheet at")
    assert not captured.err
    assert sorted(path.name for path in Path().iterdir()) == ["offers.csv", "pieces.csv"]


@pytest.mark.usefixtures("planner")
def test_json_is_all_that_standard_output_gets(wall: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", str(wall), "--json", "--out", str(tmp_path / "new" / "report")]) == 0
    captured = capsys.readouterr()
    assert json.loads(captured.out)["format"] == "windowfall plan"
    assert "Written to" in captured.err
    assert (tmp_path / "new" / "report" / "plan.json").read_text() == captured.out


@pytest.mark.usefixtures("planner")
def test_a_report_folder_that_is_a_file_is_2(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", str(wall), "--out", str(wall / "pieces.csv")]) == 2
    assert "is a file" in capsys.readouterr().err
    assert run(["plan", str(wall), "--out", str(wall / "pieces.csv" / "deeper")]) == 2
    assert "the folder cannot be made" in capsys.readouterr().err


def test_a_faulty_job_is_2_with_every_fault(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (wall / "pieces.csv").write_text(
        "piece,inside width,inside height,boards\nFern,eleven,14,moss\nMoss,11,14 3,moss\nFern,1,2,\n"
    )
    for command in ("check", "plan"):
        assert run([command, str(wall)]) == 2
        captured = capsys.readouterr()
        assert captured.err.startswith("Please fix these first:\n- pieces, row 2")
        assert captured.err.count("\n- ") >= 3
        assert not captured.out


def test_a_wrong_discount_is_2(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", str(wall), "--discount", "much"]) == 2
    assert "--discount: 'much' is not a percentage" in capsys.readouterr().err


def test_no_plan_is_1_and_why(wall: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    obstacle = Obstacle("Fern", "is larger than every sheet", "Add a larger sheet")
    monkeypatch.setattr(nesting.plan, "make_plan", raising(CannotBeCutError((obstacle,))))
    assert run(["plan", str(wall)]) == 1
    assert capsys.readouterr().err == (
        "There is no plan, because:\n- Fern: is larger than every sheet. Add a larger sheet.\n"
    )


def test_stopping_before_there_is_a_plan_is_1(
    wall: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(nesting.plan, "make_plan", raising(KeyboardInterrupt()))
    assert run(["plan", str(wall)]) == 1
    assert capsys.readouterr().err.strip() == "Stopped before it was done."


LOADING = """
import sys

class Struck:
    def find_spec(self, name, *_):
        if name == {module!r}:
            raise KeyboardInterrupt

sys.meta_path.insert(0, Struck())
from cli.entry import main
sys.argv = ["windowfall", "demo"]
main()
"""


@pytest.mark.parametrize("module", ["cli.main", "click", "nesting.plan", "ortools.linear_solver"])
def test_ctrl_c_while_it_is_still_loading_is_a_sentence(module: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", LOADING.format(module=module)],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr.strip()) == (1, "", "Stopped before it was done.")


def test_a_mistake_of_ours_is_one_line_and_can_be_looked_into(
    wall: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(nesting.plan, "make_plan", raising(LookupError("two\nlines")))
    monkeypatch.delenv("WINDOWFALL_DEBUG", raising=False)
    assert run(["plan", str(wall)]) == 1
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "LookupError: two lines" in said
    assert "Please report it" in said
    monkeypatch.setenv("WINDOWFALL_DEBUG", "1")
    with pytest.raises(LookupError):
        run(["plan", str(wall)])


def test_a_disk_that_fails_is_2(
    wall: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(nesting.plan, "make_plan", raising(OSError(28, "No space left on device", "plan.json")))
    assert run(["plan", str(wall)]) == 2
    assert capsys.readouterr().err == "A file could not be read or written: No space left on device: plan.json\n"


def test_check_shows_sizes_warnings_and_what_any_stands_for(wall: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (wall / "offers.csv").write_text("shop,board,sheet width,sheet height,price\nQuay shop,any,32,40,7.00\n")
    (wall / "pieces.csv").write_text(
        "piece,inside width,inside height,picture width,picture height,overlap,boards\n"
        "Fern,11 1/8,14 1/8,7 1/2,10 1/2,1/4,moss\nReed,11 1/8,14 1/8,7,10,-1/4,slate\n"
    )
    assert run(["check", str(wall)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Fern 11 × 14 7 × 10 2 2 2" in said
    assert "offers, row 2, Quay shop: any means moss, slate." in said
    assert "- Reed: bare margin shows round the picture" in said
    assert "2 pieces; 2 blanks to cut." in said
    assert said.endswith("No mistakes found. If that is what you meant, leave it.")


def test_copying_the_demonstration_overwrites_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "my wall"
    assert run(["demo", "--copy", str(folder)]) == 0
    assert "Change it, then: windowfall plan" in capsys.readouterr().out
    assert run(["check", str(folder)]) == 0
    capsys.readouterr()
    (folder / "pieces.csv").write_text("mine")
    assert run(["demo", "--copy", str(folder)]) == 2
    assert "pieces.csv" in capsys.readouterr().err
    assert (folder / "pieces.csv").read_text() == "mine"


def test_progress_is_shown_on_a_terminal_only_but_for_the_first_preparing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with progress.shown_progress("$") as show:
        show(Progress(1.0, None, 1700))
        assert capsys.readouterr().err == ""
        show(Progress(1.0, None, 1700, preparing=True))
        assert capsys.readouterr().err == "preparing, first run only: about half a minute\n"

    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    with progress.shown_progress("$") as show:
        show(Progress(1.0, None, 1700))
    assert "No plan yet, cannot go below $17.00." in terminal.getvalue()


def test_progress_says_how_good_the_best_plan_is_in_a_short_line() -> None:
    assert progress.progress_words(Progress(2.4, None, 1700), "$") == "No plan yet, cannot go below $17.00."
    best = progress.progress_words(Progress(3.0, 2220, 1700), "$")
    assert best == "Best so far $22.20, cannot go below $17.00. Ctrl-C to use it."
    assert len(best) < 80 - len("x 0:00:03 ")


def test_whoever_reads_may_stop_early() -> None:
    with subprocess.Popen(
        [*PROGRAM, "check", str(ROOT / "data" / "demo")], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as started:
        assert started.stdout is not None
        assert started.stderr is not None
        started.stdout.close()
        assert started.stderr.read() == b""
        assert started.wait() == 0


def test_a_console_of_few_letters_still_gets_the_answer(wall: Path) -> None:
    done = program("check", str(wall), env=os.environ | {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert done.returncode == 0
    assert "11 ? 14" in done.stdout


def test_a_real_plan_from_end_to_end(wall: Path, tmp_path: Path) -> None:
    done = program("plan", str(wall), "--seconds", "2", "--out", str(tmp_path / "out"))
    assert done.returncode == 0
    assert done.stdout.startswith("Buy 1 sheet at Quay shop: $7.00.\n")
    assert "Proven: these pieces cannot be had for less than $7.00." in done.stdout
    assert not done.stderr
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        "plan.html",
        "plan.json",
        "plan.pdf",
        "plan.xlsx",
        "sheet-S1.svg",
    ]


def test_main_leaves_with_the_exit_code(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "argv", ["windowfall", "--help"])
    with pytest.raises(SystemExit) as left:
        main()
    assert left.value.code == 0
