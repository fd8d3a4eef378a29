"""How useful what is left over is: the fixed measure by which one shelf is better than another."""

from collections.abc import Iterable

from nesting.geometry import Size

__all__ = ["usefulness"]


def usefulness(sizes: Iterable[Size]) -> int:
    """Return how useful pieces of board are together, in cubic ticks: each its area times its shorter side.

    A large piece counts more than its area, since it can still become anything that smaller ones can; a sliver of the
    same area counts little, since nothing fits it. Pieces that are not worth keeping are for the caller to leave out.

    Parameters
    ----------
    sizes : iterable of Size
        The pieces.

    Returns
    -------
    int
        Nothing for no pieces.

    Examples
    --------
    One piece of 8 x 10 is worth more than two halves of it, and those more than one long strip:

    >>> usefulness([Size(8, 10)]), usefulness([Size(8, 5), Size(8, 5)]), usefulness([Size(2, 40)])
    (640, 400, 160)
    """
    return sum(size.area * min(size) for size in sizes)
