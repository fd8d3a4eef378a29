"""The short answer on the screen: what to buy first, then the shopping list, the sheets, and what each piece costs."""

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, TextIO, assert_never

from rich.console import Console, ConsoleOptions, RenderableType
from rich.padding import Padding
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

from cli.plain import is_plain
from cli.reports.sentences import (
    alike_costs,
    boards_words,
    by_shop,
    copies_words,
    cost_remarks,
    coupon_words,
    credit_words,
    group_totals,
    headline,
    leftover_words,
    money_words,
    proof_words,
    waste_words,
)
from nesting.drawing.fractions import unbroken
from nesting.model.cut_tree import Placed, leaves
from nesting.model.plan import (
    Bought,
    CutSheet,
    FromFallout,
    FromShelf,
    PieceCost,
    Plan,
)
from nesting.names import NO_BREAK, Names, size_words
from nesting.signs import safe
from nesting.spelling import without_mark

__all__ = ["item", "money_table", "open_console", "print_plan", "print_sections", "wrapped"]

_INDENT = 2


class _Flush:
    """Anything that can be printed, without spaces at the ends of its lines, so that copied text looks the same."""

    def __init__(self, what: RenderableType) -> None:
        self.what = what

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[Segment]:
        for line in console.render_lines(self.what, options, pad=False):
            while line and not line[-1].text.strip():
                line.pop()
            yield from line[:-1]
            if line:
                yield Segment(line[-1].text.rstrip(), line[-1].style)
            yield Segment.line()


class _Console(Console):
    """A console that prints only its own control codes and lets the caller deal with a closed pipe."""

    def print(self, *objects: Any, **how: Any) -> None:
        super().print(*map(_Flush, objects), **how)

    def render(self, renderable: RenderableType, options: ConsoleOptions | None = None) -> Iterable[Segment]:
        for segment in super().render(renderable, options):
            yield segment if segment.control else Segment(safe(segment.text), segment.style)

    def on_broken_pipe(self) -> None:
        raise BrokenPipeError


def open_console(file: TextIO) -> Console:
    """Return a console that prints words unchanged, in colour only where the terminal and the user allow it."""
    return _Console(file=file, markup=False, highlight=False, emoji=False, color_system=None if is_plain() else "auto")


def print_plan(plan: Plan, console: Console, *, credit_leftovers: bool = False, left_out: Sequence[str] = ()) -> None:
    """Print the short answer to a plan; a window of 60 columns is wide enough.

    Parameters
    ----------
    plan : Plan
        The plan.
    console : Console
        Where to print, as `open_console` gives it.
    credit_leftovers : bool
        Whether to say beside each share what it is once what is kept for the shelf is taken off.
    left_out : sequence of str
        Sentences about what the plan leaves out, which follow the answer at once.
    """
    sections = _sections(plan, credit_leftovers=credit_leftovers) if plan.mats else ()
    print_sections(headline(plan), [("Left out", [item(its, console.width) for its in left_out]), *sections], console)


def print_sections(first: str, sections: Iterable[tuple[str, Sequence[RenderableType]]], console: Console) -> None:
    """Print the answer, then under each heading what belongs there; a heading with nothing below it is left out.

    Parameters
    ----------
    first : str
        What is wanted most, in one sentence.
    sections : iterable of (str, sequence of RenderableType)
        Headings and what stands below them.
    console : Console
        A window of 60 columns is wide enough.
    """
    console.print(Text(wrapped(first, console.width), style="bold"))
    for heading, parts in sections:
        if parts:
            console.print()
            console.print(Text(heading, style="bold cyan"))
        for part in parts:
            console.print(Padding(part, (0, 0, 0, _INDENT), expand=False))


def item(sentence: str, width: int) -> str:
    """Break a sentence into lines and indent all but the first, so that each sentence is seen to begin."""
    return wrapped(sentence, width - _INDENT, subsequent_indent=" " * _INDENT)


def money_table(words: int, sums: Sequence[str]) -> Table:
    """Return a table with `words` columns of words, then one for each heading of `sums`, set to the right."""
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=any(sums), header_style="bold")
    for _ in range(words):
        table.add_column("")
    for heading in sums:
        table.add_column(heading, justify="right", no_wrap=True)
    return table


def _sections(plan: Plan, *, credit_leftovers: bool) -> Iterator[tuple[str, list[RenderableType]]]:
    names = Names(plan.job, plan.mats)
    yield "Shopping list", list(_where(plan))
    yield "Sheets by board", [_boards(plan)]
    yield "Fallout used", list(_fallout(plan, names))
    yield "Waste", list(filter(None, (waste_words(plan), leftover_words(plan))))
    yield "Could it cost less?", list(filter(None, (proof_words(plan), plan.proof))) if plan.purchase.lines else []
    costs = _costs(plan, names, credit_leftovers=credit_leftovers)
    credit = [credit_words(plan)] if credit_leftovers else []
    yield "What each piece costs", [costs, "", *cost_remarks(plan), *credit]
    yield "By group", list(_groups(plan))


