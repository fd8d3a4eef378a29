"""Colours by the plain words that people use for them, as style sheets of the web define them."""

from collections.abc import Mapping
from types import MappingProxyType

from nesting.spelling import fold

__all__ = ["COLOURS", "colour_named"]

COLOURS: Mapping[str, str] = MappingProxyType(
    {
        "beige": "#f5f5dc",
        "black": "#000000",
        "blue": "#0000ff",
        "brown": "#a52a2a",
        "coral": "#ff7f50",
        "cream": "#fffdd0",  # no style sheet knows it, and every shop for board does
        "crimson": "#dc143c",
        "dark blue": "#00008b",
        "dark green": "#006400",
        "dark grey": "#505050",  # in a style sheet it is lighter than grey
        "dark red": "#8b0000",
        "gold": "#ffd700",
        "green": "#008000",
        "grey": "#808080",
        "indigo": "#4b0082",
        "ivory": "#fffff0",
        "khaki": "#f0e68c",
        "lavender": "#e6e6fa",
        "light blue": "#add8e6",
        "light green": "#90ee90",
        "light grey": "#d3d3d3",
        "light yellow": "#ffffe0",
        "linen": "#faf0e6",
        "maroon": "#800000",
        "navy": "#000080",
        "olive": "#808000",
        "orange": "#ffa500",
        "pink": "#ffc0cb",
        "plum": "#dda0dd",
        "purple": "#800080",
        "red": "#ff0000",
        "salmon": "#fa8072",
        "silver": "#c0c0c0",
        "snow": "#fffafa",
        "tan": "#d2b48c",
        "teal": "#008080",
        "turquoise": "#40e0d0",
        "violet": "#ee82ee",
        "wheat": "#f5deb3",
        "white": "#ffffff",
        "yellow": "#ffff00",
    }
)
"""Each word and its colour: but for cream and dark grey the values of CSS Color Module Level 4, section 6.1."""


def colour_named(text: str) -> str | None:
    """Return the colour that a word names as ``#rrggbb``, None if it is no colour's name.

    Examples
    --------
    >>> colour_named("Light Gray"), colour_named("sage")
    ('#d3d3d3', None)
    """
    word = fold(text).replace("gray", "grey").replace("-", " ")
    return COLOURS.get(word) or _RUN_TOGETHER.get(word)


_RUN_TOGETHER = {name.replace(" ", ""): colour for name, colour in COLOURS.items()}
