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
from pathlib import Path

__version__ = "0.1.0"

# Each line of the stub is "from HOME import NAME as NAME".
_STUB = Path(__file__).with_suffix(".pyi").read_text(encoding="utf-8")
_HOMES = {line.split()[-1]: line.split()[1] for line in _STUB.splitlines() if line.startswith("from ")}

__all__ = list(_HOMES)


def __getattr__(name: str) -> object:
    """Load what is asked for when it is first used, so that a command that only prints its help is quick."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    if _HOMES[name] == __name__:
        return import_module(f"{__name__}.{name}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    """Return the public names."""
    return __all__
