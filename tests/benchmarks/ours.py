"""The project's own solver on one job, in a process of its own: a line for each improvement and one at the end.

python -m tests.benchmarks.ours FOLDER SECONDS
"""

import json
import sys

from nesting.plan import Progress, make_plan
from nesting.reading.job import read_job


def main(folder: str, seconds: float) -> None:
    plan = make_plan(read_job(folder), seconds=seconds, progress=_tell)
    _say(
        seconds=plan.seconds,
        cost=plan.purchase.total,
        bound=plan.purchase.lower_bound,
        sheets=plan.summary.sheets_bought,
        ended=True,
    )


def _tell(progress: Progress) -> None:
    _say(seconds=progress.seconds, cost=progress.total, bound=progress.lower_bound, sheets=None, ended=False)


def _say(**told: object) -> None:
    sys.stdout.write(json.dumps(told) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1], float(sys.argv[2]))
