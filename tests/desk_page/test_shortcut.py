"""The file on the desktop starts the desk; only that of Linux can be run here."""

import re
import shlex
import subprocess
from pathlib import Path

import pytest

from cli.desk.shortcut import NoShortcutError, put_shortcut
from tests.desk_page.conftest import ROOT


def test_on_linux_it_lies_where_the_user_has_the_desktop_and_runs_the_desk(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    (tmp_path / "config").mkdir()
    (tmp_path / "config" / "user-dirs.dirs").write_text('XDG_DESKTOP_DIR="$HOME/Bureau"\n')
    path = put_shortcut("linux", tmp_path)
    assert path == tmp_path / "Bureau" / "windowfall.desktop"
    lines = dict(line.partition("=")[::2] for line in path.read_text().splitlines()[1:])
    assert (lines["Type"], lines["Terminal"]) == ("Application", "false")
    said = subprocess.run([*shlex.split(lines["Exec"]), "--help"], cwd=ROOT, capture_output=True, text=True, check=True)
    assert said.stdout.startswith("Usage: windowfall desk")


@pytest.mark.parametrize(("platform", "name"), [("win32", "Windowfall.vbs"), ("darwin", "Windowfall.command")])
def test_elsewhere_it_lies_on_the_desktop(tmp_path, platform, name):
    path = put_shortcut(platform, tmp_path)
    assert path == Path(tmp_path, "Desktop", name)
    data = path.read_bytes()
    assert "-m cli.entry desk" in data.decode("utf-16" if platform == "win32" else "utf-8")


def test_without_a_file_that_names_the_desktop_it_is_the_usual_one(tmp_path, monkeypatch):
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    assert put_shortcut("linux", tmp_path).parent == tmp_path / "Desktop"


def test_marks_in_the_path_of_the_program_are_no_commands(tmp_path, monkeypatch):
    python = tmp_path / 'a $HOME "b" `c` 100% \\d' / "python"
    monkeypatch.setattr("sys.executable", str(python))
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    (line,) = [line for line in put_shortcut("linux", tmp_path).read_text().splitlines() if line.startswith("Exec=")]
    # As a desktop reads it: first the value, then the quotes, then the codes that begin with a per cent sign.
    value = line.removeprefix("Exec=").replace("\\\\", "\\")
    quoted = re.match(r'"((?:[^"\\]|\\.)*)" -m', value)
    assert quoted
    assert re.sub(r"\\(.)", r"\1", quoted.group(1)).replace("%%", "%") == str(python)
    assert not re.search(r'(?<!\\)["`$]', quoted.group(1))
    assert "%%" in value


@pytest.mark.parametrize("name", ["it's", "a $HOME b"])
def test_on_a_mac_the_path_is_one_word(tmp_path, monkeypatch, name):
    monkeypatch.setattr("sys.executable", f"/{name}/python")
    command = put_shortcut("darwin", tmp_path).read_text().splitlines()[1]
    assert shlex.split(command) == ["exec", f"/{name}/python", "-m", "cli.entry", "desk"]


def test_names_in_other_letters_reach_windows_whole(tmp_path, monkeypatch):
    monkeypatch.setattr("sys.executable", "/Zoë/python.exe")
    data = put_shortcut("win32", tmp_path).read_bytes()
    assert data.startswith((b"\xff\xfe", b"\xfe\xff"))
    assert '""/Zoë/pythonw.exe"" -m cli.entry desk' in data.decode("utf-16")


def test_a_desktop_that_takes_no_file_is_named(tmp_path, monkeypatch):
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    (tmp_path / "Desktop").write_text("a file")
    with pytest.raises(NoShortcutError, match=r"Nothing can be put on the desktop, .*Desktop"):
        put_shortcut("linux", tmp_path)
