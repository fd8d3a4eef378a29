"""Patterns by hand: recipes into patterns, patterns into true parts, kerf and the longest cut on the way."""

import pytest

from nesting.geometry import Point, Size
from nesting.model.cut_tree import Cut, Offcut, Placed, Way
from nesting.packing.pattern import Split, contents, cut_tree, filled, from_recipe, gaps, legal
from tests.packing.trees import unsound

UPRIGHT, LEVEL = Way.UPRIGHT, Way.LEVEL


def numbered(*sizes):
    """Return a `take` that hands out the items of these true sizes in order, each once."""
    waiting = list(enumerate(sizes))

    def take(size):
        for entry in waiting:
            if entry[1] == size:
                waiting.remove(entry)
                return entry[0]
        return None

    return take


def test_a_recipe_that_cuts_upright_first():
    # 11 x 7 takes 5 x 3 in its corner; beside it 6 x 7 takes 6 x 2; above the first 5 x 4 takes 5 x 4 whole.
    steps = [(0, Size(5, 3), UPRIGHT), (1, Size(6, 2), LEVEL), (2, Size(5, 4), UPRIGHT)]
    assert from_recipe(Size(11, 7), steps) == Split(
        UPRIGHT,
        5,
        Split(LEVEL, 3, Size(5, 3), Size(5, 4)),
        Split(LEVEL, 2, Size(6, 2), None),
    )


def test_a_recipe_that_cuts_level_first():
    # The rest beside the first part is only as high as it, the one above it as wide as the sheet.
    steps = [(0, Size(5, 3), LEVEL), (1, Size(2, 3), LEVEL), (2, Size(11, 4), LEVEL)]
    assert from_recipe(Size(11, 7), steps) == Split(
        LEVEL,
        3,
        Split(UPRIGHT, 5, Size(5, 3), Split(UPRIGHT, 2, Size(2, 3), None)),
        Size(11, 4),
    )


def test_rectangles_are_numbered_by_the_part_that_leaves_them():
    # Part 1 fills what part 0 leaves above it (rectangle 2), and leaves rectangle 3 beside itself.
    steps = [(0, Size(11, 3), UPRIGHT), (2, Size(5, 4), UPRIGHT), (3, Size(6, 4), UPRIGHT)]
    assert from_recipe(Size(11, 7), steps) == Split(LEVEL, 3, Size(11, 3), Split(UPRIGHT, 5, Size(5, 4), Size(6, 4)))


def test_a_part_that_fills_its_sheet_takes_no_cut():
    assert from_recipe(Size(11, 7), [(0, Size(11, 7), LEVEL)]) == Size(11, 7)


def test_an_empty_recipe_cuts_nothing():
    assert from_recipe(Size(11, 7), []) is None


def test_contents_count_items_as_they_lie():
    part = Split(UPRIGHT, 5, Split(LEVEL, 3, Size(5, 3), Size(5, 3)), Split(LEVEL, 5, Size(3, 5), None))
    assert contents(part) == {Size(5, 3): 2, Size(3, 5): 1}
    assert contents(None) == {}


PATTERN = Split(UPRIGHT, 5, Split(LEVEL, 3, Size(5, 3), None), Split(LEVEL, 2, Size(6, 2), None))
"""On 11 x 7: an upright cut 7 long, then level ones 5 and 6 long."""


@pytest.mark.parametrize(("longest", "may"), [(None, True), (7, True), (6, False), (5, False)])
def test_no_cut_may_be_longer_than_the_longest(longest, may):
    assert legal(PATTERN, Size(11, 7), longest) is may


def test_cuts_behind_the_first_count_too():
    # The level cut beyond the upright one is 23 long, the upright one only 7.
    part = Split(UPRIGHT, 6, Size(6, 7), Split(LEVEL, 2, Size(23, 2), None))
    assert legal(part, Size(29, 7), 23)
    assert not legal(part, Size(29, 7), 22)


def test_what_is_not_cut_is_legal_however_long():
    assert legal(Size(29, 7), Size(29, 7), 1)
    assert legal(None, Size(29, 7), 1)


def test_true_parts_have_the_kerf_between_them():
    # True sheet 31 x 19 at (3, 5), kerf 2: grown 33 x 21. Parts 11 x 7 and 13 x 17 count 13 x 9 and 15 x 19.
    # Upright at 3 + 11 + 2 = 16 and 16 + 13 + 2 = 31; what is left is 31 - 11 - 2 - 13 - 2 = 3 wide.
    part = Split(
        UPRIGHT,
        13,
        Split(LEVEL, 9, Size(13, 9), None),
        Split(UPRIGHT, 15, Split(LEVEL, 19, Size(15, 19), None), None),
    )
    root = cut_tree(part, Point(3, 5), Size(31, 19), 2, numbered((11, 7), (13, 17)))
    assert root == Cut(
        Point(3, 5),
        Size(31, 19),
        UPRIGHT,
        (
            Cut(
                Point(3, 5),
                Size(11, 19),
                LEVEL,
                (Placed(Point(3, 5), Size(11, 7), 0), Offcut(Point(3, 14), Size(11, 10))),
            ),
            # 19 - 17 = 2: the kerf eats the strip above
            Cut(Point(16, 5), Size(13, 19), LEVEL, (Placed(Point(16, 5), Size(13, 17), 1),)),
            Offcut(Point(31, 5), Size(3, 19)),
        ),
    )
    assert unsound(root, 2, 19) == []


