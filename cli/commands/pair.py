"""`windowfall pair`: pictures and frames given apart; which goes into which."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from nesting.pairing import Pairing, Weights

__all__ = ["pair"]

_MOST = 1000


@click.command()
@click.argument("job", type=click.Path(exists=True))
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Write the new table pieces: FILE.csv that table alone, FILE.xlsx a workbook with the job's other tables too. "
    "A file that is there already is left as it is.",
)
@click.option(
    "--weigh",
    multiple=True,
    metavar="NAME=N",
    help="Count even, border, crop or board N times in place of even=1, border=2, crop=1, board=1; may be given again.",
)
def pair(job: str, out: Path | None, weigh: tuple[str, ...]) -> None:
    """Propose which picture goes into which frame of the JOB, with the runner-up for each.

    The JOB has a table frames and a table pictures; the tables bench, offers and boards may stand beside them. A frame
    may be turned. Even borders, borders that suit the frame, little cropping and cheap board count.

    Columns of frames: frame, inside width, inside height; where wanted, quantity, allowance, moulding width, frame cost
    and turn, which is no for a frame that can hang only the way it was measured.

    Columns of pictures: picture, and its size (picture width, picture height) or the part to be seen (show width, show
    height); where wanted, quantity, group, overlap, bottom extra, across, down, gap, boards, under boards, reveal,
    under inset, backing, when, priority, other cost, quote. They mean what they mean in the table pieces.
    """
    from cli.reports.screen.pairs import print_pairing
    from cli.reports.screen.plan import open_console
    from nesting import pairing

    weights = _weights(weigh)
    _refuse(out)
    asked = pairing.read_pairing(job)
    found = pairing.pair(asked, weights)
    if out is not None:
        _write(found, out)
    print_pairing(found, open_console(sys.stdout))
    if out is not None:
        click.echo(f"\nWritten to {out}: {len(found.matches)} rows of the table pieces.{_next(found, out)}")
    for warning in asked.job.warnings:
        click.echo(f"Worth a look: {warning}", err=True)


def _weights(told: tuple[str, ...]) -> "Weights":
    from dataclasses import fields

    from nesting.pairing import Weights
    from nesting.reading.headings import nearest
    from nesting.spelling import fold

    names = [field.name for field in fields(Weights)]
    chosen: dict[str, int] = {}
    for one in told:
        name, _, number = (part.strip() for part in one.partition("="))
        if fold(name) not in names:
            raise click.BadParameter(f"{name!r} counts nothing. {nearest(name, names)}.", param_hint="--weigh")
        if not number.isascii() or not number.isdecimal() or int(number) > _MOST:
            raise click.BadParameter(
                f"{one!r} has no whole number from 0 to {_MOST}. Write it like {fold(name)}=3.", param_hint="--weigh"
            )
        chosen[fold(name)] = int(number)
    return Weights(**chosen)


def _refuse(out: Path | None) -> None:
    """Refuse a file that cannot be written before anything is worked out; the writing itself overwrites nothing."""
    if out is None:
        return
    if out.suffix.casefold() not in {".csv", ".xlsx"}:
        raise click.BadParameter(f"{out} is neither a .csv nor an .xlsx: name the file so", param_hint="--out")
    if out.exists():
        raise click.BadParameter(f"{out} is there already: name another file", param_hint="--out")
    if not out.parent.is_dir():
        raise click.BadParameter(f"there is no folder {out.parent}: make it first", param_hint="--out")


def _write(found: "Pairing", out: Path) -> None:
    from io import BytesIO

    from cli.reports.files.pieces import write_pieces_csv, write_pieces_workbook

    whole = BytesIO()
    (write_pieces_csv if out.suffix.casefold() == ".csv" else write_pieces_workbook)(found, whole)
    with out.open("xb") as file:
        file.write(whole.getvalue())


def _next(found: "Pairing", out: Path) -> str:
    """Say what is still to be written, and what to run then."""
    bare = any(not match.fit.piece.boards for match in found.matches)
    boards = " Write a board for each row that has none." if bare else ""
    if out.suffix.casefold() == ".csv":
        return f"{boards} Put it into the folder of the job as pieces.csv, then: windowfall check FOLDER"
    return f"{boards} Then: windowfall check {out}"
