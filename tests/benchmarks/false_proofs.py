"""Seek a cheaper plan wherever one was called proven: what is found is a false proof, and the exit code is 1.

    python -m tests.benchmarks.false_proofs --jobs 300 --seconds 0.5 --times 10 --out FILE

Jobs of every kind are planned with a short limit. Each that is proven is planned again with another seed and so many
times the limit; then once more by search alone, with a third seed, which believes no proof and goes on to its limit;
then by the reference library where it knows such jobs. Every plan of ours is checked before it counts.
"""

import argparse
import csv
import sys
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import asdict, astuple, dataclass, fields, replace
from pathlib import Path
from random import Random
from unittest.mock import patch

from nesting.model.job import Job, When
from nesting.model.plan import Plan
from nesting.model.status import SolveStatus
from nesting.options import Options
from nesting.packing.board_searches import TURN, add_patterns, adopt_assignment, improve, open_searches
from nesting.packing.incumbent import Incumbent
from nesting.packing.instance import Instance
from nesting.packing.pools import Pools
from nesting.packing.prepare import prepared
from nesting.packing.pricing import ValidInequality
from nesting.packing.primal import PrimalSearch
from nesting.packing.restricted_master import RestrictedMaster
from nesting.packing.result import Result
from nesting.packing.solve import begin
from nesting.packing.stages import OPENING
from nesting.packing.stop import Stop
from nesting.plan import make_plan
from nesting.reading.job import read_job
from tests.benchmarks.asking import ask_reference, has_reference
from tests.benchmarks.generate import KINDS, Rectangles, as_rectangles, make_tables, write_job
from tests.benchmarks.measures import REFERENCE, Task, measured
from tests.fuzz.jobs import write_folder
from tests.fuzz.switches import draw_switches, switched_job

__all__ = ["Doubt", "doubt", "main", "seek"]

SIZES = (12, 20, 30, 40, 60, 8)
RULES = "rules"


@dataclass(frozen=True, slots=True)
class Doubt:
    """What became of one job, in cents: its plan, and the cheapest found by other means, None where none was tried."""

    kind: str
    n: int
    seed: int
    turn: bool
    cost: int
    bound: int
    again: int | None = None
    sought: int | None = None
    reference: int | None = None

    @property
    def proven(self) -> bool:
        """Whether the plan was called proven."""
        return self.cost == self.bound

    @property
    def false(self) -> bool:
        """Whether it was, and something cheaper was found."""
        return self.proven and any(c is not None and c < self.cost for c in (self.again, self.sought, self.reference))


class _Restless(Incumbent):
    """Is never content, whatever is proven."""

    @property
    def settled(self) -> bool:
        return False


def seek(instance: Instance, stop: Stop, seed: int, *_report: object, pools: Pools, **_how: object) -> Result:
    """Return the cheapest cutting that search alone finds until it is time to stop.

    It proves nothing and believes of all inequalities only that what is cut has an area.
    """
    pools.use_engine(prepared(lambda: None))
    state = replace(
        begin(instance, stop, seed, None, pools, first=False),
        incumbent=_Restless(instance, stop.spent, None, first=False),
    )
    for board in instance.boards_in_use:
        pricer = pools.board_lp(board).pricer
        values, worth = ({size: size.area for size in sizes} for sizes in (pricer.kinds, pricer.stock))
        pools.add_inequality(ValidInequality(board, values, worth))
    primal, restricted_master = PrimalSearch(), RestrictedMaster()
    open_searches(state, OPENING)
    while not stop():
        improve(state, TURN)
        add_patterns(state)
        restricted_master.solve(state)
        adopt_assignment(state)
        primal.improve(state, None)
    return Result(SolveStatus.LIMIT_REACHED, state.incumbent.solution, 0)


def doubt(job: Job, plan: Plan, seconds: float) -> tuple[int, int]:
    """Return the cost of a plan with another seed, and the cost of the cheapest that search alone finds."""
    options = Options(when=plan.when)
    again = make_plan(job, options, seconds=seconds, seed=plan.seed + 1, refined=False)
    with patch("nesting.plan.solve", seek):
        sought = make_plan(job, options, seconds=seconds, seed=plan.seed + 2, refined=False)
    return again.purchase.total, sought.purchase.total


