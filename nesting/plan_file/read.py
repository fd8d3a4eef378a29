"""A plan file read back: what of it the shelf needs to know, every part checked and none believed."""

import hashlib
import json
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from nesting.errors import PlanFileError
from nesting.geometry import Point, Size
from nesting.identity import Tree, Trunk, identify, others_of
from nesting.lengths import TICKS_PER_MM
from nesting.model.job import Unit
from nesting.model.mat import Borders, Mat, Window
from nesting.model.plan import Bought, FalloutLeft, FromFallout, FromShelf, OffcutLeft, PlacedMat, Source
from nesting.model.status import SolveStatus

__all__ = ["Again", "PlanFile", "PlannedSheet", "Spare", "plan_file_of", "read_plan_file"]

_VERSION = 1


@dataclass(frozen=True, slots=True)
class PlannedSheet:
    """A sheet, shelf piece or fallout that the plan cuts, `size` before trimming or squaring."""

    id: str
    board: str
    source: Source
    size: Size


@dataclass(frozen=True, slots=True)
class Spare:
    """Sheets of one offer that are bought and not cut."""

    offer: int
    board: str
    size: Size
    count: int


@dataclass(frozen=True, slots=True)
class Again:
    """Which plan a plan mends, where it cuts spoiled mats again.

    Parameters
    ----------
    plan : str
        The identity of the plan whose mats are cut again.
    mats : tuple of str
        The keys that these mats have there.
    first : str
        The identity of the plan of the whole wall, which is another one where a mat was spoiled more than once.
    offers : tuple of (int, int)
        How many sheets of which offer that first plan bought.
    shelf : tuple of (str, int)
        How many pieces of the job's own shelf table it took, by label.
    table : tuple of (str, int)
        How many pieces that table held then, by label.
    """

    plan: str
    mats: tuple[str, ...]
    first: str
    offers: tuple[tuple[int, int], ...]
    shelf: tuple[tuple[str, int], ...]
    table: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class PlanFile:
    """What a plan file says about board.

    Parameters
    ----------
    path : Path
        The file.
    identity : str
        The same for the same plan, however long it was sought, wherever its file lies and whatever it is printed on.
    earlier : str
        The identity that programs before this one gave it, under which it may be booked.
    keys : Mapping of str to str
        For the id of each sheet and mat what stands for it in the log, whatever the order of the rows.
    job : str
        The path of the job as it was given.
    unit : Unit
        The job's unit.
    ruler, squaring : int
        The bench's, in ticks.
    keep_at_least : Size
        What is smaller is scrap.
    sheets : tuple of PlannedSheet
        Parents before their fallouts.
    mats : tuple of PlacedMat
        Their only board is the one that they are cut from.
    leftover : tuple of OffcutLeft or FalloutLeft
        As the plan lists them.
    spares : tuple of Spare
        Bought and left uncut.
    bought : tuple of Spare
        All that is bought, cut or not.
    in_file : frozenset of str
        Labels of the pieces that come from the shelf file and not from the job's own shelf table.
    table : tuple of (str, int)
        How many pieces the job's own shelf table held when the whole wall was planned, by label.
    again : Again or None
        Which plan it mends, if it does.
    status : SolveStatus or None
        How the search for the plan ended; None in files written before that was kept.
    """

    path: Path
    identity: str
    earlier: str
    keys: Mapping[str, str]
    job: str
    unit: Unit
    ruler: int
    squaring: int
    keep_at_least: Size
    sheets: tuple[PlannedSheet, ...]
    mats: tuple[PlacedMat, ...]
    leftover: tuple[OffcutLeft | FalloutLeft, ...]
    spares: tuple[Spare, ...]
    bought: tuple[Spare, ...]
    in_file: frozenset[str]
    table: tuple[tuple[str, int], ...]
    again: Again | None
    status: SolveStatus | None

    def taken_of_table(self) -> Counter[str]:
        """Return how many pieces it cuts of the job's own shelf table, by label."""
        labels = (sheet.source.label for sheet in self.sheets if isinstance(sheet.source, FromShelf))
        return Counter(label for label in labels if label not in self.in_file)

    @property
    def mark(self) -> str:
        """What tells its leftovers from those of other plans; the identity begins with it."""
        return self.identity[:6]


