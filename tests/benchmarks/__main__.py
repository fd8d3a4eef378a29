"""Measure the solver, and the reference library where it is installed, on the same jobs.

    python -m tests.benchmarks --sets class,wall --sizes 20,100 --seeds 10 --seconds 2 --out DIR
    python -m tests.benchmarks --published FILE.csv --seconds 2 --out DIR

Sets: class (class1 to class10), class1 ... class10, flat, shop, wall; or the published instances of a file (`published`
says what is in it). What is in DIR/results.csv is not measured again.
The reference library knows one size of sheet and no windows, so it runs on classes, flat and bin packing only.
"""

import argparse
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.asking import GRACE, ask_reference, has_reference
from tests.benchmarks.child import run_child
from tests.benchmarks.generate import KINDS, Tables, as_rectangles, make_tables, write_job
from tests.benchmarks.measures import OURS, REFERENCE, Measure, Task, append, load, measured
from tests.benchmarks.picture import draw
from tests.benchmarks.published import compared, read_instances
from tests.benchmarks.table import markdown, write_tables


def main(arguments: list[str] | None = None) -> None:
    asked = _arguments().parse_args(arguments)
    asked.out.mkdir(parents=True, exist_ok=True)
    results = asked.out / "results.csv"
    done = {measure.task for measure in load(results)}
    for task, tables in _tasks(asked, with_reference=_has_reference(asked.reference)):
        if task not in done:
            append(results, _measure(task, tables, asked.reference))
    measures = load(results)
    write_tables(measures, asked.out)
    sys.stdout.write(f"{markdown(measures)}\n{draw(measures, asked.out)}\n{_beside_known(asked, measures)}")


def _arguments() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser("python -m tests.benchmarks", description="Measure the solver.")
    parser.add_argument("--sets", type=_kinds, default=["flat", "wall"], help="such as class,wall,shop,flat,class3")
    parser.add_argument("--sizes", type=_numbers, default=[20, 100], help="numbers of pieces, such as 20,100")
    parser.add_argument("--seeds", type=int, default=10, help="so many jobs of each kind and size, seeds from 0")
    parser.add_argument("--published", type=Path, help="a file of published instances, in place of the sets")
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


def _tasks(asked: argparse.Namespace, *, with_reference: bool) -> Iterator[tuple[Task, Tables]]:
    for kind, n, number, tables in _jobs(asked):
        job = (kind, n, number, not asked.no_turn, asked.seconds)
        yield Task(OURS, *job), tables
        if with_reference and as_rectangles(tables) is not None:
            yield Task(REFERENCE, *job), tables


def _jobs(asked: argparse.Namespace) -> Iterator[tuple[str, int, int, Tables]]:
    turn = not asked.no_turn
    if asked.published:
        for one in read_instances(asked.published):
            yield one.kind, one.n, one.number, one.tables(turn=turn)
        return
    for n in asked.sizes:
        for seed in range(asked.seeds):
            for kind in asked.sets:
                yield kind, n, seed, make_tables(kind, n, seed, turn=turn)


def _beside_known(asked: argparse.Namespace, measures: list[Measure]) -> str:
    """Say how our sheets compare with the figures that the file of published instances gives."""
    if not asked.published:
        return ""
    ours = [row for row in measures if row.task.solver == OURS and row.task.turn != asked.no_turn]
    sheets = {row.task[1:4]: row.sheets for row in ours if row.sheets is not None}
    rows = compared(read_instances(asked.published), sheets, turn=not asked.no_turn)
    return "".join(", ".join(f"{name} {value}" for name, value in row.items()) + "\n" for row in rows)


def _measure(task: Task, tables: Tables, reference: str) -> Measure:
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
