"""`windowfall check`: reads a job, says everything that is wrong at once, and shows every mat's sizes."""

import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from nesting.job import Job

__all__ = ["check"]


@click.command()
@click.argument("job", type=click.Path(exists=True))
def check(job: str) -> None:
    """Read the JOB, say everything that is wrong with it, and show every mat's sizes.

    Later pieces are shown too. Nothing is planned and nothing is written.
    """
    from cli.reports.sizes import print_sizes
    from cli.reports.terminal import open_console
    from nesting.job import When
    from nesting.read import read_job
    from nesting.sizing import size_pieces, warnings

    asked = read_job(job)
    mats = size_pieces(asked, When.LATER)
    console = open_console(sys.stdout)
    print_sizes(asked, mats, console)
    console.print()
    for line in _any_offers(asked):
        console.print(line)
    found = (*asked.warnings, *warnings(asked))
    for warning in found:
        console.print(f"Worth a look: {warning}")
    pieces = sum(piece.quantity for piece in asked.pieces)
    console.print(f"{pieces} pieces, {len(mats)} blanks. " + ("No warnings." if not found else "Nothing is wrong."))


def _any_offers(job: "Job") -> Iterator[str]:
    """Say which boards an offer for `any` board stands for."""
    from nesting.offers import sells

    for offer in job.offers:
        if offer.board is None:
            boards = [board.name for board in job.boards if sells(job, offer, board.name)]
            yield f"Offer {offer.number}, {offer.shop}: any stands for {', '.join(boards) or 'no board of this job'}."
