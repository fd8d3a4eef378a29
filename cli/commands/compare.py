"""`windowfall compare`: the bulk buy, one job at several discounts, now and later, shop by shop."""

import sys
from decimal import Decimal
from pathlib import Path

import click

from cli.seconds import SECONDS

__all__ = ["compare"]


@click.command()
@click.argument("job", type=click.Path(exists=True), metavar="JOB")
@click.option(
    "--discounts",
    metavar="PCT,PCT",
    help="Per cent off to compare, in place of the discount of every offer without a limit; otherwise 0,25,40,50,60.",
)
@click.option(
    "--sale-at",
    metavar="SHOP",
    help="The discounts are those of this shop; the others keep theirs.",
)
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Write the comparison with a chart here (compare.html, compare.pdf).",
)
@click.option(
    "--seconds",
    type=SECONDS,
    default=60.0,
    show_default=True,
    metavar="N",
    help="Search no longer than this for all figures together.",
)
@click.option("--seed", type=click.IntRange(min=0), default=0, show_default=True, metavar="N", help="As for plan.")
def compare(
    job: str, *, discounts: str | None, sale_at: str | None, out: Path | None, seconds: float, seed: int
) -> None:
    """Compare what the JOB costs at several discounts.

    With and without the pieces for later and the fallout, at each shop alone and at all together. Each figure is what
    plan says with --discount, --later, --no-fallout and --shop.
    """
    from cli.commands.plan import make_folder
    from cli.progress import shown_progress
    from cli.reports.screen.compare import print_comparison
    from cli.reports.screen.plan import open_console
    from nesting.options import named_shops
    from nesting.reading.job import read_job
    from nesting.scenarios.compare import DISCOUNTS
    from nesting.scenarios.compare import compare as compared

    percents = DISCOUNTS if discounts is None else _percents(discounts)
    asked = read_job(job)
    shop = None if sale_at is None else named_shops(asked, [sale_at], "--sale-at")[0]
    make_folder(out)
    with shown_progress(asked.bench.currency) as progress:
        found = compared(asked, percents, sale_at=shop, seconds=seconds, seed=seed, progress=progress)
    written = None
    if out is not None:
        from cli.reports.files.folder import write_comparison

        written = write_comparison(found, out)
    print_comparison(found, open_console(sys.stdout))
    if written is not None:
        click.echo(written)


def _percents(text: str) -> tuple[Decimal, ...]:
    from nesting.errors import MoneyError
    from nesting.money import parse_percent

    try:
        return tuple(dict.fromkeys(parse_percent(part) for part in text.split(",")))
    except MoneyError as error:
        raise click.BadParameter(
            f"{text!r} {error.problem}. Write per cents from 0 to 100 with commas between them, as 0,25,50",
            param_hint="--discounts",
        ) from error
