"""Labels for blanks: whose, which layer, how large and which way up."""

from dataclasses import replace

from nesting.bench.labels import Sticker, stickers
from nesting.model.sides import Edge
from tests.handmade import plan, size
from tests.sound import sound_plan


def test_a_label_says_what_the_blank_is_and_which_way_up_it_lies():
    assert stickers(plan())[0] == Sticker(
        "M1", "Sea holly, 1 of 2", "mat", "slate", size("11", "14"), "S1", Edge.TOP, None
    )


def test_the_top_of_a_turned_blank_lies_at_the_left_seen_from_the_back():
    ford = next(sticker for sticker in stickers(plan()) if sticker.mat == "M3")
    assert (ford.size, ford.up) == (size("24", "20"), Edge.LEFT)  # it lies 20 wide and 24 high


def test_every_layer_is_called_what_it_is():
    assert [(sticker.piece, sticker.layer) for sticker in stickers(sound_plan()) if sticker.piece == "Moss"] == [
        ("Moss", "mat"),
        ("Moss", "under-mat"),
        ("Moss", "backing"),
    ]


def test_labels_come_group_by_group():
    made = plan()
    pieces = made.job.pieces
    grouped = (replace(pieces[0], group="hall"), replace(pieces[1], group="stairs"), replace(pieces[2], group="hall"))
    regrouped = replace(made, job=replace(made.job, pieces=(*grouped, pieces[3])))
    assert [(sticker.mat, sticker.group) for sticker in stickers(regrouped)] == [
        ("M1", "hall"),
        ("M2", "hall"),
        ("M4", "hall"),
        ("M5", "hall"),
        ("M3", "stairs"),
        ("M6", None),
    ]
