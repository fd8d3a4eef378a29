"""The pages about money: what to carry to the till, and what each piece costs."""

from collections.abc import Callable, Iterator, Sequence
from operator import attrgetter

from cli.reports.pages.booklet import Block, Care, Column, Row, Section, Table, Words
from cli.reports.sentences import (
    alike_costs,
    by_shop,
    carry_words,
    copies_words,
    cost_remarks,
    coupon_words,
    credit_words,
    group_totals,
    leftover_words,
    money_words,
    proof_words,
    waste_words,
)
from nesting.bench.cautions import Matter, caution
from nesting.model.plan import FromShelf, Line, PieceCost, Plan
from nesting.names import NO_BREAK, Names, size_words
from nesting.spelling import without_mark

__all__ = ["cost_section", "depth", "shop_tables", "till_section", "total_section"]

# Letters that a column of names holds in a line, at least.
_COLUMN = 30
_ALWAYS = ("Boards", "Total")
_SUMS: tuple[tuple[str, Callable[[PieceCost], int | None]], ...] = (
    ("Boards", attrgetter("board")),
    ("Frame", attrgetter("frame")),
    ("Other", attrgetter("other")),
    ("Total", attrgetter("total")),
    ("Saved", attrgetter("saved")),
)


def till_section(plan: Plan) -> Section:
    """Return the page to take along: a list for each shop, and what to fetch from the shelf."""
    keeping = caution(Matter.KEEPING)
    blocks = (
        Words(carry_words(plan).replace(NO_BREAK, " "), strong=True),
        *shop_tables(plan),
        *_shelf(plan),
        *([Care(keeping.words, keeping.source)] if plan.purchase.lines else []),
    )
    return Section("till", "Till", "What to carry to the till", blocks)


def shop_tables(plan: Plan) -> Iterator[Table]:
    """Yield a table of what to buy for each shop, with a box to tick for each line."""
    columns = (
        Column("Sheets", 10, figure=True),
        Column("Board", 34),
        Column("Size", 26),
        Column("Each", 14, right=True),
        Column("Amount", 16, right=True),
    )
    purchase, number = plan.purchase, 0
    for shop, lines in by_shop(purchase.lines).items():
        rows = [_line(plan, line, f"buy-{number + place}") for place, line in enumerate(lines)]
        number += len(lines)
        total = sum(line.amount for line in lines)
        for what, extra in (("delivery", purchase.delivery), ("tax", purchase.tax)):
            if extra.get(shop):
                rows.append(Row(("", what, "", "", money_words(plan, extra[shop]))))
                total += extra[shop]
        rows.append(Row(("", f"To pay at {shop}", "", "", money_words(plan, total)), heavy=True))
        yield Table(shop, columns, tuple(rows))


def _line(plan: Plan, line: Line, tick: str) -> Row:
    price, amount = money_words(plan, line.unit_price), money_words(plan, line.amount)
    board = f"{line.board}{coupon_words(plan, line)}"
    return Row((str(line.count), board, size_words(line.sheet, plan.job.bench), price, amount), tick=tick)


def _shelf(plan: Plan) -> Iterator[Block]:
    rows = tuple(
        Row(
            (sheet.id, without_mark(sheet.source.label), sheet.board, size_words(sheet.size, plan.job.bench)),
            tick=f"fetch-{sheet.id}",
        )
        for sheet in plan.sheets
        if isinstance(sheet.source, FromShelf)
    )
    if rows:
        columns = Column("Here called", 16, figure=True), Column("Label", 34), Column("Board", 24), Column("Size", 26)
        yield Table("Fetch from your shelf", columns, rows)


def total_section(plan: Plan, *, credit_leftovers: bool = False) -> Section:
    """Return what the whole wall costs, by group too, and what was proven."""
    credit = (credit_words(plan),) if credit_leftovers else ()
    said = proof_words(plan), plan.proof, leftover_words(plan)
    blocks: tuple[Block, ...] = (
        Words(" ".join((*cost_remarks(plan), *credit, waste_words(plan)))),
        Words(" ".join(words for words in said if words)),
        *_groups(plan),
    )
    return Section("costs", "Costs", "What the wall costs", blocks, own_page=False)


def cost_section(plan: Plan, *, credit_leftovers: bool = False) -> Section:
    """Return a table of what every piece costs."""
    blocks = (_costs(plan, credit_leftovers=credit_leftovers),)
    return Section("each", "Each", "What each piece costs", blocks, own_page=False)


def depth(section: Section) -> int:
    """Return about how many millimetres of a page a section of words and tables takes.

    Parameters
    ----------
    section : Section
        What it is to hold.

    Returns
    -------
    int
        Including its title; a row to tick counts as one line.
    """
    return 17 + sum(map(_block_depth, section.blocks))


def _block_depth(block: Block) -> int:
    match block:
        case Words(words, strong):
            return (7 if strong else 5) * (1 + len(words) // (70 if strong else 90)) + 2
        case Care(words):
            return 5 * (1 + len(words) // 85) + 8
        case Table(heading, _, rows, halved):
            return 8 + 9 * bool(heading) + sum(map(_row_depth, rows[:: 2 if halved else 1]))
        case _:
            return 0


def _row_depth(row: Row) -> int:
    return 10 if row.tick else 6 + 5 * (max(map(len, row.cells)) // _COLUMN)


def _costs(plan: Plan, *, credit_leftovers: bool) -> Table:
    names = Names(plan.job, plan.mats)
    shown = [(heading, of) for heading, of in _SUMS if heading in _ALWAYS or any(map(of, plan.pieces))]
    if credit_leftovers:
        shown.insert(1, ("Credited", attrgetter("credited")))
    names_share = max(35, 100 - 13 * len(shown))
    columns = (Column("Piece", names_share), *(Column(heading, 13, right=True) for heading, _ in shown))
    alike: dict[tuple[str, ...], list[Sequence[PieceCost]]] = {}
    for copies in alike_costs(plan, credited=credit_leftovers):
        sums = (of(copies[0]) for _, of in shown)
        said = tuple("" if cents is None else money_words(plan, cents) for cents in sums)
        alike.setdefault(said, []).append(copies)
    return Table("", columns, tuple(Row((_cost_names(each, names), *said)) for said, each in alike.items()))


def _cost_names(alike: Sequence[Sequence[PieceCost]], names: Names) -> str:
    """Name the pieces of one row; several are told to cost that each."""
    said = "; ".join(copies_words(copies, names) for copies in alike)
    return f"{said}: each" if len(alike) > 1 and not said.endswith(" each") else said


def _groups(plan: Plan) -> Iterator[Table]:
    groups = group_totals(plan)
    if groups:
        columns = Column("Group", 60), Column("Pieces", 20, right=True), Column("Total", 20, right=True)
        totals = (Row((group, str(pieces), money_words(plan, total))) for group, pieces, total in groups)
        yield Table("", columns, tuple(totals), halved=True)
