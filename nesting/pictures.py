"""Drawings that show themselves in a notebook: a sheet, a mat, the wall.

Examples
--------
>>> from nesting.data import data_path
>>> from nesting.reading.job import read_job
>>> shown = piece(read_job(str(data_path("demo"))), "Foxglove")
>>> shown.drawing.title
'Foxglove, seen from the front'
>>> shown.svg.startswith("<svg "), shown.svg.endswith("</svg>")
(True, True)
"""

from dataclasses import dataclass

from nesting.bench.bevels import mat_work
from nesting.drawing import Drawing, draw_sheet, draw_sheets
from nesting.drawing.front import draw_front
from nesting.drawing.mat import draw_mat
from nesting.drawing.svg import svg_text
from nesting.drawing.wall import draw_wall
from nesting.model.job import Job, Piece, When
from nesting.model.plan import Plan
from nesting.names import Names
from nesting.sizing import size_pieces

__all__ = ["Picture", "Pictures", "mat", "piece", "sheet", "sheets", "wall"]


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing that a notebook shows as the value of a cell; `svg` is the page for every other use.

    Parameters
    ----------
    drawing : Drawing
        Tenths of a millimetre.
    """

    drawing: Drawing

    @property
    def svg(self) -> str:
        """The drawing as an SVG element, the same for the same drawing."""
        return svg_text(self.drawing)

    def _repr_svg_(self) -> str:
        return self.svg


@dataclass(frozen=True, slots=True)
class Pictures:
    """Several drawings, one below the other.

    Parameters
    ----------
    pages : tuple of Picture
        The first on top.
    """

    pages: tuple[Picture, ...]

    def _repr_html_(self) -> str:
        return "\n".join(f"<div>{page.svg}</div>" for page in self.pages)


def sheet(plan: Plan, name: str) -> Picture:
    """Return a sheet as it lies on the bench, seen from the back, with its blanks and what is left over.

    Parameters
    ----------
    plan : Plan
        The plan.
    name : str
        What the plan calls it: ``S1``.

    Returns
    -------
    Picture
        As it stands in the report.

    Raises
    ------
    KeyError
        If the plan has no such sheet, with those that it has.
    """
    found = {its.id: its for its in plan.sheets}
    if name not in found:
        raise KeyError(_unknown("plan", "sheet", name, list(found)))
    return Picture(draw_sheet(plan, found[name]))


def sheets(plan: Plan) -> Pictures:
    """Return every sheet of a plan as `sheet` has it, in their order.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    Pictures
        A page for each sheet, shelf piece and fallout that is cut.
    """
    return Pictures(tuple(map(Picture, draw_sheets(plan))))


def mat(plan: Plan, name: str, *, back: bool = False) -> Picture:
    """Return a mat with its window and its borders.

    Parameters
    ----------
    plan : Plan
        The plan.
    name : str
        What the plan calls it: ``M3``.
    back : bool
        Whether it lies face down, with its pencil lines, as it is marked and cut; otherwise it is seen from the front,
        the edge of the picture dashed behind it.

    Returns
    -------
    Picture
        60 mm wide.

    Raises
    ------
    KeyError
        If the plan has no such mat, with those that it has.
    """
    found = {placed.mat.id: placed for placed in plan.mats}
    if name not in found:
        raise KeyError(_unknown("plan", "mat", name, list(found)))
    placed, bench = found[name], plan.job.bench
    if back:
        return Picture(draw_mat(mat_work(plan, placed), bench))
    title = Names(plan.job, plan.mats).mat(placed.mat)
    swatch = plan.job.board(placed.board).swatch
    return Picture(draw_front(placed.mat, _piece(plan.job, placed.mat.piece), title, bench, swatch))


def piece(job: Job, name: str) -> Picture:
    """Return the mat of a piece from the front, before anything is planned.

    Parameters
    ----------
    job : Job
        The job as read.
    name : str
        The piece, as spelt in its table.

    Returns
    -------
    Picture
        60 mm wide.

    Raises
    ------
    KeyError
        If the job has no such piece, with those that it has.
    JobError
        If a mat of the job cannot be sized.
    """
    asked = _piece(job, name)
    front = next(its for its in size_pieces(job, When.LATER) if its.piece == name)
    return Picture(draw_front(front, asked, name, job.bench, job.board(front.boards[0]).swatch))


def wall(plan: Plan) -> Pictures:
    """Return the wall at a glance: every framed piece to one scale, group by group.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    Pictures
        As many pages, 190 mm wide, as the report has.
    """
    return Pictures(tuple(map(Picture, draw_wall(plan))))


def _piece(job: Job, name: str) -> Piece:
    found = {its.name: its for its in job.pieces}
    if name not in found:
        raise KeyError(_unknown("job", "piece", name, list(found)))
    return found[name]


def _unknown(where: str, what: str, name: str, known: list[str]) -> str:
    return f"the {where} has no {what} {name!r}; it has {', '.join(known) or 'none'}"
