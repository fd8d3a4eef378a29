"""Sentences that all reports share: what to buy, what was proven, what pieces cost."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import groupby

from nesting.geometry import Size
from nesting.model.choices import Choices
from nesting.model.plan import Bought, Line, PieceCost, Plan
from nesting.money import format_money, half_up
from nesting.names import NO_BREAK, UNIT_WORDS, Names, size_words
from nesting.scenarios.limits import Within
from nesting.spelling import listed

__all__ = [
    "alike_costs",
    "boards_words",
    "by_shop",
    "carry_words",
    "chosen_words",
    "copies_words",
    "cost_remarks",
    "coupon_words",
    "credit_words",
    "group_totals",
    "headline",
    "left_out_words",
    "left_words",
    "leftover_words",
    "listed",
    "money_words",
    "proof_words",
    "sheets_words",
    "uncut_words",
    "waste_words",
]


def money_words(plan: Plan, cents: int) -> str:
    """Return a sum of money with the job's currency sign."""
    return format_money(cents, plan.job.bench.currency)


def carry_words(plan: Plan) -> str:
    """Say what to buy, where and for how much, then each thing; what belongs together is joined by no-break spaces."""
    lines = plan.purchase.lines
    if not plan.mats or not lines:
        return headline(plan)
    shops = by_shop(lines)
    things = [f"{shop}: " * (len(shops) > 1) + _things(plan, its) for shop, its in shops.items()]
    return f"{headline(plan)} {'; '.join(things)} ({UNIT_WORDS[plan.job.bench.unit]})."


def chosen_words(choices: Choices) -> str:
    """Say what was chosen beside the job, in the words of its table; nothing where nothing was."""
    said = {
        "later pieces too": choices.later,
        "no fallouts": choices.fallout is False,
        "every piece in its first-choice board": choices.liked_best,
        "your own shelf": choices.shelf,
        "not the leftovers listed with the job": choices.shelf_table is False,
        "a budget": choices.budget is not None,
        f"at most {choices.sheets} {'sheet' if choices.sheets == 1 else 'sheets'}": choices.sheets is not None,
    }
    texts = (
        *(f"discount {text}" for text in choices.discounts),
        *(f"only at {text}" for text in choices.shops),
        *map(left_words, choices.left),
        *choices.pins,
    )
    return ", ".join((*(words for words, is_said in said.items() if is_said), *texts))


def left_words(text: str) -> str:
    """Say how many sheets of a board are left, as it is written among what was chosen.

    Examples
    --------
    >>> left_words("Quay shop:moss=1"), left_words("moss=0")
    ('Quay shop has 1 sheet of moss left', 'shops have no moss left')
    """
    before, _, count = text.rpartition("=")
    shop, _, board = (part.strip() for part in before.rpartition(":"))
    sheets = {"0": "no", "1": "1 sheet of"}.get(count.strip(), f"{count.strip()} sheets of")
    return f"{f'{shop} has' if shop else 'shops have'} {sheets} {board} left"


def headline(plan: Plan) -> str:
    """Say in one sentence how many sheets to buy, where and for how much."""
    lines = plan.purchase.lines
    if not plan.mats:
        return "Nothing can be cut within these limits."
    if not lines:
        return "Buy nothing: what is on the shelf is enough."
    sheets, shops = sum(line.count for line in lines), by_shop(lines)
    where = next(iter(shops)) if len(shops) == 1 else f"{len(shops)} shops"
    return f"Buy {sheets} sheet{'' if sheets == 1 else 's'} at {where}: {money_words(plan, plan.purchase.total)}."


def uncut_words(plan: Plan) -> Iterator[str]:
    """Yield a sentence for each board of which sheets are bought that nothing is cut from."""
    for line in plan.purchase.lines:
        cut = sum(sheet.source == Bought(line.offer) and sheet.board == line.board for sheet in plan.sheets)
        if line.count > cut:
            more = line.count - cut
            yield (
                f"Of what is bought, {sheets_words(plan, more, line.board, line.sheet)}"
                f" {'stays' if more == 1 else 'stay'} whole, for the shelf: fewer are not sold at {line.shop}, or would"
                " cost more."
            )


