"""The file on the desktop starts the desk; only that of Linux can be run here."""

import shlex
import subprocess
from pathlib import Path

import pytest

from cli.desk.shortcut import put_shortcut
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
    assert "-m cli.entry desk" in path.read_text()


def test_without_a_file_that_names_the_desktop_it_is_the_usual_one(tmp_path, monkeypatch):
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    assert put_shortcut("linux", tmp_path).parent == tmp_path / "Desktop"
