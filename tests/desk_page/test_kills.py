"""The desk killed at any moment while one types, ticks and books: nothing that it had answered is lost."""

import contextlib
import http.client
import json
import random
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from nesting.shelf.store import history_of, load_shelf
from tests.desk_page.conftest import Running
from tests.desk_page.test_bench import Wall

LONGEST = 0.25


class Day:
    """What a person does one thing after the other, and what the desk said it had kept of it."""

    def __init__(self, wall: Wall, plan: str, draw: random.Random) -> None:
        self.wall, self.plan, self.draw = wall, plan, draw
        self.typed, self.ticked, self.booked = [""], [False], [False]
        self.number = 0

    def act(self) -> None:
        """Do one thing; each list ends with what was answered, and what was only asked stands behind that."""
        match self.draw.choice(["type", "type", "tick", "book"]):
            case "type":
                self.number += 1
                self.typed = [self.typed[0], f"note {self.number}"]
                self.wall.ask("change", table="pieces", version=self.version(), name="typed", cells=[self.cell()])
                self.typed = self.typed[1:]
            case "tick":
                self.ticked = [self.ticked[0], not self.ticked[0]]
                self.wall.ask("tick", plan=self.plan, key="mat-M2", done=self.ticked[1])
                self.ticked = self.ticked[1:]
            case _:
                self.booked = [self.booked[0], not self.booked[0]]
                self.wall.ask("book" if self.booked[1] else "unbook", plan=self.plan)
                self.booked = self.booked[1:]

    def version(self) -> str:
        return str(json.loads(self.wall.running.request("GET", f"/wall/{self.wall.id}/tables/pieces")[1])["version"])

    def cell(self) -> list[object]:
        return [2, "notes", self.typed[1]]

    def holds(self) -> None:
        """Check that what is there is what was answered last, or what was asked when the desk ended."""
        notes = (self.wall.folder / "pieces.csv").read_text().splitlines()[1].rpartition(",")[2]
        assert notes in self.typed
        self.typed = [notes]
        ticks = json.loads((self.wall.folder / "plans" / self.plan / "ticks.json").read_text())
        assert ("mat-M2" in ticks) in self.ticked
        self.ticked = ["mat-M2" in ticks]
        path = self.wall.running.home / "windowfall" / "shelf.csv"
        if path.exists() or any(self.booked):
            shelf = load_shelf(path)
            assert history_of(path).is_whole(shelf.change)
            assert bool(shelf.pieces) in self.booked
            self.booked = [bool(shelf.pieces)]


def until_it_ends(day: Day, seconds: float) -> None:
    """Go on with the day until the desk is killed, after so many seconds."""
    killer = threading.Timer(seconds, day.wall.running.process.kill)
    killer.start()
    with contextlib.suppress(ConnectionError, http.client.HTTPException):
        while True:
            day.act()
    killer.join()
    day.wall.running.end()


def days(home: Path, moments: int) -> Iterator[Day]:
    draw = random.Random(moments)  # noqa: S311 - the same moments each time
    running = Running(home)
    running.enter()
    wall = Wall(running, "Killed", "Fern", "Vetch")
    (wall.folder / "pieces.csv").write_text(
        "piece,inside width,inside height,boards,notes\nFern,16,20,moss,\nVetch,16,20,moss,\n"
    )
    plan = wall.plan()
    wall.tick(plan, "S1", "M1")
    day = Day(wall, plan, draw)
    for _ in range(moments):
        until_it_ends(day, draw.uniform(0, LONGEST))
        running = Running(home, running.port)
        running.enter()
        wall.running = running
        yield day
    assert running.end() == 0


@pytest.mark.parametrize("moments", [8, pytest.param(200, marks=pytest.mark.slow)])
def test_what_was_answered_is_kept(tmp_path, moments):
    typed = 0
    for day in days(tmp_path, moments):
        day.holds()
        typed = day.number
    assert typed > moments / 2
