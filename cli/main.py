"""The command `windowfall`: its commands, and what becomes of everything that can go wrong."""

import io
import os
import shutil
import sys
from collections.abc import Sequence
from contextlib import suppress

import click

from cli.commands.check import check
from cli.commands.compare import compare
from cli.commands.demo import demo
from cli.commands.desk import desk
from cli.commands.done import done
from cli.commands.pair import pair
from cli.commands.plan import plan
from cli.commands.shelf import shelf
from cli.commands.start import start
from cli.commands.till import till
from cli.teaching import InOrder, hint, teach
from nesting import __version__
from nesting.errors import CannotBeCutError, JobError, PlanFileError, ShelfError, grouped, obstacle_words
from nesting.signs import safe

__all__ = ["main", "run", "windowfall"]

_DONE, _NO_PLAN, _WRONG = 0, 1, 2
_DEBUG = "WINDOWFALL_DEBUG"


def _print_version(context: click.Context, _option: click.Parameter, wanted: bool) -> None:
    if not wanted:
        return
    click.echo(f"windowfall {__version__}")
    context.exit()


@click.group(
    cls=InOrder,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Begin with: windowfall demo. Exit codes: 0 done; 1 no plan; 2 the job or the command line is wrong.",
)
@click.option(
    "--version", is_flag=True, is_eager=True, expose_value=False, callback=_print_version, help="Print the version."
)
def windowfall() -> None:
    """Plan a wall of framed pictures for the person who cuts the mats.

    Sizes every mat, nests the blanks on sheets of board, uses what falls out of the windows, says what to buy and what
    each piece costs.
    """


for _command in (desk, start, check, plan, compare, till, demo, shelf, done):
    windowfall.add_command(_command)
windowfall.add_command(pair)
teach(windowfall)


def main() -> None:
    """Run the command line of this process and leave with its exit code."""
    if sys.stdout is None:  # closed by whoever started the program
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115 - it stays open to the end
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a console of few letters still shows the rest
    sys.exit(run(sys.argv[1:]))


def run(arguments: Sequence[str]) -> int:
    """Run a command line; whatever goes wrong becomes a message on standard error.

    Parameters
    ----------
    arguments : sequence of str
        What follows the name of the program.

    Returns
    -------
    int
        0 done; 1 there is no plan; 2 the job or the command line is wrong.

    Raises
    ------
    Exception
        What nobody foresaw, where the variable ``WINDOWFALL_DEBUG`` is set; without it a line says so.
    """
    try:
        return _flushed(_answered(arguments))
    except BrokenPipeError:
        _write_no_more()  # whoever was reading has seen enough
        return _DONE
    except (KeyboardInterrupt, click.Abort):
        return _say("Stopped before it was done.", _NO_PLAN)
    except MemoryError:
        return _say("There is not memory enough for this job: close other programs, or plan it in parts.", _NO_PLAN)
    except Exception as error:  # a user never sees a traceback
        if os.environ.get(_DEBUG):
            raise
        what = " ".join(f"{type(error).__name__}: {error}".split())
        return _say(
            f"Windowfall made a mistake, which is not your job's fault ({what}). Please report it with the job; "
            f"{_DEBUG}=1 shows where it happened.",
            _NO_PLAN,
        )


def _answered(arguments: Sequence[str]) -> int:
    """Run the commands, and say what is wrong with the job, the command line or the disk."""
    try:
        return windowfall.main(list(arguments), prog_name="windowfall", standalone_mode=False) or _DONE
    except click.ClickException as error:
        shown = io.StringIO()
        error.show(shown)
        return _say("\n".join(filter(None, [shown.getvalue().rstrip("\n"), hint(error)])), _WRONG)
    except JobError as error:
        return _listed("Please fix these first:", grouped(error.faults), _WRONG)
    except CannotBeCutError as error:
        return _listed("There is no plan, because:", obstacle_words(error.obstacles), _NO_PLAN)
    except (PlanFileError, ShelfError) as error:
        return _say(str(error), _WRONG)
    except BrokenPipeError:
        raise
    except OSError as error:
        where = f": {error.filename}" if error.filename else "."
        return _say(f"A file could not be read or written: {error.strerror or error}{where}", _WRONG)


def _flushed(code: int) -> int:
    """Write what is still to be written to standard output; a disk that is full is told, and told once."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as error:
        _write_no_more()
        return code or _say(f"The answer could not be written: {error.strerror or error}.", _WRONG)
    return code


def _write_no_more() -> None:
    """Let what is left of standard output go nowhere, when the interpreter ends too."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _listed(heading: str, things: Sequence[str], code: int) -> int:
    return _say("\n".join([heading, *map(_in_lines, things)]), code)


def _in_lines(thing: str) -> str:
    """Begin with a dash; a terminal gets lines that part no word, anything else one line to be read by programs."""
    if not (sys.stderr and sys.stderr.isatty()):
        return f"- {thing}"
    from cli.reports.paragraphs import set_in_lines  # noqa: PLC0415 - what helps is to be quick

    return set_in_lines(thing, shutil.get_terminal_size().columns, first="- ", rest="  ")


def _say(message: str, code: int) -> int:
    with suppress(OSError):  # standard error may be closed or full, and the exit code still tells
        click.echo(safe(message), err=True)
    return code
