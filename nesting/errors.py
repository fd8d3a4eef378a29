"""What can go wrong, each with the place it went wrong in and what mends it."""

from dataclasses import dataclass

from nesting.spelling import without_mark

__all__ = [
    "CannotBeCutError",
    "Fault",
    "JobError",
    "LayoutError",
    "LengthError",
    "MoneyError",
    "Obstacle",
    "PlanFileError",
    "ShelfError",
    "UnreadableError",
    "WindowfallError",
]


_LONGEST_GIVEN = 300


class WindowfallError(Exception):
    """Base of every error that the library raises on purpose."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a job: where it stands, what is wrong, what to write instead.

    Parameters
    ----------
    table : str
        Name of the table as the contract has it (``pieces``), or ``job`` for the whole.
    row : int or None
        Row as a spreadsheet counts it: the headings are row 1.
    column : str or None
        Heading of the column.
    cell : str or None
        Address of the cell (``D7``) where the job is a workbook.
    given : str or None
        What stands there.
    problem : str
        What is wrong, a phrase that ends without a full stop.
    remedy : str
        What to write instead, a sentence without a full stop.
    """

    table: str
    row: int | None
    column: str | None
    cell: str | None
    given: str | None
    problem: str
    remedy: str

    def __str__(self) -> str:
        """Write the fault on one line, the place first."""
        place = [self.table]
        if self.row is not None:
            place.append(f"row {self.row}")
        if self.column is not None:
            place.append(self.column)
        if self.cell is not None:
            place.append(f"cell {self.cell}")
        given = "" if self.given is None else f" {_shortened(self.given)!r}"
        return f"{', '.join(place)}:{given} {self.problem}. {self.remedy}."


def _shortened(given: str) -> str:
    return given if len(given) <= _LONGEST_GIVEN else f"{given[:_LONGEST_GIVEN]}…"


class JobError(WindowfallError):
    """The job is wrong; carries every fault found, in the order of the tables.

    Parameters
    ----------
    faults : tuple of Fault
        At least one.
    """

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        if not faults:
            raise ValueError("a JobError needs at least one fault")
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


@dataclass(frozen=True, slots=True)
class Obstacle:
    """A piece (or `spelling.WHOLE_JOB`) that cannot be cut from anything held or for sale; why, and a remedy."""

    piece: str
    problem: str
    remedy: str

    def __str__(self) -> str:
        """Write the obstacle on one line, the piece first."""
        return f"{without_mark(self.piece)}: {self.problem}. {self.remedy}."


class CannotBeCutError(WindowfallError):
    """The job is right but there is no plan for it; carries every obstacle found.

    Parameters
    ----------
    obstacles : tuple of Obstacle
        At least one.
    proven : bool
        Whether there can be no plan; otherwise none was found in the time.
    stopped : bool
        Whether the search was stopped by hand.
    """

    def __init__(self, obstacles: tuple[Obstacle, ...], *, proven: bool = True, stopped: bool = False) -> None:
        if not obstacles:
            raise ValueError("a CannotBeCutError needs at least one obstacle")
        self.obstacles = obstacles
        self.proven = proven
        self.stopped = stopped
        super().__init__("\n".join(str(obstacle) for obstacle in obstacles))


class LayoutError(WindowfallError):
    """A plan breaks a rule: a mistake in this program, never in the job."""


class ShelfError(WindowfallError):
    """The shelf file cannot be read or changed as asked; carries a sentence for each reason.

    Parameters
    ----------
    path : str
        The shelf file.
    reasons : tuple of Fault or str
        At least one; faults where they have a place in the file.
    """

    def __init__(self, path: str, reasons: "tuple[Fault | str, ...]") -> None:
        if not reasons:
            raise ValueError("a ShelfError needs at least one reason")
        self.path = path
        self.reasons = reasons
        listed = [f"- {reason}" if isinstance(reason, Fault) else f"- {reason}." for reason in reasons]
        super().__init__("\n".join([f"The shelf file {path} was left as it is:", *listed]))


class PlanFileError(WindowfallError):
    """A file that is no plan file, or one that this program cannot read; says why and what to do."""


class UnreadableError(WindowfallError):
    """A text that cannot be read as the value it should hold; knows nothing of where it stands.

    Parameters
    ----------
    problem : str
        What is wrong, a phrase that ends without a full stop.
    remedy : str
        What to write instead, a sentence without a full stop.
    """

    def __init__(self, problem: str, remedy: str) -> None:
        self.problem = problem
        self.remedy = remedy
        super().__init__(f"{problem}. {remedy}.")


class LengthError(UnreadableError):
    """A text that is no length, or not for certain."""


class MoneyError(UnreadableError):
    """A text that is no sum of money or no per cent, or not for certain."""
