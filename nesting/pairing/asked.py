"""What was asked: pictures and frames, and the job in which they stand, as frozen values."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from nesting.geometry import ExactSize
from nesting.model.job import Job, Piece
from nesting.reading.tables import RawTable

__all__ = ["Asked", "Frame"]


@dataclass(frozen=True, slots=True)
class Frame:
    """A row of the frames table: one frame, or several alike.

    Lengths are exact ticks, money is cents. `turn` tells whether it may hang a quarter turned. `written` has what
    stands in its row, by heading.
    """

    name: str
    row: int
    quantity: int
    inside: ExactSize
    allowance: Fraction
    width: Fraction | None
    cost: int
    turn: bool
    written: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Asked:
    """Pictures and frames that are to be paired.

    Parameters
    ----------
    job : Job
        The other tables as in any job; its pieces are the pictures, in order, whose inside sizes mean nothing yet.
    frames : tuple of Frame
        In the order of their table.
    written : tuple of Mapping
        What stands in the row of each picture, by heading.
    tables : Mapping of str to RawTable
        The other tables as they stand, to be copied beside the new table pieces.
    """

    job: Job
    frames: tuple[Frame, ...]
    written: tuple[Mapping[str, str], ...]
    tables: Mapping[str, RawTable]

    @property
    def pictures(self) -> tuple[Piece, ...]:
        """The pictures, in the order of their table."""
        return self.job.pieces
