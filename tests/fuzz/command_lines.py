"""Random command lines of the whole program, over a job and a shelf whose names collide."""

import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tests.fuzz.colliding import LABELS, CollidingJob, spelt

__all__ = ["JOB", "SHELF", "Scene", "draw_command"]

JOB, SHELF = "job", "shelf.csv"
_ORIGINS = ("", "half of R1", "half of left 1", "S1 left, plan 0123ab", "=1+1")
_SIDES = ("4 1/2", "9", "13 1/8", "16", "20", "24 in", "30", "350 mm", "32")

Told = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Scene:
    """What a command line can speak of: the job, the plans so far and what asked for them, by path, and the shelf.

    `step` is the number of the command line in its sequence, from 0; `gone` are labels of pieces that were taken off,
    `reserved` the identities of plans that pieces are kept for, `booked` the paths of plans that are booked.
    """

    step: int
    job: CollidingJob
    plans: Mapping[str, Told]
    asked: Mapping[str, Sequence[str]]
    labels: Sequence[str]
    gone: Sequence[str]
    reserved: Sequence[str]
    booked: Sequence[str]
    seconds: float


def draw_command(rng: random.Random, scene: Scene) -> list[str]:
    """Return the command line of a step; a sequence begins with pieces put on the shelf and a plan.

    Parameters
    ----------
    rng : random.Random
        Where chance comes from.
    scene : Scene
        What there is by now.
    """
    if scene.step < 2:
        return _add(rng, scene)
    if scene.step == 2:
        return _plan(rng, scene)
    shares: dict[Callable[[random.Random, Scene], list[str]], int] = {
        _plan: 60,
        _done: 60,
        _done_again: 30,
        _reserve: 20,
        _drop: 8,
        _add: 15,
        _take: 10,
        _return: 10,
        _correct: 8,
        _undo: 15,
        _look: 8,
        _compare: 5,
        _till: 4,
        _check: 4,
        _demo: 1,
    }
    return rng.choices(list(shares), list(shares.values()))[0](rng, scene)


def _some(rng: random.Random, share: float, *words: str) -> list[str]:
    return list(words) if rng.random() < share else []


def _search(scene: Scene) -> list[str]:
    return ["--seconds", f"{scene.seconds:g}"]


def _shop(rng: random.Random, scene: Scene) -> str:
    return spelt(rng, rng.choice(scene.job.shops))


def _board(rng: random.Random, scene: Scene) -> str:
    return spelt(rng, rng.choice(scene.job.boards))


def _plan(rng: random.Random, scene: Scene) -> list[str]:
    """Draw a plan; now and then the one that was made last, as for one who prints it on other paper."""
    last = list(scene.asked.values())[-1:]
    if last and last[0][0] == "plan" and rng.random() < 0.25:
        end = next(place for place, part in enumerate(last[0]) if part in {"--out", "--json"})
        return [*last[0][:end], "--paper", "a4", *_written(rng, scene)]
    limits = rng.choice(([], [], [], [], ["--budget"], ["--sheets"], ["--shelf-only"], ["--left"], ["--shop"]))
    values = {
        "--budget": [f"{rng.randint(0, 4000) / 100:.2f}"],
        "--sheets": [str(rng.randint(0, 4))],
        "--left": [_left(rng, scene)],
        "--shop": [_shop(rng, scene)],
    }
    asked = [*limits, *(values.get(limits[0], []) if limits else [])]
    asked += _some(rng, 0.2, "--discount", rng.choice(("40", "12.5%", f"{_shop(rng, scene)}=35")))
    asked += _some(rng, 0.5, "--later") + _some(rng, 0.1, "--liked-best") + _some(rng, 0.1, "--no-fallout")
    asked += rng.choice(([], ["--shelf"], ["--shelf"], ["--shelf", SHELF])) + _some(rng, 0.1, "--seed", "7")
    asked += (
        _some(rng, 0.15, "--reserved-too")
        + _some(rng, 0.1, "--credit-leftovers")
        + _some(rng, 0.1, "--left", _left(rng, scene))
    )
    return ["plan", JOB, *_search(scene), *asked, *_written(rng, scene)]


def _written(rng: random.Random, scene: Scene) -> list[str]:
    return ["--out", f"p{scene.step}", *_some(rng, 0.5, "--paper", "a4")] if rng.random() < 0.08 else ["--json"]


def _left(rng: random.Random, scene: Scene) -> str:
    shop = f"{_shop(rng, scene)}:" if rng.random() < 0.3 else ""
    return f"{shop}{_board(rng, scene)}={rng.randint(0, 2)}"