def wrapped(sentence: str, width: int, subsequent_indent: str = "") -> str:
    """Break a sentence into lines, but not at no-break spaces, which are printed as plain ones.

    A number and the sign that follows it stay together too, as 40 % or 19.40 €.
    """
    lines = textwrap.fill(
        unbroken(sentence),
        width,
        subsequent_indent=subsequent_indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return lines.replace(NO_BREAK, " ")


def _where(plan: Plan) -> Iterator[RenderableType]:
    """Yield a table for each shop of what is bought there, with delivery and tax."""
    purchase = plan.purchase
    if not purchase.lines:
        return
    table = money_table(1, [""])
    for shop, lines in by_shop(purchase.lines).items():
        table.add_row(Text(shop, style="bold"))
        for line in lines:
            each = f" at {money_words(plan, line.unit_price)}" if line.count > 1 else ""
            size, coupon = size_words(line.sheet, plan.job.bench), coupon_words(plan, line)
            table.add_row(f"  {line.count} {line.board}, {size}{each}{coupon}", money_words(plan, line.amount))
        for what, extra in (("delivery", purchase.delivery), ("tax", purchase.tax)):
            if extra.get(shop):
                table.add_row(f"  {what}", money_words(plan, extra[shop]))
    table.add_row(Text("Total", style="bold"), Text(money_words(plan, purchase.total), style="bold"))
    yield table


def _boards(plan: Plan) -> RenderableType:
    """Return a table of the sheets that each board is cut from."""
    table = money_table(2, [])
    for board in plan.job.boards:
        sheets = [sheet for sheet in plan.sheets if sheet.board == board.name]
        bought = plan.summary.sheets_by_board.get(board.name, 0)
        if sheets or bought:
            table.add_row(Text(board.name, style="bold"), "\n".join(_origins(sheets, bought)))
    return table


def _origins(sheets: Sequence[CutSheet], bought: int) -> Iterator[str]:
    """Say how many sheets are bought, taken from the shelf or cut from fallout, and name them."""
    cut = [sheet.id for sheet in sheets if isinstance(sheet.source, Bought)]
    if bought:
        uncut = f"; {bought - len(cut)} left uncut" if bought > len(cut) else ""
        yield f"{bought} bought: {', '.join(cut) or 'none cut'}{uncut}"
    for sheet in sheets:
        match sheet.source:
            case FromShelf(label):
                yield f"1 from the shelf, {without_mark(label)}: {sheet.id}"
            case Bought() | FromFallout():
                pass
            case _ as never:
                assert_never(never)
    fallouts = [sheet.id for sheet in sheets if isinstance(sheet.source, FromFallout)]
    if fallouts:
        yield f"{len(fallouts)} from windows: {', '.join(fallouts)}"


def _fallout(plan: Plan, names: Names) -> Iterator[RenderableType]:
    """Yield a table of the windows whose fallout is cut and the blanks that come out of it."""
    table = money_table(2, [])
    for sheet in plan.sheets:
        if isinstance(sheet.source, FromFallout):
            mats = [plan.mats[leaf.item].mat for leaf in leaves(sheet.root) if isinstance(leaf, Placed)]
            gives = "; ".join(map(names.mat, mats))
            table.add_row(Text(sheet.id, style="bold"), f"{names.window(sheet.source)} gives {gives}")
    if table.row_count:
        yield table


def _costs(plan: Plan, names: Names, *, credit_leftovers: bool) -> RenderableType:
    """Return a table of the costs of each copy; neighbouring copies that cost the same share a row."""
    has_other, has_quote = any(cost.other for cost in plan.pieces), any(cost.quote is not None for cost in plan.pieces)
    credited = ["credited"] * credit_leftovers
    table = money_table(2, ["boards", *credited, "frame", *["other"] * has_other, "total", *["saved"] * has_quote])
    boards = boards_words(plan)
    for copies in alike_costs(plan, credited=credit_leftovers):
        first = copies[0]
        board, *sums = _sums(plan, first, has_other=has_other, has_quote=has_quote)
        credited = [money_words(plan, first.credited)] * credit_leftovers
        table.add_row(copies_words(copies, names), boards.get((first.piece, first.copy), ""), board, *credited, *sums)
    return table


def _sums(plan: Plan, cost: PieceCost, *, has_other: bool, has_quote: bool) -> Iterator[str]:
    yield money_words(plan, cost.board)
    yield money_words(plan, cost.frame)
    if has_other:
        yield money_words(plan, cost.other)
    yield money_words(plan, cost.total)
    if has_quote:
        yield "" if cost.saved is None else money_words(plan, cost.saved)


def _groups(plan: Plan) -> Iterator[RenderableType]:
    """Yield a table of totals by group, where any piece has a group."""
    groups = group_totals(plan)
    if groups:
        table = money_table(1, ["pieces", "total"])
        for group, pieces, total in groups:
            table.add_row(group, str(pieces), money_words(plan, total))
        yield table
