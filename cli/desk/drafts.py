"""Plans of a wall on the disk: the last drafts, and what was taken to the bench, with its ticks."""

import json
import re
import shutil
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from cli.desk.files import PART, read_json, replace_with, write_json
from nesting.errors import WindowfallError
from nesting.plan_file.read import PlanFile, plan_file_of
from nesting.reading.columns import EVERY_TABLE

__all__ = ["MOST_DRAFTS", "Draft", "Drafts", "Taken", "UnknownPlanError", "plan_id"]

MOST_DRAFTS = 5
"""How many drafts of a wall are kept."""

_OF_SHEETS = ("rounds", "file")
_STAMP = len("20260101-120000")
_AWAY = "away"
_IDENT = re.compile("[0-9a-z-]{6,40}")


class UnknownPlanError(WindowfallError):
    """A plan that is not there, or a tick of something that is not in it."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A plan that may be taken to the bench.

    Parameters
    ----------
    id : str
        When it was made, and which plan it is.
    view : mapping
        What the page shows of it; as it is read back, without its sheets (`Drafts.sheets`), which may be 16 MB.
    version : str
        Of all tables that it was made of.
    tables : str
        The version of those tables without what was chosen.
    choices : str
        The version of what was chosen, by which it is put back.
    asked : str
        What was chosen, in words.
    """

    id: str
    view: Mapping[str, Any]
    version: str
    tables: str
    choices: str
    asked: str

    @property
    def made(self) -> str:
        """When it was made, in words."""
        return _made(self.id)


@dataclass(frozen=True, slots=True)
class Taken:
    """A plan that was taken to the bench: its id, its folder, what the page shows of it, and what is ticked."""

    id: str
    folder: Path
    view: Mapping[str, Any]
    ticks: tuple[str, ...]

    @property
    def keys(self) -> frozenset[str]:
        """What can be ticked."""
        return frozenset(
            [line["key"] for shop in self.view["shops"] for line in shop["lines"]]
            + [step["key"] for sheet in self.sheets() for step in sheet["steps"]]
            + [mat["key"] for each in self.view["rounds"] for mat in each["mats"]]
            + [f"spoiled-{mat['id']}" for each in self.view["rounds"] for mat in each["mats"]]
        )

    @property
    def is_begun(self) -> bool:
        """Whether something of it is cut; what is ticked on the list for the shop is not."""
        return any(not key.startswith("buy-") for key in self.ticks)

    @property
    def is_open(self) -> bool:
        """Whether something of it is to be cut yet."""
        spoiled, gone = {f"mat-{mat}" for mat in self.spoiled}, self.lost
        lost = {step["key"] for sheet in self.sheets() if gone.issuperset(sheet["ids"]) for step in sheet["steps"]}
        return any(key.startswith(("cut-", "mat-")) for key in self.keys.difference(self.ticks, spoiled, lost))

    @property
    def lost(self) -> frozenset[str]:
        """The ids of the sheets that were to fall out of mats which were spoiled before; other plans cut their mats."""
        spoiled = self.spoiled
        return frozenset(
            ident
            for sheet in self.sheets()
            if sheet.get("fallout_of") and spoiled.issuperset([*sheet["fallout_of"], *sheet["mats"]])
            for ident in sheet["ids"]
        )

    def sheets(self) -> Iterator[Mapping[str, Any]]:
        """Return its sheets as the page shows them, alike ones together."""
        return (sheet for each in self.view["rounds"] for sheet in each["sheets"])

    @property
    def spoiled(self) -> frozenset[str]:
        """The mats that were spoiled."""
        return frozenset(key.removeprefix("spoiled-") for key in self.ticks if key.startswith("spoiled-"))

    @property
    def name(self) -> str:
        """What to call it: when it was made, and what it cuts again."""
        again = self.view.get("again")
        return f"{', '.join(again)} again" if again else f"Plan of {_made(self.id)}"


def plan_id(view: Mapping[str, Any], now: datetime) -> str:
    """Return what names a plan that was made, or taken to the bench, at this moment."""
    return f"{now:%Y%m%d-%H%M%S}-{re.sub('[^0-9a-z]', '', view['identity'].lower())[:8]}"


