"""`windowfall start`: writes a job to fill in, a workbook or a folder of CSV files."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from cli.blank_job.content import BlankJob

__all__ = ["start"]

_OTHER_KINDS = frozenset({".csv", ".ods", ".xls", ".xlsb", ".xlsm", ".numbers"})


@click.command(epilog="Example: windowfall start wall.xlsx --from frames.csv --unit mm")
@click.argument("path", type=click.Path(path_type=Path))
@click.option("--folder", is_flag=True, help="Write a folder of CSV files in place of a workbook.")
@click.option(
    "--from",
    "listed",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    metavar="CSV",
    help="Fill the pieces with this list: name, frame width, frame height, picture width, picture height, quantity.",
)
@click.option(
    "--unit",
    type=click.Choice(["in", "mm", "cm"], case_sensitive=False),
    default="in",
    show_default=True,
    help="The unit of plain numbers.",
)
def start(path: Path, listed: Path | None, unit: str, *, folder: bool) -> None:
    """Write a job to fill in at PATH, a workbook (.xlsx).

    Its first sheet says what to do. Write over the two example rows in each table; a sheet to print says what
    to measure of each frame. A file that is there already is never overwritten.
    """
    from cli.blank_job.content import blank_job
    from nesting.model.job import Unit
    from nesting.reading.plain_list import read_list

    place = _place(path, folder=folder)
    rows = () if listed is None else read_list(listed, Unit(unit))
    job = blank_job(Unit(unit), rows)
    place.parent.mkdir(parents=True, exist_ok=True)
    (_write_folder if folder else _write_workbook)(job, place)
    _say(place, listed, boards=all(row.piece.boards for row in rows), folder=folder)


def _place(path: Path, *, folder: bool) -> Path:
    """Return where the job is to stand; the ending of a workbook may be left out."""
    place = path
    if folder and path.suffix.casefold() == ".xlsx":
        raise _refused(f"a folder is asked for, but {path} is named like a workbook: leave out .xlsx or --folder")
    if not folder:
        if path.suffix.casefold() in _OTHER_KINDS:
            raise _refused(f"a workbook ends in .xlsx: name it {path.with_suffix('.xlsx')}, or ask for a --folder")
        if path.is_dir():
            raise _refused(f"{path} is a folder: name a workbook in it, such as {path / 'wall.xlsx'}")
        place = path if path.suffix.casefold() == ".xlsx" else path.with_name(f"{path.name}.xlsx")
    if place.exists() or place.is_symlink():
        raise _refused(f"{place} is there already and was left as it is: name another, or move it away first")
    return place


def _refused(why: str) -> click.BadParameter:
    return click.BadParameter(why, param_hint="PATH")


def _write_workbook(job: "BlankJob", place: Path) -> None:
    """Make the whole file before a byte is written, and write only where nothing has come to stand meanwhile."""
    import io

    from cli.blank_job.workbook import write_blank_workbook

    data = io.BytesIO()
    write_blank_workbook(job, place, data)
    file = place.open("xb")
    try:
        with file:
            file.write(data.getvalue())
    except OSError:
        place.unlink(missing_ok=True)
        raise


def _write_folder(job: "BlankJob", place: Path) -> None:
    """Write the folder under another name beside its place, and move it there when it is whole."""
    import shutil

    from cli.blank_job.folder import write_blank_folder

    part = place.with_name(f".{place.name}.{os.getpid()}.part")
    part.mkdir()
    try:
        write_blank_folder(job, place, part)
        part.rename(place)
    except OSError:
        shutil.rmtree(part, ignore_errors=True)
        raise


def _say(place: Path, listed: Path | None, *, boards: bool, folder: bool) -> None:
    told = f"Written: {place}, a job to fill in."
    first = f"{place / 'begin here.txt'} says" if folder else "Open it in a spreadsheet program: its first sheet says"
    click.echo(f"{told} {first} what to do.")
    if listed is not None:
        missing = "" if boards else " Write under boards which board each is to have."
        click.echo(f"The frames and pictures of {listed} stand in its table pieces.{missing}")
    name = f'"{place}"' if " " in str(place) else str(place)
    click.echo(f"Then: windowfall check {name}")
