"""The shelf file on the disk: locked while it is changed, replaced whole or not at all, and brought back by undo.

A change first keeps what the file held, then writes a line in the log, and last puts the new file in place of the old
one. That last step is one move of the file system, and it alone makes the change: stopped anywhere before it, by a kill
or a full disk, the shelf is the old one to the byte.
"""

import hashlib
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from filelock import FileLock, Timeout
from platformdirs import user_data_path

from nesting.errors import ShelfError
from nesting.model.job import Unit
from nesting.shelf.held import Move, Shelf, ShelfChangeError
from nesting.shelf.history import Change, History, Mark, Reservation, append_change, append_mark, read_history
from nesting.shelf.text import read_shelf, shelf_text

__all__ = [
    "VARIABLE",
    "Edited",
    "change_shelf",
    "history_of",
    "load_shelf",
    "load_with_history",
    "shelf_before",
    "shelf_path",
    "undo_change",
]

VARIABLE = "WINDOWFALL_SHELF"
"""The variable of the environment that says where the shelf file is."""
_PATIENCE = 60.0
_UNDO_DEPTH = 200
_LAST = "last.csv"
_MEANWHILE = "another program changed it at this very moment. Close it there, then give the command again"


@dataclass(frozen=True, slots=True)
class Edited:
    """What a change makes of the shelf, what moved, which parts of which plan it books, and what it keeps for whom.

    The fields are those of the `Change` that it becomes.
    """

    shelf: Shelf
    moves: tuple[Move, ...]
    plan: str | None = None
    booked: tuple[str, ...] = ()
    time: int = 1
    reserved: Reservation | None = None
    dropped: tuple[str, ...] = ()
    joined: bool = False
    undoes: int | None = None

    def changes(self, shelf: Shelf) -> bool:
        """Whether it changes anything of a shelf or its log."""
        told = (self.moves, self.booked, self.reserved, self.dropped, self.undoes)
        return self.shelf != shelf or any(told)


Edit = Callable[[Shelf, History], Edited]


def shelf_path(told: str | None = None) -> Path:
    """Return where the shelf file is: where told, or else where the variable or the system says.

    Parameters
    ----------
    told : str or None
        A path of the user's; empty counts as None.

    Returns
    -------
    Path
        Of the file itself where it is a link, so that replacing it leaves the link.
    """
    named = told or os.environ.get(VARIABLE)
    path = Path(named) if named else user_data_path("windowfall", appauthor=False) / "shelf.csv"
    return path.resolve()


def load_shelf(path: Path, unit: Unit = Unit.IN) -> Shelf:
    """Return the shelf at a path; one with nothing on it, in this unit, where there is no file.

    Raises
    ------
    ShelfError
        If the file has faults, with all of them; or if it is gone, or another program wrote an older one over it.
    """
    return load_with_history(path, unit)[0]


def load_with_history(path: Path, unit: Unit = Unit.IN) -> tuple[Shelf, History]:
    """Return the shelf at a path as `load_shelf` does, with the log as it was at the same moment.

    A log that is read before the shelf may lack the shelf's last change; then nothing seems to have led to it.
    """
    data, history = _bytes(path), history_of(path)
    while (now := _bytes(path)) != data:  # another program changed it between the two, so the log may be newer
        data, history = now, history_of(path)
    shelf = _parsed(path, data, unit)
    _refuse_if_overwritten(path, data, shelf, history)
    return shelf, history


def history_of(path: Path) -> History:
    """Return the log of the shelf at a path."""
    return read_history(_folder(path))


def change_shelf(path: Path, command: str, edit: Edit, *, unit: Unit = Unit.IN, now: datetime) -> Edited:
    """Change the shelf at a path, so that whatever happens it is either the old one or the new one.

    Parameters
    ----------
    path : Path
        The shelf file; it and its folder are made where they are missing.
    command : str
        What is done, in a word.
    edit : callable
        Makes the new shelf of the old one and its log; what changes nothing writes nothing.
    unit : Unit
        The unit of a shelf that is made now.
    now : datetime
        The time, with its zone.

    Returns
    -------
    Edited
        What `edit` returned.

    Raises
    ------
    ShelfError
        If the file has faults or the change is not possible; or if another program changed the file meanwhile, or holds
        it for too long. Nothing is changed then.
    OSError
        If the disk refuses. Nothing is changed then.
    """
    with _locked(path):
        before = _bytes(path)
        shelf, history = _parsed(path, before, unit), history_of(path)
        _refuse_if_overwritten(path, before, shelf, history)
        try:
            edited = edit(shelf, history)
        except ShelfChangeError as error:
            raise ShelfError(str(path), (str(error),)) from None
        if not edited.changes(shelf):
            return edited
        number = max(history.last, shelf.change) + 1
        after = shelf_text(replace(edited.shelf, change=number))
        read_shelf(after, str(path))  # what could not be read again is never written
        change = Change(
            number=number,
            parent=0 if before is None else shelf.change,
            at=now.isoformat(timespec="seconds"),
            command=command,
            before=_digest(before),
            after=hashlib.sha256(after).hexdigest(),
            moves=edited.moves,
            plan=edited.plan,
            booked=edited.booked,
            time=edited.time,
            reserved=edited.reserved,
            dropped=edited.dropped,
            joined=edited.joined,
            undoes=edited.undoes,
        )
        _keep(path, f"before-{number}.csv", before)
        _keep(path, _LAST, after)
        append_change(_folder(path), change)
        _refuse_if_changed(path, before)
        _replace(path, after)
        with suppress(OSError):  # the change is made, and a disk that is now full only forgets that it was
            append_mark(_folder(path), Mark.FINISHED, number)
        (_folder(path) / f"before-{number - _UNDO_DEPTH}.csv").unlink(missing_ok=True)
        return edited


