"""What stood in a file before stands there still, whole, unless the new one is whole; nothing beside it is touched."""

import errno
import json
import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

import nesting.plan
from cli.main import run
from cli.reports.files import folder as report_folder
from tests.handmade import plan

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.usefixtures("plain_terminal")
PROGRAM = [sys.executable, "-c", "from cli.main import main; main()"]
WRITERS = ("write_json", "write_html", "write_pdf", "write_workbook", "write_svg")
FIRST_FILE = {
    "write_json": "plan.json",
    "write_html": "plan.html",
    "write_pdf": "plan.pdf",
    "write_workbook": "plan.xlsx",
}


@pytest.fixture
def wall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A job whose plan is made by hand, so that nothing is searched."""
    job = tmp_path / "wall"
    job.mkdir()
    (job / "pieces.csv").write_text("piece,inside width,inside height,boards\nFern,11,17,moss\n")
    (job / "offers.csv").write_text("shop,board,sheet width,sheet height,price\nQuay,moss,31,41,7.00\n")
    monkeypatch.setattr(nesting.plan, "make_plan", lambda *_arguments, **_settings: plan())
    return job


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """The folder of an earlier report, with other things in it."""
    made = tmp_path / "out"
    made.mkdir()
    for name in (
        "plan.json",
        "plan.html",
        "plan.pdf",
        "plan.xlsx",
        "sheet-S1.svg",
        "sheet-S99.svg",
        "letter.txt",
        ".hidden",
    ):
        (made / name).write_bytes(f"the earlier {name}".encode())
    (made / "photos").mkdir()
    (made / "photos" / "plan.json").write_text("mine")
    return made


def held(folder: Path) -> dict[str, tuple[bytes, int]]:
    """Return what is in a folder, to the byte and to the time it was written."""
    return {
        str(path.relative_to(folder)): (path.read_bytes(), path.stat().st_mtime_ns)
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def failing(error: BaseException, monkeypatch: pytest.MonkeyPatch, writer: str) -> None:
    """Let a writer fail after it has written a little."""

    def fail(_made: object, file: object, *_more: object) -> None:
        file.write(b"half" if "b" in getattr(file, "mode", "w") else "half")
        raise error

    monkeypatch.setattr(report_folder, writer, fail)


@pytest.mark.parametrize("writer", WRITERS)
def test_a_disk_that_runs_full_leaves_the_earlier_report_and_the_answer_is_still_shown(
    writer: str, wall: Path, out: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = held(out)
    failing(OSError(errno.ENOSPC, "No space left on device"), monkeypatch, writer)
    assert run(["plan", str(wall), "--out", str(out)]) == 2
    assert held(out) == before
    said = capsys.readouterr()
    where = out / FIRST_FILE.get(writer, "sheet-S1.svg")
    assert said.err == f"A file could not be read or written: No space left on device: {where}\n"
    assert said.out.startswith("Buy 1 sheet at")


def test_a_plan_that_cannot_be_written_is_still_given_as_json(
    wall: Path, out: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    failing(OSError(errno.EDQUOT, "Disk quota exceeded"), monkeypatch, "write_pdf")
    assert run(["plan", str(wall), "--json", "--out", str(out)]) == 2
    assert json.loads(capsys.readouterr().out)["format"] == "windowfall plan"


@pytest.mark.parametrize("writer", WRITERS)
def test_ctrl_c_while_the_report_is_written_leaves_the_earlier_one(
    writer: str, wall: Path, out: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = held(out)
    failing(KeyboardInterrupt(), monkeypatch, writer)
    assert run(["plan", str(wall), "--out", str(out)]) == 1
    assert held(out) == before
    said = capsys.readouterr()
    assert said.err == "Stopped while the report was written: none of its files was put in place.\n"
    assert said.out.startswith("Buy 1 sheet at")


def test_a_mistake_of_ours_in_a_page_leaves_the_earlier_report(
    wall: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = held(out)
    failing(LookupError("a page"), monkeypatch, "write_workbook")
    monkeypatch.delenv("WINDOWFALL_DEBUG", raising=False)
    assert run(["plan", str(wall), "--out", str(out)]) == 1
    assert held(out) == before


def test_a_folder_in_the_place_of_a_file_is_told_before_any_file_is_replaced(
    wall: Path, out: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (out / "sheet-S1.svg").unlink()
    (out / "sheet-S1.svg").mkdir()
    before = held(out)
    assert run(["plan", str(wall), "--out", str(out)]) == 2
    assert held(out) == before
    assert f"There is a folder of the same name: {out / 'sheet-S1.svg'}" in capsys.readouterr().err


def test_a_new_report_replaces_its_own_files_alone(wall: Path, out: Path) -> None:
    before = held(out)
    assert run(["plan", str(wall), "--out", str(out)]) == 0
    after = held(out)
    ours = {"plan.json", "plan.html", "plan.pdf", "plan.xlsx", "sheet-S1.svg"}
    assert {name for name in before if before[name] != after[name]} == ours
    assert {name for name in after if not name.startswith("sheet-S")} == {
        name for name in before if "sheet" not in name
    }
    assert after["sheet-S99.svg"] == before["sheet-S99.svg"]


def test_a_report_in_the_place_of_a_link_leaves_what_it_leads_to(wall: Path, out: Path) -> None:
    (out / "plan.json").unlink()
    (out / "plan.json").symlink_to(out / "letter.txt")
    assert run(["plan", str(wall), "--out", str(out)]) == 0
    assert (out / "letter.txt").read_text() == "the earlier letter.txt"
    assert not (out / "plan.json").is_symlink()


def _small_files() -> None:
    """Let no file grow beyond a few bytes, as on a disk that is full."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))