class _Part:
    """A part of the file and where it stands; each getter asks for one thing of one type."""

    def __init__(self, path: Path, value: object, where: str = "") -> None:
        self._path, self._value, self._where = path, value, where

    def of(self, key: str) -> "_Part":
        fields = self._typed(dict, "a group of fields")
        if key not in fields:
            raise self.wrong(f"has no {key}")
        return _Part(self._path, fields[key], f"{self._where}, {key}" if self._where else key)

    def has(self, key: str) -> bool:
        return key in self._typed(dict, "a group of fields")

    def each(self) -> "Iterator[_Part]":
        for place, value in enumerate(self._typed(list, "a list"), 1):
            yield _Part(self._path, value, f"{self._where}, number {place}")

    def text(self) -> str:
        return str(self._typed(str, "a text"))

    def whole(self) -> int:
        if isinstance(self._value, bool) or not isinstance(self._value, int) or self._value < 0:
            raise self.wrong("is no whole number from 0")
        return self._value

    def yes(self) -> bool:
        return bool(self._typed(bool, "true or false"))

    def is_null(self) -> bool:
        return self._value is None

    def pair(self) -> tuple[int, int]:
        both = [part.whole() for part in self.each()]
        if len(both) != 2:
            raise self.wrong("is no pair of whole numbers")
        return both[0], both[1]

    def size(self) -> Size:
        size = Size(*self.pair())
        if min(size) < 1:
            raise self.wrong("is no size")
        return size

    def wrong(self, problem: str) -> PlanFileError:
        place = f"{self._where} " if self._where else "it "
        return PlanFileError(
            f"{self._path} is a plan file that something has changed: {place}{problem}. Plan the job again."
        )

    def _typed(self, kind: type, words: str) -> Any:
        if not isinstance(self._value, kind):
            raise self.wrong(f"is not {words}")
        return self._value


def read_plan_file(path: Path) -> PlanFile:
    """Return the plan that a plan file holds, or the ``plan.json`` of a report's folder.

    Parameters
    ----------
    path : Path
        The file or the folder.

    Returns
    -------
    PlanFile
        Every id in it is there once, and every sheet and mat that it names exists.

    Raises
    ------
    PlanFileError
        If there is no such file, or it is none, or a newer program wrote it, or it was changed.
    """
    path = path / "plan.json" if path.is_dir() else path
    return plan_file_of(_loaded(path), path)


def plan_file_of(told: object, path: Path) -> PlanFile:
    """Return the plan that the content of a plan file holds, as `read_plan_file` does.

    Parameters
    ----------
    told : object
        What JSON made of the file.
    path : Path
        Where it stands or will stand, for the errors too.

    Returns
    -------
    PlanFile
        As of `read_plan_file`.

    Raises
    ------
    PlanFileError
        If it is no plan file, or a newer program wrote it, or it was changed.
    """
    if not isinstance(told, dict) or told.get("format") != "windowfall plan":
        raise PlanFileError(f"{path} is no plan file of Windowfall. Give the plan.json that plan --out wrote.")
    whole = _Part(path, told)
    version = whole.of("version").whole()
    if version > _VERSION:
        raise PlanFileError(
            f"{path} is of version {version}, written by a newer Windowfall; this one knows version {_VERSION}. "
            "Bring the program up to date."
        )
    if whole.of("ticks_per_mm").whole() != TICKS_PER_MM:
        raise whole.of("ticks_per_mm").wrong(f"is not {TICKS_PER_MM}")
    return _plan(path, told, whole)


def _loaded(path: Path) -> object:
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise PlanFileError(f"{path} is not there. Give the folder that plan --out wrote, or its plan.json.") from None
    except ValueError:
        raise PlanFileError(
            f"{path} is no plan file: it is not JSON. Give the plan.json that plan --out wrote."
        ) from None


def _plan(path: Path, told: object, whole: _Part) -> PlanFile:
    bench = whole.of("bench")
    sheets = tuple(_sheet(part) for part in whole.of("sheets").each())
    mats = tuple(_mat(part) for part in whole.of("mats").each())
    lines = [_line(part) for part in whole.of("purchase").of("lines").each()]
    labels = whole.of("shelf_file_labels").each() if whole.has("shelf_file_labels") else ()
    plan = PlanFile(
        path=path,
        identity="",
        earlier=hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()[:16],
        keys={},
        job=whole.of("job").of("path").text(),
        unit=_unit(bench.of("unit")) if bench.has("unit") else Unit.IN,
        ruler=bench.of("ruler").whole(),
        squaring=bench.of("squaring").whole(),
        keep_at_least=Size(*bench.of("keep_at_least").pair()),
        sheets=sheets,
        mats=mats,
        leftover=tuple(_left(part) for part in whole.of("leftover").each()),
        spares=tuple(_spares(lines, sheets)),
        bought=tuple(lines),
        in_file=frozenset(part.text() for part in labels),
        table=_counts(whole, "shelf_table", "quantity"),
        again=_again(whole) if whole.has("again") else None,
        status=_status(whole),
    )
    _refuse_dangling(whole, plan)
    return _identified(plan, whole)


def _identified(plan: PlanFile, whole: _Part) -> PlanFile:
    known = {placed.mat.id for placed in plan.mats}
    trunks = [
        Trunk(sheet.id, sheet.board, sheet.source, sheet.size, _tree(part.of("cuts"), known))
        for sheet, part in zip(plan.sheets, whole.of("sheets").each(), strict=True)
    ]
    lines = ((line.board, line.size, line.count) for line in plan.bought)
    found = identify(trunks, plan.mats, others_of(plan.squaring, plan.keep_at_least, lines))
    return replace(plan, identity=found.plan, keys=found.keys)