def _things(plan: Plan, lines: Sequence[Line]) -> str:
    """Name what is bought in one shop by board and size, sheets of different offers together."""
    counts: Counter[tuple[str, Size]] = Counter()
    for line in lines:
        counts[line.board, line.sheet] += line.count
    return listed([sheets_words(plan, count, board, size) for (board, size), count in counts.items()])


def coupon_words(plan: Plan, line: Line) -> str:
    """Return a note for a line that is bought with a coupon or another limited offer; empty for other lines."""
    limits = {offer.number: offer.at_most for offer in plan.job.offers}
    return "" if limits.get(line.offer) is None else ", limited offer"


def sheets_words(plan: Plan, count: int, board: str, size: Size) -> str:
    """Return how many sheets of a board and size, the count and the size joined by no-break spaces."""
    return f"{count}{NO_BREAK}{board} {size_words(size, plan.job.bench).replace(' ', NO_BREAK)}"


def left_out_words(found: Within) -> Iterator[str]:
    """Yield which pieces are left out and why, what they would cost, and what everything bought at once would cost."""
    for left in found.left_out:
        copies = f", {left.copies} copies" if left.copies > 1 else ""
        yield f"{left.piece}{copies}: {left.reason}."
    plan, rest, whole = found.plan, found.rest, found.whole
    if not found.proven:
        yield "Not proven: a longer search may fit more pieces."
    elif plan.selection:
        first = ", counted by priority" if len(plan.selection) > 1 else ""
        yield f"Proven: no other choice fits more pieces{first}."
    if rest is not None:
        shops = by_shop(rest.purchase.lines)
        said = "; ".join(f"{_things(rest, its)} from {shop}" for shop, its in shops.items())
        total = _at_most(rest, rest.purchase.total)
        yield f"To buy for the rest separately: {said or 'nothing more'}, {total} in all."
    if whole is not None:
        more = whole.purchase.total - plan.purchase.total
        beyond = f", {money_words(plan, more)} more than this" if plan.mats and more > 0 else ""
        yield f"Everything together would cost {_at_most(whole, whole.purchase.total)}{beyond}."


def _at_most(plan: Plan, cents: int) -> str:
    """Return a sum of money, with "at most" where it is not proven to be the least."""
    return ("" if plan.purchase.proven else "at most ") + money_words(plan, cents)


def by_shop(lines: Sequence[Line]) -> dict[str, list[Line]]:
    """Return the lines of the shopping list grouped by shop, in their order."""
    shops: dict[str, list[Line]] = {}
    for line in lines:
        shops.setdefault(line.shop, []).append(line)
    return shops


def proof_words(plan: Plan) -> str:
    """Say what was proven of the price, nothing where nothing is bought; nothing is called proven that is not."""
    purchase = plan.purchase
    if not purchase.lines:
        return ""
    total, bound = (money_words(plan, cents) for cents in (purchase.total, purchase.lower_bound))
    if purchase.proven:
        return f"Proven: these pieces cannot be had for less than {total}."
    if not purchase.lower_bound:
        return f"Not proven: a longer search may find less than {total}; it was not long enough to say how much less."
    gap = money_words(plan, purchase.total - purchase.lower_bound)
    return f"Not proven: a longer search may find up to {gap} less than {total}, and nothing costs less than {bound}."


def leftover_words(plan: Plan) -> str:
    """Say how the most useful shelf was searched for; nothing where nothing is kept."""
    if not any(left.keep for left in plan.leftover):
        return ""
    return "Leftovers: the best that was found; others may be more useful still."


