"""What the parts of a plan are called on paper and on the screen, the same everywhere."""

from collections.abc import Sequence
from fractions import Fraction
from typing import assert_never

from nesting.geometry import Size
from nesting.lengths import format_length, round_down
from nesting.model.job import Bench, Job, Unit
from nesting.model.mat import Mat
from nesting.model.plan import Bought, CutSheet, FromFallout, FromShelf, PlacedMat
from nesting.spelling import in_a_row, without_mark

__all__ = [
    "NO_BREAK",
    "UNIT_WORDS",
    "Names",
    "keep_together",
    "length_words",
    "ruler_size_words",
    "size_in_unit",
    "size_words",
]

NO_BREAK = "\N{NO-BREAK SPACE}"
"""A space at which no line is broken."""
UNIT_WORDS = {Unit.IN: "inches", Unit.MM: "mm", Unit.CM: "cm"}
"""What each unit is called."""


def length_words(ticks: int, bench: Bench) -> str:
    """Return a length without its unit where that is the job's."""
    return format_length(ticks, bench.unit, bench.ruler)


def size_words(size: Size, bench: Bench, by: str = " × ") -> str:
    """Return a width and a height, exactly, without the unit where it is the job's; `by` stands between them."""
    return f"{length_words(size.w, bench)}{by}{length_words(size.h, bench)}"


def ruler_size_words(size: Size, bench: Bench) -> str:
    """Return a width and a height down to the last mark of the ruler, as what is left over is measured."""
    return size_words(Size(*(round_down(Fraction(length), bench.ruler) for length in size)), bench)


def size_in_unit(size: Size, bench: Bench) -> str:
    """Return a width and a height exactly if the job's unit can say them, else down to the last mark of the ruler.

    What is cut from a sheet measured in another unit may have a side that is no fraction of an inch.
    """
    return " × ".join(_side_in_unit(length, bench) for length in size)


def _side_in_unit(length: int, bench: Bench) -> str:
    words, other = length_words(length, bench), f" {Unit.MM}"
    if words.endswith(other) and not length_words(bench.ruler, bench).endswith(other):
        return length_words(round_down(Fraction(length), bench.ruler), bench)
    return words


def keep_together(size: str) -> str:
    """Let a size break over two lines only between its width and its height."""
    return " × ".join(part.replace(" ", NO_BREAK) for part in size.split(" × "))


class Names:
    """The names of the pieces, mats and sheets of one job.

    Parameters
    ----------
    job : Job
        The job that is spoken of.
    mats : tuple of PlacedMat
        Its mats once they are planned; none are needed to name pieces and layers.
    """

    def __init__(self, job: Job, mats: tuple[PlacedMat, ...] = ()) -> None:
        self._pieces = {piece.name: piece for piece in job.pieces}
        self._mats = {placed.mat.id: placed for placed in mats}
        self._shops = {offer.number: offer.shop for offer in job.offers}

    def copy(self, piece: str, copy: int) -> str:
        """Return the name of one copy of a piece; the copies of a row are numbered where there are several."""
        quantity = self._pieces[piece].quantity
        name = without_mark(piece)
        return name if quantity == 1 else f"{name}, {copy} of {quantity}"

    def behind(self, mat: Mat) -> str:
        """Return what a layer behind the mat is called, after a comma; nothing for the mat itself."""
        if mat.layer == 0:
            return ""
        is_under = mat.layer == 1 and bool(self._pieces[mat.piece].under_boards)
        return ", under-mat" if is_under else ", backing"

    def mat(self, mat: Mat) -> str:
        """Return the name of a mat: its piece and copy, and its layer behind the first."""
        return f"{self.copy(mat.piece, mat.copy)}{self.behind(mat)}"

    def placed(self, mat: str) -> PlacedMat:
        """Return the mat with this id."""
        return self._mats[mat]

    def window(self, source: FromFallout) -> str:
        """Return the mat that a fallout drops out of, and which of its windows where it has several."""
        mat = self._mats[source.mat].mat
        which = f"window {source.window + 1} of " if len(mat.windows) > 1 else ""
        return f"{which}{self.mat(mat)}"

    def sources(self, sheets: Sequence[CutSheet]) -> str:
        """Return where sheets that are cut alike come from, each source named once; several fallouts by their mats."""
        match [sheet.source for sheet in sheets]:
            case [FromFallout(mat) as fallout]:
                return f"fallout of {mat} {self.window(fallout)}"
            case [FromFallout(), *_] as fallen:
                return f"fallout of {', '.join(each.mat for each in fallen if isinstance(each, FromFallout))}"
            case [FromShelf(), *_] as held:
                labels = [without_mark(each.label) for each in held if isinstance(each, FromShelf)]
                return f"from the shelf: {in_a_row(list(dict.fromkeys(labels)))}"
            case _:
                return " and ".join(dict.fromkeys(map(self.source, sheets)))

    def source(self, sheet: CutSheet) -> str:
        """Return where a sheet comes from: a shop, the shelf, or the window of a mat."""
        match sheet.source:
            case Bought(offer):
                return f"bought at {self._shops[offer]}"
            case FromShelf(label):
                return f"from the shelf: {without_mark(label)}"
            case FromFallout(mat) as fallout:
                return f"fallout of {self.window(fallout)} ({mat}, sheet {self._mats[mat].sheet})"
            case _ as never:
                assert_never(never)
