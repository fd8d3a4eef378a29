"""Every mat's sizes as a table on the screen."""

from collections.abc import Iterator, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from nesting.model.job import Bench, Job
from nesting.model.mat import Mat
from nesting.names import UNIT_WORDS, Names, length_words, size_words

__all__ = ["print_sizes"]

# Narrower than this, a height stands below its width.
_WIDE = 78


def print_sizes(job: Job, mats: Sequence[Mat], console: Console) -> None:
    """Print blank, window and borders of every mat; the copies of a row share one line.

    Parameters
    ----------
    job : Job
        The job.
    mats : sequence of Mat
        Its mats, sized.
    console : Console
        Where to print.
    """
    names, bench = Names(job), job.bench
    quantities = {piece.name: piece.quantity for piece in job.pieces}
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="bold")
    for heading in ("mat", "blank", "window", "sides", "top", "bottom"):
        is_name = heading == "mat"
        table.add_column(heading, justify="left" if is_name else "right", no_wrap=not is_name)
    by = " × " if console.width >= _WIDE else " ×\n"
    for mat in mats:
        if mat.copy == 1:
            quantity = quantities[mat.piece]
            copies = "" if quantity == 1 else f", {quantity} copies"
            name = Text(f"{mat.piece}{names.behind(mat)}{copies}\n", style="bold")
            name.append(" or ".join(mat.boards), style="not bold")
            table.add_row(name, *_sizes(mat, bench, by))
    console.print(f"Sizes in {UNIT_WORDS[bench.unit]}, width × height; borders as seen from the front.\n")
    console.print(table)


def _sizes(mat: Mat, bench: Bench, by: str) -> Iterator[str]:
    yield size_words(mat.blank, bench, by)
    if mat.borders is None:
        yield "none"
        return
    count = f"{len(mat.windows)} of " if len(mat.windows) > 1 else ""
    yield f"{count}{size_words(mat.windows[0].size, bench, by)}"
    left, right, top, bottom = (
        length_words(border, bench)
        for border in (mat.borders.left, mat.borders.right, mat.borders.top, mat.borders.bottom)
    )
    yield left if left == right else f"left {left}\nright {right}"
    yield top
    yield bottom
