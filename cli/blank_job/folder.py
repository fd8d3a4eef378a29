"""A job to fill in as a folder of CSV files, with a page of text that says what to do."""

import csv
from pathlib import Path
from typing import TextIO

from cli.blank_job.content import BlankJob, Filled
from cli.blank_job.guide import guide
from cli.blank_job.measuring import write_measuring_page

__all__ = ["GUIDE_FILE", "MEASURING_FILE", "write_blank_folder"]

GUIDE_FILE, MEASURING_FILE = "begin here.txt", "to measure.html"


def write_blank_folder(job: BlankJob, path: Path, folder: Path) -> None:
    """Write a job to fill in as CSV files, what to do as text, and a page to print and measure with.

    Parameters
    ----------
    job : BlankJob
        What stands in it.
    path : Path
        Where the job will stand, for the lines that say what to do.
    folder : Path
        A folder that exists, where it is written.
    """
    for filled in job.tables:
        # The mark at the beginning is what tells spreadsheet programs that it is UTF-8.
        with (folder / f"{filled.table.name}.csv").open("w", encoding="utf-8-sig", newline="") as file:
            _write_table(filled, file)
    with (folder / MEASURING_FILE).open("w", encoding="utf-8", newline="\n") as file:
        write_measuring_page(job.unit, job.frames, file)
    with (folder / GUIDE_FILE).open("w", encoding="utf-8", newline="\n") as file:
        _write_guide(job, path, file)


def _write_table(filled: Filled, file: TextIO) -> None:
    writer = csv.DictWriter(file, [column.heading for column in filled.table.columns], restval="")
    writer.writeheader()
    writer.writerows(filled.rows)


def _write_guide(job: BlankJob, path: Path, file: TextIO) -> None:
    file.write("BEGIN HERE\n\n")
    file.writelines(f"{number}. {line}\n" for number, line in enumerate(guide(job.unit, path), start=1))
    file.write("\nWHAT THE HEADINGS MEAN\n")
    for filled in job.tables:
        file.write(f"\n{filled.table.name}.csv: {filled.table.meaning}\n")
        file.writelines(
            f"  {column.heading}: {' '.join(column.note_in(job.unit))}\n" for column in filled.table.columns
        )
