"""How a sheet lies on the page: face down, so that what is left on the sheet is right on the page."""

from dataclasses import dataclass
from fractions import Fraction

from nesting.drawing.shapes import Rectangle
from nesting.geometry import Point, Size

__all__ = ["View"]

_INK = "#101820"


@dataclass(frozen=True, slots=True)
class View:
    """Where a sheet lies on the page, in tenths of a millimetre, and how much paper a tick takes."""

    size: Size
    scale: Fraction
    left: int
    top: int

    def box(self, at: Point, size: Size, fill: str | None = None, line: int = 0, *, dashed: bool = False) -> Rectangle:
        """Return a part of the sheet as it is drawn; `at` is its lower left corner, seen from the front."""
        x1, x2 = self._paper(self.size.w - at.x - size.w), self._paper(self.size.w - at.x)
        y1, y2 = self._paper(self.size.h - at.y - size.h), self._paper(self.size.h - at.y)
        return Rectangle(self.left + x1, self.top + y1, x2 - x1, y2 - y1, fill, line, _INK, dashed)

    def whole(self, fill: str) -> Rectangle:
        """Return the whole sheet as it is drawn."""
        return self.box(Point(0, 0), self.size, fill)

    def _paper(self, ticks: int) -> int:
        return int(ticks * self.scale + Fraction(1, 2))
