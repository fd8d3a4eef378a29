"""Till to booklet: the page for the shop, in letters that are read at arm's length."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import PurePath

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
from cli.reports.pages.booklet import Block, Booklet, Column, Paper, Row, Section, Table, Words
from cli.reports.pages.compose import usual_paper
from cli.reports.pages.money import shop_tables
from cli.reports.sentences import headline, proof_words
from nesting.identity import identity_of
from nesting.scenarios.till import Till

__all__ = ["compose_till"]


def compose_till(till: Till, paper: Paper | None = None) -> Booklet:
    """Return the page to take to the shop.

    Parameters
    ----------
    till : Till
        What was worked out.
    paper : Paper or None
        What it is printed on; None for what is usual where the job's unit is.

    Returns
    -------
    Booklet
        Of one section. What is bought has boxes to tick.
    """
    job = till.plan.job
    return Booklet(
        title=PurePath(job.path).stem or job.path,
        identity=f"till-{identity_of(till.plan).plan}",
        paper=paper or usual_paper(job.bench),
        sections=(Section("till", "Shop", "What to buy, and what to do if it is not there", tuple(_blocks(till))),),
    )


def _blocks(till: Till) -> Iterator[Block]:
    plan = till.plan
    yield Words(headline(plan), strong=True)
    for table in shop_tables(plan):
        yield replace(table, columns=tuple(replace(column, large=not column.figure) for column in table.columns))
    yield from _answers(
        "If a board is sold out or short", ("If", "Then"), [short_words(plan, short) for short in till.shortages]
    )
    yield from _answers(
        "One sheet fewer", ("Board", "Do without"), [(fewer.board, fewer_words(plan, fewer)) for fewer in till.fewer]
    )
    if note := fewer_note(till):
        yield Words(note)
    yield from _more(till)
    yield from (Words(f"Worth stocking: {extra_words(plan, extra)}") for extra in till.extras)
    yield Words(" ".join(words for words in (liked_words(till), proof_words(plan)) if words))


def _answers(heading: str, said: tuple[str, str], answers: list[tuple[str, str]]) -> Iterator[Block]:
    """Yield a table of what may be and what to do then; nothing where there is nothing to say."""
    if answers:
        columns = Column(said[0], 34, large=True), Column(said[1], 66, large=True)
        yield Table(heading, columns, tuple(Row((what, then[:1].upper() + then[1:])) for what, then in answers))


def _more(till: Till) -> Iterator[Block]:
    if not till.more:
        return
    names = inside_sizes(till)
    columns = (
        Column("Board", 34, large=True),
        *(Column(name, 66 // len(names), right=True, large=True) for name in names.values()),
    )
    boards = dict.fromkeys(many.board for many in till.more)
    rows = (Row((board, *(room_words(many) for many in till.more if many.board == board))) for board in boards)
    yield Table("More mats that fit in what you buy", columns, tuple(rows))
    unsure = " + means that there may be room for more." if any(not many.most for many in till.more) else ""
    yield Words(more_words(till).removesuffix(":") + "." + unsure)
