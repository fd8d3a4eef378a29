"""Sentences set in lines for a window, so that no length or size is parted at the end of one."""

import textwrap
from collections.abc import Iterable

from rich.console import Console
from rich.text import Text

from nesting.drawing.fractions import unbroken
from nesting.names import NO_BREAK

__all__ = ["print_paragraphs", "set_in_lines"]


def set_in_lines(words: str, width: int, *, first: str = "", rest: str = "") -> str:
    """Return sentences broken into lines; a whole number stays beside its fraction, and a width beside its height.

    Parameters
    ----------
    words : str
        The sentences.
    width : int
        Of the window, in letters.
    first, rest : str
        What the first line begins with, and what all others do.

    Returns
    -------
    str
        Its lines, without a break at the end.

    Examples
    --------
    >>> print(set_in_lines("borders of 3 1/2 or more", 14, first="- ", rest="  "))
    - borders of
      3 1/2 or
      more
    """
    lines = textwrap.fill(
        unbroken(words).replace(" × ", f"{NO_BREAK}×{NO_BREAK}"),
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return lines.replace(NO_BREAK, " ")


def print_paragraphs(console: Console, heading: str, paragraphs: Iterable[tuple[str, ...]], sign: str = "") -> None:
    """Print sentences under a bold heading, and nothing where there are none.

    Parameters
    ----------
    console : Console
        Where to print.
    heading : str
        The heading; none where it is empty.
    paragraphs : iterable of tuple of str
        What belongs together, each part from a new line on.
    sign : str
        What each paragraph begins with; its other lines are set in as far.
    """
    listed = list(paragraphs)
    if listed and heading:
        console.print(Text(heading, style="bold"))
    for parts in listed:
        for number, part in enumerate(filter(None, parts)):
            rest = " " * (2 + len(sign))
            first = f"  {sign}" if number == 0 else rest
            console.print(set_in_lines(part, console.width, first=first, rest=rest), soft_wrap=True)
