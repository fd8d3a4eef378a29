import pytest

from nesting.reading.job import read_job
from tests.jobs import OFFERS, PIECES


def alike(one_name, other, there, *, where="pieces, row 2", what="board"):
    mend = f"If they are one {what}, write the same name in both places; now they count as two"
    return f"{where}: {one_name!r} looks like {other!r} ({there}). {mend}"


@pytest.mark.parametrize("other", ["ivry", "ivorry", "ivoxy", "iovry"])
def test_boards_one_letter_apart(folder, other):
    pieces = f"{PIECES}\nfern,11,17,ivory\nmoss,5,7,{other}\n"
    assert read_job(folder(pieces=pieces, offers=f"{OFFERS}\nnook,any,31,41,7\n")).warnings == (
        alike("ivory", other, "pieces, row 3"),
    )


def test_the_rarer_of_two_names_is_the_slip(folder):
    pieces = f"{PIECES}\nfern,11,17,ivory\nmoss,5,7,ivory\nreed,5,7,ivroy\n"
    assert read_job(folder(pieces=pieces, offers=f"{OFFERS}\nnook,any,31,41,7\n")).warnings == (
        alike("ivroy", "ivory", "pieces, row 2", where="pieces, row 4"),
    )


@pytest.mark.parametrize(
    ("one_name", "other"), [("ink", "pink"), ("board 1", "board 2"), ("sage", "ivory"), ("sage", "rage on")]
)
def test_boards_that_are_meant_to_differ(folder, one_name, other):
    pieces = f"{PIECES}\nfern,11,17,{one_name}\nmoss,5,7,{other}\n"
    assert read_job(folder(pieces=pieces, offers=f"{OFFERS}\nnook,any,31,41,7\n")).warnings == ()


def test_a_board_that_is_not_sold_but_nearly(folder):
    path = folder(pieces=f"{PIECES}\nfern,11,17,fog grey\n", offers=f"{OFFERS}\nnook,foggray,31,41,7\n")
    assert read_job(path).warnings == (alike("fog grey", "foggray", "offers, row 2"),)


def test_a_slip_in_a_board_not_sold_is_told_once(folder):
    path = folder(pieces=f"{PIECES}\nfern,11,17,ivroy\n", offers=f"{OFFERS}\nnook,ivory,31,41,7\n")
    assert read_job(path).warnings == (alike("ivroy", "ivory", "offers, row 2"),)


def test_shops_one_letter_apart(folder):
    path = folder(shops="shop,tax\nnok,5\nnoook,5\n")
    assert read_job(path).warnings == (alike("nook", "noook", "shops", where="offers, row 2", what="shop"),)


def test_a_discount_that_looks_like_a_fraction(folder):
    path = folder(offers=f"{OFFERS},discount\nnook,sage,31,41,7,50\nnook,sage,31,41,7,0.5\n")
    assert read_job(path).warnings == (
        "offers, row 3: the discount is 0.5 per cent; if you mean 50 per cent, write 50",
    )


@pytest.mark.parametrize("held", ["pewter mat", "pewtre", "pewter"])
def test_a_board_held_that_is_probably_another_name(folder, held):
    path = folder(
        pieces=f"{PIECES}\nfern,11,17,pewter\n",
        offers=f"{OFFERS}\nnook,pewter,31,41,7\n",
        shelf=f"label,board,width,height\nR1,{held},5,7\n",
    )
    told = read_job(path).warnings
    if held == "pewter":
        assert told == ()
    else:
        (only,) = told
        assert only.endswith("). If they are one board, write the same name in both places; now they count as two")
        assert "pieces, row 2" in only
        assert "shelf, label R1" in only
        assert "'pewter'" in only
        assert repr(held) in only


def test_a_board_held_that_no_piece_wants_is_not_told_of(folder):
    path = folder(
        pieces=f"{PIECES}\nfern,11,17,pewter\n",
        offers=f"{OFFERS}\nnook,pewter,31,41,7\n",
        shelf="label,board,width,height\nR1,moss,5,7\n",
    )
    assert read_job(path).warnings == ()
