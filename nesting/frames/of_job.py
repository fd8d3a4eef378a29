"""Tables of a job: what is framed, what shops ask, and how large every mat is before anything is planned."""

from collections.abc import Iterator

import pandas as pd

from nesting.frames.build import Kind, build
from nesting.geometry import ExactSize
from nesting.model.job import Job, Piece, When
from nesting.model.mat import Mat
from nesting.offers import unit_price
from nesting.sizing import size_pieces

__all__ = ["SIZE_COLUMNS", "offers", "pieces", "size_cells", "sizes"]

_PIECES = {
    "piece": Kind.TEXT,
    "quantity": Kind.COUNT,
    "group": Kind.TEXT,
    "inside_width": Kind.LENGTH,
    "inside_height": Kind.LENGTH,
    "picture_width": Kind.LENGTH,
    "picture_height": Kind.LENGTH,
    "seen_width": Kind.LENGTH,
    "seen_height": Kind.LENGTH,
    "boards": Kind.TEXT,
    "under_boards": Kind.TEXT,
    "backing": Kind.TEXT,
    "when": Kind.TEXT,
    "priority": Kind.COUNT,
    "frame_cost": Kind.MONEY,
    "other_cost": Kind.MONEY,
    "quote": Kind.MONEY,
}

_OFFERS = {
    "offer": Kind.COUNT,
    "shop": Kind.TEXT,
    "board": Kind.TEXT,
    "width": Kind.LENGTH,
    "height": Kind.LENGTH,
    "price": Kind.MONEY,
    "discount": Kind.DECIMAL,
    "paid": Kind.MONEY,
    "at_most": Kind.COUNT,
    "at_least": Kind.COUNT,
    "pack_of": Kind.COUNT,
}

SIZE_COLUMNS = {
    "blank_width": Kind.LENGTH,
    "blank_height": Kind.LENGTH,
    "left": Kind.LENGTH,
    "right": Kind.LENGTH,
    "top": Kind.LENGTH,
    "bottom": Kind.LENGTH,
    "windows": Kind.COUNT,
    "window_width": Kind.LENGTH,
    "window_height": Kind.LENGTH,
}
"""What every table of mats says of their sizes."""

_MAT = {"mat": Kind.TEXT, "piece": Kind.TEXT, "copy": Kind.COUNT, "layer": Kind.COUNT, "boards": Kind.TEXT}


def pieces(job: Job, *, ticks: bool = False) -> pd.DataFrame:
    """Return the pieces of a job, a row for each row of its table.

    Parameters
    ----------
    job : Job
        The job as read.
    ticks : bool
        Whether lengths are given in ticks; what lies between two is given to the nearest.

    Returns
    -------
    DataFrame
        In the order of the table:

        - ``piece`` (string), ``quantity`` (Int64), ``group`` (string)
        - ``inside_width``, ``inside_height`` (length)
        - ``picture_width``, ``picture_height`` (length): missing where only show was given
        - ``seen_width``, ``seen_height`` (length): show, or the picture less the overlap; missing for a plain blank
        - ``boards``, ``under_boards``, ``backing`` (string): the best liked first, ``sage or ivory``
        - ``when`` (string), ``priority`` (Int64)
        - ``frame_cost``, ``other_cost``, ``quote`` (money): for one copy

    Examples
    --------
    >>> from nesting.data import data_path
    >>> from nesting.reading.job import read_job
    >>> demo = pieces(read_job(str(data_path("demo"))))
    >>> demo.loc[0, ["piece", "inside_width", "seen_height", "boards", "quote"]].tolist()
    ['Sea holly', '15 1/4', '13 1/2', 'chalk', Decimal('26.00')]
    >>> demo.attrs
    {'unit': 'in', 'currency': '$'}
    """
    return build(_PIECES, map(_piece, job.pieces), job.bench, ticks=ticks)


