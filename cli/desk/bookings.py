"""From ticks to the shelf: which sheets and mats are done, and the booking of them."""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from cli.desk.drafts import Drafts, Taken
from cli.desk.walls import Wall
from nesting.errors import ShelfError, WindowfallError
from nesting.model.job import Job
from nesting.model.plan import FromFallout
from nesting.plan_file.read import PlanFile, read_plan_file
from nesting.shelf.booking import Booking, Cut, book, booked_of, to_cut_again_of
from nesting.shelf.finished import finished_copies, without_finished
from nesting.shelf.held import Shelf
from nesting.shelf.history import History
from nesting.shelf.store import Edited, change_shelf, load_with_history, shelf_path
from nesting.shelf.text import size_text
from nesting.shelf.undoing import undo_booking

__all__ = [
    "NothingTickedError",
    "book_now",
    "book_ticked",
    "cut_of_fallouts",
    "finish_of",
    "finished",
    "is_all_cut",
    "now",
    "on_shelf",
    "refusal",
    "take_back",
    "to_book",
]


class NothingTickedError(WindowfallError):
    """Nothing is ticked that could be booked."""


def now() -> datetime:
    """Return this moment, with the zone of this machine."""
    return datetime.now(UTC).astimezone().replace(microsecond=0)


def finish_of(taken: Taken) -> Mapping[str, list[str]]:
    """Return which sheets are divided and which mats done, and what is not: sheets begun or not cut, mats not ticked.

    A mat of a fallout is done only once the mat that the fallout came from is, for booking the one books the other.
    """
    ticks, read = set(taken.ticks), read_plan_file(taken.folder / "plan.json")
    found: dict[str, list[str]] = {"begun": [], "waiting": []}
    cut: set[str] = set()
    lost = taken.lost
    for sheet in taken.sheets():
        if lost.issuperset(sheet["ids"]):
            continue
        cuts = [step["key"] in ticks for step in sheet["steps"]]
        if all(cuts):
            cut |= set(sheet["ids"])
        else:
            found["begun" if any(cuts) else "waiting"] += sheet["ids"]
    done = _done(read, cut, ticks, taken.spoiled) - taken.spoiled
    come = done | taken.spoiled
    found["divided"] = [
        sheet.id
        for sheet in read.sheets
        if sheet.id in cut and (not isinstance(sheet.source, FromFallout) or sheet.source.mat in come)
    ]
    found["mats"] = [placed.mat.id for placed in read.mats if placed.mat.id in done]
    found["spoiled"] = sorted(taken.spoiled)
    found["left"] = [placed.mat.id for placed in read.mats if placed.mat.id not in done | taken.spoiled]
    return found


def _done(read: PlanFile, cut: set[str], ticks: set[str], spoiled: frozenset[str]) -> set[str]:
    """Return the mats that are ticked, whose sheet is cut, and so on back to a sheet that no window gave.

    What was cut of a fallout before its mat was spoiled is good.
    """
    done: set[str] = set()
    for sheet in read.sheets:  # parents before their fallouts
        has_come = not isinstance(sheet.source, FromFallout) or sheet.source.mat in done | spoiled
        if sheet.id in cut and has_come:
            done |= {
                placed.mat.id for placed in read.mats if placed.sheet == sheet.id and f"mat-{placed.mat.id}" in ticks
            }
    return done


def book_ticked(taken: Taken) -> Mapping[str, Any]:
    """Book what is ticked on the shelf, and say what goes on it; it may be repeated.

    Parameters
    ----------
    taken : Taken
        The plan with its ticks. A sheet is booked with its offcuts once all its cuts are ticked, a mat once it is too.

    Returns
    -------
    mapping
        What is booked now, what goes on the shelf under which label, and what is to be changed by hand.

    Raises
    ------
    NothingTickedError
        If no sheet is cut.
    ShelfError
        If the shelf does not allow it; nothing is changed.
    """
    finish, read = finish_of(taken), read_plan_file(taken.folder / "plan.json")
    if not finish["divided"]:
        raise NothingTickedError("Nothing can be booked yet: of no sheet are all cuts ticked.")
    is_part = any(finish[name] for name in ("left", "begun", "waiting", "spoiled"))
    is_over = not any(finish[name] for name in ("left", "begun", "waiting"))
    divided, mats = tuple(finish["divided"]), tuple(finish["mats"])
    cut = Cut(mats=mats, divided=divided, spares=is_over) if is_part else Cut()
    return _words(book_now(read, cut, shelf_path()), read)


def book_now(read: PlanFile, cut: Cut, path: Path) -> Booking:
    """Book what was cut of a plan on a shelf, and return what that changed.

    Raises
    ------
    ShelfError
        If the shelf does not allow it; nothing is changed.
    """
    made: list[Booking] = []

    def edit(held: Shelf, history: History) -> Edited:
        booking = book(read, cut, held, history, now().date())
        made.append(booking)
        return Edited(booking.shelf, booking.moves, read.identity, booking.keys, booking.time, booking.reserved)

    change_shelf(path, "done", edit, unit=read.unit, now=now())
    return made[-1]


