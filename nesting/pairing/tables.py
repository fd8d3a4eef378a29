"""The two tables of pictures and frames given apart; together they have the columns of the table pieces."""

from dataclasses import replace

from nesting.reading.columns import NOTES, Column, Kind, Table, table_named

__all__ = ["FRAMES", "OF_THE_FRAME", "PICTURES"]

_PIECES = table_named("pieces")

OF_THE_FRAME = ("inside width", "inside height", "allowance", "moulding width", "frame cost")
"""The columns of pieces that say something of the frame; all others are of the picture."""

FRAMES = Table(
    "frames",
    "A row for each frame, or for several alike.",
    (
        Column("frame", Kind.NAME, "The frame's name, once in the table.", required=True),
        Column("quantity", Kind.COUNT, "How many such frames there are.", default="1"),
        *(_PIECES.column(heading) for heading in OF_THE_FRAME),
        Column(
            "turn",
            Kind.CHOICE,
            "No for a frame that can hang only the way it was measured.",
            default="yes",
            choices=("yes", "no"),
        ),
        NOTES,
    ),
)
"""The table of frames."""

PICTURES = Table(
    "pictures",
    "A row for each picture, or for several alike.",
    (
        Column("picture", Kind.NAME, "The picture's name, once in the table.", required=True),
        *(
            replace(column, required=False)  # a board may be chosen once the frame is known
            for column in _PIECES.columns
            if column.heading not in {"piece", *OF_THE_FRAME}
        ),
    ),
)
"""The table of pictures."""
