"""The table of a bulk buy: what every way of buying comes to."""

from collections.abc import Iterator

import pandas as pd

from nesting.frames.build import Kind, build
from nesting.scenarios.compare import Case, Comparison

__all__ = ["comparison"]

_COMPARISON = {
    "discount": Kind.DECIMAL,
    "when": Kind.TEXT,
    "fallout": Kind.FLAG,
    "shop": Kind.TEXT,
    "sheets": Kind.COUNT,
    "paid": Kind.MONEY,
    "lower_bound": Kind.MONEY,
    "each": Kind.MONEY,
    "saved": Kind.MONEY,
}


def comparison(compared: Comparison) -> pd.DataFrame:
    """Return what was compared, a row for each way of buying.

    Parameters
    ----------
    compared : Comparison
        What `nesting.scenarios.compare.compare` returned.

    Returns
    -------
    DataFrame
        In the order compared; of a way that has no plan the figures are missing:

        - ``discount`` (Decimal): per cent; None for the offers as they stand
        - ``when`` (string), ``fallout`` (bool): ``later`` with later pieces too; whether fallout is used
        - ``shop`` (string): the only shop bought at; missing for all together
        - ``sheets`` (Int64): how many are bought
        - ``paid``, ``lower_bound`` (money): in all; what no plan can cost less than, which proves it where both are one
        - ``each`` (money): board, delivery and tax of a framed piece on the average
        - ``saved`` (money): how much less the boards cost than the quotes; None without quotes
    """
    rows = ((*_way(case), *_figures(compared, case)) for case in compared.figures)
    return build(_COMPARISON, rows, compared.job.bench)


def _way(case: Case) -> tuple[object, ...]:
    return case.discount, str(case.when), case.use_fallout, case.shop


def _figures(compared: Comparison, case: Case) -> Iterator[int | None]:
    figure = compared.figure(case)
    if figure is None:
        yield from (None,) * 5
    else:
        bound = figure.plan.purchase.lower_bound
        yield from (figure.sheets, figure.total, bound, figure.each, figure.saved)
