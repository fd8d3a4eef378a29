"""A mat, sized: its blank, its borders and its windows."""

from dataclasses import dataclass

from nesting.geometry import Point, Size

__all__ = ["Borders", "Mat", "Window"]


@dataclass(frozen=True, slots=True)
class Window:
    """A window of a mat, `at` from the blank's lower left corner, seen from the front."""

    at: Point
    size: Size


@dataclass(frozen=True, slots=True)
class Borders:
    """The widths of mat round the windows in ticks, as seen from the front."""

    left: int
    right: int
    top: int
    bottom: int


@dataclass(frozen=True, slots=True)
class Mat:
    """One layer of one copy of a piece, sized: what must be cut, and the boards that would do, best liked first.

    `layer` counts from the front: the mat, the under-mat, then the backing. A backing and a plain blank have no
    windows and no borders.
    """

    id: str
    piece: str
    copy: int
    layer: int
    boards: tuple[str, ...]
    blank: Size
    borders: Borders | None
    windows: tuple[Window, ...]
