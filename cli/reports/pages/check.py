"""A checked job as one page: what was understood, what looks unusual, and every mat from the front."""

from collections.abc import Iterator, Sequence
from pathlib import PurePath

from cli.reports.advice import Advice, border_advice, size_advice, understood
from cli.reports.pages.booklet import Block, Booklet, Card, Cards, Column, Row, Section, Table, Words
from cli.reports.pages.compose import usual_paper
from nesting.drawing.front import draw_front
from nesting.model.job import Job
from nesting.model.mat import Mat
from nesting.names import UNIT_WORDS, Names, length_words, size_words

__all__ = ["compose_check"]


def compose_check(job: Job, mats: Sequence[Mat]) -> Booklet:
    """Return the page of a checked job.

    Parameters
    ----------
    job : Job
        The job as read.
    mats : sequence of Mat
        All its mats, later ones too; of the copies of a row the first is drawn.

    Returns
    -------
    Booklet
        Of one section, with nothing to tick.
    """
    drawings = tuple(_cards(job, mats))
    unit = UNIT_WORDS[job.bench.unit]
    blocks: list[Block] = [Words(sentence) for sentence in understood(job, mats)]
    for heading, advice in (
        ("Worth a look: allowed, but unusual", size_advice(job)),
        ("A matter of taste: borders (common practice, not a rule)", border_advice(job, mats)),
    ):
        if advice:
            blocks.append(_table(heading, advice))
    blocks.append(Cards(f"Every mat from the front, in {unit}; dashed: the picture behind it", drawings))
    title = PurePath(job.path).stem or job.path
    section = Section("check", "Check", "What was understood", tuple(blocks))
    return Booklet(title=title, identity="check", paper=usual_paper(job.bench), sections=(section,))


def _table(heading: str, advice: Sequence[Advice]) -> Table:
    columns = Column("What is said", 55), Column("What to write where", 45)
    return Table(heading, columns, tuple(Row((f"\n{said}", f"\n{place}")) for said, place in advice))


def _cards(job: Job, mats: Sequence[Mat]) -> Iterator[Card]:
    names, pieces = Names(job), {piece.name: piece for piece in job.pieces}
    for mat in mats:
        if mat.copy == 1 and (mat.windows or mat.layer == 0):
            name = f"{mat.piece}{names.behind(mat)}"
            drawing = draw_front(mat, pieces[mat.piece], name, job.bench, job.board(mat.boards[0]).swatch)
            yield Card((), drawing, (name, " or ".join(mat.boards), *_sizes(job, mat)))


def _sizes(job: Job, mat: Mat) -> Iterator[str]:
    bench, borders = job.bench, mat.borders
    yield f"Blank {size_words(mat.blank, bench)}"
    if borders is None:
        yield "No window"
        return
    count = f"{len(mat.windows)} windows of" if len(mat.windows) > 1 else "Window"
    yield f"{count} {size_words(mat.windows[0].size, bench)}"
    left, right, top, bottom = (
        length_words(border, bench) for border in (borders.left, borders.right, borders.top, borders.bottom)
    )
    sides = f"sides {left}" if left == right else f"left {left}, right {right}"
    yield f"Borders: {sides}, top {top}, bottom {bottom}"
