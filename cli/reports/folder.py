"""The files of a report in a folder, each written whole or not at all."""

import os
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TextIO

from cli.reports.json_report import write_json
from cli.reports.svg_report import write_svg
from nesting.drawing import draw_sheets
from nesting.planned import Plan

__all__ = ["replace_file", "write_report"]


def write_report(plan: Plan, folder: Path) -> str:
    """Write plan.json and a picture of every sheet into a folder; nothing else in it is touched.

    Parameters
    ----------
    plan : Plan
        The plan.
    folder : Path
        A folder that exists.

    Returns
    -------
    str
        What was written, and which pictures there are of another plan, in words.
    """
    drawings = draw_sheets(plan)
    replace_file(folder / "plan.json", partial(write_json, plan))
    for drawing in drawings:
        replace_file(folder / f"sheet-{drawing.name}.svg", partial(write_svg, drawing))
    ours = {f"sheet-{drawing.name}.svg" for drawing in drawings}
    older = sorted(path.name for path in folder.glob("sheet-S*.svg") if path.name not in ours)
    pictures = f"{len(drawings)} picture{'' if len(drawings) == 1 else 's'} (sheet-S1.svg and so on)"
    said = f"\nWritten to {folder}: plan.json and {pictures}."
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
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with part.open("w", encoding="utf-8", newline="\n") as file:
            write(file)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
