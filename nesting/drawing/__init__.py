"""Plan to pictures: shapes and words on a page, with no file format in them."""

from nesting.drawing.shapes import Anchor, Drawing, Line, Rectangle, Shape, Text
from nesting.drawing.sheet import FROM_THE_BACK, draw_sheet, draw_sheets

__all__ = [
    "FROM_THE_BACK",
    "Anchor",
    "Drawing",
    "Line",
    "Rectangle",
    "Shape",
    "Text",
    "draw_sheet",
    "draw_sheets",
]