def _piece(piece: Piece) -> tuple[object, ...]:
    return (
        piece.name,
        piece.quantity,
        piece.group,
        *_sides(piece.inside),
        *_sides(piece.picture),
        *_sides(piece.shown),
        *(_either(boards) for boards in (piece.boards, piece.under_boards, piece.backing)),
        str(piece.when),
        piece.priority,
        piece.frame_cost,
        piece.other_cost,
        piece.quote,
    )


def _sides(size: ExactSize | None) -> tuple[object, object]:
    return (None, None) if size is None else (size.width, size.height)


def _either(boards: tuple[str, ...]) -> str | None:
    return " or ".join(boards) or None


def offers(job: Job, *, ticks: bool = False) -> pd.DataFrame:
    """Return what the shops of a job ask, a row for each row of its table.

    Parameters
    ----------
    job : Job
        The job as read.
    ticks : bool
        Whether lengths are given in ticks.

    Returns
    -------
    DataFrame
        In the order of the table:

        - ``offer`` (Int64): the row of the table, counted from 1
        - ``shop``, ``board`` (string): ``any`` where the row is for any board
        - ``width``, ``height`` (length)
        - ``price`` (money), ``discount`` (Decimal): for one sheet, and per cent off
        - ``paid`` (money): for one sheet, after the discount
        - ``at_most``, ``at_least``, ``pack_of`` (Int64)

    Examples
    --------
    >>> from nesting.data import data_path
    >>> from nesting.reading.job import read_job
    >>> demo = offers(read_job(str(data_path("demo"))))
    >>> demo.loc[0, ["shop", "board", "width", "price", "discount", "paid"]].tolist()
    ['Lantern Crafts', 'any', '32', Decimal('9.80'), Decimal('40'), Decimal('5.88')]
    """
    rows = (
        (
            offer.number,
            offer.shop,
            offer.board or "any",
            *offer.sheet,
            offer.price,
            offer.discount,
            unit_price(offer),
            offer.at_most,
            offer.at_least,
            offer.pack_of,
        )
        for offer in job.offers
    )
    return build(_OFFERS, rows, job.bench, ticks=ticks)


def sizes(job: Job, when: When = When.NOW, *, ticks: bool = False) -> pd.DataFrame:
    """Return every mat of a job, sized, before it is known which board it is cut from.

    Parameters
    ----------
    job : Job
        The job as read.
    when : When
        ``LATER`` has the pieces marked later too.
    ticks : bool
        Whether lengths are given in ticks.

    Returns
    -------
    DataFrame
        In the order of pieces, copies and layers, as seen from the front:

        - ``mat``, ``piece`` (string), ``copy``, ``layer`` (Int64): layer 0 is the mat, then come under-mat and backing
        - ``boards`` (string): those that would do, the best liked first
        - ``blank_width``, ``blank_height`` (length)
        - ``left``, ``right``, ``top``, ``bottom`` (length): borders; missing where there is no window
        - ``windows`` (Int64), ``window_width``, ``window_height`` (length): all windows of a mat are alike

    Raises
    ------
    JobError
        If a mat cannot be sized.

    Examples
    --------
    >>> from nesting.data import data_path
    >>> from nesting.reading.job import read_job
    >>> demo = sizes(read_job(str(data_path("demo"))))
    >>> demo.loc[0, ["mat", "piece", "blank_width", "left", "top", "bottom", "window_width"]].tolist()
    ['M1', 'Sea holly', '15 1/8', '2 5/16', '2 5/8', '3 1/8', '10 1/2']
    """
    return build(_MAT | SIZE_COLUMNS, _sized(job, when), job.bench, ticks=ticks)


def _sized(job: Job, when: When) -> Iterator[tuple[object, ...]]:
    for mat in size_pieces(job, when):
        yield mat.id, mat.piece, mat.copy, mat.layer, _either(mat.boards), *size_cells(mat)


def size_cells(mat: Mat) -> tuple[object, ...]:
    """Return the cells of `SIZE_COLUMNS` for a mat."""
    borders, count = mat.borders, len(mat.windows)
    widths = (None,) * 4 if borders is None else (borders.left, borders.right, borders.top, borders.bottom)
    window = mat.windows[0].size if count else (None, None)
    return *mat.blank, *widths, count, *window
