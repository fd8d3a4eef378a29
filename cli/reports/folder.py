"""The files of a report in a folder, each written whole or not at all."""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import BinaryIO, TextIO

from cli.reports.booklet import Paper
from cli.reports.compose import compose
from cli.reports.html_report import write_html
from cli.reports.json_report import write_json
from cli.reports.pdf_report import write_pdf
from cli.reports.svg_report import write_svg
from cli.reports.workbook import write_workbook
from nesting.drawing import draw_sheets
from nesting.planned import Plan

__all__ = ["replace_bytes", "replace_file", "write_report"]


def write_report(plan: Plan, folder: Path, paper: Paper | None = None) -> str:
    """Write the pages, the workbook, the plan file and a picture of every sheet; nothing else there is touched.

    Parameters
    ----------
    plan : Plan
        The plan.
    folder : Path
        A folder that exists.
    paper : Paper or None
        What the pages are printed on; None for what is usual where the job's unit is.

    Returns
    -------
    str
        What was written, and which pictures there are of another plan, in words.
    """
    drawings, booklet = draw_sheets(plan), compose(plan, paper)
    replace_file(folder / "plan.json", partial(write_json, plan))
    replace_file(folder / "plan.html", partial(write_html, booklet))
    replace_bytes(folder / "plan.pdf", partial(write_pdf, booklet))
    replace_bytes(folder / "plan.xlsx", partial(write_workbook, plan))
    for drawing in drawings:
        replace_file(folder / f"sheet-{drawing.name}.svg", partial(write_svg, drawing))
    ours = {f"sheet-{drawing.name}.svg" for drawing in drawings}
    older = sorted(path.name for path in folder.glob("sheet-S*.svg") if path.name not in ours)
    pictures = f"{len(drawings)} picture{'' if len(drawings) == 1 else 's'} (sheet-S1.svg and so on)"
    said = f"\nWritten to {folder}: plan.html, plan.pdf, plan.xlsx, plan.json and {pictures}."
    return f"{said}\nOf another plan, left as they are: {', '.join(older)}." if older else said


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
    with _beside(path) as part, part.open("w", encoding="utf-8", newline="\n") as file:
        write(file)


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
    with _beside(path) as part, part.open("wb") as file:
        write(file)


@contextmanager
def _beside(path: Path) -> Iterator[Path]:
    """Give a place beside a file; what is written there moves into the file's place unless the writing fails."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        yield part
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