def main(arguments: list[str] | None = None) -> int:
    asked = _arguments().parse_args(arguments)
    reference = asked.reference if has_reference(asked.reference) else None
    if reference is None:
        sys.stderr.write(f"{asked.reference} has no packingsolver: held against ourselves only.\n")
    doubts = []
    with asked.out.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        table.writerow(field.name for field in fields(Doubt))
        for one in _doubts(asked, reference):
            doubts.append(one)
            table.writerow(astuple(one))
            file.flush()
    sys.stdout.write("\n".join(_told(doubts)) + "\n")
    return 1 if any(one.false for one in doubts) else 0


def _arguments() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser("python -m tests.benchmarks.false_proofs", description="Seek false proofs.")
    parser.add_argument("--jobs", type=int, default=300)
    parser.add_argument("--kinds", type=_kinds, default=(*KINDS, RULES), help=f"such as wall,{RULES}; all unless given")
    parser.add_argument("--first", type=int, default=0, help="the number of the first, to try one again")
    parser.add_argument("--seconds", type=float, default=0.5, help="the limit of the first plan of each job")
    parser.add_argument("--times", type=float, default=10.0, help="so many times the limit for the others")
    parser.add_argument("--out", type=Path, required=True, help="the table, a row for each job")
    parser.add_argument("--reference", default=sys.executable, help="a Python that has packingsolver, if not this one")
    return parser


def _kinds(text: str) -> tuple[str, ...]:
    kinds = tuple(text.split(","))
    if unknown := set(kinds) - {*KINDS, RULES}:
        raise argparse.ArgumentTypeError(
            f"unknown: {', '.join(sorted(unknown))}; there are {', '.join(KINDS)}, {RULES}"
        )
    return kinds


def _doubts(asked: argparse.Namespace, reference: str | None) -> Iterator[Doubt]:
    kinds = asked.kinds
    for number in range(asked.first, asked.first + asked.jobs):
        kind, n = kinds[number % len(kinds)], SIZES[number // len(kinds) % len(SIZES)]
        turn = number % 3 > 0
        job, rectangles = _drawn(kind, n, number, turn=turn)
        plan = make_plan(job, Options(when=When.LATER), seconds=asked.seconds, seed=number, refined=False)
        facts = {"kind": kind, "n": n, "seed": number, "turn": turn}
        cost, bound = plan.purchase.total, plan.purchase.lower_bound
        if cost > bound:
            yield Doubt(**facts, cost=cost, bound=bound)
            continue
        limit = asked.seconds * asked.times
        again, sought = doubt(job, plan, limit)
        told = None
        if reference is not None and rectangles is not None:
            ended = ask_reference(reference, rectangles, limit, turn=turn)
            told = measured(Task(REFERENCE, kind, n, number, turn, limit), ended, rectangles.price).cost
        yield Doubt(**facts, cost=cost, bound=bound, again=again, sought=sought, reference=told)


def _drawn(kind: str, n: int, seed: int, *, turn: bool) -> tuple[Job, Rectangles | None]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder)
        if kind == RULES:
            rng = Random(f"false proofs/{seed}")  # noqa: S311
            write_folder(switched_job(rng, draw_switches(rng)), path)
            return read_job(folder), None
        tables = make_tables(kind, n, seed, turn=turn)
        write_job(tables, path)
        return read_job(folder), as_rectangles(tables)


def _told(doubts: Iterable[Doubt]) -> Iterator[str]:
    """Yield a line for each kind, one for all, and one for each false proof."""
    counts: dict[str, Counter[str]] = {}
    false = []
    for one in doubts:
        for name in (one.kind, "all"):
            its = counts.setdefault(name, Counter())
            held = one.proven and one.reference is not None
            its.update(jobs=1, proven=int(one.proven), reference=int(held), false=int(one.false))
        if one.false:
            false.append(f"FALSE: {asdict(one)}")
    every = counts.pop("all", Counter())
    for name, its in [*counts.items(), ("all", every)]:
        yield (
            f"{name}: {its['jobs']} jobs, {its['proven']} called proven, "
            f"{its['reference']} of them held against packingsolver too, {its['false']} false"
        )
    yield from false


if __name__ == "__main__":
    sys.exit(main())
