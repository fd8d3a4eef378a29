"""Emptying the bin: walls that are gone for good, and what their plans had reserved on the shelf."""

import shutil
from collections.abc import Collection
from datetime import datetime
from pathlib import Path

from cli.desk.drafts import Drafts
from cli.desk.files import GONE
from cli.desk.moving import NotMovedError, binned
from cli.desk.walls import Walls
from nesting.plan_file.read import read_plan_file
from nesting.shelf.keeping import let_go

__all__ = ["emptied"]


def emptied(walls: Walls, idents: Collection[str], shelf: Path, now: datetime) -> int:
    """Delete walls from the bin, and return how many there were.

    What their plans had reserved on the shelf is free again, unless a wall that stays has the same plan at the bench.
    It is freed before the folder goes, so that nothing is left reserved for a wall that is not there.

    Parameters
    ----------
    walls : Walls
        Those that stay.
    idents : collection of str
        The walls as the page showed them; what came to the bin since stays in it.
    shelf : Path
        The shelf file.
    now : datetime
        This moment, with its zone.

    Returns
    -------
    int
        Those that were in the bin.

    Raises
    ------
    NotMovedError
        If a folder is held by another program.
    WindowfallError
        If a plan cannot be read, or the shelf cannot be changed.
    """
    going = [each for each in binned() if each.id in set(idents)]
    staying = {taken.view["identity"] for wall in walls.known() for taken in Drafts(wall.folder).at_the_bench()}
    for each in going:
        for taken in Drafts(each.folder).at_the_bench():
            plan = read_plan_file(taken.folder / "plan.json")
            if plan.identity not in staying:
                let_go(plan, shelf, now)
        _delete(each.folder)
    return len(going)


def _delete(folder: Path) -> None:
    """Take a folder away in one step, and then file by file; what is left when that is cut short goes at a start."""
    gone = folder.with_name(f"{GONE}{folder.name}")
    try:
        folder.rename(gone)
    except OSError as error:
        raise NotMovedError(f"{folder} cannot be deleted: {error.strerror}. Close what has it open.") from None
    shutil.rmtree(gone, ignore_errors=True)