def undo_change(path: Path, *, last: int | None = None) -> Change:
    """Bring back the very bytes that the shelf file had before its last change.

    Parameters
    ----------
    path : Path
        The shelf file.
    last : int or None
        If given, the number that its last change must have.

    Returns
    -------
    Change
        The change that was undone; the one that began it, where a command made several. What it wrote is kept in the
        folder of the log.

    Raises
    ------
    ShelfError
        If there is nothing to undo, or undoing would lose what was changed by hand since. Nothing is changed then.
    """
    with _locked(path):
        now = _bytes(path)
        shelf, history = _parsed(path, now, Unit.IN), history_of(path)
        _refuse_if_overwritten(path, now, shelf, history)
        together = history.last_together(shelf.change)
        if not together:
            raise ShelfError(str(path), ("there is no change of this shelf that could be undone",))
        if last is not None and shelf.change != last:
            raise ShelfError(str(path), (_MEANWHILE,))
        change = together[0]
        if _digest(now) != together[-1].after:
            said = (
                f"it was changed by hand after its last change ({change.command}, {change.at}), and undoing that would "
                "lose what was written by hand. Correct it by hand, or with windowfall shelf correct"
            )
            raise ShelfError(str(path), (said,))
        before = _kept(path, change)
        _keep(path, f"undone-{together[-1].number}.csv", now)
        _keep(path, _LAST, before)
        for one in together:
            append_mark(_folder(path), Mark.UNDONE, one.number)
        _refuse_if_changed(path, now)
        if before is None:
            path.unlink()
            _settle(path.parent)
        else:
            _replace(path, before)
        return change


def shelf_before(path: Path, change: Change) -> Shelf:
    """Return what the shelf at a path held before a change; ShelfError if that is no longer kept."""
    return _parsed(path, _kept(path, change), Unit.IN)


@contextmanager
def _locked(path: Path) -> Iterator[None]:
    """Hold the shelf against every other change of it, and clear away what a killed one left half written."""
    folder = _folder(path)
    folder.mkdir(parents=True, exist_ok=True)
    try:
        with FileLock(folder / "lock", timeout=_PATIENCE):
            for place in (path.parent, folder):
                for part in place.glob(f".{path.name}.*.part"):
                    part.unlink(missing_ok=True)
            yield
    except Timeout:
        said = "another Windowfall has been changing it for a minute. Wait until it has ended, then try again"
        raise ShelfError(str(path), (said,)) from None


def _folder(path: Path) -> Path:
    """Return the folder of the log and of what the file held before."""
    return path.with_name(f"{path.name}.history")


def _bytes(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        return None


def _parsed(path: Path, data: bytes | None, unit: Unit) -> Shelf:
    return Shelf(unit, 0, 1, ()) if data is None else read_shelf(data, str(path))


def _digest(data: bytes | None) -> str | None:
    return None if data is None else hashlib.sha256(data).hexdigest()


def _keep(path: Path, name: str, data: bytes | None) -> None:
    """Keep what the file holds beside the log."""
    if data is not None:
        target = _folder(path) / name
        _written(target, path, data).replace(target)
        _settle(target.parent)


def _kept(path: Path, change: Change) -> bytes | None:
    """Return what the file held before a change."""
    if change.before is None:
        return None
    data = _bytes(_folder(path) / f"before-{change.number}.csv")
    if _digest(data) != change.before:
        said = (
            f"what it held before its last change ({change.command}, {change.at}) is no longer kept in {_folder(path)}"
        )
        raise ShelfError(str(path), (said,))
    return data


def _refuse_if_overwritten(path: Path, data: bytes | None, shelf: Shelf, history: History) -> None:
    """Refuse a file older than the last one written, as a spreadsheet leaves it that had the old one open."""
    lost = history.overwritten(shelf.change)
    if lost is None:
        return
    kept, change = _folder(path) / _LAST, f"its last change ({lost.command}, {lost.at})"
    if data is None:
        said = f"it is gone; what it held after {change} is in {kept}. Put that in its place, or move the folder away"
    else:
        said = (
            f"it lacks {change}: another program, such as a spreadsheet that had it open, wrote an older one over it. "
            f"What it held is in {kept}: copy what is missing, then write {lost.number} after change in row 1"
        )
    raise ShelfError(str(path), (said,))


def _refuse_if_changed(path: Path, before: bytes | None) -> None:
    if _bytes(path) != before:
        raise ShelfError(str(path), (_MEANWHILE,))


def _replace(path: Path, data: bytes) -> None:
    """Put a file in place of the old one, in one step."""
    part = _written(path, path, data)
    if path.exists():
        shutil.copymode(path, part)
    part.replace(path)
    _settle(path.parent)


def _written(target: Path, path: Path, data: bytes) -> Path:
    """Write a file beside the one it is to replace, and wait until the disk has it."""
    part = target.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with part.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
    except OSError:
        part.unlink(missing_ok=True)
        raise
    return part


def _settle(folder: Path) -> None:
    """Wait until the disk has the names in a folder, where the system lets one."""
    if os.name == "posix":
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
