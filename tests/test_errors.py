import pytest

from nesting.errors import (
    CannotBeCutError,
    Fault,
    JobError,
    LengthError,
    Obstacle,
    WindowfallError,
    grouped,
    obstacle_words,
)


def test_a_fault_says_where_what_and_what_to_write():
    fault = Fault("pieces", 7, "overlap", "J7", "wide", "is not a length", "Write 1/4")
    assert str(fault) == "pieces, row 7, overlap, cell J7: 'wide' is not a length. Write 1/4."
    assert str(Fault("pieces", None, None, None, None, "is missing", "Add it")) == "pieces: is missing. Add it."


def test_all_faults_are_told_a_line_each():
    faults = tuple(Fault("shelf", row, None, None, str(row), "is wrong", "Mend it") for row in (2, 5))
    assert str(JobError(faults)) == "shelf, row 2: '2' is wrong. Mend it.\nshelf, row 5: '5' is wrong. Mend it."


def test_one_mistake_in_several_rows_is_told_once():
    faults = [Fault("shelf", row, "kind", f"F{row}", "fallen", "is wrong", "Mend it") for row in (2, 3, 4, 7)]
    other = Fault("shelf", 5, "kind", "F5", "sheets", "is wrong", "Mend it")
    assert grouped([*faults[:2], other, *faults[2:]]) == (
        "shelf, rows 2 to 4 and 7, cells F2 to F7: kind 'fallen' is wrong. Mend it.",
        "shelf, row 5, kind, cell F5: 'sheets' is wrong. Mend it.",
    )


def test_one_obstacle_of_several_pieces_is_told_once_with_its_rows():
    names = ["fern", "moss", "reed", "rush", "fern"]
    obstacles = [Obstacle(name, "fits nothing", "Mend it", row, f"H{row}") for row, name in enumerate(names, 2)]
    assert obstacle_words(obstacles) == (
        "fern, moss, reed and 1 more (pieces, rows 2 to 6, cells H2 to H6): fits nothing. Mend it.",
    )
    assert str(obstacles[0]) == "fern (pieces, row 2, cell H2): fits nothing. Mend it."


def test_an_obstacle_names_the_piece():
    obstacle = Obstacle("fern", "is larger than every sheet", "Offer a larger sheet")
    error = CannotBeCutError((obstacle,))
    assert error.obstacles == (obstacle,)
    assert str(error) == "fern: is larger than every sheet. Offer a larger sheet."


def test_an_error_needs_what_it_is_about():
    with pytest.raises(ValueError, match="a JobError needs at least one fault"):
        JobError(())
    with pytest.raises(ValueError, match="a CannotBeCutError needs at least one obstacle"):
        CannotBeCutError(())


def test_every_error_has_the_same_base():
    assert all(issubclass(kind, WindowfallError) for kind in (JobError, CannotBeCutError, LengthError))
