"""Many random inputs through the program; `python -m tests.fuzz --help` says how."""

import argparse
import sys
import tempfile
from pathlib import Path

from tests.fuzz.commands import command_sequences
from tests.fuzz.runs import Figures, agreeing_jobs, check_jobs, lengths, plan_jobs, rule_jobs


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="python -m tests.fuzz",
        description="Feed the program random inputs; say what was tried and what broke. Exit code 1 if anything broke.",
    )
    parser.add_argument("what", choices=["lengths", "check", "agree", "plan", "rules", "commands"])
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument(
        "--first", type=int, default=0, help="the number of the first plan or sequence of commands, to try one again"
    )
    parser.add_argument("--seconds", type=float, default=0.4, help="the limit of each search")
    parser.add_argument("--steps", type=int, default=10, help="command lines in each sequence")
    parser.add_argument("--work", type=Path, help="where jobs that break something are kept")
    parser.add_argument("--keep", action="store_true", help="keep every job and its plan")
    return parser.parse_args()


def _figures(told: argparse.Namespace, work: Path) -> Figures:
    match told.what:
        case "lengths":
            return lengths(told.count, told.seed)
        case "check":
            return check_jobs(told.count, work, told.seed)
        case "agree":
            return agreeing_jobs(told.count, work, told.seed, told.seconds)
        case _:
            plan_jobs(1, work / "warm", -1, 5.0)  # the first run of a machine compiles
            given = {"first": told.first, "keep": told.keep}
            if told.what == "commands":
                return command_sequences(told.count, work, told.seed, told.seconds, steps=told.steps, **given)
            drawn = {"plan": plan_jobs, "rules": rule_jobs}[told.what]
            return drawn(told.count, work, told.seed, told.seconds, **given)


def main() -> int:
    """Run what the command line asks for."""
    told = _arguments()
    work = told.work or Path(tempfile.mkdtemp(prefix="fuzz-"))
    work.mkdir(parents=True, exist_ok=True)
    figures = _figures(told, work)
    print(figures)  # noqa: T201 - a script's answer
    if figures.faults and told.what != "lengths":
        print(f"The jobs are in {work}.")  # noqa: T201
    return 1 if figures.faults else 0


if __name__ == "__main__":
    sys.exit(main())
