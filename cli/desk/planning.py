"""What the process that plans does for each kind of task: the price line, a row of it, a plan, and what goes beside."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

from cli.desk.asides import compare_view, till_view
from cli.desk.bookings import book_now, cut_of_fallouts, finished, now
from cli.desk.drafts import Drafts
from cli.desk.pins import pins_of
from cli.desk.views import bought_view, plan_view, price_view
from nesting.chosen import chosen_options, with_choices
from nesting.errors import CannotBeCutError, WindowfallError
from nesting.geometry import ExactSize
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM, parse_size
from nesting.model.choices import Choices
from nesting.model.job import Job, Piece, Unit
from nesting.model.plan import Plan
from nesting.money import format_money
from nesting.options import Options
from nesting.plan import Progress
from nesting.plan_file.read import Again, read_plan_file
from nesting.reading.choices import read_choices
from nesting.reading.job import read_job
from nesting.scenarios.compare import compare
from nesting.scenarios.limits import Within, limits_pieces, plan_within
from nesting.scenarios.session import Session
from nesting.scenarios.stocking import yearly_use
from nesting.scenarios.till import answers
from nesting.shelf.finished import without_finished
from nesting.shelf.recutting import Spoiled, kept_for_it, planned_again, to_cut_again
from nesting.shelf.reserving import free_shelf
from nesting.shelf.stock import with_shelf
from nesting.shelf.store import load_with_history

__all__ = ["NothingLeftError", "planned"]

_QUICK, _WHOLE, _LONG = 4.0, 20.0, 120.0
_LEAST_PIECES = 2
_MANY_SHEETS = 40
_FRAMES = ("5 x 7 in", "8 x 10 in", "11 x 14 in"), ("130 x 180 mm", "180 x 240 mm", "300 x 400 mm")

Asked = Mapping[str, Any]
Known = Callable[[dict[str, Any]], None]

# The session and the plan of the last tables that were planned: what was learned of them serves what is asked next.
_kept: dict[tuple[str, str], tuple[Session, Plan | None]] = {}


class NothingLeftError(WindowfallError):
    """A wall of which everything is cut."""


def planned(asked: Asked, known: Known) -> Any:
    """Plan what is asked for.

    Parameters
    ----------
    asked : mapping
        `kind` (``price``, ``row``, ``pins``, ``plan``, ``till``, ``compare`` or ``spoiled``), `folder` of the tables,
        their `version`, `shelf`, the path of the user's own, and `row` for a row of the table pieces, or `plan`,
        `mat` and `scrap` for a spoiled mat of a plan at the bench.
    known : callable
        Told how far the search is, and what is known so far.

    Returns
    -------
    object
        Of values that JSON can hold; None where it was stopped.

    Raises
    ------
    WindowfallError
        If the tables or the choices are wrong, or there is no plan.
    """
    return _KINDS[asked["kind"]](asked, known)


def _price(asked: Asked, _known: Known) -> Any:
    job, options = _job(asked)
    if limits_pieces(options):
        within = plan_within(job, options, seconds=_QUICK)
        return {**price_view(within.plan), "left_out": len(within.left_out)}
    session = Session(job, options, seconds=_QUICK)
    found = session.plan(seconds=_QUICK, liked=False)
    if isinstance(found, CannotBeCutError):
        raise found
    _keep(asked, session, None)
    return price_view(found)


def _plan(asked: Asked, known: Known) -> Any:
    job, options = _job(asked)

    def progress(now: Progress) -> None:
        total = None if now.total is None else format_money(now.total, job.bench.currency)
        known({"progress": {"total": total, "bound": format_money(now.lower_bound, job.bench.currency)}})

    if limits_pieces(options):
        return _shown(plan_within(job, options, seconds=_WHOLE, progress=progress), known)
    session = Session(job, options, seconds=_WHOLE, progress=progress)
    made = session.plan(seconds=_WHOLE, refined=True, ahead=True)
    if isinstance(made, CannotBeCutError):
        raise made
    _keep(asked, session, made)
    return _shown(Within(made, (), None, None), known)


def _shown(found: Within, known: Known) -> Mapping[str, Any]:
    """Return a plan as it is shown; where it takes long to draw, tell what is bought before that."""
    if len(found.plan.sheets) > _MANY_SHEETS:
        known({"known": bought_view(found)})
    return plan_view(found)


def _row(asked: Asked, _known: Known) -> Any:
    """Say what one piece adds to the price, and whether it would be less if the piece were a little smaller."""
    session, _ = _session(asked, _QUICK)
    piece = next((piece for piece in session.job.pieces if piece.row == asked["row"]), None)
    if piece is None or len(session.job.pieces) < _LEAST_PIECES or limits_pieces(session.options):
        return {"row": asked["row"], "words": ""}
    others = tuple(other for other in session.job.pieces if other is not piece)
    whole, without = _total(session, session.job.pieces), _total(session, others)
    if whole is None or without is None:
        return None if session.stopped else {"row": asked["row"], "words": ""}
    words = [_adds(session, whole, without)]
    for smaller, said in _smaller(session.job, piece):
        found = _total(session, (*others, smaller), apart=True)
        if session.stopped:
            return None
        if found is not None and (saved := whole.purchase.total - found.purchase.total) > 0:
            fewer = whole.summary.sheets_bought - found.summary.sheets_bought
            what = f"{'a sheet' if fewer == 1 else f'{fewer} sheets'}, " if fewer > 0 else ""
            words.append(f"{said} would save {what}{_money(session, saved)}.")
    return {"row": asked["row"], "words": " ".join(words)}


def _adds(session: Session, whole: Plan, without: Plan) -> str:
    more, proven = whole.purchase.total - without.purchase.total, whole.purchase.proven and without.purchase.proven
    if more == 0 and proven:
        return "This frame adds nothing: its mat fits on the sheets that the others need."
    return f"This frame adds {'' if proven else 'about '}{_money(session, more)}."


def _pins(asked: Asked, known: Known) -> Any:
    """Say of each pin what it adds to the price."""
    session, _ = _session(asked, _WHOLE)
    if limits_pieces(session.options):
        return {}
    free = {piece.name: piece for piece in _job(asked, lambda chosen: replace(chosen, pins=()))[0].pieces}
    whole = _total(session, session.job.pieces)
    for pin in pins_of(session.job):
        pieces = tuple(free[piece.name] if piece.name == pin.piece else piece for piece in session.job.pieces)
        without = _total(session, pieces, apart=True)
        if whole is None or without is None:
            return None if session.stopped else {}
        known({"known": {"pin": pin.text, "words": _pin_adds(session, whole, without)}})
    return {}


def _pin_adds(session: Session, whole: Plan, without: Plan) -> str:
    more, proven = whole.purchase.total - without.purchase.total, whole.purchase.proven and without.purchase.proven
    if more <= 0:
        return "costs no more" if proven else "costs hardly more, if at all"
    return f"costs {'' if proven else 'about '}{_money(session, more)} more"


def _smaller(job: Job, piece: Piece) -> list[tuple[Piece, str]]:
    step, said = (TICKS_PER_INCH // 2, "1/2 in") if job.bench.unit is Unit.IN else (10 * TICKS_PER_MM, "10 mm")
    width, height = piece.inside
    narrower, lower = ExactSize(width - Fraction(step), height), ExactSize(width, height - Fraction(step))
    sides = (narrower, "narrower"), (lower, "shorter")
    return [(replace(piece, inside=inside), f"{said} {how}") for inside, how in sides if min(inside) > step]


def _total(session: Session, pieces: tuple[Piece, ...], *, apart: bool = False) -> Plan | None:
    job = replace(session.job, pieces=pieces)
    found = session.plan(seconds=_QUICK / 4, job=job, apart=apart, liked=False, explained=False)
    return found if isinstance(found, Plan) else None


def _till(asked: Asked, known: Known) -> Any:
    session, first = _session(asked, _LONG)
    if session.options.budget is not None or session.options.sheets is not None:
        return {"sections": [], "remarks": ["These answers are for plans without a budget and a count of sheets."]}
    made = first or session.plan(seconds=_WHOLE, refined=True)
    if isinstance(made, CannotBeCutError):
        raise made
    usual = _FRAMES[session.job.bench.unit is not Unit.IN]
    insides = [ExactSize(*parse_size(text, session.job.bench.unit)) for text in usual]
    used = _used(Path(asked["shelf"]), session.job)
    till = answers(made, session, insides, used, lambda now: known({"known": till_view(now)}))
    return None if session.stopped else till_view(till)


def _spoiled(asked: Asked, _known: Known) -> Any:
    """Book a mat as spoiled, plan it again, and put that plan to the bench; what it takes of the shelf is kept."""
    drafts, path = Drafts(Path(asked["folder"])), Path(asked["shelf"])
    taken = drafts.taken(asked["plan"])
    read = read_plan_file(taken.folder / "plan.json")
    job = replace(read_job(taken.folder, held=()), path=asked["folder"])  # on the shelf it is called after the wall
    job = with_choices(job, replace(job.choices, pins=()))
    cut = replace(cut_of_fallouts(taken, read, asked["mat"]), spoiled=(asked["mat"],), scrap=asked["scrap"])
    spoiled = Spoiled(read, book_now(read, cut, path), (asked["mat"],), job, path)
    mats = to_cut_again(spoiled)
    for placed in mats:
        drafts.tick(taken.id, f"spoiled-{placed.mat.id}", done=True)

    def keep(made: Plan) -> str:
        def write(again: Again) -> str:
            named = [f"{placed.mat.piece} {placed.mat.id}" for placed in mats]
            view = {**plan_view(Within(made, (), None, None), again), "again": named}
            return drafts.put(view, taken.folder, now()).id

        return kept_for_it(spoiled, mats, made, file=taken.folder / "plan.json", write=write, now=now())

    _, ident = planned_again(spoiled, mats, keep, seconds=_WHOLE)
    return {"plan": ident}


def _used(path: Path, job: Job) -> Mapping[str, int]:
    if not path.is_file():
        return {}
    shelf, history = load_with_history(path)
    return yearly_use(
        history.in_force(shelf.change), (board.name for board in job.boards), datetime.now(UTC).astimezone().date()
    )


def _compare(asked: Asked, known: Known) -> Any:
    job, _ = _job(asked, lambda chosen: replace(chosen, discounts=()))
    found = compare(job, seconds=_LONG, known=lambda now: known({"known": compare_view(now)}))
    return compare_view(found) if found.complete else None


def _money(session: Session, cents: int) -> str:
    return format_money(cents, session.job.bench.currency)


def _keep(asked: Asked, session: Session, made: Plan | None) -> None:
    _kept.clear()
    _kept[asked["folder"], asked["version"]] = session, made


def _session(asked: Asked, seconds: float) -> tuple[Session, Plan | None]:
    """Return a session of the tables, with the plan that was made of them where there is one."""
    kept = _kept.get((asked["folder"], asked["version"]))
    if kept is not None:
        return kept[0].renewed(seconds), kept[1]
    job, options = _job(asked)
    return Session(job, options, seconds=seconds), None


def _job(asked: Asked, other: Callable[[Choices], Choices] | None = None) -> tuple[Job, Options]:
    """Return the job that is asked for, with the user's shelf beside it where that is wanted, and the options."""
    path = Path(asked["shelf"])
    wanted = read_choices(asked["folder"]).shelf and path.is_file()
    shelf = free_shelf(*load_with_history(path)) if wanted else None
    held = None if shelf is None else tuple(dict.fromkeys(piece.board for piece in shelf.pieces))
    job = read_job(asked["folder"], held=held)
    job = with_choices(job, other(job.choices) if other else job.choices)
    job = without_finished(job, finished(Path(asked["folder"]), path))
    if not job.pieces:
        raise NothingLeftError("Every piece of this wall is cut already.")
    return job if shelf is None else with_shelf(job, shelf), chosen_options(job, job.choices)


_KINDS: Mapping[str, Callable[[Asked, Known], Any]] = {
    "price": _price,
    "row": _row,
    "pins": _pins,
    "plan": _plan,
    "till": _till,
    "compare": _compare,
    "spoiled": _spoiled,
}
