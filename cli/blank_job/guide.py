"""What to do with a job to fill in, in eight lines."""

from pathlib import Path

from nesting.model.job import Unit
from nesting.names import UNIT_WORDS

__all__ = ["GUIDE_SHEET", "MEASURING_SHEET", "guide"]

GUIDE_SHEET, MEASURING_SHEET = "begin here", "to measure"
"""The sheets of the workbook that are for reading and for the tape, and no tables of the job."""


def guide(unit: Unit, path: Path) -> tuple[str, ...]:
    """Return eight lines that say what to do with a job from here to its plan.

    Parameters
    ----------
    unit : Unit
        The unit of its bare numbers.
    path : Path
        Where the job will stand, a workbook or a folder.

    Returns
    -------
    tuple of str
        In the order in which things are done.
    """
    is_book = path.suffix.casefold() == ".xlsx"
    kind, end = ("sheet", "") if is_book else ("file", ".csv")
    sheet, meaning = (
        ("the sheet 'to measure'", "rest the pointer on a heading to read what it wants")
        if is_book
        else ("the page 'to measure.html'", "what each heading means stands below")
    )
    careful = (
        "These columns are kept as text; paste values only, or 3/8 may be turned into a date"
        if is_book
        else "Write a fraction with its unit, 3/8 in, or a spreadsheet program may turn it into a date"
    )
    job = f'"{path}"' if " " in str(path) else str(path)
    return (
        f"This job is a few tables, a {kind} for each. Rows called example show how; write over them or delete them.",
        f"Print {sheet} and measure your frames; the smallest width and height of each go into pieces{end}.",
        (
            f"pieces{end}: a row for each frame with its picture. Of its headings only piece, inside width, inside "
            f"height and boards are needed; {meaning}."
        ),
        f"boards{end}: your boards. offers{end}: what shops ask for a sheet of each; any stands for all boards.",
        (
            f"shelf{end}: board that you hold already; delete its example rows if you hold none. shops{end}: delivery "
            f"and tax. bench{end}: how you cut; leave empty what suits you as it is."
        ),
        f"Lengths are written like 11 1/4 or 285 mm; plain numbers are {UNIT_WORDS[unit]}. {careful}.",
        f"Save it, close it, and write in a terminal: windowfall check {job}. It says all that is wrong, and where.",
        f"Then write: windowfall plan {job} --out report, and open plan.html in the folder report.",
    )