def _done(rng: random.Random, scene: Scene) -> list[str]:
    """Draw the booking of a plan, the last one for the most part: all of it, in part, or with a spoiled mat."""
    if not scene.plans:
        return ["done", rng.choice(("nowhere", SHELF, JOB))]
    path = rng.choice((*scene.plans, list(scene.plans)[-1], list(scene.plans)[-1]))
    sheets, mats = (
        [part["id"] for part in scene.plans[path][kind]] + ["X9"] * (rng.random() < 0.02) for kind in ("sheets", "mats")
    )
    asked: list[str] = []
    match rng.randrange(8):
        case 0 | 1:
            asked = ["--sheet", rng.choice(sheets or ["S1"])]
        case 2:
            asked = ["--mat", rng.choice(mats or ["M1"])]
        case 3:
            asked = ["--sheet", rng.choice(sheets or ["S1"]), "--mat", rng.choice(mats or ["M1"])]
        case 4 | 5:
            asked = [
                "--spoiled",
                rng.choice(mats or ["M1"]),
                *_search(scene),
                *_some(rng, 0.5, "--out", f"p{scene.step}"),
            ]
        case _:
            pass
    asked += _some(rng, 0.15, "--again") + _some(rng, 0.15, "--reserved-too")
    return ["done", path, *asked, *_some(rng, 0.1, "--shelf", SHELF)]


def _done_again(rng: random.Random, scene: Scene) -> list[str]:
    """Draw a booking undone, of any plan, or a whole plan booked once more."""
    path = rng.choice((*scene.booked, *scene.booked, _plan_path(rng, scene)))
    return ["done", path, *rng.choice((["--undo"], ["--undo"], ["--undo"], ["--again"], []))]


def _plan_path(rng: random.Random, scene: Scene) -> str:
    """Draw a plan, those that cut the shelf file more often."""
    return rng.choice(
        [*scene.plans, *(path for path in scene.plans if scene.plans[path]["shelf_file_labels"]), "nowhere"]
    )


def _reserve(rng: random.Random, scene: Scene) -> list[str]:
    return ["shelf", "reserve", _plan_path(rng, scene), *_some(rng, 0.2, "--reserved-too")]


def _drop(rng: random.Random, scene: Scene) -> list[str]:
    return ["shelf", "drop", rng.choice((_plan_path(rng, scene), *(plan[:6] for plan in scene.reserved)))]


def _return(rng: random.Random, scene: Scene) -> list[str]:
    return ["shelf", "return", rng.choice(scene.gone) if scene.gone else _label(rng, scene)]


def _add(rng: random.Random, scene: Scene) -> list[str]:
    command = ["shelf", "add", _board(rng, scene), rng.choice(_SIDES), rng.choice(_SIDES)]
    command += _some(rng, 0.6, "--label", spelt(rng, rng.choice(LABELS))) + _some(rng, 0.3, "--quantity", "2")
    command += _some(rng, 0.4, "--kind", rng.choice(("sheet", "offcut", "fallout")))
    return command + _some(rng, 0.4, "--origin", rng.choice(_ORIGINS))


def _label(rng: random.Random, scene: Scene) -> str:
    return spelt(rng, rng.choice((*scene.labels, *scene.labels, rng.choice(LABELS))))


def _take(rng: random.Random, scene: Scene) -> list[str]:
    return ["shelf", "take", _label(rng, scene), *_some(rng, 0.2, _label(rng, scene)), *_some(rng, 0.4, "--count", "1")]


def _correct(rng: random.Random, scene: Scene) -> list[str]:
    change = rng.choice(("--board", "--width", "--quantity", "--kind", "--note"))
    values = {"--board": _board(rng, scene), "--width": rng.choice(_SIDES), "--kind": "sheet", "--note": "=1+1"}
    return ["shelf", "correct", _label(rng, scene), change, values.get(change, str(rng.randint(1, 3)))]


def _undo(_rng: random.Random, _scene: Scene) -> list[str]:
    return ["shelf", "undo"]


def _look(rng: random.Random, scene: Scene) -> list[str]:
    return ["shelf", rng.choice(("list", "log")), *_some(rng, 0.5, "--board", _board(rng, scene))]


def _compare(rng: random.Random, scene: Scene) -> list[str]:
    asked = _some(rng, 0.4, "--discounts", rng.choice(("0,50", "33.3", "100"))) + _some(
        rng, 0.3, "--sale-at", _shop(rng, scene)
    )
    return ["compare", JOB, *_search(scene), *asked, *_some(rng, 0.1, "--out", f"c{scene.step}")]


def _till(rng: random.Random, scene: Scene) -> list[str]:
    asked = _some(rng, 0.3, "--discount", rng.choice(("40", f"{_shop(rng, scene)}=35"))) + _some(rng, 0.4, "--later")
    asked += _some(rng, 0.4, "--frame", rng.choice(("8x10", "A4", "350 x 450 mm"))) + _some(rng, 0.5, "--shelf")
    return ["till", JOB, *_search(scene), *asked]


def _check(rng: random.Random, scene: Scene) -> list[str]:
    return ["check", JOB, *_some(rng, 0.3, "--drawings"), *_some(rng, 0.2, "--out", f"c{scene.step}.html")]


def _demo(rng: random.Random, scene: Scene) -> list[str]:
    if rng.random() < 0.5:
        return ["demo", "--copy", f"d{scene.step}"]
    return ["demo", *_search(scene), "--json", *_some(rng, 0.5, "--shelf")]
