"""How long a search may take, as the command line says it."""

from typing import Any

import click

__all__ = ["SECONDS"]

_DAY = 86_400


class _Seconds(click.FloatRange):
    """Seconds from more than none to a day; what is no number at all is refused too, which compares with nothing."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        seconds = float(super().convert(value, param, ctx))
        if seconds != seconds:  # noqa: PLR0124 - so it is for nan alone
            self.fail(f"{value!r} is no number of seconds.", param, ctx)
        return seconds


SECONDS = _Seconds(min=0, min_open=True, max=_DAY)
"""How long a search may take, as an option reads it: more than nothing, a day at most."""
