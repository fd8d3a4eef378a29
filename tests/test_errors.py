import pytest

from nesting.errors import CannotBeCutError, Fault, JobError, LengthError, Obstacle, WindowfallError


def test_a_fault_says_where_what_and_what_to_write():
    fault = Fault("pieces", 7, "overlap", "J7", "wide", "is not a length", "Write 1/4")
    assert str(fault) == "pieces, row 7, overlap, cell J7: 'wide' is not a length. Write 1/4."
    assert str(Fault("pieces", None, None, None, None, "is missing", "Add it")) == "pieces: is missing. Add it."


def test_all_faults_are_told_a_line_each():
    faults = tuple(Fault("shelf", row, None, None, None, "is wrong", "Mend it") for row in (2, 5))
    assert str(JobError(faults)) == "shelf, row 2: is wrong. Mend it.\nshelf, row 5: is wrong. Mend it."


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
