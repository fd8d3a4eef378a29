"""The process that plans: one job at a time, stopped by a message, ended with the server.

Messages are lines of JSON on its standard input and output. Nothing is loaded before it listens, so that it ends
without a word when its server is gone, however early that is.
"""

import _thread
import json
import os
import signal
import sys
import threading
from contextlib import suppress
from queue import SimpleQueue
from typing import Any, BinaryIO

__all__ = ["COMMAND", "STOP", "work"]

STOP = "stop"
"""What is sent to end the plan that is being sought."""
COMMAND = "import json, sys; sys.path[:] = json.loads(sys.argv[1]); from cli.desk.worker import work; work()"
"""What the interpreter is started with; its argument is the list of folders in which the server finds its modules."""


def work() -> None:
    """Plan what comes on the standard input until its other end is closed.

    What comes is mappings with `ticket` and what `planning.planned` takes, and the word to stop; what goes to the
    standard output is mappings with the ticket and what came of it.
    """
    signal.signal(signal.SIGINT, signal.default_int_handler)  # what is started in the background ignores it
    told = os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # what a library prints is no answer
    waiting: SimpleQueue[dict[str, Any]] = SimpleQueue()
    planning = threading.Event()
    threading.Thread(target=_listen, args=(sys.stdin.buffer, waiting, planning), daemon=True).start()
    _warm()
    while True:
        try:
            asked = waiting.get()
            planning.set()
            answer = _answer(told, asked)
            planning.clear()
            _send(told, {"ticket": asked["ticket"], **answer})
        except KeyboardInterrupt:  # a stop that came too late
            planning.clear()


def _listen(lines: BinaryIO, waiting: "SimpleQueue[dict[str, Any]]", planning: threading.Event) -> None:
    with suppress(OSError, ValueError):  # a line that the server did not end is no message
        for line in lines:
            asked = json.loads(line)
            if asked != STOP:
                waiting.put(asked)
            elif planning.is_set():
                _thread.interrupt_main()  # os.kill would end the process on Windows
    os._exit(0)


def _warm() -> None:
    """Load what every plan needs before the first is asked for."""
    from cli.desk import planning  # noqa: PLC0415 - the server, which starts this process, does without

    del planning


def _answer(told: BinaryIO, asked: dict[str, Any]) -> dict[str, Any]:
    from cli.desk.planning import planned  # noqa: PLC0415
    from nesting.errors import CannotBeCutError, JobError, WindowfallError, grouped, obstacle_words  # noqa: PLC0415

    def known(what: dict[str, Any]) -> None:
        _send(told, {"ticket": asked["ticket"], **what})

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


def _send(told: BinaryIO, answer: dict[str, Any]) -> None:
    """Write a line; it begins with an end of line, as a stop may have cut the one before it short."""
    left = memoryview(f"\n{json.dumps(answer)}\n".encode())
    with suppress(OSError):
        while left:
            left = left[told.write(left) :]
