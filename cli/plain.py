"""Output without colours or bold letters, where that is asked for."""

import click

__all__ = ["PLAIN", "is_plain"]


def _set_plain(context: click.Context, _option: click.Parameter, wanted: bool) -> None:
    if wanted:
        context.color = False


PLAIN = click.Option(
    ["--plain"],
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_set_plain,
    help="Print without colours and bold letters.",
)
"""The option that leaves colours and bold letters away, for every command."""


def is_plain() -> bool:
    """Return whether the command that runs was asked to print without colours and bold letters."""
    context = click.get_current_context(silent=True)
    return context is not None and context.color is False
