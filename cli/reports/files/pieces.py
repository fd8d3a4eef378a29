"""The table pieces that a pairing makes, as a CSV file or in a workbook with the job's other tables."""

import csv
import io
from typing import BinaryIO

from nesting.pairing import Pairing, job_tables, pieces_table

__all__ = ["write_pieces_csv", "write_pieces_workbook"]

_NARROW, _WIDE = 9, 40


def write_pieces_csv(pairing: Pairing, file: BinaryIO) -> None:
    """Write the table pieces as a CSV file.

    Parameters
    ----------
    pairing : Pairing
        What is proposed.
    file : BinaryIO
        Open for writing; UTF-8 with the mark by which spreadsheets know it.
    """
    text = io.StringIO(newline="")
    csv.writer(text).writerows(pieces_table(pairing))
    file.write(text.getvalue().encode("utf-8-sig"))


def write_pieces_workbook(pairing: Pairing, file: BinaryIO) -> None:
    """Write a workbook of all tables of the job; every cell is text, so that no spreadsheet makes a date of 3/8.

    Parameters
    ----------
    pairing : Pairing
        What is proposed.
    file : BinaryIO
        Open for writing.
    """
    import xlsxwriter  # noqa: PLC0415 - slow to load, and a CSV file does without

    with xlsxwriter.Workbook(file, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}) as book:
        text, bold = book.add_format({"num_format": "@"}), book.add_format({"num_format": "@", "bold": True})
        for name, rows in job_tables(pairing).items():
            sheet = book.add_worksheet(name)
            sheet.freeze_panes(1, 0)
            for column in range(max(map(len, rows))):
                longest = max((len(row[column]) for row in rows if column < len(row)), default=0)
                sheet.set_column(column, column, min(max(longest + 2, _NARROW), _WIDE), text)
            for number, row in enumerate(rows):
                for column, words in enumerate(row):
                    sheet.write_string(number, column, words, text if number else bold)
