"""Which picture goes into which frame: all fits counted, the best choice of them, and for each the next best."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from nesting.errors import CannotBeCutError, Obstacle
from nesting.model.job import Piece
from nesting.pairing.asked import Asked, Frame
from nesting.pairing.fit import Fit, Prices, Refused, Weights, board_prices, fit_picture
from nesting.pairing.match import Counts, assign

__all__ = ["Match", "Pairing", "RunnerUp", "Unframed", "pair"]


@dataclass(frozen=True, slots=True)
class RunnerUp:
    """The best that can be done if a picture may not go into the frame that is proposed.

    Parameters
    ----------
    fit : Fit or None
        The picture in its next frame; None if it would be left without one.
    worse : int
        How many tenths of a point more all pictures together would then count, where as many have frames.
    fewer : int
        How many pictures more would be left without a frame.
    """

    fit: Fit | None
    worse: int
    fewer: int


@dataclass(frozen=True, slots=True)
class Match:
    """So many copies of a picture in as many frames of one row, and the runner-up."""

    picture: int
    fit: Fit
    count: int
    runner_up: RunnerUp


@dataclass(frozen=True, slots=True)
class Unframed:
    """So many copies of a picture that are left without a frame; a refusal where no frame would hold it at all."""

    picture: Piece
    count: int
    refused: tuple[Frame, Refused] | None


@dataclass(frozen=True, slots=True)
class Pairing:
    """What is proposed.

    Parameters
    ----------
    asked : Asked
        The pictures and frames.
    weights : Weights
        What counted how much.
    prices : Prices
        What the boards cost.
    matches : tuple of Match
        In the order of the pictures, then of the frames.
    unframed : tuple of Unframed
        The pictures that are left over, in their order.
    spare : tuple of (Frame, int)
        The frames that are left over, in their order, and how many.
    unpriced : tuple of str
        The boards that pictures name and no offer prices, so that they count nothing.
    """

    asked: Asked
    weights: Weights
    prices: Prices
    matches: tuple[Match, ...]
    unframed: tuple[Unframed, ...]
    spare: tuple[tuple[Frame, int], ...]
    unpriced: tuple[str, ...]

    @property
    def total(self) -> int:
        """What all pictures together count, in tenths of a point."""
        return sum(match.count * match.fit.points.total for match in self.matches)


_Fits = tuple[tuple[Fit | Refused, ...], ...]


def pair(asked: Asked, weights: Weights | None = None) -> Pairing:
    """Return which picture goes into which frame, so that the points of all together are least.

    As many pictures as can be get a frame; where not all can, those of the first priority go first.

    Parameters
    ----------
    asked : Asked
        Pictures and frames.
    weights : Weights, optional
        What counts how much.

    Returns
    -------
    Pairing
        The same for the same arguments; no other pairing with as many pictures framed counts less.

    Raises
    ------
    CannotBeCutError
        If no picture goes into any frame: with the reason for each.

    Notes
    -----
    Exact: see `nesting.pairing.match`. Each runner-up is the best pairing of all in which that one is forbidden.
    """
    weights = weights or Weights()
    prices = board_prices(asked.job)
    fits = tuple(
        tuple(fit_picture(asked.job, picture, frame, prices, weights) for frame in asked.frames)
        for picture in asked.pictures
    )
    best = _assigned(asked, fits, None)
    unframed = tuple(_unframed(asked, fits, best))
    if not any(map(any, best)):
        raise CannotBeCutError(tuple(_obstacle(left) for left in unframed))
    named = (board for one in asked.pictures for board in (*one.boards, *one.under_boards, *one.backing))
    return Pairing(
        asked=asked,
        weights=weights,
        prices=prices,
        matches=tuple(_matches(asked, fits, best)),
        unframed=unframed,
        spare=tuple(_spare(asked, best)),
        unpriced=tuple(dict.fromkeys(board for board in named if board not in prices.area)),
    )


def _assigned(asked: Asked, fits: _Fits, forbidden: tuple[int, int] | None) -> Counts:
    costs = [
        [None if isinstance(fit, Refused) or (p, f) == forbidden else fit.points.total for f, fit in enumerate(row)]
        for p, row in enumerate(fits)
    ]
    last = max((picture.priority or 0 for picture in asked.pictures), default=0) + 1
    return assign(
        costs,
        [picture.quantity for picture in asked.pictures],
        [frame.quantity for frame in asked.frames],
        [picture.priority or last for picture in asked.pictures],
    )


def _matches(asked: Asked, fits: _Fits, best: Counts) -> Iterator[Match]:
    for p, row in enumerate(best):
        for f, count in enumerate(row):
            fit = fits[p][f]
            if count and isinstance(fit, Fit):
                yield Match(p, fit, count, _runner_up(asked, fits, best, (p, f)))


def _runner_up(asked: Asked, fits: _Fits, best: Counts, forbidden: tuple[int, int]) -> RunnerUp:
    p, _ = forbidden
    other = _assigned(asked, fits, forbidden)
    taken = next((f for f, count in enumerate(other[p]) if count > best[p][f]), None)
    fit = None if taken is None else fits[p][taken]
    return RunnerUp(
        fit=fit if isinstance(fit, Fit) else None,
        worse=_total(fits, other) - _total(fits, best),
        fewer=sum(map(sum, best)) - sum(map(sum, other)),
    )


def _total(fits: _Fits, counts: Counts) -> int:
    return sum(
        count * fit.points.total
        for row, chosen in zip(fits, counts, strict=True)
        for fit, count in zip(row, chosen, strict=True)
        if isinstance(fit, Fit)
    )


def _unframed(asked: Asked, fits: _Fits, best: Counts) -> Iterator[Unframed]:
    for picture, row, chosen in zip(asked.pictures, fits, best, strict=True):
        count = picture.quantity - sum(chosen)
        if count:
            yield Unframed(picture, count, _refusal(asked.frames, row))


def _refusal(frames: Sequence[Frame], row: Sequence[Fit | Refused]) -> tuple[Frame, Refused] | None:
    """Return the frame that comes nearest to holding a picture that none will hold."""
    refused = [(frame, fit) for frame, fit in zip(frames, row, strict=True) if isinstance(fit, Refused)]
    if len(refused) < len(row):
        return None
    return min(refused, key=lambda pair: pair[1].hidden)


def _spare(asked: Asked, best: Counts) -> Iterator[tuple[Frame, int]]:
    for f, frame in enumerate(asked.frames):
        count = frame.quantity - sum(row[f] for row in best)
        if count:
            yield frame, count


def _obstacle(left: Unframed) -> Obstacle:
    nearest = "" if left.refused is None else f"; the nearest, {left.refused[0].name}, {left.refused[1].problem}"
    return Obstacle(
        left.picture.name,
        f"no frame takes it{nearest}",
        "Write a larger frame, or a smaller show width and show height to crop more of the picture",
    )
