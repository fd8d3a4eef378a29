"""The short answer on the screen: what to carry to the till first, then where, what from, and what each piece costs."""

import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby
from typing import TextIO, assert_never

from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from nesting.money import format_money, half_up
from nesting.packing.tree import Placed, leaves
from nesting.planned import (
    Bought,
    CutSheet,
    FromFallout,
    FromShelf,
    Line,
    PieceCost,
    Plan,
    Purchase,
)
from nesting.words import NO_BREAK, UNIT_WORDS, Names, size_words

__all__ = ["money_table", "open_console", "print_plan"]


class _Console(Console):
    """A console that leaves it to the caller what happens when nobody reads on."""

    def on_broken_pipe(self) -> None:
        raise BrokenPipeError


def open_console(file: TextIO) -> Console:
    """Return a console that prints words as they stand, in colour only on a terminal that may have it."""
    return _Console(file=file, markup=False, highlight=False, emoji=False)


def print_plan(plan: Plan, console: Console) -> None:
    """Print the short answer to a plan; a window of 60 columns is wide enough.

    Parameters
    ----------
    plan : Plan
        The plan.
    console : Console
        Where to print, as `open_console` gives it.
    """
    console.print(Text(_wrapped(_carry(plan), console.width), style="bold"))
    for heading, parts in _sections(plan):
        if parts:
            console.print()
            console.print(Text(heading, style="bold cyan"))
        for part in parts:
            console.print(Padding(part, (0, 0, 0, 2), expand=False))


def money_table(words: int, sums: Sequence[str]) -> Table:
    """Return a table of so many columns of words, then one for each heading of `sums`, set to the right."""
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=any(sums), header_style="bold")
    for _ in range(words):
        table.add_column("")
    for heading in sums:
        table.add_column(heading, justify="right", no_wrap=True)
    return table


def _sections(plan: Plan) -> Iterator[tuple[str, list[RenderableType]]]:
    names = Names(plan.job, plan.mats)
    yield "Where", list(_where(plan))
    yield "Sheets by board", [_boards(plan)]
    yield "Fallout used", list(_fallout(plan, names))
    yield "Waste", [_waste(plan)]
    yield "What was proven", [_proof(plan.purchase, plan.job.bench.currency), plan.proof]
    yield "What each piece costs", [_costs(plan, names), *_remarks(plan)]
    yield "By group", list(_groups(plan))


def _money(plan: Plan, cents: int) -> str:
    return format_money(cents, plan.job.bench.currency)