def full_disk(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the program where every larger file is refused by the system itself."""
    return subprocess.run(
        [*PROGRAM, *arguments],
        cwd=ROOT,
        env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"} | environment,
        capture_output=True,
        encoding="utf-8",
        check=False,
        preexec_fn=_small_files,
    )


@pytest.mark.parametrize(
    "command",
    [
        ("plan", "JOB", "--seconds", "1", "--out", "OUT"),
        ("demo", "--copy", "OUT/copy"),
        ("start", "OUT/job.xlsx"),
        ("start", "OUT/job"),
        ("shelf", "add", "a board of some length", "11", "17", "--shelf", "OUT/shelf.csv"),
        ("shelf", "list", "--shelf", "OUT/shelf.csv", "--picture", "OUT/shelf.svg"),
    ],
    ids=" ".join,
)
def test_a_disk_that_is_full_is_said_in_words_and_nothing_is_left_half_written(
    command: tuple[str, ...], wall: Path, out: Path
) -> None:
    assert run(["shelf", "add", "sage", "5", "7", "--shelf", str(out / "shelf.csv")]) == 0
    before = held(out)
    done = full_disk(*(part.replace("JOB", str(wall)).replace("OUT", str(out)) for part in command))
    assert done.returncode == 2
    assert "A file could not be read or written: File too large" in done.stderr
    assert "Traceback" not in done.stderr
    after = held(out)
    assert {name: after.get(name) for name in before} == before
    new = {name for name in after if name not in before and "history" not in name}
    assert not new, new


def test_standard_output_that_is_full_is_said_once(wall: Path) -> None:
    if not Path("/dev/full").exists():
        return
    for command in ("check", "plan"):
        with Path("/dev/full").open("w") as full:
            done = subprocess.run(
                [*PROGRAM, command, str(wall)],
                cwd=ROOT,
                stdout=full,
                stderr=subprocess.PIPE,
                encoding="utf-8",
                check=False,
            )
        assert done.returncode == 2
        assert done.stderr.splitlines()[-1].endswith("No space left on device.")
        assert "Exception ignored" not in done.stderr


@pytest.mark.parametrize("closed", [1, 2])
def test_a_stream_that_is_closed_ends_nothing(closed: int, wall: Path) -> None:
    def close() -> None:
        os.close(closed)

    done = subprocess.run(
        [*PROGRAM, "check", str(wall)],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=False,
        preexec_fn=close,
    )
    assert done.returncode == 0
    assert "Traceback" not in done.stderr


def test_memory_at_its_end_is_said_in_words(
    wall: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fill(*_arguments: object, **_settings: object) -> None:
        raise MemoryError

    monkeypatch.setattr(nesting.plan, "make_plan", fill)
    assert run(["plan", str(wall)]) == 1
    assert "There is not memory enough for this job" in capsys.readouterr().err
