"""What a comparison says, in the same words on the screen and on the pages: the answer, tables of figures, remarks."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from cli.reports.sentences import carry_words
from nesting.errors import CannotBeCutError
from nesting.model.job import When
from nesting.money import format_money
from nesting.scenarios.compare import Case, Comparison, Figure
from nesting.spelling import WHOLE_JOB, listed_few

__all__ = ["AS_OFFERED", "Grid", "answer_words", "discounts", "grids", "off_words", "remarks"]

AS_OFFERED = "as offered"
"""What is said in place of a discount where the offers are as they stand."""
_OPEN = "* "
_NONE = "no plan"


@dataclass(frozen=True, slots=True)
class Grid:
    """A table of words: the first column names the discount."""

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def answer_words(comparison: Comparison) -> str:
    """Say what to carry to the till for the job as it stands; what belongs together is joined by no-break spaces."""
    first = comparison.figure(Case(None))
    return "" if first is None else carry_words(first.plan)


def off_words(discount: Decimal | None) -> str:
    """Name a discount."""
    return AS_OFFERED if discount is None else f"{discount.normalize():f} % off"


def discounts(comparison: Comparison) -> tuple[Decimal | None, ...]:
    """Return the discounts of a comparison, None for the offers as they stand first."""
    return tuple(dict.fromkeys(case.discount for case in comparison.figures))


def grids(comparison: Comparison) -> Iterator[Grid]:
    """Yield the tables: what each way of buying costs, now and with later pieces, then more of all shops together."""
    whens = tuple(dict.fromkeys(case.when for case in comparison.figures))
    for when in whens:
        yield _ways(comparison, when, _said(when, whens))
    for when in whens:
        yield _detail(comparison, when, _said(when, whens))


def _said(when: When, whens: tuple[When, ...]) -> str:
    if len(whens) == 1:
        return ""
    return ", for now" if when is When.NOW else ", with the later pieces"


def _ways(comparison: Comparison, when: When, said: str) -> Grid:
    ways = [way for way in _all_ways(comparison) if _possible(comparison, when, way)]
    headings = tuple(_way_words(*way) for way in ways)
    rows = tuple(
        (off_words(off), *(_sum(comparison, Case(off, when, *way)) for way in ways)) for off in discounts(comparison)
    )
    return Grid(f"What is paid in all{said}", ("", *headings), rows)


def _all_ways(comparison: Comparison) -> list[tuple[bool, str | None]]:
    return list(dict.fromkeys((case.use_fallout, case.shop) for case in comparison.figures))


def _possible(comparison: Comparison, when: When, way: tuple[bool, str | None]) -> bool:
    return any(comparison.figure(Case(off, when, *way)) is not None for off in discounts(comparison))


def _way_words(use_fallout: bool, shop: str | None) -> str:
    if shop is not None:
        return f"{shop} only"
    return "all shops" if use_fallout else "no fallout"


def _sum(comparison: Comparison, case: Case) -> str:
    if case not in comparison.figures:
        return ""
    found = comparison.figure(case)
    if found is None:
        return _NONE
    return _total(comparison, found)


def _detail(comparison: Comparison, when: When, said: str) -> Grid:
    found = [(off, comparison.figure(Case(off, when))) for off in discounts(comparison)]
    figures = [(off, figure) for off, figure in found if figure is not None]
    saves = any(figure.saved is not None for _, figure in figures)
    rows = tuple(_row(comparison, off, figure, saves=saves) for off, figure in figures)
    columns = ("", "sheets", "in all", "a piece", *["saved"] * saves)
    return Grid(f"All shops together{said}", columns, rows)


def _row(comparison: Comparison, off: Decimal | None, figure: Figure, *, saves: bool) -> tuple[str, ...]:
    saved = "" if figure.saved is None else _money(comparison, figure.saved)
    total, each = _total(comparison, figure), _money(comparison, figure.each)
    return off_words(off), str(figure.sheets), total, each, *[saved] * saves


def _total(comparison: Comparison, figure: Figure) -> str:
    """Return what is paid, marked before the sum, where it moves no figure, if that is not proven."""
    return ("" if figure.proven else _OPEN) + _money(comparison, figure.total)


def remarks(comparison: Comparison) -> Iterator[str]:
    """Yield sentences: what the figures mean, what is not proven, which shops do not do, whether buying ahead pays."""
    yield from _meaning(comparison)
    yield _proof(comparison)
    if not comparison.complete:
        yield "Stopped by hand: the figures that are missing were not reached."
    for shop in dict.fromkeys(case.shop for case in comparison.figures if case.shop is not None):
        yield from _shop_alone(comparison, shop)
    yield from _later(comparison)


def _meaning(comparison: Comparison) -> Iterator[str]:
    """Say what stands under a discount, and in the columns whose headings leave it open."""
    if discounts(comparison) != (None,):
        where, others = "every shop's", ""
        if comparison.sale_at is not None:
            shop = comparison.sale_at
            where, others = f"{shop}'{'' if shop.endswith('s') else 's'}", ", and the other shops keep theirs"
        yield (
            f"Each row replaces {where} own discount; offers with a limit, such as coupons, stay as they are{others}."
        )
    quotes = any(isinstance(found, Figure) and found.saved is not None for found in comparison.figures.values())
    saved = ". Saved is what the quotes come to, less what the boards of the quoted pieces cost" if quotes else ""
    yield f"A piece is the average that its boards cost, with delivery and tax{saved}."


def _proof(comparison: Comparison) -> str:
    figures = [found for found in comparison.figures.values() if isinstance(found, Figure)]
    missing = [found for found in figures if not found.proven]
    if not missing:
        return "Every figure is proven to be the lowest possible."
    gap = max(found.total - found.plan.purchase.lower_bound for found in missing)
    return f"Figures marked * are not proven: they may come down by up to {_money(comparison, gap)}."


def _shop_alone(comparison: Comparison, shop: str) -> Iterator[str]:
    found = [(case, figure) for case, figure in comparison.figures.items() if case.shop == shop]
    refused = [figure for case, figure in found if case.when is When.NOW and isinstance(figure, CannotBeCutError)]
    if refused and len(refused) == sum(case.when is When.NOW for case, _ in found):
        names = [obstacle.piece for obstacle in refused[0].obstacles]
        lacks = (
            "does not have enough for all pieces" if names == [WHOLE_JOB] else f"has nothing for {listed_few(names)}"
        )
        yield f"{shop} alone {lacks}."


def _later(comparison: Comparison) -> Iterator[str]:
    now, later = (comparison.figure(Case(None, when)) for when in (When.NOW, When.LATER))
    if now is None or later is None or comparison.apart is None:
        return
    more, apart = later.total - now.total, comparison.apart
    if more == apart == 0:
        yield "The later pieces need no more board: they can be cut from what this wall leaves."
        return
    yield (
        f"Boards for the later pieces cost {_money(comparison, more)} more if you buy them now. Bought another day "
        f"without discount or coupon, and using what this wall leaves, they cost {_money(comparison, apart)}: buying "
        f"now {_gain(comparison, apart - more)}."
    )
    if comparison.pays_from is not None and comparison.pays_from > 0:
        yield f"Buying for later pays from {off_words(comparison.pays_from)}."
    elif comparison.pays_from is not None:
        yield "Buying for later pays at any of these discounts."


def _gain(comparison: Comparison, gain: int) -> str:
    if gain == 0:
        return "makes no difference"
    return f"saves {_money(comparison, gain)}" if gain > 0 else f"loses {_money(comparison, -gain)}"


def _money(comparison: Comparison, cents: int) -> str:
    return format_money(cents, comparison.job.bench.currency)
