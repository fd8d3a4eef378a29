"""What `check` says to a person: what it understood, what looks unusual though it is allowed, and what to write."""

from collections.abc import Iterator, Sequence

from rich.console import Console

from cli.reports.paragraphs import print_paragraphs, set_in_lines
from nesting.bench.proportions import Note, border_notes
from nesting.errors import Fault, row_words
from nesting.model.job import Job, ShelfKind, When
from nesting.model.mat import Mat
from nesting.names import UNIT_WORDS, length_words
from nesting.offers import sells
from nesting.sizing import alike_oddities, few_named

__all__ = ["Advice", "border_advice", "print_advice", "print_understood", "size_advice", "understood"]

# What is said, and what to write where, if anything.
Advice = tuple[str, str]


def understood(job: Job, mats: Sequence[Mat]) -> Iterator[str]:
    """Yield in plain sentences what a job was understood to ask for.

    Parameters
    ----------
    job : Job
        The job as read.
    mats : sequence of Mat
        All its mats, later ones too.

    Yields
    ------
    str
        A sentence or two each: pieces, lengths, where board comes from, what `any` stands for.
    """
    count = sum(piece.quantity for piece in job.pieces)
    later = sum(piece.quantity for piece in job.pieces if piece.when is When.LATER)
    groups = len({piece.group for piece in job.pieces if piece.group})
    more = [f"{later} of them for later"] * bool(later) + [f"in {_counted(groups, 'group')}"] * bool(groups)
    yield f"{', '.join([_counted(count, 'piece'), *more])}; {_counted(len(mats), 'blank')} to cut."
    yield _lengths(job)
    yield _sources(job)
    for offer in job.offers:
        if offer.board is None:
            boards = [board.name for board in job.boards if sells(job, offer, board.name)]
            yield f"offers, row {offer.row}, {offer.shop}: any means {', '.join(boards) or 'no board of this job'}."


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def _lengths(job: Job) -> str:
    """Say what a bare number means, and what is taken where the rows leave something open."""
    bench = job.bench
    ruler, allowance, overlap = (
        length_words(int(ticks), bench) if int(ticks) == ticks else "as written"
        for ticks in (bench.ruler, bench.allowance, bench.overlap)
    )
    return (
        f"Plain numbers are {UNIT_WORDS[bench.unit]}; the ruler has marks of {ruler}. Unless a piece says otherwise, "
        f"the mat is {allowance} smaller than the inside size and covers the picture by {overlap} on each side."
    )


def _sources(job: Job) -> str:
    shops = len({offer.shop for offer in job.offers})
    held = sum(piece.quantity for piece in job.shelf)
    sheets = sum(piece.quantity for piece in job.shelf if piece.kind is ShelfKind.SHEET)
    bought = f"{_counted(len(job.offers), 'offer')} from {_counted(shops, 'shop')}" if job.offers else "No offers"
    shelf = f"{_counted(held, 'piece')} on the shelf" if held else "nothing on the shelf"
    return f"Board: {bought}; {shelf}{f', {sheets} of them whole sheets' if sheets else ''}."


def size_advice(job: Job) -> tuple[Advice, ...]:
    """Return what is allowed but unusual about the job and its sizes.

    Parameters
    ----------
    job : Job
        The job as read; later pieces are looked at too.

    Returns
    -------
    tuple of (str, str)
        What is said, and what to write where if it is not meant; the second is empty where the first says it all.
    """
    odd = (
        (f"{few_named(alike)}: {alike[0].problem}.", f"{_where(alike)}: {alike[0].remedy}.")
        for alike in alike_oddities(job)
    )
    return (*((f"{warning}.", "") for warning in job.warnings), *odd)


def _where(alike: Sequence[Fault]) -> str:
    """Say in which table, rows and column oddities stand."""
    rows = row_words([oddity.row for oddity in alike if oddity.row is not None])
    return ", ".join(filter(None, (alike[0].table, rows, alike[0].column)))


def border_advice(job: Job, mats: Sequence[Mat]) -> tuple[Advice, ...]:
    """Return where borders are likely to look odd, and what to write where to change it; none if switched off.

    Parameters
    ----------
    job : Job
        The job as read.
    mats : sequence of Mat
        All its mats, later ones too.

    Returns
    -------
    tuple of (str, str)
        As `size_advice`; pieces of which the same is to be said together.
    """
    return tuple((f"{note}", _place(job, note)) for note in border_notes(job, mats))


def _place(job: Job, note: Note) -> str:
    """Say in which rows to write what; nothing where only another frame will do."""
    if not note.write:
        return ""
    rows = row_words([piece.row for piece in job.pieces if piece.name in note.pieces])
    return f"To change it, write in pieces, {rows}: {note.write}."


def print_understood(job: Job, mats: Sequence[Mat], console: Console) -> None:
    """Print what a job was understood to ask for."""
    print_paragraphs(console, "Understood", ((sentence,) for sentence in understood(job, mats)))


def print_advice(
    job: Job, mats: Sequence[Mat], console: Console, *, later: Sequence[str] = (), sound: bool = True
) -> None:
    """Print what looks unusual, each with what to write below it, and last that no mistake was found.

    Parameters
    ----------
    job, mats : Job, sequence of Mat
        As `border_advice` takes them.
    console : Console
        Where to print.
    later : sequence of str
        What keeps pieces marked later from being planned.
    sound : bool
        Whether all pieces for now can be planned.
    """
    sizes, borders = size_advice(job), border_advice(job, mats)
    for heading, advice in (
        ("The later pieces cannot be planned yet", tuple((sentence, "") for sentence in later)),
        ("Borders: a suggestion", borders),
        ("Worth a look", sizes),
    ):
        print_paragraphs(console, heading, advice, "- ")
        if advice:
            console.print()
    if sound:
        kept = " If that is what you meant, leave it." if sizes or borders else ""
        console.print(set_in_lines(f"No mistakes found.{kept}", console.width))
