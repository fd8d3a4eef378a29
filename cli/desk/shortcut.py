"""A file on the desktop that starts the desk by a double click, without a terminal."""

import os
import re
import shlex
import sys
from pathlib import Path

from cli.desk.files import replace_with
from nesting.errors import WindowfallError

__all__ = ["NoShortcutError", "put_shortcut"]

_LINUX = """[Desktop Entry]
Type=Application
Name=Windowfall
Comment=Plan a wall of framed pictures
Exec={command}
Terminal=false
Categories=Graphics;
"""
# A window of its own is what the usual interpreter opens there; this one opens none.
_WINDOWS = 'CreateObject("WScript.Shell").Run "{command}", 0, False\r\n'
_MAC = "#!/bin/sh\nexec {command}\n"


class NoShortcutError(WindowfallError):
    """A desktop on which no file can be put."""


def put_shortcut(platform: str = sys.platform, home: Path | None = None) -> Path:
    """Write the file that starts the desk, and return where it is.

    Parameters
    ----------
    platform : str
        As `sys.platform`.
    home : Path, optional
        In place of the user's own.

    Returns
    -------
    Path

    Raises
    ------
    NoShortcutError
        If nothing can be written there.
    """
    desktop = _desktop(platform, home or Path.home())
    name, data = _file(platform)
    try:
        desktop.mkdir(parents=True, exist_ok=True)
        replace_with(desktop / name, data)
        (desktop / name).chmod(0o755)
    except OSError as error:
        raise NoShortcutError(f"Nothing can be put on the desktop, {desktop}: {error.strerror}.") from None
    return desktop / name


def _file(platform: str) -> tuple[str, bytes]:
    """Return the name of the file and what it holds."""
    if platform == "win32":
        python = Path(sys.executable).with_name("pythonw.exe")
        # What reads such a file there takes plain bytes for an old encoding of the country, in which names differ.
        return "Windowfall.vbs", _WINDOWS.format(command=f'""{python}"" -m cli.entry desk').encode("utf-16")
    if platform == "darwin":
        return "Windowfall.command", _MAC.format(command=f"{shlex.quote(sys.executable)} -m cli.entry desk").encode()
    return "windowfall.desktop", _LINUX.format(command=f"{_quoted(sys.executable)} -m cli.entry desk").encode()


def _quoted(path: str) -> str:
    """Return a path as the line Exec wants it: marks that its quotes leave alive escaped, and then all as a value."""
    marked = re.sub(r'(["`$\\])', r"\\\1", path.replace("%", "%%"))
    return '"' + marked.replace("\\", "\\\\") + '"'


def _desktop(platform: str, home: Path) -> Path:
    """Return the folder of the desktop; on Linux its name hangs on the language, which a file of the user's says."""
    if platform in {"win32", "darwin"}:
        return home / "Desktop"
    config = Path(os.environ.get("XDG_CONFIG_HOME") or home / ".config") / "user-dirs.dirs"
    lines = config.read_text(encoding="utf-8").splitlines() if config.is_file() else []
    named = [line.partition("=")[2].strip().strip('"') for line in lines if line.startswith("XDG_DESKTOP_DIR=")]
    return Path(named[-1].replace("$HOME", str(home))) if named else home / "Desktop"
