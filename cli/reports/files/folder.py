"""The files of a report in a folder, each written whole or not at all."""

import errno
import os
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import BinaryIO, TextIO

from cli.reports.files.workbook import write_workbook
from cli.reports.pages.booklet import Paper
from cli.reports.pages.compare import compose_comparison
from cli.reports.pages.compose import compose
from cli.reports.pages.html import write_html
from cli.reports.pages.pdf import write_pdf
from cli.reports.pages.till import compose_till
from nesting.drawing import draw_sheets
from nesting.drawing.svg import write_svg
from nesting.model.plan import Plan
from nesting.plan_file.read import Again
from nesting.plan_file.write import write_json
from nesting.scenarios.compare import Comparison
from nesting.scenarios.till import Till

_PICTURE = re.compile("sheet-S[0-9]+[.]svg")

__all__ = ["all_or_none", "replace_bytes", "replace_file", "write_comparison", "write_report", "write_till"]


def write_report(
    plan: Plan,
    folder: Path,
    paper: Paper | None = None,
    *,
    credit_leftovers: bool = False,
    again: Again | None = None,
    labels: bool = False,
) -> str:
    """Write the pages, the workbook, the plan file and a picture of every sheet; nothing else there is touched.

    All of them are written beside their places first, so that a disk that runs full leaves the report of before.

    Parameters
    ----------
    plan : Plan
        The plan.
    folder : Path
        A folder that exists.
    paper : Paper or None
        What the pages are printed on; None for what is usual where the job's unit is.
    credit_leftovers : bool
        Whether the costs are also given less what is kept for the shelf.
    again : Again or None
        Which plan it mends, where it cuts spoiled mats again.
    labels : bool
        Whether the pages end with labels for the blanks.

    Returns
    -------
    str
        What was written, and which pictures there are of another plan, in words.

    Raises
    ------
    OSError
        If the folder cannot be written to; every file in it is then as it was.
    """
    drawings = draw_sheets(plan)
    booklet = compose(plan, paper, credit_leftovers=credit_leftovers, labels=labels)
    with all_or_none() as beside:
        _write_text(beside(folder / "plan.json"), lambda file: write_json(plan, file, again))
        _write_text(beside(folder / "plan.html"), partial(write_html, booklet))
        _write_bytes(beside(folder / "plan.pdf"), partial(write_pdf, booklet))
        _write_bytes(beside(folder / "plan.xlsx"), partial(write_workbook, plan))
        for drawing in drawings:
            _write_text(beside(folder / f"sheet-{drawing.name}.svg"), partial(write_svg, drawing))
    ours = {f"sheet-{drawing.name}.svg" for drawing in drawings}
    older = sorted(path.name for path in folder.iterdir() if _PICTURE.fullmatch(path.name) and path.name not in ours)
    pictures = f"{len(drawings)} picture{'' if len(drawings) == 1 else 's'} (sheet-S1.svg and so on)"
    said = f"\nWritten to {folder}: plan.html, plan.pdf, plan.xlsx, plan.json and {pictures}."
    return f"{said}\nOf another plan, left as they are: {', '.join(older)}." if older else said


def write_comparison(comparison: Comparison, folder: Path) -> str:
    """Write the page of a comparison, for a browser and to print; nothing else in the folder is touched.

    Parameters
    ----------
    comparison : Comparison
        The comparison.
    folder : Path
        A folder that exists.

    Returns
    -------
    str
        What was written, in words.
    """
    booklet = compose_comparison(comparison)
    replace_file(folder / "compare.html", partial(write_html, booklet))
    replace_bytes(folder / "compare.pdf", partial(write_pdf, booklet))
    return f"\nWritten to {folder}: compare.html and compare.pdf."


def write_till(till: Till, folder: Path) -> str:
    """Write the page for the shop, for a phone and to print; nothing else in the folder is touched.

    Parameters
    ----------
    till : Till
        What was worked out.
    folder : Path
        A folder that exists.

    Returns
    -------
    str
        What was written, in words.
    """
    booklet = compose_till(till)
    replace_file(folder / "till.html", partial(write_html, booklet))
    replace_bytes(folder / "till.pdf", partial(write_pdf, booklet))
    return f"\nWritten to {folder}: till.html and till.pdf."


def replace_file(path: Path, write: Callable[[TextIO], None]) -> None:
    """Put a file in place of the one at `path` once it is written to its end.

    Parameters
    ----------
    path : Path
        Where it is to stand.
    write : callable
        Writes it, given an open file.

    Raises
    ------
    OSError
        If the folder cannot be written to; what stood at `path` then still does.
    """
    with all_or_none() as beside:
        _write_text(beside(path), write)


def replace_bytes(path: Path, write: Callable[[BinaryIO], None]) -> None:
    """Put a file of bytes in place of the one at `path` once it is written to its end.

    Parameters
    ----------
    path : Path
        Where it is to stand.
    write : callable
        Writes it, given an open file.

    Raises
    ------
    OSError
        If the folder cannot be written to; what stood at `path` then still does.
    """
    with all_or_none() as beside:
        _write_bytes(beside(path), write)


def _write_text(part: Path, write: Callable[[TextIO], None]) -> None:
    with part.open("w", encoding="utf-8", newline="\n") as file:
        write(file)


def _write_bytes(part: Path, write: Callable[[BinaryIO], None]) -> None:
    with part.open("wb") as file:
        write(file)


@contextmanager
def all_or_none() -> Iterator[Callable[[Path], Path]]:
    """Give a place beside each file; what is written there moves into the files' places once all is written.

    Yields
    ------
    callable
        Gives for the path of a file where to write it until then.

    Raises
    ------
    OSError
        If anything could not be written, with the name of the file; nothing is in any place then that was not before.
    """
    parts: dict[Path, Path] = {}

    def beside(path: Path) -> Path:
        parts[path] = path.with_name(f".{path.name}.{os.getpid()}.part")
        return parts[path]

    try:
        yield beside
        for path in parts:
            if path.is_dir():
                raise IsADirectoryError(errno.EISDIR, "There is a folder of the same name", str(path))
        for path, part in parts.items():
            part.replace(path)
    except OSError as error:
        where = error.filename if error.filename in map(str, parts) else str([*parts][-1])
        raise OSError(error.errno, error.strerror or str(error), where) from error
    finally:
        for part in parts.values():
            part.unlink(missing_ok=True)
