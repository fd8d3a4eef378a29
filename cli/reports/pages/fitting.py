"""The pages about the wall: how it will look, glass and backs, labels for the blanks, and what is left over."""

from collections.abc import Sequence
from itertools import groupby

from cli.reports.pages.booklet import Block, Card, Cards, Care, Column, Picture, Row, Section, Table, Words
from nesting.bench.cautions import Matter, caution
from nesting.bench.fitting import Pane, backing_sizes, glass_sizes
from nesting.bench.labels import Sticker, stickers
from nesting.bench.rounds import lefts
from nesting.drawing.wall import draw_wall, wall_notes
from nesting.model.plan import Plan
from nesting.model.sides import Edge
from nesting.names import ruler_size_words, size_words

__all__ = ["fitting_section", "label_section", "leftover_section", "wall_section"]

# Tenths of a millimetre: what letter paper leaves below the title of a section.
_WALL_DEPTH = 2330


def wall_section(plan: Plan) -> Section:
    """Return the wall at a glance, with notes on borders that may look odd."""
    blocks: list[Block] = [Picture(drawing) for drawing in draw_wall(plan, depth=_WALL_DEPTH)]
    rows = tuple(Row((str(number), str(note))) for number, note in enumerate(wall_notes(plan), start=1))
    if rows:
        columns = Column("Note", 10, figure=True), Column("What may be changed", 90)
        blocks.append(Table("What may look odd (common practice, not a rule)", columns, rows))
    return Section("wall", "Wall", "The wall at a glance", tuple(blocks))


def fitting_section(plan: Plan) -> Section:
    """Return glass and backs by size, with the cautions about glass, old frames and weight."""
    glass, backs = glass_sizes(plan), backing_sizes(plan)
    blocks: list[Block] = []
    if glass:
        blocks += [_care(Matter.GLASS), _panes(plan, "Glass", glass, "glass"), _care(Matter.FINISH)]
    if backs:
        blocks.append(_panes(plan, "Backs", backs, "back"))
    return Section("fitting", "Fit", "Glass and backs", (*blocks, _care(Matter.WALL)))


def _care(matter: Matter) -> Care:
    said = caution(matter)
    return Care(said.words, said.source)


def _panes(plan: Plan, heading: str, panes: Sequence[Pane], key: str) -> Table:
    columns = Column("How many", 12, figure=True), Column("Size", 36, figure=True), Column("For", 52)
    rows = []
    for number, pane in enumerate(panes):
        board = f"\nin the plan, cut from {pane.board}" if pane.board else ""
        cells = str(pane.count), size_words(pane.size, plan.job.bench), f"{', '.join(pane.pieces)}{board}"
        rows.append(Row(cells, tick=f"{key}-{number}"))
    return Table(heading, columns, tuple(rows))


def label_section(plan: Plan) -> Section:
    """Return a label for each blank, by group, to be written out or cut out and stuck on its back."""
    how = Words(
        "Stick each on the back of its blank as it comes off the cutter, the arrow towards the edge that is its top."
    )
    groups = groupby(stickers(plan), key=lambda sticker: sticker.group)
    cards = [Cards(group or "", tuple(_label(plan, each) for each in members)) for group, members in groups]
    return Section("labels", "Labels", "Labels for the blanks", (how, *cards))


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
    everything = list(lefts(plan))
    columns = Column("Write on it", 36, figure=True), Column("Board", 32), Column("Size", 32)
    rows = tuple(
        Row((name, board, ruler_size_words(size, plan.job.bench)), tick=f"left-{number}")
        for number, (name, board, size, keep) in enumerate(everything)
        if keep
    )
    scrap = sum(not keep for _, _, _, keep in everything)
    blocks: list[Block] = []
    if rows:
        blocks.append(Words("Write the name on the back of each. Fallouts are given as they are once squared."))
        blocks.append(Table("Keep for the shelf", columns, rows))
    if scrap:
        alone = "The one piece that is left is" if scrap == 1 else f"All {scrap} pieces that are left are"
        other = f"{scrap} other piece{' is' if scrap == 1 else 's are'}" if rows else alone
        blocks.append(Words(f"{other} too small to keep. Try the bevel settings on such scrap first."))
    if not everything:
        blocks.append(Words("Nothing is left over."))
    return Section("left", "Left", "What is left over", tuple(blocks), own_page=False)