def _listed(words: Sequence[str]) -> str:
    """Join words as one says them: one, two and three."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _carry(plan: Plan) -> str:
    """Say in one sentence what to carry to the till."""
    lines = plan.purchase.lines
    if not lines:
        return "Carry nothing to the till: what is on the shelf is enough."
    counts: Counter[tuple[str, str]] = Counter()
    for line in lines:
        size = size_words(line.sheet, plan.job.bench).replace(" ", NO_BREAK)
        counts[line.board, size] += line.count
    things = _listed([f"{count}{NO_BREAK}{board} {size}" for (board, size), count in counts.items()])
    sheets = f"{counts.total()} sheet{'' if counts.total() == 1 else 's'}"
    shops = list(_by_shop(lines))
    till = f"the till of {shops[0]}" if len(shops) == 1 else f"the tills of {_listed(shops)}"
    total = _money(plan, plan.purchase.total)
    return f"Carry {sheets} to {till}, {total} in all: {things} ({UNIT_WORDS[plan.job.bench.unit]})."


def _wrapped(sentence: str, width: int) -> str:
    """Break a sentence into lines; what is joined by no-break spaces stays on one, and they become plain ones."""
    return textwrap.fill(sentence, width, break_long_words=False, break_on_hyphens=False).replace(NO_BREAK, " ")


def _where(plan: Plan) -> Iterator[RenderableType]:
    """Yield a table of what is bought in each shop and what comes on top."""
    purchase = plan.purchase
    if not purchase.lines:
        return
    table = money_table(1, [""])
    for shop, lines in _by_shop(purchase.lines).items():
        table.add_row(Text(shop, style="bold"))
        for line in lines:
            each = f" at {_money(plan, line.unit_price)}" if line.count > 1 else ""
            size = size_words(line.sheet, plan.job.bench)
            table.add_row(f"  {line.count} {line.board}, {size}{each}", _money(plan, line.amount))
        for what, extra in (("delivery", purchase.delivery), ("tax", purchase.tax)):
            if extra.get(shop):
                table.add_row(f"  {what}", _money(plan, extra[shop]))
    table.add_row(Text("Total", style="bold"), Text(_money(plan, purchase.total), style="bold"))
    yield table


def _by_shop(lines: Sequence[Line]) -> dict[str, list[Line]]:
    shops: dict[str, list[Line]] = {}
    for line in lines:
        shops.setdefault(line.shop, []).append(line)
    return shops


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
    """Say how many sheets are bought, taken from the shelf and cut from fallout, and which they are."""
    cut = [sheet.id for sheet in sheets if isinstance(sheet.source, Bought)]
    if bought:
        uncut = f"; {bought - len(cut)} left uncut" if bought > len(cut) else ""
        yield f"{bought} bought: {', '.join(cut) or 'none cut'}{uncut}"
    for sheet in sheets:
        match sheet.source:
            case FromShelf(label):
                yield f"1 from the shelf, {label}: {sheet.id}"
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


def _waste(plan: Plan) -> RenderableType:
    waste = plan.summary.waste
    if not waste.cut:
        return "Nothing is cut."
    in_mats, kept, scrap = (
        _percent(Fraction(100 * area, waste.cut)) for area in (waste.in_mats, waste.kept, waste.scrap)
    )
    return f"Of all that is cut, {in_mats} is in mats, {kept} is kept for the shelf and {scrap} is scrap."


def _percent(percent: Fraction) -> str:
    tenths = half_up(10 * percent)
    return f"{tenths // 10}.{tenths % 10} %"


def _proof(purchase: Purchase, currency: str) -> RenderableType:
    total, bound = (format_money(cents, currency) for cents in (purchase.total, purchase.lower_bound))
    if purchase.proven:
        return f"Proven: no plan for this job costs less than {total}."
    gap = format_money(purchase.total - purchase.lower_bound, currency)
    return f"No plan costs less than {bound}. Whether one costs less than {total} is open: at most {gap} less."


def _costs(plan: Plan, names: Names) -> RenderableType:
    """Return a table of the costs of each copy; neighbouring copies that cost the same share a row."""
    has_other, has_quote = any(cost.other for cost in plan.pieces), any(cost.quote is not None for cost in plan.pieces)
    table = money_table(1, ["board", "frame", *["other"] * has_other, "total", *["saved"] * has_quote])
    for _, alike in groupby(plan.pieces, key=lambda cost: (cost.piece, cost.board, cost.frame, cost.other, cost.quote)):
        copies = list(alike)
        table.add_row(_copies(copies, names), *_sums(plan, copies[0], has_other=has_other, has_quote=has_quote))
    return table


def _copies(copies: Sequence[PieceCost], names: Names) -> str:
    first, last = copies[0], copies[-1]
    if first is last:
        return names.copy(first.piece, first.copy)
    return f"{first.piece}, each of {first.copy} to {last.copy}"


def _sums(plan: Plan, cost: PieceCost, *, has_other: bool, has_quote: bool) -> Iterator[str]:
    yield _money(plan, cost.board)
    yield _money(plan, cost.frame)
    if has_other:
        yield _money(plan, cost.other)
    yield _money(plan, cost.total)
    if has_quote:
        yield "" if cost.saved is None else _money(plan, cost.saved)


def _remarks(plan: Plan) -> Iterator[RenderableType]:
    """Yield sentences about what the whole wall costs, and saves against what shops ask for the mats."""
    summary = plan.summary
    yield ""
    yield f"The whole wall costs {_money(plan, sum(cost.total for cost in plan.pieces))}."
    if summary.first_choice < len(plan.pieces):
        yield f"{summary.first_choice} of {len(plan.pieces)} pieces have the boards liked best."
    if summary.saved is not None:
        less = "less" if summary.saved >= 0 else "more"
        yield f"The boards come to {_money(plan, abs(summary.saved))} {less} than the quotes for the same mats."
    if summary.mats_to_pay_cutter == 0:
        yield "With that the cutter has paid for itself."
    elif summary.mats_to_pay_cutter is not None:
        yield f"Mats still to cut until the cutter has paid for itself: {summary.mats_to_pay_cutter}."


def _groups(plan: Plan) -> Iterator[RenderableType]:
    """Yield a table of totals by group, in the order of the pieces, where any piece has a group."""
    if all(cost.group is None for cost in plan.pieces):
        return
    count: Counter[str] = Counter()
    total: Counter[str] = Counter()
    for cost in plan.pieces:
        count[cost.group or "no group"] += 1
        total[cost.group or "no group"] += cost.total
    table = money_table(1, ["pieces", "total"])
    for group, pieces in count.items():
        table.add_row(group, str(pieces), _money(plan, total[group]))
    yield table
