"""Windowfall's library: from a job to a plan of mats, sheets, purchases and costs.

What a notebook or another program needs is to be had from here; a part is loaded when it is first used. `frames` has
the tables of a job and a plan for pandas, `pictures` the drawings that show themselves in a notebook.

Examples
--------
>>> import nesting
>>> from nesting.data import data_path
>>> job = nesting.read_job(str(data_path("demo")))
>>> mats = nesting.size_pieces(job, nesting.When.NOW)
>>> mats[0].piece, len(mats)
('Sea holly', 29)
>>> plan = nesting.make_plan(job, rounds=20)
>>> nesting.frames.costs(plan)["total"].sum() == nesting.frames.costs_by_group(plan)["total"].sum()
True
>>> nesting.pictures.sheet(plan, "S1").drawing.title.startswith("S1, ")
True
>>> try:
...     nesting.read_job("no such wall")
... except nesting.JobError as error:
...     [fault.problem for fault in error.faults]
['is not there']
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from nesting import frames, pictures
    from nesting.comparing import Comparison, compare
    from nesting.errors import (
        CannotBeCutError,
        Fault,
        JobError,
        LayoutError,
        LengthError,
        MoneyError,
        Obstacle,
        PlanFileError,
        ShelfError,
        UnreadableError,
        WindowfallError,
    )
    from nesting.job import Job, When
    from nesting.offers import with_discount
    from nesting.options import Options
    from nesting.plan import make_plan
    from nesting.planned import Plan
    from nesting.read import read_job
    from nesting.sizing import size_pieces

__version__ = "0.1.0"

__all__ = [
    "CannotBeCutError",
    "Comparison",
    "Fault",
    "Job",
    "JobError",
    "LayoutError",
    "LengthError",
    "MoneyError",
    "Obstacle",
    "Options",
    "Plan",
    "PlanFileError",
    "ShelfError",
    "UnreadableError",
    "When",
    "WindowfallError",
    "compare",
    "frames",
    "make_plan",
    "pictures",
    "read_job",
    "size_pieces",
    "with_discount",
]

_HOMES = {
    "Comparison": "comparing",
    "Job": "job",
    "Options": "options",
    "Plan": "planned",
    "When": "job",
    "compare": "comparing",
    "make_plan": "plan",
    "read_job": "read",
    "size_pieces": "sizing",
    "with_discount": "offers",
}


def __getattr__(name: str) -> Any:
    """Load what is asked for when it is first used, so that a command that only prints its help is quick."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    if name in {"frames", "pictures"}:
        return import_module(f"{__name__}.{name}")
    return getattr(import_module(f"{__name__}.{_HOMES.get(name, 'errors')}"), name)


def __dir__() -> list[str]:
    """Return the public names."""
    return list(__all__)
