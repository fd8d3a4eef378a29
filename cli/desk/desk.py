"""One running desk: its walls, its tables, what was planned of each, and who is told."""

from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from cli.desk.bookings import now
from cli.desk.drafts import Draft, Drafts, plan_id
from cli.desk.events import Events
from cli.desk.planner import Planner, Task
from cli.desk.safety import Keys
from cli.desk.screens import Screens
from cli.desk.tables import Tables
from cli.desk.waiting import waiting_words
from cli.desk.walls import Wall, Walls
from cli.reports.sentences import chosen_words
from nesting.errors import WindowfallError
from nesting.money import format_money
from nesting.reading.choices import read_choices
from nesting.row_by_row import Look, look_at
from nesting.shelf.store import load_shelf, shelf_path

__all__ = ["Desk"]


class Desk:
    """What the places and the answers share.

    Parameters
    ----------
    keys : Keys
        The secrets of this run.
    walls : Walls
        The walls it knows.
    """

    def __init__(self, keys: Keys, walls: Walls) -> None:
        self.keys, self.walls = keys, walls
        self.screens = Screens(lambda news: self.events.tell(**news))
        self.events = Events(self.screens.hear)
        self.planner: Planner | None = None
        self.closing = False
        self.prices: dict[str, dict[str, Any]] = {}
        self._tables: dict[str, Tables] = {}
        self._looks: dict[str, tuple[str, Look]] = {}
        self._asked_aside: dict[tuple[str, str], str] = {}
        self._drawing: set[str] = set()

    @property
    def is_busy(self) -> bool:
        """Whether a plan is sought that someone asked for, or a second screen may need the desk."""
        return self.screens.is_on or (self.planner is not None and self.planner.is_busy)

    def warm(self) -> None:
        """Start the process that plans, so that it is ready before it is wanted."""
        if self.planner is None:
            self.planner = Planner()
            self.planner.start()

    def tables(self, wall: Wall) -> Tables:
        """Return the tables of a wall."""
        return self._tables.setdefault(wall.id, Tables(wall.folder))

    def state(self, wall: Wall) -> str:
        """Return what names the tables of a wall as they are, and the user's own shelf, which may be cut from too."""
        with suppress(FileNotFoundError):
            return f"{self.tables(wall).version()}-{shelf_path().stat().st_mtime_ns}"
        return self.tables(wall).version()

    def look(self, wall: Wall) -> Look:
        """Return a wall as it was read last, read again where a table or the shelf has changed."""
        version = self.state(wall)
        kept = self._looks.get(wall.id)
        if kept is None or kept[0] != version:
            kept = version, look_at(wall.folder, _held(wall))
            self._looks[wall.id] = kept
        return kept[1]

    def options(self, wall: Wall) -> dict[str, Any]:
        """Return what is asked of a plan of a wall, by the names of the table choices."""
        look = self.look(wall)
        chosen = look.job.choices
        fallout = look.job.bench.use_fallout if chosen.fallout is None else chosen.fallout
        budget = None if chosen.budget is None else format_money(chosen.budget, "")
        return {
            "later": chosen.later is True,
            "fallout": fallout,
            "liked best": chosen.liked_best is True,
            "shelf": chosen.shelf is True,
            "shelf table": chosen.shelf_table is not False,
            "discount": chosen.discounts[0] if chosen.discounts else None,
            "budget": budget,
            "sheets": chosen.sheets,
        }

    def price(self, wall: Wall) -> None:
        """Have the price line of a wall planned, unless it is known or cannot be yet."""
        look, version = self.look(wall), self.state(wall)
        if self.prices.get(wall.id, {}).get("state") == version:
            return
        if self.planner:
            self.planner.drop(wall.id, str(wall.folder))
        words = waiting_words(look)
        if words is not None:
            self._tell_price(wall, {"state": version, "words": words})
            return

        def tell(answer: dict[str, Any]) -> None:
            if "begun" in answer:
                self._tell_price(wall, {**self.prices.get(wall.id, {}), "state": version, "busy": True})
            elif "done" in answer:
                self._tell_price(wall, {"state": version, "price": answer["done"]})
            elif "refused" in answer:
                self._tell_price(wall, {"state": version, "words": answer["refused"][0]})

        self._ask(wall, "price", tell)

    def plan(self, wall: Wall) -> None:
        """Have a wall planned; the plan becomes its draft."""
        tables = self.tables(wall)
        version, of, choices = tables.version(), tables.version(choices=False), tables.keep_aside("choices")
        asked, ident = chosen_words(self.look(wall).job.choices), ""

        def tell(answer: dict[str, Any]) -> None:
            nonlocal ident
            self._drawing.discard(wall.id)
            for how in {"known", "done"}.intersection(answer):  # first what is bought, where drawing takes long
                view = answer[how]
                ident = ident or f"{plan_id(view, now())}-{version[:8]}"
                Drafts(wall.folder).keep(Draft(ident, view, version, of, choices, asked))
                answer = {how: True}
                if how == "known":
                    self._drawing.add(wall.id)
            self.events.tell("plan", wall=wall.id, **answer)

        self._ask(wall, "plan", tell)

    def go_back(self, wall: Wall, ident: str) -> None:
        """Show an earlier draft of a wall again, with what was chosen for it."""
        drafts = Drafts(wall.folder)
        self.tables(wall).put_back("choices", drafts.kept(ident).choices)
        drafts.go_back(ident)
        self.price(wall)
        self.events.tell("plan", wall=wall.id, done=True)

    def is_planning(self, wall: Wall) -> bool:
        """Whether a plan of a wall is sought or waits."""
        return self.planner is not None and self.planner.has(wall.id)

    def is_drawing(self, wall: Wall) -> bool:
        """Whether a plan of a wall is found, and its sheets are being drawn."""
        return wall.id in self._drawing

    def news(self) -> list[dict[str, Any]]:
        """Return what a page may have missed that hears only now: what is being planned, the prices, who asks."""
        planning = [wall.id for wall in self.walls.known() if self.is_planning(wall)]
        prices = [{"kind": "price", "wall": wall, **_without_state(price)} for wall, price in self.prices.items()]
        return [{"kind": "here", "planning": planning}, *prices, self.screens.news()]

    def price_of(self, wall: Wall) -> dict[str, Any]:
        """Return the price line of a wall as it was told last."""
        return _without_state(self.prices.get(wall.id, {}))

    def row(self, wall: Wall, row: int) -> None:
        """Have it worked out what one row adds to the price."""

        def tell(answer: dict[str, Any]) -> None:
            if "done" in answer:
                self.events.tell("row", wall=wall.id, **answer["done"])

        if self.prices.get(wall.id, {}).get("price"):
            self._ask(wall, "row", tell, row=row)

    def pins(self, wall: Wall) -> None:
        """Have it worked out what each pin of a wall adds to the price; each is told once it is known."""

        def tell(answer: dict[str, Any]) -> None:
            if "known" in answer:
                self.events.tell("pin", wall=wall.id, **answer["known"])

        if self.look(wall).job.choices.pins and self.prices.get(wall.id, {}).get("price"):
            self._ask(wall, "pins", tell)

    def aside(self, wall: Wall, what: str, ident: str | None) -> None:
        """Have worked out what is said beside a draft, or a plan that was taken to the bench; each line once known."""
        drafts = Drafts(wall.folder)
        folder = wall.folder if ident is None else drafts.taken(ident).folder
        version = self.tables(wall).version() if ident is None else ident
        if drafts.aside(what, version, ident).get("complete"):
            return

        def tell(answer: dict[str, Any]) -> None:
            view = answer.get("known") or answer.get("done")
            if "refused" in answer:
                view = {"sections": [], "remarks": answer["refused"]}
            if view is not None:
                kept = {**view, "version": version, "complete": "known" not in answer}
                drafts.keep_aside(what, kept, ident)
                self.events.tell("aside", wall=wall.id, what=what, plan=ident, view=kept)

        is_asked = self.planner is not None and self.planner.has(wall.id, what)
        if not is_asked or self._asked_aside.get((wall.id, what)) != version:
            self._asked_aside[wall.id, what] = version
            self._ask(wall, what, tell, folder=str(folder), version=version)

    def spoil(self, wall: Wall, ident: str, mat: str, *, scrap: bool) -> None:
        """Have a spoiled mat booked and planned again; that plan comes to the bench beside the one it mends.

        `scrap` says that nothing of the mat is kept.
        """

        def tell(answer: dict[str, Any]) -> None:
            self.events.tell("spoiled", wall=wall.id, plan=ident, **answer)

        self._ask(wall, "spoiled", tell, plan=ident, mat=mat, scrap=scrap)

    def _ask(self, wall: Wall, kind: str, tell: Any, **more: Any) -> None:
        asked = {"kind": kind, "folder": str(wall.folder), "version": self.state(wall), **more}
        if self.planner is None:
            self.planner = Planner()
        self.planner.ask(Task(wall.id, kind, {**asked, "shelf": str(shelf_path())}, tell))

    def _tell_price(self, wall: Wall, price: dict[str, Any]) -> None:
        self.prices[wall.id] = price
        self.events.tell("price", wall=wall.id, **_without_state(price))


def _held(wall: Wall) -> tuple[str, ...]:
    """Return the boards on the user's own shelf, where the wall is cut from it too; a shelf that is faulty has none."""
    with suppress(WindowfallError, OSError):
        if read_choices(wall.folder).shelf and shelf_path().is_file():
            return tuple(dict.fromkeys(piece.board for piece in load_shelf(shelf_path()).pieces))
    return ()


def _without_state(price: Mapping[str, Any]) -> dict[str, Any]:
    return {name: what for name, what in price.items() if name != "state"}
