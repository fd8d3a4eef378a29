"""`windowfall plan`: the main job, from a job to a plan on the screen and in files."""

import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from cli.commands.shelf import reserved_too_option
from cli.seconds import SECONDS

if TYPE_CHECKING:
    from nesting.model.job import Job
    from nesting.model.plan import Plan
    from nesting.options import Options
    from nesting.scenarios.limits import Within

__all__ = ["Settings", "answer", "boards_held", "make_folder", "plan", "plan_options"]

_OPTIONS = (
    click.option(
        "--out",
        type=click.Path(file_okay=False, path_type=Path),
        metavar="DIR",
        help="Write the pages for till and bench (plan.html, plan.pdf), plan.xlsx, plan.json and pictures here.",
    ),
    click.option(
        "--paper",
        type=click.Choice(["letter", "a4"], case_sensitive=False),
        help="What plan.html and plan.pdf are printed on; otherwise letter for inches and A4 for metric jobs.",
    ),
    click.option(
        "--discount",
        metavar="PCT",
        help="Per cent off, in place of the discount of every offer without a limit; SHOP=PCT for one shop.",
    ),
    click.option("--labels", is_flag=True, help="End the pages with a label for the back of each blank."),
    click.option("--later", is_flag=True, help="Plan the pieces marked later too."),
    click.option("--shop", "shops", multiple=True, metavar="SHOP", help="Buy at this shop only; may be given again."),
    click.option(
        "--left",
        multiple=True,
        metavar="BOARD=N",
        help="How many sheets of a board are left, 0 for sold out; SHOP:BOARD=N at one shop. May be given again.",
    ),
    click.option("--liked-best", is_flag=True, help="Give every piece the board that it names first."),
    click.option(
        "--budget",
        metavar="SUM",
        help="Pay no more than this: plan the pieces it is enough for, by priority, and name the rest.",
    ),
    click.option(
        "--sheets", type=click.IntRange(min=0), metavar="N", help="The same, buying no more sheets than this."
    ),
    click.option(
        "--credit-leftovers",
        is_flag=True,
        help="Say beside the cost of each piece what it is less what is kept for the shelf.",
    ),
    click.option(
        "--seconds",
        type=SECONDS,
        default=10.0,
        show_default=True,
        metavar="N",
        help="Search no longer than this.",
    ),
    click.option("--no-fallout", is_flag=True, help="Leave the pieces that fall out of the windows unused."),
    click.option(
        "--shelf",
        is_flag=False,
        flag_value="",
        metavar="[PATH]",
        help="Cut what the shelf file holds too: your own, or the one at PATH.",
    ),
    reserved_too_option,
    click.option(
        "--shelf-only",
        is_flag=True,
        help="Buy nothing: plan what can be cut from the shelf, the job's own and your shelf file; name the rest.",
    ),
    click.option(
        "--seed",
        type=click.IntRange(min=0),
        default=0,
        show_default=True,
        metavar="N",
        help="Another number searches in another order.",
    ),
    click.option("--json", "as_json", is_flag=True, help="Print the plan file to standard output and nothing else."),
)


@dataclass(frozen=True, slots=True)
class Settings:
    """What the command line asks of a plan."""

    out: Path | None
    paper: str | None
    labels: bool
    discount: str | None
    later: bool
    credit_leftovers: bool
    shops: tuple[str, ...]
    left: tuple[str, ...]
    liked_best: bool
    budget: str | None
    sheets: int | None
    seconds: float
    no_fallout: bool
    shelf: str | None
    reserved_too: bool
    shelf_only: bool
    seed: int
    as_json: bool

    @property
    def shelf_file(self) -> str | None:
        """Where the shelf file is that is cut from too, empty for the user's own; None for none."""
        return "" if self.shelf is None and self.shelf_only else self.shelf


def plan_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options of a plan, the first of them first in its help."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


@click.command()
@click.argument("job", type=click.Path(exists=True), required=False, metavar="JOB")
@plan_options
@click.pass_context
def plan(context: click.Context, /, job: str | None, **settings: Any) -> None:
    """Size, nest, buy and cost the JOB, a workbook or a folder of CSV files.

    Prints the short answer, what to buy first. Ctrl-C while it searches takes the best plan so far.
    """
    from nesting.reading.choices import read_choices
    from nesting.reading.job import read_job

    if job is None and settings["shelf"]:
        # After --shelf the job itself is taken for the path of the shelf.
        job, settings["shelf"] = settings["shelf"], ""
    if job is None:
        raise click.MissingParameter(ctx=context, param=context.command.params[0], param_hint="'JOB'")
    asked = Settings(**settings)
    if asked.shelf is None and read_choices(job).shelf:
        asked = replace(asked, shelf="")
    answer(read_job(job, held=boards_held(asked.shelf_file)), asked)


