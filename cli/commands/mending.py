"""What is said of a spoiled mat that is planned again."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from cli.commands.shelf import now

if TYPE_CHECKING:
    from collections.abc import Sequence

    from nesting.model.plan import PlacedMat, Plan
    from nesting.plan_file.read import Again
    from nesting.shelf.recutting import Spoiled

__all__ = ["plan_again"]


def plan_again(spoiled: "Spoiled", out: Path | None, seconds: float) -> None:
    """Plan what is spoiled again, and write and reserve it where a folder is named.

    Parameters
    ----------
    spoiled : Spoiled
        What was spoiled; it is booked already.
    out : Path or None
        The folder.
    seconds : float
        The time limit.

    Raises
    ------
    CannotBeCutError
        If there is no plan.
    ShelfError
        If the shelf cannot be read or changed.
    """
    from cli.progress import shown_progress
    from cli.reports.screen.plan import open_console, print_plan
    from nesting.plan_file.write import used_labels
    from nesting.shelf.recutting import planned_again, to_cut_again

    mats = to_cut_again(spoiled)
    click.echo(f"\nTo be cut again: {', '.join(placed.mat.id for placed in mats)}. The other sheets stay as planned.\n")
    with shown_progress(spoiled.job.bench.currency) as progress:
        made, written = planned_again(
            spoiled, mats, lambda plan: _written(spoiled, mats, plan, out), seconds=seconds, progress=progress
        )
    print_plan(made, open_console(sys.stdout))
    used = ", ".join(used_labels(made))
    if written is not None:
        click.echo(written)
        if used:
            click.echo(f"\nReserved for it until it is booked or dropped: {used}.")
    elif used:
        click.echo(f"\nOf the shelf it takes {used}. Nothing is reserved: --out DIR writes the plan and reserves that.")


def _written(spoiled: "Spoiled", mats: "Sequence[PlacedMat]", made: "Plan", folder: Path | None) -> str | None:
    from cli.reports.files.folder import write_report
    from nesting.shelf.recutting import kept_for_it

    if folder is None:
        return None
    folder.mkdir(parents=True, exist_ok=True)

    def write(again: "Again") -> str:
        return write_report(made, folder, again=again)

    return kept_for_it(spoiled, mats, made, file=folder / "plan.json", write=write, now=now())
