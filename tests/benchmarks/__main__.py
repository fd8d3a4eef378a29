"""Measure the solver, and the reference library where it is installed, on the same jobs.

    python -m tests.benchmarks --sets class,wall --sizes 20,100 --seeds 10 --seconds 2 --out DIR

Sets: class (class1 to class10), class1 ... class10, flat, shop, wall. What is in DIR/results.csv is not measured again.
The reference library knows one size of sheet and no windows, so it runs on classes and flat only.
"""

import argparse
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.asking import GRACE, ask_reference, has_reference
from tests.benchmarks.child import run_child
from tests.benchmarks.generate import KINDS, as_rectangles, make_tables, write_job
from tests.benchmarks.measures import OURS, REFERENCE, Measure, Task, append, load, measured
from tests.benchmarks.picture import draw
from tests.benchmarks.table import markdown, write_tables


def main(arguments: list[str] | None = None) -> None:
    asked = _arguments().parse_args(arguments)
    asked.out.mkdir(parents=True, exist_ok=True)
    results = asked.out / "results.csv"
    done = {measure.task for measure in load(results)}
    for task in _tasks(asked, with_reference=_has_reference(asked.reference)):
        if task not in done:
            append(results, _measure(task, asked.reference))
    measures = load(results)
    write_tables(measures, asked.out)
    sys.stdout.write(f"{markdown(measures)}\n{draw(measures, asked.out)}\n")


def _arguments() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser("python -m tests.benchmarks", description="Measure the solver.")
    parser.add_argument("--sets", type=_kinds, default=["flat", "wall"], help="such as class,wall,shop,flat,class3")
    parser.add_argument("--sizes", type=_numbers, default=[20, 100], help="numbers of pieces, such as 20,100")
    parser.add_argument("--seeds", type=int, default=10, help="so many jobs of each kind and size, seeds from 0")
    parser.add_argument("--seconds", type=float, default=2.0, help="the time limit of each search")
    parser.add_argument("--no-turn", action="store_true", help="nothing may be turned a quarter")
    parser.add_argument("--out", type=Path, required=True, help="folder of results, table and picture")
    parser.add_argument("--reference", default=sys.executable, help="a Python that has packingsolver, if not this one")
    return parser


def _kinds(text: str) -> list[str]:
    kinds: list[str] = []
    for name in text.split(","):
        if name != "class" and name not in KINDS:
            raise argparse.ArgumentTypeError(f"{name} is no set; there are class, {', '.join(KINDS)}")
        kinds.extend([kind for kind in KINDS if kind.startswith("class")] if name == "class" else [name])
    return list(dict.fromkeys(kinds))


def _numbers(text: str) -> list[int]:
    return [int(number) for number in text.split(",")]


def _has_reference(python: str) -> bool:
    found = has_reference(python)
    if not found:
        sys.stderr.write(f"{python} has no packingsolver: our own figures only.\n")
    return found


def _tasks(asked: argparse.Namespace, *, with_reference: bool) -> Iterator[Task]:
    for n in asked.sizes:
        for seed in range(asked.seeds):
            for kind in asked.sets:
                job = (kind, n, seed, not asked.no_turn, asked.seconds)
                yield Task(OURS, *job)
                if with_reference and as_rectangles(make_tables(kind, n, seed)) is not None:
                    yield Task(REFERENCE, *job)


def _measure(task: Task, reference: str) -> Measure:
    tables = make_tables(task.kind, task.n, task.seed, turn=task.turn)
    if task.solver == REFERENCE:
        asked = as_rectangles(tables)
        assert asked is not None
        return measured(task, ask_reference(reference, asked, task.limit, turn=task.turn), asked.price)
    with tempfile.TemporaryDirectory() as folder:
        write_job(tables, Path(folder))
        command = [sys.executable, "-m", "tests.benchmarks.ours", folder, str(task.limit)]
        return measured(task, run_child(command, task.limit + GRACE), None)


if __name__ == "__main__":
    main()
