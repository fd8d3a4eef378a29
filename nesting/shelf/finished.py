"""Which copies of a wall's pieces are cut already, by the plans that were made of it and the log of the shelf."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace

from nesting.model.job import Job
from nesting.plan_file.read import PlanFile
from nesting.shelf.booking import booked_of, cut_well
from nesting.shelf.history import History
from nesting.spelling import fold

__all__ = ["finished_copies", "without_finished"]


def finished_copies(plans: Sequence[PlanFile], history: History, change: int) -> Counter[str]:
    """Return how many copies of each piece are cut, by its folded name.

    Parameters
    ----------
    plans : sequence of PlanFile
        Plans of one wall, and those that cut spoiled mats of it again.
    history : History
        The log of the shelf that they are booked on.
    change : int
        The number of the shelf's last change.

    Returns
    -------
    Counter of str
        A copy counts once all its mats are cut, and those that were spoiled are cut again.
    """
    good = {plan.identity: set(cut_well(plan, booked_of(plan, history, change))) for plan in plans}
    by_identity = {plan.identity: plan for plan in plans}
    for plan in _latest_first(plans):
        parent = by_identity.get(plan.again.plan) if plan.again else None
        if parent is not None:
            named = {f"{placed.mat.piece} ({placed.mat.id})": placed.mat.id for placed in parent.mats}
            cut = (placed.mat.piece for placed in plan.mats if placed.mat.id in good[plan.identity])
            good[parent.identity] |= {named[name] for name in cut if name in named}
    return sum((_copies(plan, good[plan.identity]) for plan in plans if plan.again is None), Counter())


def _latest_first(plans: Sequence[PlanFile]) -> list[PlanFile]:
    """Put plans that mend others before those."""
    by_identity = {plan.identity: plan for plan in plans}

    def depth(plan: PlanFile) -> int:
        parent = by_identity.get(plan.again.plan) if plan.again else None
        return 0 if parent is None else 1 + depth(parent)

    return sorted(plans, key=depth, reverse=True)


def _copies(plan: PlanFile, good: set[str]) -> Counter[str]:
    mats = defaultdict(list)
    for placed in plan.mats:
        mats[fold(placed.mat.piece), placed.mat.copy].append(placed.mat.id)
    return Counter(piece for (piece, _), ids in mats.items() if good.issuperset(ids))


def without_finished(job: Job, finished: Counter[str]) -> Job:
    """Return the job without the copies that are cut already."""
    if not finished:
        return job
    left = [(piece, piece.quantity - finished[fold(piece.name)]) for piece in job.pieces]
    return replace(job, pieces=tuple(replace(piece, quantity=count) for piece, count in left if count > 0))
