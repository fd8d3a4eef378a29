"""Rows of exact values -> a pandas frame that keeps them exact."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import assert_never

import pandas as pd

from nesting.lengths import format_length, round_near
from nesting.model.job import Bench

__all__ = ["Kind", "build"]


class Kind(StrEnum):
    """What a column holds, named as the descriptions of the tables name it."""

    TEXT = "string"
    LENGTH = "length"
    MONEY = "money"
    DECIMAL = "Decimal"
    COUNT = "Int64"
    FLAG = "bool"


def build(
    columns: Mapping[str, Kind], rows: Iterable[Sequence[object]], bench: Bench, *, ticks: bool = False
) -> pd.DataFrame:
    """Return a frame of exact values.

    Parameters
    ----------
    columns : Mapping of str to Kind
        Every column in its order.
    rows : iterable of sequences
        A value for each column: lengths in ticks, money in cents, None for what is missing.
    bench : Bench
        Whose ruler lengths are written for, and whose currency money is in.
    ticks : bool
        Whether lengths stay in ticks.

    Returns
    -------
    DataFrame
        With the same columns and dtypes where there are no rows.
    """
    held = list(rows)
    frame = pd.DataFrame(
        {
            name: pd.Series([_cell(row[place], kind, bench, ticks) for row in held], dtype=_dtype(kind, ticks))
            for place, (name, kind) in enumerate(columns.items())
        }
    )
    frame.attrs.update(unit="ticks" if ticks else str(bench.unit), currency=bench.currency)
    return frame


def _cell(value: object, kind: Kind, bench: Bench, ticks: bool) -> object:
    if kind is Kind.LENGTH and isinstance(value, int | Fraction):
        nearest = round_near(Fraction(value), 1)
        return nearest if ticks else format_length(nearest, bench.unit, bench.ruler)
    if kind is Kind.MONEY and isinstance(value, int):
        return Decimal(value).scaleb(-2)
    return value


def _dtype(kind: Kind, ticks: bool) -> str:
    match kind:
        case Kind.TEXT:
            return "string"
        case Kind.LENGTH:
            return "Int64" if ticks else "string"
        case Kind.MONEY | Kind.DECIMAL:
            return "object"
        case Kind.COUNT:
            return "Int64"
        case Kind.FLAG:
            return "bool"
        case _ as never:
            assert_never(never)
