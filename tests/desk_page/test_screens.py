"""Second screens by themselves: the code, who waits, who is let in, and when it ends."""

import contextlib
import re
import socket
import time

import pytest
from starlette.datastructures import Headers

from cli.desk.screens import ScreenRefusedError, Screens, addresses

AT = ("192.168.1.5", 8348)


@pytest.fixture
def told():
    return []


@pytest.fixture
def screens(told):
    begun = Screens(told.append)
    begun.begin(AT, lambda: told.append("stopped"))
    begun.show("hall")
    return begun


def wrong(code):
    return f"{(int(code) + 1) % 10**6:06}"


def test_five_wrong_tries_void_the_code(screens):
    code = screens.code
    said = []
    for _ in range(5):
        with pytest.raises(ScreenRefusedError) as refusal:
            screens.enter(wrong(code), "a phone")
        said.append(str(refusal.value))
    assert [re.search(r"\w+ tr(y is|ies are) left|void", words).group() for words in said] == [
        "4 tries are left",
        "3 tries are left",
        "2 tries are left",
        "one try is left",
        "void",
    ]
    with pytest.raises(ScreenRefusedError, match="No code is valid now"):
        screens.enter(code, "a phone")
    assert screens.screens() == ()
    screens.new_code()
    screens.enter(f" {screens.code[:3]} {screens.code[3:]} ", "a phone")


def test_a_code_is_for_one_device_and_for_ten_minutes(screens, monkeypatch):
    code = screens.code
    assert re.fullmatch("[0-9]{6}", code)
    screens.enter(code, "a phone")
    assert screens.code != code
    with pytest.raises(ScreenRefusedError, match="not the code"):
        screens.enter(code, "another phone")
    now = time.monotonic()
    monkeypatch.setattr("cli.desk.screens.monotonic", lambda: now + 601)
    assert screens.code == ""


def asked(screens, screen, path="/wall/hall/bench", *, reads=True, token=None):
    headers = {"cookie": f"{screens.cookie_name}={screen.cookie}"}
    if token:
        headers["x-windowfall-token"] = token
    return screens.refusal(path, Headers(headers), reads=reads)


def test_a_device_waits_until_the_owner_lets_it_in(screens, told):
    screen = screens.enter(screens.code, "a phone")
    assert told[-1]["asks"] == [screen.number]
    assert asked(screens, screen)[0] == 403
    screens.let_in(screen.number)
    assert told[-1]["asks"] == []
    assert asked(screens, screen) is None
    assert asked(screens, screen, "/wall/stairs/bench")[1] == "This wall is not shared."
    assert asked(screens, screen, "/wall/hall/do/tick", reads=False)[0] == 403
    assert asked(screens, screen, "/wall/hall/do/tick", reads=False, token=screen.token) is None
    screens.shut_out(screen.number)
    assert asked(screens, screen)[0] == 403
    with pytest.raises(ScreenRefusedError, match="does not wait any more"):
        screens.let_in(screen.number)


def test_one_that_waited_two_minutes_is_forgotten(screens, monkeypatch):
    stays, goes = (screens.enter(screens.code, "a phone") for _ in range(2))
    screens.let_in(stays.number)
    now = time.monotonic()
    monkeypatch.setattr("cli.desk.screens.monotonic", lambda: now + 121)
    assert [screen.number for screen in screens.screens()] == [stays.number]
    assert goes.number != stays.number


def test_there_are_eight_screens_at_most(screens):
    for _ in range(8):
        screens.enter(screens.code, "a phone")
    with pytest.raises(ScreenRefusedError, match="enough screens"):
        screens.enter(screens.code, "a phone")


def test_no_number_is_given_twice(screens):
    numbers = []
    for _ in range(90):
        screen = screens.enter(screens.code, "a phone")
        numbers.append(screen.number)
        screens.shut_out(screen.number)
    assert sorted(numbers) == list(range(10, 100))
    with pytest.raises(ScreenRefusedError, match="Too many screens"):
        screens.enter(screens.code, "a phone")


def test_it_ends_where_the_address_or_the_last_wall_has_gone(screens):
    screens.show("stairs")
    screens.end_if_over({"stairs"}, ("192.168.1.5",))
    assert (screens.is_on, screens.walls) == (True, ("stairs",))
    screens.end_if_over({"stairs"}, ())
    assert not screens.is_on
    screens.begin(AT, lambda: None)
    screens.show("hall")
    screens.end_if_over(set(), ("192.168.1.5",))
    assert not screens.is_on


def test_it_ends_once_no_device_has_called_for_twelve_hours(screens, monkeypatch):
    screen = screens.enter(screens.code, "a phone")
    screens.let_in(screen.number)
    began = time.monotonic()

    def after(hours):
        monkeypatch.setattr("cli.desk.screens.monotonic", lambda: began + hours * 3600)
        screens.end_if_over({"hall"}, ("192.168.1.5",))
        return screens.is_on

    assert after(11)
    assert screens.refusal("/waiting", Headers({}), reads=False) is None  # who is not let in keeps nothing open
    assert asked(screens, screen) is None
    assert after(22)
    assert not after(23.5)


def test_the_owner_is_told_from_where_a_wrong_code_comes(screens, told):
    before = len(told)
    for about in ("a phone at 192.168.1.7", "a phone at 192.168.1.7", "a phone at 192.168.1.8"):
        with pytest.raises(ScreenRefusedError):
            screens.enter(wrong(screens.code), about)
    assert len(told) == before + 3
    screens.enter(screens.code, "a phone at 192.168.1.9")
    assert screens.wrong == {"a phone at 192.168.1.7": 2, "a phone at 192.168.1.8": 1}


def test_ended_it_knows_nobody_and_answers_under_no_name(screens, told):
    screen = screens.enter(screens.code, "a phone")
    screens.let_in(screen.number)
    assert screens.hosts() == ("192.168.1.5:8348",)
    screens.end()
    assert (told[-2], told[-1]["asks"]) == ("stopped", [])
    assert (screens.hosts(), screens.code, screens.walls, screens.is_on) == ((), "", (), False)
    assert asked(screens, screen)[0] == 403


def test_a_device_is_told_of_ticks_and_answers_of_its_walls_alone(screens, monkeypatch):
    heard = []
    monkeypatch.setattr(screens.events, "tell", lambda **told: heard.append(told))
    tick = {"kind": "tick", "wall": "hall", "plan": "p", "key": "cut-S1-1", "done": True}
    answer = {"kind": "aside", "wall": "hall", "plan": "p", "what": "till", "view": {}}
    for told in (tick, answer, {**tick, "wall": "stairs"}, {**answer, "plan": None}):
        screens.hear(told)
    screens.hear({"kind": "price", "wall": "hall", "price": {}})
    screens.hear({"kind": "closed"})
    assert heard == [tick, answer]


def test_addresses_of_the_whole_internet_are_not_shared(monkeypatch):
    there = {"192.168.0.1": "192.168.1.5", "10.0.0.1": "192.168.1.5", "172.16.0.1": "127.0.0.1"}

    class Line(contextlib.AbstractContextManager):
        def connect(self, place):
            self.own = there.get(place[0], "8.8.8.8")

        def getsockname(self):
            return self.own, 5

        def __exit__(self, *_error):
            return None

    monkeypatch.setattr(socket, "socket", lambda *_kind: Line())
    assert addresses() == ("192.168.1.5",)
