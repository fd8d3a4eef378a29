"""Where the desk keeps things, and how a file is replaced in one step."""

import json
import os
import shutil
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Any

from platformdirs import user_data_path

__all__ = ["GONE", "PART", "clear_unfinished", "data_folder", "read_json", "replace_with", "write_json"]


PART = ".part-"
"""How the name of a file or a folder begins that is not all there yet."""
GONE = ".gone-"
"""How the name of a folder begins that is being deleted."""


def data_folder() -> Path:
    """Return the folder of the user's own data, made where it is not there; the user alone can look into it."""
    folder = user_data_path("windowfall", appauthor=False)
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    return folder


def replace_with(path: Path, data: bytes) -> None:
    """Put a file in place of another in one step: a kill at any moment leaves the old one or the new one.

    Parameters
    ----------
    path : Path
        Where it goes; its folder is made where it is not there.
    data : bytes
        What it holds. The user alone can read it.
    """
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    number, name = tempfile.mkstemp(prefix=PART, dir=path.parent)
    part = Path(name)
    try:
        with os.fdopen(number, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def write_json(path: Path, value: Any) -> None:
    """Replace a file by a value as JSON, in one step."""
    replace_with(path, json.dumps(value, ensure_ascii=False).encode())


def read_json(path: Path, otherwise: Any) -> Any:
    """Return the value that a file of the desk's own holds, or another one where there is none to read."""
    try:
        return json.loads(path.read_bytes())
    except (OSError, ValueError):
        return otherwise


def clear_unfinished() -> None:
    """Take away what a desk that was killed has left half written or half deleted; no other desk may be running."""
    left = [path for path in data_folder().rglob(".*") if path.name.startswith((PART, GONE))]
    for path in left:
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path, ignore_errors=True)
        else:
            with suppress(OSError):
                path.unlink(missing_ok=True)
