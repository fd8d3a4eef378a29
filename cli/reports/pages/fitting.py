"""The pages about the wall: how it will look, glass and backs, labels for the blanks, and what is left over."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from cli.reports.pages.booklet import Block, Card, Cards, Care, Column, Picture, Row, Section, Table, Words
from nesting.bench.cautions import Matter, caution
from nesting.bench.fitting import Pane, backing_sizes, glass_sizes
from nesting.bench.labels import Sticker, stickers
from nesting.bench.rounds import lefts, marked
from nesting.drawing.wall import Hung, draw_wall, hung, wall_notes, wall_words
from nesting.geometry import Size
from nesting.model.plan import Plan
from nesting.model.sides import Edge
from nesting.names import ruler_size_words, size_words
from nesting.spelling import in_a_row

__all__ = ["fitting_section", "label_section", "leftover_section", "wall_section"]

# Letters of names that take more of a page in a narrow column than two of them save.
_LONG = 200
# Less than any row of frames, so that each is a picture of its own and pages are filled as far as they go.
_ROW_BY_ROW = 1
# Pieces alike that take less of a page in one row than in rows of their own.
_MANY = 4


def wall_section(plan: Plan) -> Section:
    """Return the wall at a glance, what hangs there, and notes on borders that may look odd."""
    blocks: list[Block] = [Words(wall_words(plan))]
    drawn = draw_wall(plan, depth=_ROW_BY_ROW)
    titles = (f"The wall at a glance, row {number} of {len(drawn)}" for number in range(1, len(drawn) + 1))
    blocks += [Picture(replace(drawing, title=title)) for drawing, title in zip(drawn, titles, strict=True)]
    columns = Column("No.", 9, figure=True), Column("Piece, boards, borders seen", 91)
    blocks.append(Table("", columns, tuple(map(_hung_row, hung(plan))), halved=True))
    rows = tuple(Row((str(number), str(note))) for number, note in enumerate(wall_notes(plan), start=1))
    if rows:
        columns = Column("Note", 10, figure=True), Column("What may be changed", 90)
        blocks.append(Table("What may look odd (common practice, not a rule)", columns, rows))
    return Section("wall", "Wall", "The wall at a glance", tuple(blocks))


def _hung_row(alike: Hung) -> Row:
    count = f", {alike.count} of them" if alike.count > 1 else ""
    note = "" if alike.note is None else f"; see note {alike.note}"
    return Row((str(alike.number), f"{alike.piece}{count}\n{alike.words}{note}"))


def fitting_section(plan: Plan) -> Section:
    """Return glass and backs by size, with the cautions about glass, old frames and weight."""
    table = _panes(plan)
    cares = (Matter.GLASS, Matter.FINISH, Matter.WALL) if glass_sizes(plan) else (Matter.WALL,)
    blocks = (*([table] if table.rows else ()), *map(_care, cares))
    return Section("fitting", "Fit", "Glass and backs", blocks, own_page=False)


def _care(matter: Matter) -> Care:
    said = caution(matter)
    return Care(said.words, said.source)


def _panes(plan: Plan) -> Table:
    """Return a row for each size, with a box for its glass and one for each kind of back."""
    panes = [(pane, "glass") for pane in glass_sizes(plan)]
    panes += [(pane, "backs" if pane.count > 1 else "back") for pane in backing_sizes(plan)]
    by_size: dict[Size, list[tuple[Pane, str]]] = {}
    for pane, what in panes:
        by_size.setdefault(pane.size, []).append((pane, what))
    sizes = sorted(by_size, key=lambda size: (-size.area, -size.w))
    columns = Column("Size", 46, figure=True), Column("How many, for", 54)
    rows = tuple(_pane_row(plan, size, by_size[size], number) for number, size in enumerate(sizes))
    return Table("", columns, rows, halved=all(len(row.cells[1]) < _LONG for row in rows))


def _pane_row(plan: Plan, size: Size, panes: Sequence[tuple[Pane, str]], number: int) -> Row:
    boxes = tuple(
        (
            f"{'glass' if what == 'glass' else f'back-{place}'}-{number}",
            _pane_words(pane, what) + (f" in the plan, cut from {pane.board}" if pane.board else ""),
        )
        for place, (pane, what) in enumerate(panes)
    )
    said = [in_a_row(names) for names in dict.fromkeys(pane.pieces for pane, _ in panes)]
    if len(said) > 1:
        said = [f"{_pane_words(pane, what)}: {in_a_row(pane.pieces)}" for pane, what in panes]
    return Row((size_words(size, plan.job.bench), "\n".join(("", *said))), boxes=boxes)


def _pane_words(pane: Pane, what: str) -> str:
    return f"{pane.count} {what}"


def label_section(plan: Plan) -> Section:
    """Return a label for each blank, by group, to be written out or cut out and stuck on its back."""
    how = Words(
        "Stick each on the back of its blank as it comes off the cutter, the arrow towards the edge that is its top."
    )
    groups = groupby(stickers(plan), key=lambda sticker: sticker.group)
    cards = [Cards(group or "", tuple(_label(plan, each) for each in members)) for group, members in groups]
    return Section("labels", "Labels", "Labels for the blanks, to cut out", (how, *cards))


def _label(plan: Plan, sticker: Sticker) -> Card:
    up = "top" if sticker.up is Edge.TOP else "left"
    return Card(
        ticks=((None, sticker.mat),),
        drawing=None,
        lines=(
            sticker.piece,
            f"{sticker.layer}, {sticker.board}",
            f"↑ {size_words(sticker.size, plan.job.bench)}",
            f"from {sticker.sheet}; its top is at the {up} of the drawing",
        ),
    )


def leftover_section(plan: Plan) -> Section:
    """Return what goes on the shelf, with the name to write on each, and how much is scrap."""
    everything = list(lefts(replace(plan, identity="")))  # what is written on all of them is said once
    tables = tuple(_kept_tables(plan, everything))
    first = next((label for label, _, _, keep in everything if keep), "")
    scrap = sum(not keep for _, _, _, keep in everything)
    words = []
    if first:
        too = f", plan {plan.mark} too" if plan.mark else ""
        words.append(f"Write on the back of each its label{too}, such as {marked(first, plan.mark)}.")
        words.append("The shelf lists it so. Fallouts are measured once squared.")
    if scrap:
        alone = "The one piece that is left is" if scrap == 1 else f"All {scrap} pieces that are left are"
        other = f"{scrap} other piece{' is' if scrap == 1 else 's are'}" if first else alone
        words.append(f"{other} too small to keep: try the bevel settings on such scrap first.")
    blocks: list[Block] = [Words(" ".join(words))] if words else []
    blocks += tables
    if not everything:
        blocks.append(Words("Nothing is left over."))
    return Section("left", "Left", "What is left over", tuple(blocks), own_page=False)


def _kept_tables(plan: Plan, everything: Sequence[tuple[str, str, Size, bool]]) -> Iterator[Table]:
    """Yield what is kept: a row for each piece, and one for as many alike as save room together."""
    alike: dict[str, list[tuple[str, str]]] = {}
    for number, (label, board, size, keep) in enumerate(everything):
        if keep:
            what = f"{board}, {ruler_size_words(size, plan.job.bench)}"
            alike.setdefault(what, []).append((f"left-{number}", label))
    single = [(what, label, key) for what, its in alike.items() if len(its) < _MANY for key, label in its]
    if single:
        columns = Column("Write on it", 56, figure=True), Column("What it is", 44)
        rows = (Row((label, what), tick=key) for what, label, key in single)
        yield Table("", columns, tuple(rows), halved=True)
    many = {what: its for what, its in alike.items() if len(its) >= _MANY}
    if many:
        columns = Column("What it is", 22), Column("Write on each", 78, large=True)
        rows = (Row((f"{what}\n{len(its)} alike", ""), boxes=tuple(its)) for what, its in many.items())
        yield Table("", columns, tuple(rows))