def finished(folder: Path, path: Path) -> Counter[str]:
    """Return how many copies of each piece of a wall are booked as cut, by its folded name."""
    plans = [read_plan_file(taken.folder / "plan.json") for taken in Drafts(folder).at_the_bench()]
    if not plans or not path.is_file():
        return Counter()
    shelf, history = load_with_history(path)
    return finished_copies(plans, history, shelf.change)


def cut_of_fallouts(taken: Taken, read: PlanFile, mat: str) -> Cut:
    """Return what is cut of the fallouts of a mat by the ticks; if the mat is spoiled after that, it stays good."""
    ticks, steps = set(taken.ticks), {ident: sheet["steps"] for sheet in taken.sheets() for ident in sheet["ids"]}
    fallen = [sheet.id for sheet in read.sheets if isinstance(sheet.source, FromFallout) and sheet.source.mat == mat]
    divided = [ident for ident in fallen if steps[ident] and all(step["key"] in ticks for step in steps[ident])]
    mats = [its.mat.id for its in read.mats if its.sheet in divided and f"mat-{its.mat.id}" in ticks]
    return Cut(mats=tuple(mats), divided=tuple(divided))


def on_shelf(taken: Taken) -> Mapping[str, Any]:
    """Return what of a plan is booked, and what of that is on the shelf under which label."""
    read, path = read_plan_file(taken.folder / "plan.json"), shelf_path()
    if not path.is_file():
        return {"booked": (), "labels": ()}
    shelf, history = load_with_history(path)
    booked = booked_of(read, history, shelf.change)
    done = booked - taken.lost - to_cut_again_of(booked)
    moves = (move for change in history.in_force(shelf.change) if change.plan == read.identity for move in change.moves)
    labels = dict.fromkeys(move.label for move in moves if move.label and move.count > 0)
    return {
        "booked": _in_order(read, done),
        "labels": [
            {"label": piece.label, "board": piece.board, "size": size_text(piece.size, read.unit)}
            for piece in shelf.pieces
            if piece.label in labels
        ],
    }


def _in_order(read: PlanFile, ids: frozenset[str]) -> list[str]:
    """Return those sheets and mats of a plan in its order."""
    names = [*(sheet.id for sheet in read.sheets), *(placed.mat.id for placed in read.mats)]
    return [name for name in names if name in ids]


def is_all_cut(job: Job, folder: Path, path: Path) -> bool:
    """Whether every piece of a wall is booked as cut, later ones too."""
    return not without_finished(job, finished(folder, path)).pieces


def _words(booking: Booking, read: PlanFile) -> Mapping[str, Any]:
    placed = [
        {"from": origin, "label": piece.label, "board": piece.board, "size": size_text(piece.size, read.unit)}
        for origin, piece in booking.placed
    ]
    return {"booked": list(booking.units), "placed": placed, "remarks": list(booking.remarks)}


def refusal(walls: Sequence[Wall], taken: Taken, error: ShelfError) -> list[dict[str, str]]:
    """Say why a plan was not booked or taken back, each reason with the way to the other plan that it names, if any.

    The way is the address of the other plan at the bench of its wall, where it is cut, or is said not to be cut.
    """
    others = [(wall, each) for wall in walls for each in Drafts(wall.folder).at_the_bench() if each.id != taken.id]
    marks = {f"plan {read_plan_file(each.folder / 'plan.json').mark}": (wall, each) for wall, each in others}
    reasons = []
    for reason in error.reasons:
        words, way, name = str(reason), "", ""
        for mark, (wall, each) in marks.items():
            if mark in words and not way:
                way, name = f"/wall/{wall.id}/bench?plan={each.id}", f"{wall.name}, {each.name}"
        reasons.append({"words": words, "way": way, "name": name})
    return reasons


def to_book(taken: Taken) -> tuple[str, ...]:
    """Return the mats, or failing that the sheets, of a plan that are done by its ticks and not booked yet."""
    if not taken.is_begun:
        return ()
    finish, booked = finish_of(taken), set(on_shelf(taken)["booked"])
    mats = tuple(mat for mat in finish["mats"] if mat not in booked)
    return mats or tuple(sheet for sheet in finish["divided"] if sheet not in booked)


def take_back(drafts: Drafts, taken: Taken) -> str:
    """Take the last booking of a plan back, and say which it was; a mat that was booked as spoiled is not any longer.

    Raises
    ------
    ShelfError
        If there is none, or it cannot be taken back.
    """
    read, path = read_plan_file(taken.folder / "plan.json"), shelf_path()
    before = frozenset[str]()
    if path.is_file():
        shelf, history = load_with_history(path)
        before = booked_of(read, history, shelf.change)
    undo_booking(path, (read.identity, read.earlier), now())
    shelf, history = load_with_history(path)
    booked = booked_of(read, history, shelf.change)
    sound = taken.spoiled - to_cut_again_of(booked)
    for mat in sound:
        drafts.tick(taken.id, f"spoiled-{mat}", done=False)
    for other in drafts.at_the_bench() if sound else ():
        plan = read_plan_file(other.folder / "plan.json")
        if plan.again and plan.again.plan == read.identity and not booked_of(plan, history, shelf.change):
            drafts.put_away(other.id)
    return f"Taken back: {', '.join(_in_order(read, before - booked))}. What that put on the shelf is off it again."
