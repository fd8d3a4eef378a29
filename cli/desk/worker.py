"""The process that plans: one job at a time, stopped by a message, ended with the server."""

import os
import signal
import threading
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from queue import SimpleQueue
from typing import Any

__all__ = ["STOP", "work"]

STOP = "stop"
"""What is sent through the pipe to end the plan that is being sought."""

_QUICK, _WHOLE = 4.0, 20.0


def work(pipe: Connection) -> None:
    """Plan what comes through a pipe until its other end is closed.

    Parameters
    ----------
    pipe : Connection
        Gives mappings with `ticket`, `kind` (``price`` or ``plan``), `folder` and `shelf`, and the word to
        stop; takes mappings with the ticket and what came of it.
    """
    waiting: SimpleQueue[dict[str, Any]] = SimpleQueue()
    planning = threading.Event()
    threading.Thread(target=_listen, args=(pipe, waiting, planning), daemon=True).start()
    _warm()
    while True:
        try:
            asked = waiting.get()
            planning.set()
            answer = _answer(pipe, asked)
            planning.clear()
            _send(pipe, {"ticket": asked["ticket"], **answer})
        except KeyboardInterrupt:  # a stop that came too late, or Ctrl-C, which the server answers by its own end
            planning.clear()


def _listen(pipe: Connection, waiting: "SimpleQueue[dict[str, Any]]", planning: threading.Event) -> None:
    while True:
        try:
            asked = pipe.recv()
        except (EOFError, OSError):
            os._exit(0)
        if asked != STOP:
            waiting.put(asked)
        elif planning.is_set():
            os.kill(os.getpid(), signal.SIGINT)


def _warm() -> None:
    """Load what every plan needs before the first is asked for."""
    from cli.desk import views  # noqa: PLC0415 - the server, which starts this process, does without
    from nesting import plan  # noqa: PLC0415

    del views, plan


def _answer(pipe: Connection, asked: dict[str, Any]) -> dict[str, Any]:
    from nesting.errors import CannotBeCutError, JobError, WindowfallError, grouped, obstacle_words  # noqa: PLC0415

    try:
        return {"done": _planned(pipe, asked)}
    except JobError as error:
        return {"refused": list(grouped(error.faults))}
    except CannotBeCutError as error:
        return {"stopped": True} if error.stopped else {"refused": list(obstacle_words(error.obstacles))}
    except WindowfallError as error:
        return {"refused": [str(error)]}
    except KeyboardInterrupt:
        return {"stopped": True}
    except Exception as error:  # noqa: BLE001 - the page says so, and the next plan is another matter
        return {"refused": [f"Windowfall made a mistake, which is not your wall's fault ({type(error).__name__})."]}


def _planned(pipe: Connection, asked: dict[str, Any]) -> Any:
    from cli.desk.views import plan_view, price_view  # noqa: PLC0415
    from nesting.money import format_money  # noqa: PLC0415
    from nesting.plan import Progress, make_plan  # noqa: PLC0415
    from nesting.scenarios.limits import Within, limits_pieces, plan_within  # noqa: PLC0415

    job, options = _job(asked)

    def progress(now: Progress) -> None:
        total = None if now.total is None else format_money(now.total, job.bench.currency)
        bound = format_money(now.lower_bound, job.bench.currency)
        _send(pipe, {"ticket": asked["ticket"], "progress": {"total": total, "bound": bound}})

    if asked["kind"] == "price":
        return price_view(make_plan(job, options, seconds=_QUICK, liked=False, refined=False))
    if limits_pieces(options):
        return plan_view(plan_within(job, options, seconds=_WHOLE, progress=progress))
    made = make_plan(job, options, seconds=_WHOLE, progress=progress)
    return plan_view(Within(made, (), None, None))


def _job(asked: dict[str, Any]) -> Any:
    """Return the job that is asked for, with the user's shelf beside it where that is wanted, and the options."""
    from nesting.chosen import chosen_options, with_choices  # noqa: PLC0415
    from nesting.reading.choices import read_choices  # noqa: PLC0415
    from nesting.reading.job import read_job  # noqa: PLC0415
    from nesting.shelf.reserving import free_shelf  # noqa: PLC0415
    from nesting.shelf.stock import with_shelf  # noqa: PLC0415
    from nesting.shelf.store import history_of, load_shelf  # noqa: PLC0415

    path = Path(asked["shelf"])
    wanted = read_choices(asked["folder"]).shelf and path.is_file()
    shelf = free_shelf(load_shelf(path), history_of(path)) if wanted else None
    held = None if shelf is None else tuple(dict.fromkeys(piece.board for piece in shelf.pieces))
    job = read_job(asked["folder"], held=held)
    job = with_choices(job, job.choices)
    return job if shelf is None else with_shelf(job, shelf), chosen_options(job, job.choices)


def _send(pipe: Connection, answer: dict[str, Any]) -> None:
    with suppress(OSError):
        pipe.send(answer)
