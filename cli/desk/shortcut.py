"""A file on the desktop that starts the desk by a double click, without a terminal."""

import os
import sys
from pathlib import Path

__all__ = ["put_shortcut"]

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
    """
    desktop = _desktop(platform, home or Path.home())
    desktop.mkdir(parents=True, exist_ok=True)
    if platform == "win32":
        python = Path(sys.executable).with_name("pythonw.exe")
        text, path = _WINDOWS.format(command=f'""{python}"" -m cli.entry desk'), desktop / "Windowfall.vbs"
    elif platform == "darwin":
        text, path = _MAC.format(command=f"'{sys.executable}' -m cli.entry desk"), desktop / "Windowfall.command"
    else:
        text, path = _LINUX.format(command=f'"{sys.executable}" -m cli.entry desk'), desktop / "windowfall.desktop"
    path.write_text(text, encoding="utf-8", newline="")
    path.chmod(0o755)
    return path


def _desktop(platform: str, home: Path) -> Path:
    """Return the folder of the desktop; on Linux its name hangs on the language, which a file of the user's says."""
    if platform in {"win32", "darwin"}:
        return home / "Desktop"
    config = Path(os.environ.get("XDG_CONFIG_HOME") or home / ".config") / "user-dirs.dirs"
    lines = config.read_text(encoding="utf-8").splitlines() if config.is_file() else []
    named = [line.partition("=")[2].strip().strip('"') for line in lines if line.startswith("XDG_DESKTOP_DIR=")]
    return Path(named[-1].replace("$HOME", str(home))) if named else home / "Desktop"
