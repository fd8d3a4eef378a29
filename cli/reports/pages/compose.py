"""Plan to booklet: every page in the order in which it is wanted, from the shop to the shelf."""

from collections.abc import Iterator
from pathlib import Path, PurePath

from cli.reports.pages.bench import bench_sections
from cli.reports.pages.booklet import Booklet, Paper, Section
from cli.reports.pages.fitting import fitting_section, label_section, leftover_section, wall_section
from cli.reports.pages.money import cost_section, depth, till_section, total_section
from nesting.identity import digest
from nesting.model.job import Bench, Unit
from nesting.model.plan import Plan
from nesting.plan_file.read import plan_file_of
from nesting.plan_file.write import plan_to_dict

__all__ = ["compose", "usual_paper"]

# Millimetres of letter paper, of which some are left for names that take two lines.
_FIRST_PAGE = 245


def compose(plan: Plan, paper: Paper | None = None, *, credit_leftovers: bool = False, labels: bool = False) -> Booklet:
    """Return the pages of a plan.

    Parameters
    ----------
    plan : Plan
        The plan.
    paper : Paper or None
        What it is printed on; None for what is usual where the job's unit is.
    credit_leftovers : bool
        Whether the costs are also given less what is kept for the shelf.
    labels : bool
        Whether labels for the blanks come last, on pages of their own.

    Returns
    -------
    Booklet
        The same for the same plan, however long the search for it took.
    """
    return Booklet(
        title=PurePath(plan.job.path).stem or plan.job.path,
        identity=_identity(plan),
        paper=paper or usual_paper(plan.job.bench),
        sections=tuple(_sections(plan, credit_leftovers=credit_leftovers, labels=labels)),
    )


def _sections(plan: Plan, *, credit_leftovers: bool, labels: bool) -> Iterator[Section]:
    till = till_section(plan)
    total, costs = (make(plan, credit_leftovers=credit_leftovers) for make in (total_section, cost_section))
    first = depth(till) + depth(total) + depth(costs) <= _FIRST_PAGE
    yield till
    yield total
    if first:
        yield costs
    yield wall_section(plan)
    if not first:  # what the bench begins with has a page of its own, and costs fill up the one before it
        yield costs
    yield from bench_sections(plan)
    yield fitting_section(plan)
    yield leftover_section(plan)
    if labels:
        yield label_section(plan)


def usual_paper(bench: Bench) -> Paper:
    """Return letter paper for a job in inches and A4 for a metric one."""
    return Paper.LETTER if bench.unit is Unit.IN else Paper.A4


def _identity(plan: Plan) -> str:
    """Return what ticks on the page are kept under: the plan's identity, and which of its sheets and mats is which."""
    read = plan_file_of(plan_to_dict(plan), Path())
    return digest([read.identity, dict(read.keys)])