def answer(job: "Job", settings: Settings) -> None:
    """Plan a job, print the answer and write the report where one is asked for.

    Parameters
    ----------
    job : Job
        The job as read.
    settings : Settings
        What the command line says.

    Raises
    ------
    JobError
        If the job or the discount is wrong.
    CannotBeCutError
        If there is no plan.
    """
    from cli.reports.screen.plan import open_console, print_plan
    from cli.reports.sentences import left_out_words
    from nesting.plan_file.write import write_json

    make_folder(settings.out)
    found = _planned(_stocked(job, settings), settings)
    made = found.plan
    # The files come first: whoever reads the answer may stop reading before its end.
    written = None
    try:
        if settings.out is not None:
            from cli.reports.files.folder import write_report
            from cli.reports.pages.booklet import Paper

            written = write_report(
                made,
                settings.out,
                Paper(settings.paper) if settings.paper else None,
                credit_leftovers=settings.credit_leftovers,
                labels=settings.labels,
            )
    except KeyboardInterrupt:
        click.echo("Stopped while the report was written: none of its files was put in place.", err=True)
        raise click.exceptions.Exit(1) from None
    finally:  # a plan that cannot be written is still worth its answer
        if settings.as_json:
            write_json(made, sys.stdout)
        else:
            left_out = tuple(left_out_words(found))
            print_plan(made, open_console(sys.stdout), credit_leftovers=settings.credit_leftovers, left_out=left_out)
    if written is not None:
        click.echo(written, err=settings.as_json)
    _say_shelf(found, settings)
    _warn(made)


def make_folder(folder: Path | None) -> None:
    """Make the folder of a report before the search, so that a plan is not lost to a folder that cannot be.

    Parameters
    ----------
    folder : Path or None
        None makes nothing.

    Raises
    ------
    click.BadParameter
        If it cannot be made.
    """
    if folder is not None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise click.BadParameter(f"the folder cannot be made: {error.strerror}", param_hint="--out") from error


def boards_held(told: str | None) -> tuple[str, ...] | None:
    """Return the boards on the shelf file, by which a job without offers is read.

    Parameters
    ----------
    told : str or None
        The file, empty for the user's own; None where no shelf file is cut from.

    Returns
    -------
    tuple of str or None
        Each once; None without a shelf file.

    Raises
    ------
    ShelfError
        If the file cannot be read.
    """
    if told is None:
        return None
    from nesting.shelf.store import load_shelf, shelf_path

    return tuple(dict.fromkeys(piece.board for piece in load_shelf(shelf_path(told)).pieces))


def _stocked(job: "Job", settings: Settings) -> "Job":
    """Put what the shelf file holds beside the job's own shelf table where that is asked for."""
    if settings.shelf_file is None:
        return job
    from nesting.shelf.reserving import free_shelf
    from nesting.shelf.stock import with_shelf
    from nesting.shelf.store import history_of, load_shelf, shelf_path

    path = shelf_path(settings.shelf_file)
    held = load_shelf(path)
    return with_shelf(job, held if settings.reserved_too else free_shelf(held, history_of(path)))


def _planned(job: "Job", settings: Settings) -> "Within":
    from cli.progress import shown_progress
    from nesting.chosen import with_choices
    from nesting.offers import with_discount
    from nesting.plan import make_plan
    from nesting.scenarios.limits import Within, limits_pieces, plan_within

    if settings.discount is None:
        job = with_choices(job, job.choices)
    else:
        job = with_discount(with_choices(job, replace(job.choices, discounts=())), settings.discount)
    options = _options(job, settings)
    with shown_progress(job.bench.currency) as progress:
        if limits_pieces(options):
            return plan_within(job, options, seconds=settings.seconds, seed=settings.seed, progress=progress)
        made = make_plan(job, options, seconds=settings.seconds, seed=settings.seed, progress=progress, ahead=True)
    return Within(made, (), None, None)


def _options(job: "Job", settings: Settings) -> "Options":
    """Return what is asked of the plan: an option of the command line comes before what was chosen beside the job."""
    from nesting.chosen import chosen_options
    from nesting.model.job import When
    from nesting.options import named_shops, parse_left

    chosen = chosen_options(job, job.choices)
    sheets = 0 if settings.shelf_only else settings.sheets
    return replace(
        chosen,
        when=When.LATER if settings.later else chosen.when,
        use_fallout=False if settings.no_fallout else chosen.use_fallout,
        shops=named_shops(job, settings.shops) or chosen.shops,
        left=tuple(parse_left(job, text) for text in settings.left) or chosen.left,
        liked_best=settings.liked_best or chosen.liked_best,
        budget=chosen.budget if settings.budget is None else _budget(settings.budget),
        sheets=chosen.sheets if sheets is None else sheets,
    )


def _budget(text: str) -> int:
    from nesting.errors import MoneyError
    from nesting.money import parse_money

    try:
        return parse_money(text)
    except MoneyError as error:
        raise click.BadParameter(f"{text!r} {error}", param_hint="--budget") from error


def _say_shelf(found: "Within", settings: Settings) -> None:
    """Say what is used of the shelf file, and beside a plan file what is left out."""
    from cli.reports.sentences import left_out_words
    from nesting.plan_file.write import used_labels

    if settings.as_json and found.left_out:
        click.echo("\n- ".join(("Left out:", *left_out_words(found))), err=True)
    if settings.shelf_file is not None:
        used = ", ".join(used_labels(found.plan))
        then = f" When it is cut: windowfall done {settings.out}" if settings.out else ""
        keep = f" To keep these for it until then: windowfall shelf reserve {settings.out}" if used and then else ""
        click.echo(f"\nUsed of the shelf file: {used or 'nothing'}.{then}{keep}", err=settings.as_json)


def _warn(made: "Plan") -> None:
    from cli.reports.sentences import chosen_words
    from nesting.sizing import warnings

    if chosen := chosen_words(made.job.choices):
        click.echo(f"Chosen for this job: {chosen}.", err=True)
    for warning in (*made.job.warnings, *warnings(made.job)):
        click.echo(f"Worth a look: {warning}", err=True)
