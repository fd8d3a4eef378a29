"""Which shelf piece a plan means: the one with its label, or the leftover it names, if board and size agree."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from nesting.bench.rounds import marked
from nesting.geometry import Size
from nesting.model.plan import FromShelf
from nesting.plan_file.read import PlanFile, PlannedSheet
from nesting.shelf.held import HeldPiece, Shelf, ShelfChangeError
from nesting.shelf.history import Change, History
from nesting.shelf.text import size_text
from nesting.spelling import fold

__all__ = ["Finder", "finder", "left_label", "takes"]

_LEFT = re.compile(".+, plan (?P<plan>[0-9a-f]{6})")


def left_label(plan: PlanFile, name: str) -> str:
    """Return the label of a leftover of a plan: on its page, on the shelf, and while it is not cut yet."""
    return marked(name, plan.mark)


def takes(plan: PlanFile) -> tuple[tuple[PlannedSheet, str], ...]:
    """Return the sheets of a plan that are cut from the shelf file, each with the label of its piece."""
    found = ((sheet, sheet.source) for sheet in plan.sheets)
    return tuple(
        (sheet, told.label) for sheet, told in found if isinstance(told, FromShelf) and told.label in plan.in_file
    )


@dataclass(frozen=True, slots=True)
class Finder:
    """Finds the pieces that plans name.

    Parameters
    ----------
    history : tuple of Change
        The changes in force.
    labels : Mapping of str to str
        The labels of leftovers, by the names that they had in their plans.
    """

    history: tuple[Change, ...]
    labels: Mapping[str, str]

    def label(self, name: str) -> str:
        """Return the folded label of a piece on the shelf; for one that is still to come, its name in its plan."""
        return fold(self.labels.get(name, name))

    def find(self, shelf: Shelf, name: str) -> HeldPiece | None:
        """Return the shelf piece that a plan calls by this label; None if there is none."""
        return shelf.find(self.label(name))

    def is_awaited(self, name: str) -> bool:
        """Whether a plan that is still to be cut will leave the piece."""
        return _LEFT.fullmatch(name) is not None and name not in self.labels

    def source(self, shelf: Shelf, sheet: PlannedSheet, name: str) -> HeldPiece | None:
        """Return the piece that a sheet is cut from; None where another plan must be booked first.

        Raises
        ------
        ShelfChangeError
            If it is gone, or the piece of that label is another one than was planned with.
        """
        piece = self.find(shelf, name)
        if piece is None:
            if self.is_awaited(name):
                return None
            raise ShelfChangeError(f"{sheet.id} is cut from {name}, which {self._gone(name)}")
        if fold(piece.board) != fold(sheet.board) or piece.size not in {sheet.size, sheet.size.turned}:
            raise ShelfChangeError(_differs(sheet, piece, shelf))
        return piece

    def _gone(self, name: str) -> str:
        label = self.labels.get(name, name)
        last = next((one for one in reversed(self.history) if _took(one, fold(label))), None)
        if last is None:
            return (
                "is not on the shelf. If its row was deleted by hand, write it in again; if it was never there, plan "
                "the job again"
            )
        if last.plan is None:
            return (
                f"was taken off the shelf by hand ({last.at[:10]}). If it was taken for this plan, windowfall shelf "
                f"return {_quoted(label)} puts it back, and then this can be booked"
            )
        return (
            f"was cut for another plan, {last.plan[:6]}, booked on {last.at[:10]}. If this plan is not cut yet, plan "
            "the job again; if the other one was booked by mistake, undo that first"
        )


def _quoted(label: str) -> str:
    """Return a label as it is typed in a command."""
    return f'"{label}"' if " " in label else label


def _took(change: Change, label: str) -> bool:
    return any(move.count < 0 and move.label is not None and fold(move.label) == label for move in change.moves)


def _differs(sheet: PlannedSheet, piece: HeldPiece, shelf: Shelf) -> str:
    def words(board: str, size: Size) -> str:
        return f"{board}, {size_text(size, shelf.unit)}"

    return (
        f"{sheet.id} is cut from {piece.label}, planned as {words(sheet.board, sheet.size)}; the shelf has it as "
        f"{words(piece.board, piece.size)}. If it is the same piece, write it as planned with windowfall shelf correct "
        f"{piece.label}; if not, plan the job again"
    )


def finder(shelf: Shelf, history: History) -> Finder:
    """Return a finder of the shelf pieces that plans name."""
    changes = history.in_force(shelf.change)
    origins = {fold(piece.label): piece.origin for piece in shelf.pieces}
    labels: dict[str, str] = {}
    for change in changes:
        for move in change.moves:
            if change.plan is None or move.label is None or move.count < 0:
                continue
            # Logs written earlier do not say which leftover a piece was; where it came from, in the shelf file, does.
            name = move.left or origins.get(fold(move.label), "").rpartition(": ")[2]
            if name and (name not in labels or fold(move.label) in origins):
                labels[name] = move.label
    return Finder(changes, labels)
