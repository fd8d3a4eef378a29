"""Help that teaches: what each command does in one line, an example of it, and what was probably meant."""

import difflib
from collections.abc import Iterator
from pathlib import Path

import click
from click.exceptions import NoSuchCommand

from cli.plain import PLAIN

__all__ = ["LESSONS", "InOrder", "hint", "teach"]

# In the order in which they are wanted: one line for the list of commands, and examples.
LESSONS = {
    "desk": ("Do the whole job in a browser.", ("windowfall desk", "windowfall desk --no-browser")),
    "start": ("Write a job to fill in.", ("windowfall start wall.xlsx",)),
    "pair": (
        "Propose which picture goes into which frame.",
        ("windowfall pair attic", "windowfall pair attic --out wall.xlsx"),
    ),
    "check": (
        "Say what is wrong or unusual, and show sizes.",
        ("windowfall check wall.xlsx", "windowfall check wall.xlsx --drawings"),
    ),
    "plan": (
        "Size, nest, buy and cost a job.",
        ("windowfall plan wall.xlsx --out report", "windowfall plan wall.xlsx --discount 40 --later"),
    ),
    "compare": ("Compare what a job costs at several discounts.", ("windowfall compare wall.xlsx --discounts 0,50",)),
    "till": ("Work out what may happen at the till.", ("windowfall till wall.xlsx --frame 8x10",)),
    "demo": ("Plan the demonstration wall.", ("windowfall demo --out report", "windowfall demo --copy wall")),
    "shelf": ("List and change what you hold.", ("windowfall shelf", "windowfall shelf add sage 16 20")),
    "shelf list": ("List what is held.", ("windowfall shelf list --board sage",)),
    "shelf add": ("Put a piece on.", ('windowfall shelf add sage "11 1/4" 15 --kind offcut',)),
    "shelf take": ("Take pieces off.", ("windowfall shelf take R7 --count 1",)),
    "shelf return": ("Put a piece back that was taken off.", ("windowfall shelf return R7",)),
    "shelf reserve": ("Keep pieces for a plan.", ("windowfall shelf reserve report",)),
    "shelf drop": ("Free what a plan reserved.", ("windowfall shelf drop report",)),
    "shelf correct": ("Correct what is said of a piece.", ('windowfall shelf correct R7 --width "10 3/8"',)),
    "shelf undo": ("Undo the last change.", ("windowfall shelf undo",)),
    "shelf log": ("List what was used when.", ("windowfall shelf log --board sage",)),
    "done": (
        "After the cutting: book a plan on the shelf.",
        ("windowfall done report", "windowfall done report --spoiled M7"),
    ),
}

_QUOTES = "A name or a path with spaces in it goes in quotes."


class InOrder(click.Group):
    """A group that lists its commands in the order in which they are wanted."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of the commands; those of no lesson come last."""
        names, order = super().list_commands(ctx), [path.split()[-1] for path in LESSONS]
        return sorted(names, key=lambda name: order.index(name) if name in order else len(order))


def teach(group: click.Group) -> None:
    """Give every command of a group its line in the list of commands, its examples, and the option --plain.

    A command whose own words have an example keeps it.

    Parameters
    ----------
    group : click.Group
        The whole program.
    """
    group.params.append(PLAIN)
    for path, command in _below(group, ""):
        command.params.append(PLAIN)
        _say_ranges(command)
        if path in LESSONS:
            command.short_help, examples = LESSONS[path]
            if f"windowfall {path}" not in (command.help or ""):
                command.epilog = "\n".join(["\b", "Examples:" if len(examples) > 1 else "Example:", *_set_in(examples)])


def _say_ranges(command: click.Command) -> None:
    """Let help and messages say in words what kind of number an option wants, and between which it lies."""
    for parameter in command.params:
        kind = parameter.type
        if isinstance(kind, click.IntRange | click.FloatRange):
            words = _range_words(kind)
            kind.name = "whole number" if isinstance(kind, click.IntRange) else "number"
            kind._describe_range = words.__str__  # type: ignore[method-assign]  # noqa: SLF001 - there is no other way


def _range_words(kind: click.IntRange | click.FloatRange) -> str:
    least, most = (None if end is None else f"{end:.10g}" for end in (kind.min, kind.max))
    if kind.min_open:
        return f"more than {least}" if most is None else f"more than {least}, up to {most}"
    return f"{least} or more" if most is None else f"{least} to {most}"


def _below(group: click.Group, path: str) -> Iterator[tuple[str, click.Command]]:
    for name, command in group.commands.items():
        yield f"{path}{name}", command
        if isinstance(command, click.Group):
            yield from _below(command, f"{path}{name} ")


def _set_in(examples: tuple[str, ...]) -> Iterator[str]:
    return (f"  {example}" for example in examples)


def hint(error: click.ClickException) -> str | None:
    """Return what was probably meant or what may help, where the message itself does not say so.

    Parameters
    ----------
    error : click.ClickException
        What is wrong with a command line.

    Returns
    -------
    str or None
        A line to follow the message.
    """
    match error:
        case NoSuchCommand():
            return _instead_of_command(error)
        case click.MissingParameter():
            return _example(error.ctx)
        case click.BadParameter(param=click.Parameter(type=click.Path())):
            return _nearest_path(error)
        case click.UsageError() if "unexpected extra argument" in error.message:
            return _QUOTES
        case _:
            return None


def _instead_of_command(error: NoSuchCommand) -> str | None:
    name = error.command_name
    if Path(name).exists():
        return f"{name} is there: to plan it, windowfall plan {_quoted(name)}"
    if error.possibilities or error.ctx is None or not isinstance(error.ctx.command, click.Group):
        return None
    return f"The commands are: {', '.join(error.ctx.command.list_commands(error.ctx))}."


def _example(context: click.Context | None) -> str | None:
    """Return an example of the command that runs."""
    if context is None:
        return None
    path = context.command_path.removeprefix("windowfall ")
    return f"For example: {LESSONS[path][1][0]}" if path in LESSONS else None


def _nearest_path(error: click.BadParameter) -> str | None:
    """Name what is there and called nearly as the path that is not."""
    given = error.message.split("'")[1::2]
    if "does not exist" not in error.message or not given:
        return None
    path = Path(given[0])
    try:
        names = [other.name for other in path.parent.iterdir() if not other.name.startswith(".")]
    except OSError:
        return f"There is no folder {path.parent} either."
    near = difflib.get_close_matches(path.name, names, n=1)
    return f"Did you mean {_quoted(str(path.parent / near[0]))}?" if near else _QUOTES if " " not in path.name else None


def _quoted(path: str) -> str:
    return f'"{path}"' if " " in path else path
