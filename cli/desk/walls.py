"""The walls that the desk knows, by ids: no path ever comes from a request."""

import csv
import hashlib
import io
import re
import shutil
import tempfile
import threading
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from cli.desk.files import PART, data_folder, replace_with
from nesting.data import data_path
from nesting.errors import WindowfallError

__all__ = ["UnknownWallError", "Wall", "Walls", "folder_name", "id_of"]

_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)
_LONGEST = 80
_PIECES = (
    "piece,quantity,inside width,inside height,picture width,picture height,boards,moulding width,frame cost,notes\n"
)
_OFFERS = "shop,board,sheet width,sheet height,price,discount\n"
_CARRIED = frozenset({"offers", "boards", "shops", "bench"})
_CHOICES = "name,value\nshelf,yes\n"
_BLANK = {"pieces.csv": _PIECES.encode(), "offers.csv": _OFFERS.encode(), "choices.csv": _CHOICES.encode()}


class UnknownWallError(WindowfallError):
    """An id that no wall has."""


@dataclass(frozen=True, slots=True)
class Wall:
    """A folder of tables."""

    id: str
    name: str
    folder: Path


class Walls:
    """The folders of the user's walls, and those opened by name when the desk was started."""

    def __init__(self) -> None:
        self.home = data_folder() / "walls"
        self._also: list[Path] = []
        self._lock = threading.Lock()

    def opened(self, folder: str) -> str:
        """Return the id of a folder that was named when the desk was started; it is known from then on."""
        path = Path(folder).resolve()
        if path not in self._also:
            self._also.append(path)
        return id_of(path)

    def known(self) -> tuple[Wall, ...]:
        """Return the walls in the order of their names."""
        inside = self.home.iterdir() if self.home.is_dir() else ()
        folders = [*self._also, *(path for path in inside if not path.is_symlink() and not path.name.startswith("."))]
        walls = {path.resolve(): Wall(id_of(path), path.name, path) for path in folders if path.is_dir()}
        return tuple(sorted(walls.values(), key=lambda wall: wall.name.casefold()))

    def wall(self, ident: str) -> Wall:
        """Return the wall with this id.

        Raises
        ------
        UnknownWallError
            If there is none.
        """
        for wall in self.known():
            if wall.id == ident:
                return wall
        raise UnknownWallError("There is no such wall: it was moved or renamed. Go back to the list of walls.")

    def make(self, name: str, unit: str = "in", currency: str = "") -> Wall:
        """Return a new wall without pieces, whose plain numbers are in a unit and whose money is in a currency."""
        settings = [("name", "value"), ("unit", unit), *([("currency", currency)] if currency else [])]
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerows(settings)
        return self.put(name, {"bench.csv": text.getvalue().encode()})

    def make_like(self, name: str, other: Wall) -> Wall:
        """Return a new wall without pieces, with the prices, boards, shops and settings of another as they stand."""
        tables = [path for path in other.folder.iterdir() if path.suffix.casefold() == ".csv"]
        named = {path.stem.casefold(): path for path in tables}
        return self.put(name, {f"{table}.csv": path.read_bytes() for table, path in named.items() if table in _CARRIED})

    def copy_demo(self) -> Wall:
        """Return a copy of the demonstration wall, to be changed."""
        tables = {table.name: table.read_bytes() for table in sorted(data_path("demo").glob("*.csv"))}
        return self.put("Demonstration wall", tables)

    def put(self, name: str, files: Mapping[str, bytes]) -> Wall:
        """Return a new wall of these files, with empty tables where there are none; it is there whole or not at all."""
        self.home.mkdir(parents=True, exist_ok=True, mode=0o700)
        part = Path(tempfile.mkdtemp(prefix=PART, dir=self.home))
        try:
            for path, data in {**_BLANK, **files}.items():
                replace_with(part / path, data)
            with self._lock:
                folder = self.free(name)
                part.rename(folder)
        except BaseException:
            shutil.rmtree(part, ignore_errors=True)
            raise
        return Wall(id_of(folder), folder.name, folder)

    def owns(self, wall: Wall) -> bool:
        """Whether a wall lies in the desk's own folder; one that was named at the start may lie anywhere."""
        return wall.folder.resolve().parent == self.home.resolve()

    def has(self, name: str, *, other_than: Wall) -> bool:
        """Whether another wall has a name, whatever its case and accents."""
        inside = self.home.iterdir() if self.home.is_dir() else ()
        return any(_key(path.name) == _key(name) and path.name != other_than.name for path in inside)

    def free(self, name: str) -> Path:
        """Return where a new wall of this name goes: a name that no other wall has, whatever its case and accents."""
        plain = folder_name(name)
        taken = {_key(path.name) for path in self.home.iterdir()} if self.home.is_dir() else set()
        names = (plain, *(f"{plain} {number}" for number in range(2, 1000)))
        return self.home / next(each for each in names if _key(each) not in taken)


def folder_name(name: str) -> str:
    """Return the name of a folder for a wall: without what a system refuses in one, or keeps for itself."""
    kept = "".join(letter for letter in name if letter.isalnum() or letter in " -_.,'()&+")
    plain = " ".join(kept.split()).strip(". ")[:_LONGEST].rstrip(". ")
    return f"Wall {plain}" if _RESERVED.fullmatch(plain) else plain or "My wall"


def _key(name: str) -> str:
    parted = unicodedata.normalize("NFKD", name.casefold())
    return "".join(letter for letter in parted if not unicodedata.combining(letter))


def id_of(folder: Path) -> str:
    """Return the id by which requests name a folder."""
    return hashlib.sha256(str(folder.resolve()).encode()).hexdigest()[:12]
