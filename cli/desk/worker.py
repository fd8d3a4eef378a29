"""The process that plans: one job at a time, stopped by a message, ended with the server."""

import os
import signal
import threading
from contextlib import suppress
from multiprocessing.connection import Connection
from queue import SimpleQueue
from typing import Any

__all__ = ["STOP", "work"]

STOP = "stop"
"""What is sent through the pipe to end the plan that is being sought."""


def work(pipe: Connection) -> None:
    """Plan what comes through a pipe until its other end is closed.

    Parameters
    ----------
    pipe : Connection
        Gives mappings with `ticket` and what `planning.planned` takes, and the word to stop; takes mappings with the
        ticket and what came of it.
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
    from cli.desk import planning  # noqa: PLC0415 - the server, which starts this process, does without

    del planning


def _answer(pipe: Connection, asked: dict[str, Any]) -> dict[str, Any]:
    from cli.desk.planning import planned  # noqa: PLC0415
    from nesting.errors import CannotBeCutError, JobError, WindowfallError, grouped, obstacle_words  # noqa: PLC0415

    def known(what: dict[str, Any]) -> None:
        _send(pipe, {"ticket": asked["ticket"], **what})

    try:
        done = planned(asked, known)
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
    return {"stopped": True} if done is None else {"done": done}


def _send(pipe: Connection, answer: dict[str, Any]) -> None:
    with suppress(OSError):
        pipe.send(answer)
