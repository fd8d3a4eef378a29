"""What the fuzzing holds commands to: broken promises, planted by hand in logs of a few lines, are found."""

from typing import Any

import pytest

from nesting.identity import Identity
from tests.fuzz.in_force import InForce
from tests.fuzz.ledger import Given
from tests.fuzz.promises import change_faults

# S1 is the shelf piece R1, from which the blanks M1 and M2 are cut.
PLAN = {
    "shelf_file_labels": ["R1"],
    "purchase": {"lines": []},
    "sheets": [{"id": "S1", "board": "sage", "source": {"kind": "shelf", "label": "R1"}, "size": [20, 10]}],
    "mats": [{"id": "M1", "sheet": "S1"}, {"id": "M2", "sheet": "S1"}],
}
NAMES = Identity("abc", {"S1": "ks", "M1": "k1", "M2": "k2"})
ROWS = {"r1": ("sage", (10, 20), 1)}


def line(number: int, command: str = "done", **told: Any) -> dict[str, Any]:
    blank = {"moves": [], "plan": None, "booked": [], "time": 1, "reserved": None, "dropped": [], "undoes": None}
    return {"number": number, "command": command} | blank | told


def moved(label: str, count: int) -> dict[str, Any]:
    return {"label": label, "board": "sage", "size": [20, 10], "count": count, "left": None}


def kept(number: int, plan: str) -> dict[str, Any]:
    return line(number, "reserve", reserved={"plan": plan, "takes": [["ks", "R1"]]})


BOOKED = line(1, plan="abc", booked=["ks", "k1", "k2"], moves=[moved("R1", -1)])


def faults(command: str, *was: dict[str, Any], code: int = 0, did: Any = (), rows: Any = ROWS) -> list[str]:
    given = Given(command.split(), code, PLAN, NAMES)
    changes = [one for one in (did,) if one]
    return list(change_faults(given, InForce.of(was), InForce.of([*was, *changes]), rows, changes))


@pytest.mark.parametrize(
    ("command", "was", "rows", "reason"),
    [
        ("done p", [], {}, "r1 is not there"),
        ("done p", [], {"r1": ("sage", (10, 13), 1)}, "r1 is another piece"),
        ("done p", [kept(1, "other")], ROWS, "1 of r1 are cut, and 1 of 1 are reserved"),
        ("done p --mat M2", [line(1, plan="other", booked=["k2"])], ROWS, "M2 is booked through another plan"),
        ("done p --again", [BOOKED], {}, "r1 is not there"),
    ],
)
def test_a_booking_is_refused_for_a_reason_and_only_then(command: str, was: Any, rows: Any, reason: str) -> None:
    assert faults(command, *was, rows=rows) == [f"is booked, though {reason}"]
    assert faults(command, *was, rows=rows, code=2) == []
    assert faults("done p", code=2) == ["is refused without a reason"]


def test_who_says_so_takes_what_is_reserved_and_books_twice() -> None:
    assert faults("done p --reserved-too", kept(1, "other")) == []
    assert faults("done p", kept(1, "abc")) == []
    assert faults("done p --again", line(1, plan="other", booked=["k1"])) == []
    # A spoiled mat is none that was cut.
    assert faults("done p", line(1, plan="other", booked=["k1", "k1 again for k1"])) == []


def test_a_piece_that_is_reserved_twice_is_found() -> None:
    twice = "reserves r1, of which there are 1, 2 times"
    assert faults("shelf reserve p", kept(1, "other"), did=kept(2, "abc")) == [twice]
    assert faults("shelf reserve p --reserved-too", kept(1, "other"), did=kept(2, "abc")) == []
    # Free again: dropped, booked, or reserved by a change that was taken back.
    for freed in (
        [line(2, "drop", dropped=["other"])],
        [line(2, plan="other", booked=["ks"])],
        [line(2, "undo", undoes=1)],
    ):
        assert faults("shelf reserve p", kept(1, "other"), *freed, did=kept(3, "abc")) == [], freed


def test_what_is_put_back_was_taken_off_by_hand_last() -> None:
    back = line(3, "return", moves=[moved("R1", 1)])
    taken = line(2, "take", moves=[moved("r1", -1)])
    assert faults("shelf return R1", taken, did=back, rows={}) == []
    said = "puts back 1 of R1, which were not taken off by hand last"
    for was in ([], [BOOKED], [taken, line(3, "return", moves=[moved("R1", 1)])]):
        assert faults("shelf return R1", *was, did=back, rows={}) == [said], was


def test_a_booking_is_taken_back_whole_and_the_last_one_first() -> None:
    second = line(2, plan="abc", booked=["k3"], moves=[moved("R2", 1)])
    undone = line(3, "undo", undoes=2, moves=[moved("R2", -1)])
    assert faults("done p --undo", BOOKED, second, did=undone, rows={}) == []
    said = faults("done p --undo", BOOKED, second, did=undone | {"undoes": 1}, rows={})
    assert said == ["takes back change 1, which is not the last booking of the plan"]
    said = faults("done p --undo", BOOKED, second, did=undone | {"moves": []}, rows={})
    assert said == ["does not take back what the booking moved"]


def test_what_is_dropped_is_no_longer_reserved() -> None:
    assert faults("shelf drop p", kept(1, "abc"), did=line(2, "drop", dropped=["abc"])) == []
    said = faults("shelf drop p", kept(1, "abc"), did=line(2, "drop", dropped=["other"]))
    assert said == ["says that nothing is reserved any longer, and as much is"]