@pytest.mark.parametrize(
    ("high", "kerf", "parts"),
    [
        (17, 3, 1),  # nothing over: the part is whole
        (18, 3, 1),  # 1, 2, 3 over: eaten
        (20, 3, 1),
        (21, 3, 2),  # 4 over: an offcut 1 high
        (18, 0, 2),  # a knife eats nothing
    ],
)
def test_a_last_strip_no_wider_than_the_kerf_is_eaten(high, kerf, parts):
    grown = Size(11 + kerf, 17 + kerf)
    part = grown if high == 17 else Split(LEVEL, grown.h, grown, None)
    root = cut_tree(part, Point(0, 0), Size(11, high), kerf, numbered((11, 17)))
    assert (len(root.parts) if isinstance(root, Cut) else 1) == parts
    assert isinstance(root, Placed) == (high == 17)
    assert unsound(root, kerf) == []


def test_parts_behind_an_eaten_strip_stay_apart_from_it():
    # Kerf 3, true 29 wide: first a part 13 wide that holds 11 (its last 2 are eaten), then from 16 on 13 for 13.
    part = Split(UPRIGHT, 16, Split(UPRIGHT, 14, Size(14, 8), None), Size(16, 8))
    root = cut_tree(part, Point(0, 0), Size(29, 5), 3, numbered((11, 5), (13, 5)))
    assert root == Cut(
        Point(0, 0),
        Size(29, 5),
        UPRIGHT,
        (
            Cut(Point(0, 0), Size(13, 5), UPRIGHT, (Placed(Point(0, 0), Size(11, 5), 0),)),
            Placed(Point(16, 0), Size(13, 5), 1),
        ),
    )
    assert unsound(root, 3) == []


def test_cuts_the_same_way_on_either_side_become_one():
    part = Split(UPRIGHT, 7, Split(UPRIGHT, 3, Size(3, 5), Size(4, 5)), Split(UPRIGHT, 2, Size(2, 5), None))
    root = cut_tree(part, Point(0, 0), Size(11, 5), 0, numbered((3, 5), (4, 5), (2, 5)))
    assert isinstance(root, Cut)
    assert [leaf.size for leaf in root.parts] == [(3, 5), (4, 5), (2, 5), (2, 5)]
    assert unsound(root, 0) == []


def test_what_take_refuses_becomes_an_offcut():
    root = cut_tree(PATTERN, Point(0, 0), Size(11, 7), 0, numbered((5, 3)))
    assert root == Cut(
        Point(0, 0),
        Size(11, 7),
        UPRIGHT,
        (
            Cut(
                Point(0, 0),
                Size(5, 7),
                LEVEL,
                (Placed(Point(0, 0), Size(5, 3), 0), Offcut(Point(0, 3), Size(5, 4))),
            ),
            Offcut(Point(5, 0), Size(6, 7)),  # with nothing taken from it, it is not cut
        ),
    )


def test_a_sheet_from_which_nothing_is_taken_stays_whole():
    whole = Offcut(Point(3, 5), Size(11, 7))
    assert cut_tree(PATTERN, Point(3, 5), Size(11, 7), 0, lambda _: None) == whole
    assert cut_tree(None, Point(3, 5), Size(11, 7), 2, lambda _: 1) == whole


def test_take_is_asked_for_true_sizes_as_they_lie():
    asked = []
    part = Split(UPRIGHT, 13, Split(LEVEL, 9, Size(13, 9), None), Size(20, 21))
    cut_tree(part, Point(0, 0), Size(31, 19), 2, asked.append)
    assert asked == [(11, 7), (18, 19)]


@pytest.mark.parametrize(
    ("parts", "wrong"),
    [
        ((Placed(Point(0, 0), Size(3, 7), 0), Offcut(Point(5, 0), Size(6, 7))), []),
        (
            (Placed(Point(0, 0), Size(3, 7), 0), Offcut(Point(4, 0), Size(7, 7))),
            ["not one kerf beyond the part before"],
        ),
        ((Placed(Point(0, 0), Size(3, 7), 0), Offcut(Point(5, 0), Size(6, 5))), ["not edge to edge"]),
        ((Placed(Point(0, 0), Size(3, 7), 0), Offcut(Point(5, 0), Size(3, 7))), ["ends elsewhere than its part"]),
        ((Placed(Point(0, 0), Size(9, 7), 0),), []),
        ((Placed(Point(0, 0), Size(8, 7), 0),), ["ends elsewhere than its part"]),
        ((Placed(Point(0, 0), Size(11, 7), 0),), ["no cut at all"]),
    ],
)
def test_the_checker_of_these_tests_sees_what_is_wrong(parts, wrong):
    assert [fault for fault, _ in unsound(Cut(Point(0, 0), Size(11, 7), UPRIGHT, parts), 2)] == wrong


def test_what_nothing_is_cut_from_can_be_found_and_filled():
    space, item = Size(10, 6), Size(4, 6)
    part = Split(Way.UPRIGHT, 4, item, Split(Way.LEVEL, 2, None, None))
    assert gaps(part, space) == [Size(6, 2), Size(6, 4)]
    assert filled(part, space, lambda gap: gap if gap.h == 4 else None) == Split(
        Way.UPRIGHT, 4, item, Split(Way.LEVEL, 2, None, Size(6, 4))
    )
