"""A comparison on the screen: first what to buy, then the tables and what they mean."""

from rich.console import Console
from rich.table import Table

from cli.reports.comparing import Grid, answer_words, grids, remarks
from cli.reports.screen.plan import item, money_table, print_sections
from nesting.scenarios.compare import Comparison

__all__ = ["print_comparison"]


def print_comparison(comparison: Comparison, console: Console) -> None:
    """Print a comparison; a window of 60 columns is wide enough.

    Parameters
    ----------
    comparison : Comparison
        The comparison.
    console : Console
        Where to print, as `open_console` gives it.
    """
    said = [item(words, console.width) for words in remarks(comparison)]
    tables = [(grid.heading, [_table(part)]) for grid in grids(comparison) for part in _parts(grid, console.width - 2)]
    print_sections(answer_words(comparison), [*tables, ("What the figures say", said)], console)


def _table(grid: Grid) -> Table:
    table = money_table(1, grid.columns[1:])
    for row in grid.rows:
        table.add_row(*row)
    return table


def _parts(grid: Grid, width: int) -> list[Grid]:
    """Divide a table that is wider than the window into several, each with the column of discounts."""
    parts: list[list[int]] = [[]]
    first = _width(grid, 0)
    for column in range(1, len(grid.columns)):
        used = first + sum(_width(grid, its) for its in parts[-1])
        if parts[-1] and used + _width(grid, column) > width:
            parts.append([])
        parts[-1].append(column)
    return [_picked(grid, [0, *part]) for part in parts]


def _width(grid: Grid, column: int) -> int:
    return 2 + max(len(grid.columns[column]), *(len(row[column]) for row in grid.rows))


def _picked(grid: Grid, columns: list[int]) -> Grid:
    rows = tuple(tuple(row[column] for column in columns) for row in grid.rows)
    return Grid(grid.heading, tuple(grid.columns[column] for column in columns), rows)
