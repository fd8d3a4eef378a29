"""What each offer costs after its discount, so that a sale that was misread is seen."""

from collections.abc import Iterator

from rich.console import Console
from rich.table import Table

from nesting.model.job import Job, Offer
from nesting.money import format_money
from nesting.names import UNIT_WORDS, size_words
from nesting.offers import unit_price

__all__ = ["print_prices"]


def print_prices(job: Job, console: Console) -> None:
    """Print a row for each offer: where it stands, its board and sheet, the price, what is off, the price to pay.

    Parameters
    ----------
    job : Job
        The job; nothing is printed where it has no offers.
    console : Console
        Where to print.
    """
    if not job.offers:
        return
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="bold")
    for heading in ("row", "shop and board", "price", "off", "you pay"):
        table.add_column(heading, justify="left" if heading == "shop and board" else "right")
    for offer in job.offers:
        table.add_row(*_cells(job, offer))
    console.print(f"Prices of a sheet, before delivery and tax; sizes in {UNIT_WORDS[job.bench.unit]}.\n")
    console.print(table)
    console.print()


def _cells(job: Job, offer: Offer) -> Iterator[str]:
    currency = job.bench.currency
    yield str(offer.row)
    limits = "".join(f", {words}" for words in _limits(offer))
    yield f"{offer.shop}: {offer.board or 'any'}, {size_words(offer.sheet, job.bench)}{limits}"
    yield format_money(offer.price, currency)
    yield f"{offer.discount.normalize():f} %" if offer.discount else ""
    yield format_money(unit_price(offer), currency)


def _limits(offer: Offer) -> Iterator[str]:
    if offer.at_most is not None:
        yield f"at most {offer.at_most}"
    if offer.at_least is not None:
        yield f"at least {offer.at_least}"
    if offer.pack_of > 1:
        yield f"packs of {offer.pack_of}"