def _tree(part: _Part, known: set[str]) -> Tree:
    """Read how a sheet is divided; its mats must be of the plan."""
    mat = part.of("mat").text() if part.has("mat") else None
    if mat is not None and mat not in known:
        raise part.of("mat").wrong("is no mat of the plan")
    way = part.of("cut").text() if part.has("cut") else None
    parts = tuple(_tree(one, known) for one in part.of("parts").each()) if way is not None else ()
    return Tree(Point(*part.of("at").pair()), Size(*part.of("size").pair()), mat, way, parts)


def _again(whole: _Part) -> Again:
    part = whole.of("again")
    return Again(
        plan=part.of("plan").text(),
        mats=tuple(one.text() for one in part.of("mats").each()),
        first=part.of("first").text(),
        offers=tuple((one.of("offer_row").whole(), one.of("count").whole()) for one in part.of("offers").each()),
        shelf=_counts(part, "shelf", "count"),
        table=_counts(whole, "shelf_table", "quantity"),
    )


def _counts(part: _Part, key: str, count: str) -> tuple[tuple[str, int], ...]:
    listed = part.of(key).each() if part.has(key) else ()
    return tuple((one.of("label").text(), one.of(count).whole()) for one in listed)


def _unit(part: _Part) -> Unit:
    try:
        return Unit(part.text())
    except ValueError:
        raise part.wrong("is no unit") from None


def _status(whole: _Part) -> SolveStatus | None:
    if not whole.has("search") or not whole.of("search").has("status"):
        return None
    part = whole.of("search").of("status")
    try:
        return SolveStatus(part.text())
    except ValueError:
        raise part.wrong("is no way in which a search ends") from None


def _sheet(part: _Part) -> PlannedSheet:
    return PlannedSheet(
        part.of("id").text(), part.of("board").text(), _source(part.of("source")), part.of("size").size()
    )


def _source(part: _Part) -> Source:
    match part.of("kind").text():
        case "bought":
            return Bought(part.of("offer_row").whole())
        case "shelf":
            return FromShelf(part.of("label").text())
        case "fallout":
            return FromFallout(part.of("mat").text(), part.of("window").whole())
        case _:
            raise part.of("kind").wrong("is none of bought, shelf and fallout")


def _line(part: _Part) -> Spare:
    return Spare(
        part.of("offer_row").whole(), part.of("board").text(), part.of("sheet").size(), part.of("count").whole()
    )


def _spares(lines: list[Spare], sheets: tuple[PlannedSheet, ...]) -> Iterator[Spare]:
    for line in lines:
        cut = sum(sheet.source == Bought(line.offer) and sheet.board == line.board for sheet in sheets)
        if line.count > cut:
            yield Spare(line.offer, line.board, line.size, line.count - cut)


def _mat(part: _Part) -> PlacedMat:
    board = part.of("board").text()
    mat = Mat(
        id=part.of("id").text(),
        piece=part.of("piece").text(),
        copy=part.of("copy").whole(),
        layer=part.of("layer").whole(),
        boards=(board,),
        blank=part.of("blank").size(),
        borders=None if part.of("borders").is_null() else _borders(part.of("borders")),
        windows=tuple(Window(Point(*one.of("at").pair()), one.of("size").size()) for one in part.of("windows").each()),
    )
    return PlacedMat(mat, board, part.of("sheet").text(), part.of("turned").yes())


def _borders(part: _Part) -> Borders:
    return Borders(*(part.of(side).whole() for side in ("left", "right", "top", "bottom")))


def _left(part: _Part) -> OffcutLeft | FalloutLeft:
    size, keep = part.of("size").size(), part.of("keep").yes()
    if part.has("sheet"):
        return OffcutLeft(part.of("sheet").text(), Point(*part.of("at").pair()), size, keep)
    return FalloutLeft(part.of("mat").text(), part.of("window").whole(), size, keep)


def _refuse_dangling(whole: _Part, plan: PlanFile) -> None:
    """Refuse a file in which an id stands twice or nothing stands behind one, or a fallout before its sheet."""
    places = {sheet.id: place for place, sheet in enumerate(plan.sheets)}
    mats = {placed.mat.id: placed for placed in plan.mats}
    if len(places) < len(plan.sheets) or len(mats) < len(plan.mats):
        raise whole.wrong("has two parts of one id")
    named = [(left.mat, left.window) for left in plan.leftover if isinstance(left, FalloutLeft)]
    named += [(one.source.mat, one.source.window) for one in plan.sheets if isinstance(one.source, FromFallout)]
    used = {placed.sheet for placed in plan.mats}
    used |= {left.sheet for left in plan.leftover if isinstance(left, OffcutLeft)}
    if not used <= set(places) or not all(mat in mats and window < len(mats[mat].mat.windows) for mat, window in named):
        raise whole.wrong("names a sheet, a mat or a window that is not in it")
    for place, sheet in enumerate(plan.sheets):
        if isinstance(sheet.source, FromFallout) and places[mats[sheet.source.mat].sheet] >= place:
            raise whole.wrong(f"has the fallout {sheet.id} before the sheet that it falls out of")
