"""The till on the screen: what to buy, and what to do if a board is sold out or short."""

from collections.abc import Iterator, Sequence

from rich.console import Console, RenderableType

from cli.reports.at_the_till import (
    extra_words,
    fewer_note,
    fewer_words,
    inside_sizes,
    liked_words,
    more_words,
    room_words,
    short_words,
)
from cli.reports.screen.plan import item, money_table, print_sections
from cli.reports.sentences import carry_words, proof_words
from nesting.geometry import ExactSize
from nesting.scenarios.till import Till

__all__ = ["print_till"]

_ABREAST = 3


def print_till(till: Till, console: Console) -> None:
    """Print what to buy, and what to do if something is different in the shop.

    Parameters
    ----------
    till : Till
        What was worked out.
    console : Console
        A window of 60 columns is wide enough.
    """
    width = console.width
    sections = [(heading, [_set_in(part, width) for part in parts]) for heading, parts in _sections(till)]
    print_sections(carry_words(till.plan), sections, console)


def _set_in(part: RenderableType, width: int) -> RenderableType:
    return item(part, width) if isinstance(part, str) else part


def _sections(till: Till) -> Iterator[tuple[str, list[RenderableType]]]:
    plan = till.plan
    yield "Could it cost less?", list(filter(None, [proof_words(plan)]))
    yield "If a board is sold out or short", [": ".join(short_words(plan, short)) for short in till.shortages]
    yield "First-choice boards for all", [liked_words(till)]
    yield "More mats that fit in what you buy", list(_more(till))
    fewer = [fewer_words(plan, fewer) for fewer in till.fewer]
    yield "One sheet fewer", list(filter(None, [fewer_note(till), *fewer]))
    yield "Worth stocking", [extra_words(plan, extra) for extra in till.extras]


def _more(till: Till) -> Iterator[RenderableType]:
    if not till.more:
        return
    yield more_words(till)
    insides = tuple(inside_sizes(till))
    for first in range(0, len(insides), _ABREAST):
        yield _how_many(till, insides[first : first + _ABREAST])
    if any(not many.most for many in till.more):
        yield "+ means that there may be room for more."


def _how_many(till: Till, insides: Sequence[ExactSize]) -> RenderableType:
    names = inside_sizes(till)
    table = money_table(1, [names[inside] for inside in insides])
    for board in dict.fromkeys(many.board for many in till.more):
        table.add_row(
            board, *(room_words(many) for many in till.more if many.board == board and many.inside in insides)
        )
    return table
