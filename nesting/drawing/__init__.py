"""Plan to pictures: shapes and words on a page, with no file format in them.

- `shapes`: what a drawing is made of
- `lettering`: how wide words are
- `fractions`: words with stacked fractions
- `labels`: words that stay inside
- `sheet`: a sheet from the back
- `view`, `tags`: where letters and numbers of a sheet stand
- `cut`: one straight cut
- `where`: which part of a sheet is being cut
- `mat`: one mat from the back
- `front`: one mat from the front
- `framed`: a framed piece from the front, in its colours
- `held`: the shelf
- `chart`: a comparison of prices
- `wall`: the wall at a glance
- `svg`: a drawing as an SVG page
"""

from nesting.drawing.shapes import Anchor, Drawing, Line, Rectangle, Shape, Text
from nesting.drawing.sheet import FROM_THE_BACK, LEGEND, draw_sheet, draw_sheets

__all__ = [
    "FROM_THE_BACK",
    "LEGEND",
    "Anchor",
    "Drawing",
    "Line",
    "Rectangle",
    "Shape",
    "Text",
    "draw_sheet",
    "draw_sheets",
]
