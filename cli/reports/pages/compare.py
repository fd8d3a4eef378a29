"""Comparison to booklet: the answer, a chart, the tables, and what they mean."""

from pathlib import PurePath

from cli.reports.comparing import Grid, answer_words, discounts, grids, off_words, remarks
from cli.reports.pages.booklet import Block, Booklet, Column, Paper, Picture, Row, Section, Table, Words
from cli.reports.pages.compose import usual_paper
from nesting.drawing import Drawing
from nesting.drawing.chart import Bar, draw_bars
from nesting.model.job import When
from nesting.money import format_money
from nesting.names import NO_BREAK
from nesting.scenarios.compare import Case, Comparison, Figure

__all__ = ["compose_comparison"]


def compose_comparison(comparison: Comparison, paper: Paper | None = None) -> Booklet:
    """Return the page of a comparison.

    Parameters
    ----------
    comparison : Comparison
        The comparison.
    paper : Paper or None
        What it is printed on; None for what is usual where the job's unit is.

    Returns
    -------
    Booklet
        Of one section, with nothing to tick.
    """
    blocks: tuple[Block, ...] = (
        Words(answer_words(comparison).replace(NO_BREAK, " "), strong=True),
        Picture(_chart(comparison)),
        *(Words(words) for words in remarks(comparison)),
        *(_table(grid) for grid in grids(comparison)),
    )
    job = comparison.job
    return Booklet(
        title=PurePath(job.path).stem or job.path,
        identity="comparison",
        paper=paper or usual_paper(job.bench),
        sections=(Section("compare", "Sale", "What other discounts would change", blocks),),
    )


def _chart(comparison: Comparison) -> Drawing:
    bars = []
    for off in discounts(comparison):
        for when, said in ((When.NOW, "now"), (When.LATER, "with later pieces")):
            found = comparison.figure(Case(off, when))
            if found is not None:
                without = comparison.figure(Case(off, when, use_fallout=False))
                saved = 0 if without is None else max(0, without.total - found.total)
                bars.append(Bar(off_words(off), said, found.total, _bar_words(comparison, found, saved), saved))
    return draw_bars("compare", "What is paid in all, all shops together", bars, "saved by using fallout")


def _bar_words(comparison: Comparison, found: Figure, saved: int) -> str:
    currency = comparison.job.bench.currency
    total = ("" if found.proven else "* ") + format_money(found.total, currency)
    return f"{total}; fallout saves {format_money(saved, currency)}" if saved else total


def _table(grid: Grid) -> Table:
    share = 70 // max(1, len(grid.columns) - 1)
    columns = (Column("Discount", 30), *(Column(heading, share, right=True) for heading in grid.columns[1:]))
    return Table(grid.heading, columns, tuple(Row(row) for row in grid.rows))