def waste_words(plan: Plan) -> str:
    """Say where the area of all that is cut goes."""
    waste = plan.summary.waste
    if not waste.cut:
        return "Nothing is cut."
    in_mats, kept, scrap = (
        _percent(Fraction(100 * area, waste.cut)) for area in (waste.in_mats, waste.kept, waste.scrap)
    )
    return f"Of all that is cut, {in_mats} is in mats, {kept} is kept for the shelf and {scrap} is scrap."


def alike_costs(plan: Plan, *, credited: bool) -> Iterator[tuple[PieceCost, ...]]:
    """Yield the copies by cost, neighbours of equal cost together; with `credited` the credited share counts too."""

    def sums(cost: PieceCost) -> tuple[object, ...]:
        return cost.piece, cost.board, cost.credited if credited else 0, cost.frame, cost.other, cost.quote

    for _, alike in groupby(plan.pieces, key=sums):
        yield tuple(alike)


def copies_words(copies: Sequence[PieceCost], names: Names) -> str:
    """Return the name of a copy, or of several in a row."""
    first, last = copies[0], copies[-1]
    if first is last:
        return names.copy(first.piece, first.copy)
    return f"{first.piece}, {first.copy} to {last.copy} each"


def boards_words(plan: Plan) -> Mapping[tuple[str, int], str]:
    """Return the boards that each copy of a piece got, from the front; one that it has twice is named once."""
    boards: dict[tuple[str, int], list[str]] = {}
    for placed in sorted(plan.mats, key=lambda placed: placed.mat.layer):
        boards.setdefault((placed.mat.piece, placed.mat.copy), []).append(placed.board)
    return {copy: ", ".join(dict.fromkeys(its)) for copy, its in boards.items()}


def cost_remarks(plan: Plan) -> Iterator[str]:
    """Yield sentences about what the whole wall costs, and saves against what shops ask for the mats."""
    summary = plan.summary
    yield f"The whole wall costs {money_words(plan, sum(cost.total for cost in plan.pieces))}."
    if summary.first_choice < len(plan.pieces):
        yield f"{summary.first_choice} of {len(plan.pieces)} get their first-choice board{_most_possible(plan)}."
    if summary.saved is not None:
        less = "less" if summary.saved >= 0 else "more"
        saved = money_words(plan, abs(summary.saved))
        yield f"The boards cost {saved} {less} than the shops' quotes for the same mats."
    if summary.mats_to_pay_cutter == 0:
        yield "With this wall the cutter has paid for itself."
    elif summary.mats_to_pay_cutter is not None:
        yield f"{summary.mats_to_pay_cutter} more mats like these and the cutter has paid for itself."


def _most_possible(plan: Plan) -> str:
    """Say whether more pieces could have their first-choice boards for the same money."""
    if not plan.preference:
        return ""
    first = plan.preference[0]
    return " (the most possible at this price)" if first.proven else f" (a longer search may find up to {first.most})"


def credit_words(plan: Plan) -> str:
    """Say what the leftovers kept for the shelf are worth, and that the credited shares make up the rest."""
    credit = money_words(plan, plan.summary.credit)
    return (
        f"Credited: what the boards cost after {credit} is taken off for the leftovers you keep, by area; mats cut "
        "from windows cost nothing."
    )


def group_totals(plan: Plan) -> tuple[tuple[str, int, int], ...]:
    """Return each group with how many pieces it has and their cost in cents; none where no piece has a group."""
    if all(cost.group is None for cost in plan.pieces):
        return ()
    count: Counter[str | None] = Counter()
    total: Counter[str | None] = Counter()
    for cost in plan.pieces:
        count[cost.group] += 1
        total[cost.group] += cost.total
    return tuple((group or "no group", pieces, total[group]) for group, pieces in count.items())


def _percent(percent: Fraction) -> str:
    tenths = half_up(10 * percent)
    return f"{tenths // 10}.{tenths % 10} %"
