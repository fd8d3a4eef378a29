"""Offcuts made one, worked by hand; kerf 2 except where it is said, shapes in small whole numbers."""

from nesting.geometry import Point, Size
from nesting.model.cut_tree import Cut, Offcut, Placed, Way
from nesting.packing.merge_offcuts import merge_offcuts

AT = Point(3, 5)


def item(x, y, w, h, number):
    return Placed(Point(x, y), Size(w, h), number)


def offcut(x, y, w, h):
    return Offcut(Point(x, y), Size(w, h))


def upright(x, y, w, h, *parts):
    return Cut(Point(x, y), Size(w, h), Way.UPRIGHT, parts)


def level(x, y, w, h, *parts):
    return Cut(Point(x, y), Size(w, h), Way.LEVEL, parts)


def test_the_wanted_parts_go_first_the_widest_at_the_edge_and_the_offcuts_are_one():
    root = upright(
        3, 5, 61, 17, offcut(3, 5, 7, 17), item(12, 5, 11, 17, 0), offcut(25, 5, 13, 17), item(40, 5, 24, 17, 1)
    )
    assert merge_offcuts(root, 2, None) == upright(
        3, 5, 61, 17, item(3, 5, 24, 17, 1), item(29, 5, 11, 17, 0), offcut(42, 5, 22, 17)
    )


def test_a_last_strip_that_kerf_had_eaten_goes_to_the_offcut():
    root = upright(3, 5, 33, 17, offcut(3, 5, 7, 17), item(12, 5, 23, 17, 0))  # 7 + 2 + 23, and 1 is eaten
    assert merge_offcuts(root, 2, None) == upright(3, 5, 33, 17, item(3, 5, 23, 17, 0), offcut(28, 5, 8, 17))


def test_offcuts_above_neighbours_come_off_by_one_cut():
    root = upright(
        3,
        5,
        33,
        41,
        level(3, 5, 11, 41, item(3, 5, 11, 30, 0), offcut(3, 37, 11, 9)),
        level(16, 5, 20, 41, offcut(16, 5, 20, 9), item(16, 16, 20, 30, 1)),
    )
    assert merge_offcuts(root, 2, None) == level(
        3, 5, 33, 41, upright(3, 5, 33, 30, item(3, 5, 20, 30, 1), item(25, 5, 11, 30, 0)), offcut(3, 37, 33, 9)
    )


def test_that_cut_is_not_made_where_it_would_be_too_long():
    root = upright(
        3,
        5,
        33,
        31,
        level(3, 5, 20, 31, item(3, 5, 20, 20, 1), offcut(3, 27, 20, 9)),
        level(25, 5, 11, 31, item(25, 5, 11, 20, 0), offcut(25, 27, 11, 9)),
    )
    assert merge_offcuts(root, 2, 32) == root
    assert merge_offcuts(root, 2, 33) != root


def test_some_of_the_neighbours_may_share_their_offcut_while_others_keep_theirs():
    root = upright(
        3,
        5,
        46,
        31,
        level(3, 5, 11, 31, item(3, 5, 11, 20, 0), offcut(3, 27, 11, 9)),
        level(16, 5, 13, 31, item(16, 5, 13, 24, 1), offcut(16, 31, 13, 5)),
        level(31, 5, 18, 31, item(31, 5, 18, 20, 2), offcut(31, 27, 18, 9)),
    )
    together = level(
        3, 5, 31, 31, upright(3, 5, 31, 20, item(3, 5, 18, 20, 2), item(23, 5, 11, 20, 0)), offcut(3, 27, 31, 9)
    )
    alone = level(36, 5, 13, 31, item(36, 5, 13, 24, 1), offcut(36, 31, 13, 5))
    assert merge_offcuts(root, 2, None) == upright(3, 5, 46, 31, together, alone)


def test_an_offcut_that_was_cut_up_is_whole_again():
    root = level(3, 5, 17, 29, upright(3, 5, 17, 13, offcut(3, 5, 7, 13), offcut(12, 5, 8, 13)), offcut(3, 20, 17, 14))
    assert merge_offcuts(root, 2, None) == offcut(3, 5, 17, 29)


def test_a_blank_that_fills_its_part_needs_no_cut():
    assert merge_offcuts(item(3, 5, 17, 29, 4), 2, None) == item(3, 5, 17, 29, 4)


def test_the_narrowest_offcut_is_an_offcut_still():
    root = upright(3, 5, 14, 17, offcut(3, 5, 1, 17), item(6, 5, 11, 17, 0))
    assert merge_offcuts(root, 2, None) == upright(3, 5, 14, 17, item(3, 5, 11, 17, 0), offcut(16, 5, 1, 17))