class Drafts:
    """The plans in the folder of a wall."""

    def __init__(self, folder: Path) -> None:
        self._wall = folder
        self._plans = folder / "plans"
        self._earlier = self._plans / "drafts"
        self._drawn = self._plans / "drawn"

    def draft(self) -> Draft | None:
        """Return the draft that is shown: the last plan that was made, or an earlier one that was gone back to."""
        return _read_draft(self._plans / "draft.json")

    def earlier(self) -> tuple[Draft, ...]:
        """Return the other drafts, the last one first."""
        shown = self.draft()
        found = (_read_draft(path) for path in sorted(self._earlier.glob("[0-9]*.json"), reverse=True))
        # A desk that was ended while it went from one to another leaves that one in both places.
        return tuple(draft for draft in found if draft and (shown is None or draft.id != shown.id))

    def sheets(self, draft: Draft) -> Mapping[str, Any]:
        """Return what else the page shows of a draft, its sheets and mats, and its plan file.

        {} where they are not drawn; those of a large plan are a while after it is known what is bought.
        """
        found = read_json(self._drawn / f"{draft.id}.json", {})
        return found if isinstance(found, dict) and set(_OF_SHEETS) <= set(found) else {}

    def keep(self, draft: Draft) -> None:
        """Keep a plan as the draft, and the one before it among the earlier ones, where they are not the same.

        Its sheets, where they are drawn, go into a file of their own, so that other plans are kept and shown at once.
        """
        if draft.view.get("rounds") is not None:
            write_json(self._drawn / f"{draft.id}.json", {what: draft.view[what] for what in _OF_SHEETS})
        view = {what: its for what, its in draft.view.items() if what not in _OF_SHEETS}
        draft = replace(draft, view=view)
        shown = self.draft()
        if shown:
            write_json(self._path(shown.id), _told(shown))
        write_json(self._plans / "draft.json", _told(draft))
        self._path(draft.id).unlink(missing_ok=True)
        for other in self.earlier():
            if _is_same(other, draft):
                self._path(other.id).unlink(missing_ok=True)
        # What was put aside first goes first; that need not be what was made first.
        kept = sorted(self._earlier.glob("[0-9]*.json"), key=lambda path: path.stat().st_mtime_ns, reverse=True)
        for path in kept[MOST_DRAFTS - 1 :]:
            path.unlink(missing_ok=True)
        there = {draft.id, *(path.stem for path in self._earlier.glob("[0-9]*.json"))}
        for path in self._drawn.glob("*.json"):
            if path.stem not in there:
                path.unlink(missing_ok=True)

    def go_back(self, ident: str) -> Draft:
        """Make an earlier draft the one that is shown, and return it."""
        draft = self.kept(ident)
        self.keep(draft)
        return draft

    def kept(self, ident: str) -> Draft:
        """Return an earlier draft.

        Raises
        ------
        UnknownPlanError
            If there is none of this id.
        """
        for draft in self.earlier():
            if draft.id == ident:
                return draft
        raise UnknownPlanError("This plan is not kept any more. Load the page again.")

    def aside(self, what: str, version: str, ident: str | None = None) -> Mapping[str, Any]:
        """Return what is worked out beside the draft of these tables, or beside a plan at the bench; {} for nothing."""
        found = read_json((self._plans / (ident or "")) / f"{what}.json", {})
        return found if isinstance(found, dict) and found.get("version") in {version, ident} else {}

    def keep_aside(self, what: str, view: Mapping[str, Any], ident: str | None = None) -> None:
        """Keep what is worked out beside the draft, or beside a plan at the bench."""
        write_json((self._plans / (ident or "")) / f"{what}.json", view)

    def take(self, ident: str, version: str, now: datetime, keep: Callable[[PlanFile], object]) -> Taken:
        """Put the draft into a folder of its own, where it is never overwritten, and return it.

        Parameters
        ----------
        ident : str
            Of the draft as the page showed it.
        version : str
            Of the tables as they are now.
        now : datetime
            This moment, which names the folder.
        keep : callable
            Keeps for the plan what it takes of the shelf; if that fails nothing is put anywhere.

        Raises
        ------
        UnknownPlanError
            If there is no draft, if it is another one, or if it is of other tables.
        """
        draft = self.draft()
        if draft is None:
            raise UnknownPlanError("There is no plan yet. Plan the wall first.")
        if draft.id != ident:
            raise UnknownPlanError("There is another plan than this page shows. Load the page again.")
        if draft.version != version:
            raise UnknownPlanError("The tables or the options were changed since this plan was made. Plan again.")
        sheets = self.sheets(draft)
        if not sheets:
            raise UnknownPlanError("The sheets of this plan are not drawn. Wait a moment, or plan again.")
        keep(plan_file_of(json.loads(sheets["file"]), self._plans / "draft.json"))
        return self.put({**draft.view, **sheets}, self._wall, now, self.aside("till", version))

    def put(self, view: Mapping[str, Any], tables: Path, now: datetime, till: Mapping[str, Any] | None = None) -> Taken:
        """Put a plan to the bench: what the page shows of it, its plan file, and a copy of the tables that it is of."""
        ident = plan_id(view, now)
        part, folder = self._plans / f"{PART}{ident}", self._plans / ident
        for table in EVERY_TABLE:
            path = tables / f"{table.name}.csv"
            if path.is_file():
                replace_with(part / path.name, path.read_bytes())
        replace_with(part / "plan.json", view["file"].encode())
        if till:
            write_json(part / "till.json", {**till, "version": ident})
        write_json(part / "view.json", {key: what for key, what in view.items() if key != "file"})
        if folder.exists():
            shutil.rmtree(part)
        else:
            part.rename(folder)
        return self.taken(ident)

    def taken(self, ident: str) -> Taken:
        """Return a plan that was taken to the bench.

        Raises
        ------
        UnknownPlanError
            If there is no such plan.
        """
        folder = self._plans / ident
        view = read_json(folder / "view.json", None) if _IDENT.fullmatch(ident) else None
        if not isinstance(view, dict):
            raise UnknownPlanError("There is no such plan of this wall.")
        return Taken(ident, folder, view, tuple(read_json(folder / "ticks.json", [])))

    def at_the_bench(self) -> tuple[Taken, ...]:
        """Return the plans that were taken to the bench and not put away, the last one first."""
        if not self._plans.is_dir():
            return ()
        folders = sorted((path.parent for path in self._plans.glob("[0-9]*/view.json")), reverse=True)
        return tuple(self.taken(folder.name) for folder in folders if not (folder / _AWAY).exists())

    def put_away(self, ident: str) -> None:
        """Leave a plan that will not be cut out of what is at the bench; its folder stays."""
        replace_with(self.taken(ident).folder / _AWAY, b"")

    def tick(self, ident: str, key: str, *, done: bool) -> Taken:
        """Tick a cut, a mat or a line of the list, or take the tick off, and return the plan.

        Raises
        ------
        UnknownPlanError
            If there is no such plan, or nothing of that name in it.
        """
        taken = self.taken(ident)
        if (taken.folder / _AWAY).exists():
            raise UnknownPlanError("This plan was put away: do not cut it.")
        if key not in taken.keys:
            raise UnknownPlanError("There is nothing of that name in this plan.")
        ticks = [other for other in taken.ticks if other != key] + [key] * done
        write_json(taken.folder / "ticks.json", ticks)
        return self.taken(ident)

    def _path(self, ident: str) -> Path:
        return self._earlier / f"{ident}.json"


def _made(ident: str) -> str:
    made = datetime.strptime(ident[:_STAMP], "%Y%m%d-%H%M%S").replace(tzinfo=UTC)
    return f"{made:%d %b, %H:%M}"


def _told(draft: Draft) -> Mapping[str, Any]:
    """Return a draft as it is written; what the page shows of it is not copied, as it is large."""
    return {its.name: getattr(draft, its.name) for its in fields(draft)}


def _read_draft(path: Path) -> Draft | None:
    """Return a draft; none where there is no file, or one of an earlier desk, or whose names could be paths."""
    try:
        draft = Draft(**read_json(path, None))
    except TypeError:
        return None
    return draft if all(_IDENT.fullmatch(str(name)) for name in (draft.id, draft.choices)) else None


def _is_same(one: Draft, other: Draft) -> bool:
    """Whether two drafts are the same plan of the same tables; planning again often finds what was found before."""
    return (one.version, one.view["identity"]) == (other.version, other.view["identity"])
