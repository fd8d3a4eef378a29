"""Renaming a wall, copying it, and the bin, from which a wall can be put back."""

import shutil
import tempfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from cli.desk.files import PART, data_folder
from cli.desk.walls import Wall, Walls, folder_name, id_of
from nesting.errors import WindowfallError

__all__ = ["Binned", "NotMovedError", "binned", "copied", "put_back", "put_in_bin", "renamed"]

_MOMENT = "%Y%m%d-%H%M%S"
_MOMENT_LONG = len("20260101-000000 ")


class NotMovedError(WindowfallError):
    """A wall that stays where it is and as it is called."""


@dataclass(frozen=True, slots=True)
class Binned:
    """A wall in the bin."""

    id: str
    name: str
    folder: Path


def renamed(walls: Walls, wall: Wall, name: str) -> Wall:
    """Give a wall another name, and return it; its id is another one from then on.

    Raises
    ------
    NotMovedError
        If another wall has the name, if it is none, or if the folder is held or is not the desk's own.
    """
    if not name.strip():
        raise NotMovedError("A wall needs a name. Nothing was changed.")
    wanted = folder_name(name)
    if walls.has(wanted, other_than=wall):
        raise NotMovedError(f"There is another wall named {wanted}. Nothing was changed.")
    return _moved(walls, wall, walls.home / wanted)


def copied(walls: Walls, wall: Wall) -> Wall:
    """Return a copy of a wall: its tables and the other files beside them; no plan, no tick and no history.

    Raises
    ------
    NotMovedError
        If it cannot be read or written; then nothing is left of the copy.
    """
    folder = walls.free(f"{wall.name} copy")
    folder.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    part = Path(tempfile.mkdtemp(prefix=PART, dir=folder.parent))
    try:
        for path in wall.folder.iterdir():
            if path.is_file() and not path.name.startswith("."):
                shutil.copyfile(path, part / path.name)
        part.rename(folder)
    except OSError as error:
        shutil.rmtree(part, ignore_errors=True)
        raise NotMovedError(f"{wall.name} cannot be copied: {error.strerror}.") from None
    return Wall(id_of(folder), folder.name, folder)


def put_in_bin(walls: Walls, wall: Wall, now: datetime) -> Binned:
    """Move a wall to the bin, with its plans, its ticks and its history.

    Raises
    ------
    NotMovedError
        If the folder is held or is not the desk's own.
    """
    bin_ = _bin()
    bin_.mkdir(parents=True, exist_ok=True, mode=0o700)
    place = bin_ / f"{now.strftime(_MOMENT)} {wall.name}"
    if place.exists():
        raise NotMovedError("A wall of this name went to the bin in this very second. Try again.")
    moved = _moved(walls, wall, place)
    return Binned(moved.id, wall.name, place)


def binned() -> tuple[Binned, ...]:
    """Return what lies in the bin, the last first."""
    bin_ = _bin()
    folders = sorted(bin_.iterdir(), reverse=True) if bin_.is_dir() else ()
    inside = (folder for folder in folders if folder.is_dir() and not folder.is_symlink() and folder.name[0] != ".")
    return tuple(Binned(id_of(folder), folder.name[_MOMENT_LONG:], folder) for folder in inside)


def put_back(walls: Walls, ident: str) -> Wall:
    """Put a wall from the bin back among the others, and return it; where its name is taken it gets a number.

    Raises
    ------
    NotMovedError
        If there is no such wall in the bin, or its folder is held.
    """
    for each in binned():
        if each.id == ident:
            place = walls.free(each.name)
            place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            return _renamed(each.folder, place)
    raise NotMovedError("There is no such wall in the bin. Load the page again.")


def _moved(walls: Walls, wall: Wall, place: Path) -> Wall:
    if not walls.owns(wall):
        raise NotMovedError(f"{wall.name} lies in a folder that is not the desk's own: move {wall.folder} by hand.")
    return _renamed(wall.folder, place)


def _renamed(folder: Path, place: Path) -> Wall:
    try:
        folder.rename(place)
    except OSError as error:
        raise NotMovedError(f"{folder} cannot be moved: {error.strerror}. Close what has it open.") from None
    return Wall(id_of(place), place.name, place)


def _bin() -> Path:
    return data_folder() / ".bin"
