"""The whole proposal against every permutation of a few pictures and frames, and what is said of the rest."""

from fractions import Fraction
from itertools import permutations
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.errors import CannotBeCutError
from nesting.geometry import ExactSize, Size
from nesting.model.job import Unit
from nesting.pairing import Asked, Fit, Frame, Weights, fit_picture, pair
from nesting.pairing.fit import board_prices
from tests.builders import make_bench, make_job, make_offer, make_piece

MM = 640


def mm(*sides):
    return ExactSize(*(Fraction(side * MM) for side in sides))


def frame(name, sides, quantity=1):
    return Frame(name, 2, quantity, mm(*sides), Fraction(0), None, 0, turn=True, written={})


def picture(name, sides, **changes):
    piece = make_piece(name, (1, 1), (1, 1), **changes)
    overlapped = ExactSize(*(side - 2 * piece.overlap for side in mm(*sides)))
    return type(piece)(
        **{field: getattr(piece, field) for field in piece.__slots__} | {"picture": mm(*sides), "shown": overlapped}
    )


def asked(pictures, frames):
    bench = make_bench(unit=Unit.MM, ruler=MM, overlap=Fraction(0), lip=Fraction(4 * MM))
    offer = make_offer(1, "nook", "sage", 713, sheet=Size(1013 * MM, 811 * MM))
    job = make_job(*pictures, bench=bench, offers=(offer,))
    return Asked(job, tuple(frames), tuple({} for _ in pictures), {})


sides = st.tuples(st.integers(83, 397), st.integers(83, 397))


@st.composite
def walls(draw):
    pictures = draw(st.lists(sides, min_size=1, max_size=4))
    frames = draw(st.lists(sides, min_size=1, max_size=4))
    priorities = [draw(st.sampled_from([None, 1, 2])) for _ in pictures]
    return asked(
        [
            picture(f"picture {n}", size, priority=priority)
            for n, (size, priority) in enumerate(zip(pictures, priorities, strict=True))
        ],
        [frame(f"frame {n}", size) for n, size in enumerate(frames)],
    )


def worth(wall, chosen, points):
    """Framed pictures, then those by priority (those without one last), then the points; the less the better."""
    ranks = [one.priority or inf for one, place in zip(wall.pictures, chosen, strict=True) if place is not None]
    return -len(ranks), [-ranks.count(rank) for rank in (1, 2, inf)], points


def every_permutation(wall, forbidden=None):
    """Try every order of frames, with as many blank places as there are pictures."""
    prices = board_prices(wall.job)
    fits = [[fit_picture(wall.job, one, other, prices, Weights()) for other in wall.frames] for one in wall.pictures]
    places = [*range(len(wall.frames)), *(None for _ in wall.pictures)]
    for chosen in set(permutations(places, len(wall.pictures))):
        pairs = [(row, place) for row, place in enumerate(chosen) if place is not None]
        if forbidden not in pairs and all(isinstance(fits[row][place], Fit) for row, place in pairs):
            yield worth(wall, chosen, sum(fits[row][place].points.total for row, place in pairs))


def chosen_of(wall, found):
    place = {match.picture: wall.frames.index(match.fit.frame) for match in found.matches}
    return [place.get(row) for row in range(len(wall.pictures))]


@settings(max_examples=60)
@given(walls())
def test_no_permutation_is_better_and_the_runner_up_is_the_best_without_the_pair(wall):
    best = min(every_permutation(wall))
    if best[0] == 0:
        with pytest.raises(CannotBeCutError):
            pair(wall)
        return
    found = pair(wall)
    chosen = chosen_of(wall, found)
    assert worth(wall, chosen, found.total) == best
    assert len(found.unframed) == len(wall.pictures) + best[0]
    assert len(found.spare) == len(wall.frames) + best[0]
    for match in found.matches:
        without = min(every_permutation(wall, (match.picture, chosen[match.picture])))
        assert match.runner_up.fewer == without[0] - best[0]
        assert match.runner_up.worse == without[2] - best[2]


def test_copies_go_into_several_frames_and_what_is_left_over_is_counted():
    wall = asked(
        [picture("Fern", (101, 151), quantity=3), picture("Map", (397, 991))],
        [frame("oak", (211, 257), quantity=2), frame("ash", (197, 263)), frame("elm", (211, 307), quantity=3)],
    )
    found = pair(wall)
    # Seen 101 x 151 (an overlap of ticks is nothing), borders at the sides and the top: oak 55 and 53, ash 48 and 56,
    # elm 55 and 78.
    assert [(match.fit.frame.name, match.count) for match in found.matches] == [("oak", 2), ("ash", 1)]
    assert [(left.picture.name, left.count) for left in found.unframed] == [("Map", 1)]
    refused = found.unframed[0].refused
    assert refused is not None
    assert refused[0].name == "elm"
    assert [(spare.name, count) for spare, count in found.spare] == [("elm", 3)]


def test_a_picture_whose_frames_are_taken_has_no_refusal():
    wall = asked(
        [picture("Fern", (101, 151), priority=2), picture("Map", (103, 149), priority=1)], [frame("oak", (211, 257))]
    )
    found = pair(wall)
    assert [match.picture for match in found.matches] == [1]
    assert found.unframed[0].refused is None
    other = found.matches[0].runner_up
    assert (other.fit, other.fewer) == (None, 0)


def test_no_pair_at_all_is_an_obstacle_for_each_picture():
    wall = asked([picture("Map", (397, 991))], [frame("oak", (211, 257))])
    with pytest.raises(CannotBeCutError) as caught:
        pair(wall)
    assert str(caught.value) == (
        "Map: no frame takes it; the nearest, oak, is too small. "
        "Write a larger frame, or a smaller show width and show height to crop more of the picture."
    )


def test_boards_without_a_price_are_named():
    wall = asked([picture("Fern", (101, 151), boards=("sage", "oat"), backing=("grey",))], [frame("oak", (211, 257))])
    assert pair(wall).unpriced == ("oat", "grey")
