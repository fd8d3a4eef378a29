"""The tables of a job, column by column: what each means, whether it is needed, what stands in for an empty cell.

One list, so that what reads a job and what writes an empty one to fill in cannot drift apart.
"""

from dataclasses import dataclass
from enum import StrEnum

from nesting.model.job import Unit
from nesting.spelling import fold

__all__ = [
    "ANY",
    "BENCH",
    "CHOICES",
    "CHOICES_TABLE",
    "EVERY_TABLE",
    "NOTES",
    "TABLES",
    "Column",
    "Kind",
    "Table",
    "plain_key",
    "table_named",
]

ANY = "any"
"""What an offer has under board that is for every board its shop has no row for."""


class Kind(StrEnum):
    """What a cell may hold."""

    NAME = "name"
    BOARDS = "boards"
    TEXT = "text"
    COUNT = "count"
    WHOLE = "whole"
    SIDE = "side"
    LENGTH = "length"
    SIGNED = "signed length"
    SIZE = "size"
    MONEY = "money"
    PERCENT = "per cent"
    CHOICE = "choice"
    SWATCH = "swatch"


_UNITS = {Unit.IN: "inches", Unit.MM: "mm", Unit.CM: "cm"}
_LENGTH_FORM = "A length such as 11 1/4, 11.25 or 285 mm. Plain numbers are {unit}."
_FORMS = {
    Kind.COUNT: "A whole number from 1.",
    Kind.WHOLE: "A whole number from 0.",
    Kind.SIDE: _LENGTH_FORM,
    Kind.LENGTH: _LENGTH_FORM,
    Kind.SIGNED: _LENGTH_FORM,
    Kind.SIZE: "Two lengths such as 4 x 6 in. Plain numbers are {unit}.",
    Kind.MONEY: "A sum such as 12.50.",
    Kind.PERCENT: "A number such as 40 or 8.25.",
}


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table, or a row of the bench table.

    Parameters
    ----------
    heading : str
        The name as it is written.
    kind : Kind
        What its cells may hold.
    meaning : str
        One sentence for the person who fills it in.
    required : bool
        Whether every row needs it.
    default : str or None
        What an empty cell counts as, as one would write it, in a job in inches.
    metric : str or None
        The same in a job in millimetres or centimetres, where it differs.
    otherwise : str
        What an empty cell counts as, in words, where no value that one could write says it.
    choices : tuple of str
        For a choice: the words allowed.
    hint : str
        What else helps to fill it in, in whole sentences, for the note on the heading of an empty job.
    """

    heading: str
    kind: Kind
    meaning: str
    required: bool = False
    default: str | None = None
    metric: str | None = None
    otherwise: str = "nothing"
    choices: tuple[str, ...] = ()
    hint: str = ""

    def default_in(self, unit: Unit) -> str | None:
        """Return what an empty cell counts as in a job in this unit, as one would write it; None if nothing says it."""
        return self.default if unit is Unit.IN or self.metric is None else self.metric

    def note_in(self, unit: Unit) -> tuple[str, ...]:
        """Return what the person who fills it in should know, in sentences: meaning, form, what an empty cell is."""
        form = (
            f"Choose {' or '.join(self.choices)}."
            if self.choices
            else _FORMS.get(self.kind, "").format(unit=_UNITS[unit])
        )
        empty = self.default_in(unit) or self.otherwise
        left = "Every row needs it." if self.required else f"If left empty: {empty}."
        return tuple(line for line in (self.meaning, self.hint, form, left) if line)


@dataclass(frozen=True, slots=True)
class Table:
    """A table of a job: a sheet of the workbook, or a file of the folder."""

    name: str
    meaning: str
    columns: tuple[Column, ...]

    def column(self, heading: str) -> Column:
        """Return the column with this heading; KeyError if there is none."""
        for column in self.columns:
            if column.heading == heading:
                return column
        raise KeyError(heading)


def plain_key(text: str) -> str:
    """Return a heading as it is matched: folded, without spaces and underscores.

    Examples
    --------
    >>> plain_key(" Inside_Width")
    'insidewidth'
    """
    return fold(text.replace("_", " ")).replace(" ", "")


def table_named(name: str) -> Table:
    """Return the table called `name`; KeyError if a job has no such table."""
    for table in EVERY_TABLE:
        if table.name == name:
            return table
    raise KeyError(name)


NOTES = Column("notes", Kind.TEXT, "Anything you wish to remember; it changes nothing.")
"""The column that every table may have."""

_YES_NO = ("yes", "no")
_BY_NAME = "Width and height may stand here together, such as 8x10 or A4; then leave the height empty."

_PIECES = Table(
    "pieces",
    "A row for each framed piece, or for several alike.",
    (
        Column("piece", Kind.NAME, "The piece's name, once in the table.", required=True),
        Column("quantity", Kind.COUNT, "How many copies, all in the same boards.", default="1"),
        Column("group", Kind.TEXT, "A room, customer or student, to have totals, labels and cut lists by."),
        Column(
            "inside width",
            Kind.SIDE,
            "Width inside the frame's recess, measured from the back.",
            required=True,
            hint=f"Measure at both ends and write the smaller. {_BY_NAME}",
        ),
        Column(
            "inside height",
            Kind.SIDE,
            "Height inside the frame's recess, measured from the back.",
            required=True,
            hint="Measure at both sides and write the smaller.",
        ),
        Column(
            "picture width",
            Kind.SIDE,
            "Width of the picture; without picture and show, a blank with no window.",
            hint=_BY_NAME,
        ),
        Column("picture height", Kind.SIDE, "Height of the picture."),
        Column(
            "show width",
            Kind.SIDE,
            "Width of the part of the picture to be seen.",
            otherwise="the picture less the overlap on both sides",
            hint=_BY_NAME,
        ),
        Column(
            "show height",
            Kind.SIDE,
            "Height of the part of the picture to be seen.",
            otherwise="the picture less the overlap at top and bottom",
        ),
        Column(
            "overlap",
            Kind.SIGNED,
            "How far the mat covers the picture on each side; less than 0 shows bare margin round it.",
            otherwise="as in the table bench",
        ),
        Column(
            "bottom extra", Kind.LENGTH, "Added to the bottom border, so the picture sits a little high.", default="0"
        ),
        Column(
            "allowance",
            Kind.LENGTH,
            "How much smaller than the inside size the mat is cut, in all.",
            otherwise="as in the table bench",
        ),
        Column("across", Kind.COUNT, "How many equal windows stand side by side in the mat.", default="1"),
        Column("down", Kind.COUNT, "How many equal windows stand one above another in the mat.", default="1"),
        Column("gap", Kind.LENGTH, "Width of the bars between several windows.", default="1 in", metric="25 mm"),
        Column(
            "boards",
            Kind.BOARDS,
            "The board, or several that would do, the favourite first: 'sage', or 'sage or ivory'.",
            required=True,
            hint="Choose one of the table boards, or write it.",
        ),
        Column("under boards", Kind.BOARDS, "The board of an under-mat, or several.", otherwise="no under-mat"),
        Column("reveal", Kind.LENGTH, "How much of the under-mat shows all round.", default="1/4 in", metric="6 mm"),
        Column("under inset", Kind.LENGTH, "How much smaller the under-mat's blank is, in all.", default="0"),
        Column("backing", Kind.BOARDS, "Boards for a plain blank behind the picture.", otherwise="no backing"),
        Column("moulding width", Kind.LENGTH, "Width of the frame's front, for the look of the wall."),
        Column(
            "when",
            Kind.CHOICE,
            "Whether to plan it now, or only when later pieces are asked for.",
            default="now",
            choices=("now", "later"),
        ),
        Column("priority", Kind.COUNT, "1 is cut first when not all can be.", otherwise="after all that have one"),
        Column("frame cost", Kind.MONEY, "What the frame of one copy costs.", default="0"),
        Column("other cost", Kind.MONEY, "What else one copy costs.", default="0"),
        Column("quote", Kind.MONEY, "What a shop asks for the same mat, cut."),
        NOTES,
    ),
)

_OFFERS = Table(
    "offers",
    "A row for each price that a shop asks for a sheet.",
    (
        Column("shop", Kind.NAME, "The shop's name.", required=True),
        Column("board", Kind.NAME, "The board, or any for all that the shop has no row of its own for.", required=True),
        Column("sheet width", Kind.SIDE, "Width of the sheet.", required=True, hint=_BY_NAME),
        Column("sheet height", Kind.SIDE, "Height of the sheet.", required=True),
        Column("price", Kind.MONEY, "Price of one sheet, before any discount.", required=True),
        Column("discount", Kind.PERCENT, "Per cent off.", default="0"),
        Column(
            "at most",
            Kind.WHOLE,
            "No more sheets than this from this row, over all boards; a coupon for one item is 1, sold out is 0.",
            otherwise="no limit",
        ),
        Column(
            "at least",
            Kind.COUNT,
            "If anything is bought from this row, at least this many sheets from it, over all boards.",
            otherwise="no minimum",
        ),
        Column("pack of", Kind.COUNT, "Sold only in packs of this many of one board, priced per sheet.", default="1"),
        NOTES,
    ),
)

_SHOPS = Table(
    "shops",
    "A row for each shop that charges for delivery or adds tax.",
    (
        Column("shop", Kind.NAME, "The shop's name, once in the table.", required=True),
        Column("delivery", Kind.MONEY, "A fee once anything is bought there.", default="0"),
        Column(
            "free over",
            Kind.MONEY,
            "No fee when the goods there come to more than this, not just to it, after discounts, before tax.",
            otherwise="never free",
        ),
        Column("tax", Kind.PERCENT, "Per cent added to the discounted goods of the shop.", default="0"),
        NOTES,
    ),
)

_SHELF = Table(
    "shelf",
    "A row for each board, offcut or fallout that you already hold.",
    (
        Column("label", Kind.NAME, "What is written on the piece, once in the table.", required=True),
        Column("board", Kind.NAME, "Which board it is.", required=True),
        Column("width", Kind.SIDE, "Its width.", required=True, hint=_BY_NAME),
        Column("height", Kind.SIDE, "Its height.", required=True),
        Column("quantity", Kind.COUNT, "How many such pieces.", default="1"),
        Column(
            "kind",
            Kind.CHOICE,
            "A sheet is trimmed like a bought one; an offcut or fallout is squared already.",
            default="offcut",
            choices=("sheet", "offcut", "fallout"),
        ),
        NOTES,
    ),
)

_BOARDS = Table(
    "boards",
    "A row for each board of which you want to say more than its name.",
    (
        Column("board", Kind.NAME, "The board's name, once in the table.", required=True),
        Column(
            "swatch",
            Kind.SWATCH,
            "Its colour in drawings, such as green or #8fa58c.",
            otherwise="a colour is chosen for it",
        ),
        Column("thickness", Kind.SIDE, "How thick it is.", default="1/16 in"),
        Column(
            "turn",
            Kind.CHOICE,
            "No for a board whose surface has a direction, so that nothing of it is turned.",
            default="yes",
            choices=_YES_NO,
        ),
        NOTES,
    ),
)

_BENCH = Table(
    "bench",
    "How this bench cuts, a row for each thing that differs from what is usual.",
    (
        Column("name", Kind.NAME, "Which setting.", required=True),
        Column("value", Kind.TEXT, "Its value.", otherwise="what is usual"),
        NOTES,
    ),
)

CHOICES_TABLE = Table(
    "choices",
    "What is asked of a plan of this job; the page in the browser keeps it, and an option of plan comes first.",
    (
        Column("name", Kind.NAME, "What is chosen.", required=True),
        Column("value", Kind.TEXT, "What it is to be.", otherwise="nothing is chosen"),
        NOTES,
    ),
)
"""The table that stands beside those that a person fills in."""

TABLES = (_PIECES, _OFFERS, _SHOPS, _SHELF, _BOARDS, _BENCH)
"""Every table of a job that a person fills in, in the order in which names are first spelt."""

EVERY_TABLE = (*TABLES, CHOICES_TABLE)
"""Every table of a job."""

CHOICES = (
    Column("later", Kind.CHOICE, "Whether the pieces marked later are planned too.", choices=_YES_NO),
    Column("fallout", Kind.CHOICE, "Whether fallouts are cut from.", otherwise="as the bench says", choices=_YES_NO),
    Column("liked best", Kind.CHOICE, "Whether every piece gets the board that it names first.", choices=_YES_NO),
    Column("shelf", Kind.CHOICE, "Whether your own shelf is cut from.", choices=_YES_NO),
    Column("shelf table", Kind.CHOICE, "Whether the job's own table shelf is cut from.", choices=_YES_NO),
    Column("discount", Kind.TEXT, "Per cent off, as 50, or for one shop as Shop=50."),
    Column("shop", Kind.TEXT, "Buy at this shop only; it may stand several times."),
    Column("left", Kind.TEXT, "How many sheets of a board are left, as chalk=2."),
    Column("budget", Kind.MONEY, "Pay no more than this."),
    Column("sheets", Kind.WHOLE, "Buy no more sheets than this."),
    Column("pin", Kind.TEXT, "A piece that is to have one board, as Sea holly = moss."),
)
"""What can be chosen for a plan."""

BENCH = (
    Column(
        "unit", Kind.CHOICE, "The unit of plain numbers in this job.", default="in", choices=tuple(str(u) for u in Unit)
    ),
    Column(
        "ruler", Kind.SIDE, "Graduation that everything drawn or set is rounded to.", default="1/16 in", metric="1 mm"
    ),
    Column(
        "allowance",
        Kind.LENGTH,
        "How much smaller than the inside size mats are cut, in all.",
        default="1/8 in",
        metric="3 mm",
    ),
    Column("overlap", Kind.SIGNED, "How far mats cover the picture on each side.", default="1/4 in", metric="6 mm"),
    Column("trim", Kind.LENGTH, "Strip cut off each edge of a new sheet.", default="0"),
    Column("kerf", Kind.LENGTH, "What the blade removes at a cut: a knife nothing, a saw its width.", default="0"),
    Column("squaring", Kind.LENGTH, "Strip cut off each side of a fallout.", default="1/8 in", metric="3 mm"),
    Column(
        "keep at least",
        Kind.SIZE,
        "What is left over and cannot hold this either way round is scrap.",
        default="4 x 4 in",
        metric="100 x 100 mm",
    ),
    Column("longest cut", Kind.SIDE, "The longest straight cut that the cutter can make.", otherwise="none"),
    Column("guide reach", Kind.SIDE, "The widest border that the cutter's guide can set.", otherwise="none"),
    Column("overcut", Kind.LENGTH, "How far a bevel cut runs past the pencil line.", default="0"),
    Column("lip", Kind.LENGTH, "How much the frame's front hides of the mat.", default="1/4 in", metric="6 mm"),
    Column(
        "glass clearance",
        Kind.LENGTH,
        "How much smaller than the inside size the glass is cut, in all.",
        otherwise="as the allowance",
    ),
    Column(
        "use fallout",
        Kind.CHOICE,
        "Whether the pieces that drop out of windows are cut into smaller mats.",
        default="yes",
        choices=_YES_NO,
    ),
    Column(
        "room for sheets",
        Kind.WHOLE,
        "No more sheets than this are bought and left uncut, over all boards.",
        otherwise="none",
    ),
    Column("currency", Kind.TEXT, "The sign or word printed with sums of money.", default="$"),
    Column(
        "border notes",
        Kind.CHOICE,
        "Whether to say which borders are narrow or uneven.",
        default="yes",
        choices=_YES_NO,
    ),
    Column("cutter cost", Kind.MONEY, "What the cutter cost, to see when it has paid for itself.", otherwise="none"),
)
"""Every setting of the bench, each with what it holds and what is usual."""
