"""One picture in one frame: how its mat would look, how much of it would be hidden, and what that counts.

What counts is our own choice on common practice, no source: even borders, borders wide enough for the frame, little
cropping, cheap board. Each is counted in points, in tenths, so that what is printed adds up.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from nesting.bench.proportions import MOST_CROPPED, wanted_border
from nesting.errors import JobError
from nesting.geometry import ExactSize, Size
from nesting.lengths import TICKS_PER_INCH, TICKS_PER_MM, round_down, round_near, round_up
from nesting.model.job import Bench, Job, Piece, Unit, When
from nesting.model.mat import Mat
from nesting.money import half_up
from nesting.offers import sells, unit_price
from nesting.pairing.asked import Frame
from nesting.sizing import size_pieces

__all__ = ["NARROWEST", "STEP", "Fit", "Points", "Prices", "Refused", "Weights", "board_prices", "fit_picture"]

_METRIC_NARROWEST, _METRIC_STEP = 20 * TICKS_PER_MM, 6 * TICKS_PER_MM
# A picture is cropped rather than given less mat than this.
NARROWEST = {Unit.IN: 3 * TICKS_PER_INCH // 4, Unit.MM: _METRIC_NARROWEST, Unit.CM: _METRIC_NARROWEST}
# What of a border is worth a point.
STEP = {Unit.IN: TICKS_PER_INCH // 4, Unit.MM: _METRIC_STEP, Unit.CM: _METRIC_STEP}


@dataclass(frozen=True, slots=True)
class Weights:
    """How many points each thing counts, whole numbers of 0 or more.

    Parameters
    ----------
    even : int
        For each quarter of an inch (6 mm) between the side borders and the top border.
    border : int
        For each quarter of an inch (6 mm) that the narrowest border is short of what looks right.
    crop : int
        For each per cent of the part to be seen that is hidden.
    board : int
        For each tenth of what the cheapest sheet costs.
    """

    even: int = 1
    border: int = 2
    crop: int = 1
    board: int = 1


@dataclass(frozen=True, slots=True)
class Points:
    """What a picture in a frame counts, in tenths of a point; the less the better."""

    even: int
    border: int
    crop: int
    board: int

    @property
    def total(self) -> int:
        """All of them together."""
        return self.even + self.border + self.crop + self.board


@dataclass(frozen=True, slots=True)
class Fit:
    """A picture in a frame.

    Parameters
    ----------
    piece : Piece
        The framed piece that they make, one copy.
    frame : Frame
        The frame.
    turned : bool
        Whether the frame hangs a quarter turned from how it was measured.
    mats : tuple of Mat
        Its layers, from the front.
    crop : ExactSize
        How much less of the picture is seen than was asked, in ticks, of each window.
    trim : ExactSize
        How much larger the picture itself is than the mat, in ticks: so much must come off it to go into the frame.
    board_cost : int or None
        What the board costs by its area, in cents; None where no price is known for any layer.
    points : Points
        What that counts.
    """

    piece: Piece
    frame: Frame
    turned: bool
    mats: tuple[Mat, ...]
    crop: ExactSize
    trim: ExactSize
    board_cost: int | None
    points: Points


@dataclass(frozen=True, slots=True)
class Refused:
    """Why a picture does not go into a frame; `hidden` is the share of its width or height that would have to go."""

    problem: str
    hidden: Fraction


@dataclass(frozen=True, slots=True)
class Prices:
    """What boards cost: cents for a square tick of each, and the cheapest sheet, None if there is no price."""

    area: Mapping[str, Fraction]
    sheet: int | None


def board_prices(job: Job) -> Prices:
    """Return the cheapest price for its area of each board that is sold.

    Offers with a limit (a coupon for one item) count only for boards that no other offer sells: not every mat can be
    cut from the one cheap sheet. Packs, minimums, delivery and tax are left aside, as they hang on the whole wall.
    """
    prices: dict[str, Fraction] = {}
    for offers in (
        [offer for offer in job.offers if offer.at_most is None],
        [offer for offer in job.offers if offer.at_most is not None],
    ):
        for board in [board.name for board in job.boards if board.name not in prices]:
            asked = [Fraction(unit_price(offer), offer.sheet.area) for offer in offers if sells(job, offer, board)]
            if asked:
                prices[board] = min(asked)
    free = [offer for offer in job.offers if offer.at_most is None] or job.offers
    return Prices(prices, min((price for price in map(unit_price, free) if price), default=None))


def fit_picture(job: Job, picture: Piece, frame: Frame, prices: Prices, weights: Weights) -> Fit | Refused:
    """Return the better of the two ways in which a frame holds a picture, or why neither will do.

    Parameters
    ----------
    job : Job
        Whose bench and boards count.
    picture : Piece
        The picture, as a piece whose inside size means nothing yet.
    frame : Frame
        The frame, which is turned where it may be and that counts less.
    prices : Prices
        What the boards cost.
    weights : Weights
        What counts how much.

    Returns
    -------
    Fit or Refused
        A picture that would lose more than a quarter of its width or height is refused.
    """
    ways = [_way(job, picture, frame, prices, weights, turned=turned) for turned in (False, True)[: 1 + frame.turn]]
    fits = [way for way in ways if isinstance(way, Fit)]
    refusals = [way for way in ways if isinstance(way, Refused)]
    if fits:
        return min(fits, key=lambda fit: fit.points.total)
    return min(refusals, key=lambda refusal: refusal.hidden)


def _way(job: Job, picture: Piece, frame: Frame, prices: Prices, weights: Weights, *, turned: bool) -> Fit | Refused:
    inside = ExactSize(*reversed(frame.inside)) if turned else frame.inside
    framed = replace(
        picture,
        quantity=1,
        inside=inside,
        allowance=frame.allowance,
        moulding_width=frame.width,
        frame_cost=frame.cost,
    )
    shown, seen = picture.shown, _seen(framed, job.bench)
    if shown is None or seen is None:
        return Refused("leaves no room for a mat round any picture", Fraction(1))
    crop = ExactSize(shown.width - seen.width, shown.height - seen.height)
    hidden = max(crop.width / shown.width, crop.height / shown.height)
    if hidden > MOST_CROPPED:
        return Refused("is too small", hidden)
    framed = replace(framed, shown=seen)
    try:
        mats = size_pieces(replace(job, pieces=(framed,)), When.LATER)
    except JobError as error:
        return Refused(error.faults[0].problem, hidden)
    cost = _board_cost(mats, prices)
    sheets = Fraction(cost, prices.sheet) if cost is not None and prices.sheet else Fraction(0)
    points = _points(job.bench, framed, mats[0], weights, hidden=_hidden_area(shown, seen), cost=sheets)
    return Fit(framed, frame, turned, mats, crop, _trim(picture, mats[0].blank), cost, points)


def _seen(piece: Piece, bench: Bench) -> ExactSize | None:
    """Return what can be seen of the picture in this inside size: all that was asked, or what the least mat leaves."""
    if piece.shown is None:
        return None
    grow = 2 * round_near(piece.reveal, bench.ruler) if piece.under_boards else 0
    extra = round_near(piece.bottom_extra, bench.ruler)
    sides = []
    for inside, shown, count, more in zip(
        piece.inside, piece.shown, (piece.across, piece.down), (0, extra), strict=True
    ):
        blank = round_down(inside - piece.allowance, bench.ruler)
        bars = (count - 1) * round_near(piece.gap, bench.ruler)
        room = blank - 2 * round_up(Fraction(NARROWEST[bench.unit]), bench.ruler) - grow - more - bars
        sides.append(min(shown, Fraction(round_down(Fraction(room, count), bench.ruler))))
    return ExactSize(*sides) if min(sides) > 0 else None


def _hidden_area(shown: ExactSize, seen: ExactSize) -> Fraction:
    return 1 - (seen.width * seen.height) / (shown.width * shown.height)


def _trim(picture: Piece, blank: Size) -> ExactSize:
    if picture.picture is None:
        return ExactSize(Fraction(0), Fraction(0))
    sides = zip(picture.picture, blank, strict=True)
    return ExactSize(*(max(Fraction(0), side - room) for side, room in sides))


def _board_cost(mats: tuple[Mat, ...], prices: Prices) -> int | None:
    """Return what the layers cost by their areas, each in the cheapest board that would do."""
    costs = list(_layer_costs(mats, prices))
    return half_up(sum(costs, Fraction(0))) if costs else None


def _layer_costs(mats: tuple[Mat, ...], prices: Prices) -> Iterator[Fraction]:
    for mat in mats:
        asked = [prices.area[board] for board in mat.boards if board in prices.area]
        if asked:
            yield mat.blank.area * min(asked)


def _points(bench: Bench, piece: Piece, mat: Mat, weights: Weights, *, hidden: Fraction, cost: Fraction) -> Points:
    if mat.borders is None:
        raise ValueError("a mat without a window has no borders to count")
    sides, top = mat.borders.left, mat.borders.top
    short = max(0, wanted_border(bench, piece) - min(sides, top))
    return Points(
        even=half_up(Fraction(10 * weights.even * abs(sides - top), STEP[bench.unit])),
        border=half_up(Fraction(10 * weights.border * short, STEP[bench.unit])),
        crop=half_up(10 * weights.crop * 100 * hidden),
        board=half_up(10 * weights.board * 10 * cost),
    )
