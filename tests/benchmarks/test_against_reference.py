"""Proven counts of sheets against those of a general-purpose library, which runs in a process of its own."""

import pytest

from nesting.plan import make_plan
from nesting.reading.job import read_job
from tests.benchmarks.asking import ask_reference
from tests.benchmarks.generate import Rectangles, as_rectangles, make_tables, write_job
from tests.benchmarks.measures import REFERENCE, Task, measured

SECONDS = 2.0


def theirs_of(reference, kind, n, seed, *, turn):
    """Return the cost and the bound of the library, in cents."""
    asked = as_rectangles(make_tables(kind, n, seed))
    ended = ask_reference(reference, asked, SECONDS, turn=turn)
    theirs = measured(Task(REFERENCE, kind, n, seed, turn, SECONDS), ended, asked.price)
    assert theirs.exit_code == 0, ended.errors
    return theirs.cost, theirs.bound


@pytest.mark.parametrize("turn", [False, True])
@pytest.mark.parametrize(
    "drawn",
    [
        ("class1", 20, 0),
        ("class3", 20, 1),
        ("class5", 20, 2),
        ("class7", 20, 3),
        ("class9", 20, 4),
        ("flat", 10, 5),
        ("flat", 25, 6),
    ],
)
def test_what_is_proven_is_not_beaten_and_beats_no_bound(reference, tmp_path, drawn, turn):
    write_job(make_tables(*drawn, turn=turn), tmp_path)
    purchase = make_plan(read_job(tmp_path), seconds=SECONDS, refined=False).purchase
    cost, bound = theirs_of(reference, *drawn, turn=turn)
    # nobody's plan is cheaper than anybody's bound
    assert cost >= purchase.lower_bound
    assert bound <= purchase.total


def test_the_library_is_asked_for_straight_cuts_turns_and_counts(reference):
    # A pinwheel fills 40 x 40 but not by straight cuts; 19 x 13 goes twice into 31 x 19 if it is turned.
    pinwheel = Rectangles((40, 40), {(25, 15): 4, (10, 10): 1}, 100)
    pair = Rectangles((31, 19), {(19, 13): 2}, 100)
    told = []
    for asked, turn in ((pinwheel, True), (pair, True), (pair, False)):
        ended = ask_reference(reference, asked, SECONDS, turn=turn)
        told.append(measured(Task(REFERENCE, "flat", 5, 0, turn, SECONDS), ended, asked.price).cost)
    assert told == [200, 100, 200]
