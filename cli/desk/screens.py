"""Second screens: the phones and tablets of a home network that the owner lets in to Shop and Bench."""

import hmac
import ipaddress
import secrets
import socket
from collections import Counter
from collections.abc import Callable, Container, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from time import monotonic
from typing import Any

import segno
from starlette.datastructures import Headers

from cli.desk.events import Events
from cli.desk.safety import cookies_of, same
from nesting.errors import WindowfallError

__all__ = ["ENTRANCE", "WARNING", "Screen", "ScreenRefusedError", "Screens", "addresses", "qr_code"]

WARNING = (
    "Anyone on this network who listens could read the list and tick in your place; use it at home only. "
    "What goes over it is not encrypted."
)
"""What is said before anything is shared."""
ENTRANCE = frozenset({"/", "/enter", "/waiting"})
"""What a device may ask for that is not let in."""

_RANGES = ("192.168.0.1", "10.0.0.1", "172.16.0.1", "169.254.0.1", "192.0.2.1")
_FIGURES = 6
_TRIES = 5
_CODE_LASTS = 600.0
_WAIT_LASTS = 120.0
_UNUSED_LASTS = 12 * 3600.0
_MOST = 8
_TOLD = frozenset({"tick", "aside", "spoiled", "away"})


class ScreenRefusedError(WindowfallError):
    """A device that is not let in, or an owner's wish that cannot be met."""


def addresses() -> tuple[str, ...]:
    """Return the addresses that this machine has in networks which are not the whole internet.

    Nothing is sent: the system is only asked by which of its addresses it would go to each kind of private network.
    """
    found = []
    for there in _RANGES:
        with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line:
            line.connect((there, 9))
            found.append(ipaddress.ip_address(line.getsockname()[0]))
    own = (address for address in found if not (address.is_global or address.is_loopback or address.is_unspecified))
    return tuple(dict.fromkeys(str(address) for address in own))


def qr_code(text: str) -> str:
    """Return a text as a QR code, drawn as SVG (ISO/IEC 18004, with its quiet zone of four modules)."""
    return str(segno.make_qr(text, error="m").svg_inline(scale=6, border=4, light="#fff", omitsize=True))


@dataclass(frozen=True, slots=True)
class Screen:
    """One device.

    Parameters
    ----------
    number : int
        Two figures that it shows and the desk shows, so that the owner sees which one asks.
    about : str
        What it is and where, in words.
    cookie, token : str
        Its secrets.
    until : float
        When it has waited long enough, by the steady clock.
    is_in : bool
        Whether the owner has let it in.
    """

    number: int
    about: str
    cookie: str
    token: str
    until: float
    is_in: bool = False


class Screens:
    """What is shared, with whom, and the code by which a device may ask to be let in.

    Parameters
    ----------
    changed : callable
        Called with `news` after each change that the owner should see.
    """

    def __init__(self, changed: Callable[[dict[str, Any]], None]) -> None:
        self.events = Events()
        self.walls: tuple[str, ...] = ()
        self.state = secrets.token_hex(8)
        """Another one after each change, by which a page knows whether it shows the last."""
        self._tell = changed
        self._at: tuple[str, int] | None = None
        self._stop: Callable[[], None] | None = None
        self._screens: dict[str, Screen] = {}
        self._given: set[int] = set()
        self._code, self._tries, self._until, self._called = "", 0, 0.0, 0.0
        self.wrong: Counter[str] = Counter()
        """How often a wrong code came, and from where."""

    @property
    def is_on(self) -> bool:
        """Whether anything is shared."""
        return self._at is not None

    @property
    def address(self) -> str:
        """Where a device opens it; empty where nothing is shared."""
        return f"http://{self._at[0]}:{self._at[1]}/" if self._at else ""

    @property
    def cookie_name(self) -> str:
        """The name of a device's cookie; browsers share cookies between the ports of a host."""
        return f"windowfall_screen_{self._at[1] if self._at else 0}"

    @property
    def code(self) -> str:
        """The code as it stands; empty where it is void."""
        return self._code if monotonic() < self._until else ""

    @property
    def code_lasts(self) -> int:
        """For how many seconds more the code is valid."""
        return max(0, int(self._until - monotonic()))

    @property
    def is_spent(self) -> bool:
        """Whether the code was tried wrongly too often."""
        return self._tries == 0

    def begin(self, at: tuple[str, int], stop: Callable[[], None]) -> None:
        """Share from now on, under an address and a port; `stop` ends who listens there."""
        self._at, self._stop, self._called = at, stop, monotonic()
        self._given.clear()
        self.wrong.clear()
        self.new_code()

    def show(self, wall: str) -> None:
        """Share a wall too."""
        self.walls = tuple(dict.fromkeys([*self.walls, wall]))
        self._changed()

    def end_if_over(self, walls: Container[str], there: Container[str]) -> None:
        """End it where its address or its last wall has gone, or where no device has called for twelve hours."""
        if self._at is None:
            return
        self.walls = tuple(wall for wall in self.walls if wall in walls)
        if self._at[0] not in there or not self.walls or monotonic() - self._called > _UNUSED_LASTS:
            self.end()

    def end(self) -> None:
        """Share nothing any more: every device is shut out, and nobody listens."""
        if self._stop:
            self._stop()
        self.events.tell("closed", words="The desk is not shared any more. Ticks are kept on this screen.")
        self.events.close()
        self._at = self._stop = None
        self.walls, self._screens, self._code = (), {}, ""
        self._changed()

    def new_code(self) -> None:
        """Make another code; the one before it is void."""
        self._code = "".join(secrets.choice("0123456789") for _ in range(_FIGURES))
        self._tries, self._until = _TRIES, monotonic() + _CODE_LASTS
        self._changed()

    def enter(self, code: str, about: str) -> Screen:
        """Take the code from a device, which then waits for the owner; the next device has another code.

        Raises
        ------
        ScreenRefusedError
            If the code is wrong or void, or if there are enough devices.
        """
        if not self.code:
            raise ScreenRefusedError("No code is valid now. Ask for a new one at the desk.")
        if not hmac.compare_digest("".join(code.split()).encode(errors="replace"), self._code.encode()):
            self._tries -= 1
            self.wrong[about] += 1
            if self._tries == 0:
                self._code = ""
            self._changed()
            if self._tries == 0:
                raise ScreenRefusedError("That was wrong five times, and the code is void. Ask for a new one.")
            left = "one try is" if self._tries == 1 else f"{self._tries} tries are"
            raise ScreenRefusedError(f"That is not the code that the desk shows; {left} left.")
        there = self.screens()
        if len(there) >= _MOST:
            raise ScreenRefusedError("There are enough screens. Shut one out at the desk first.")
        unused = set(range(10, 100)).difference(self._given)
        if not unused:
            raise ScreenRefusedError("Too many screens have asked. Stop sharing at the desk, and share again.")
        number = secrets.choice(sorted(unused))  # no number is given twice: the owner's page may be an old one
        self._given.add(number)
        cookie, token = secrets.token_urlsafe(32), secrets.token_urlsafe(32)
        screen = Screen(number, about, cookie, token, monotonic() + _WAIT_LASTS)
        self._screens[cookie] = screen
        self.new_code()
        return screen

    def screens(self) -> tuple[Screen, ...]:
        """Return the devices that are let in or wait; one that waited too long is forgotten."""
        now = monotonic()
        for key, screen in tuple(self._screens.items()):  # pages ask from threads of their own
            if not screen.is_in and screen.until <= now:
                self._screens.pop(key, None)
        return tuple(self._screens.values())

    def let_in(self, number: int) -> None:
        """Let a device in that waits."""
        screen = self._numbered(number)
        self._screens[screen.cookie] = replace(screen, is_in=True)
        self._changed()

    def shut_out(self, number: int) -> None:
        """Refuse a device that waits, or shut one out that was let in, at once."""
        del self._screens[self._numbered(number).cookie]
        self.events.close()  # those that are in open their streams again
        self._changed()

    def news(self) -> dict[str, Any]:
        """Return what the owner's pages are told: the numbers of those that wait, and the state."""
        asks = [screen.number for screen in self.screens() if not screen.is_in]
        return {"kind": "screens", "asks": asks, "state": self.state}

    def _changed(self) -> None:
        self.state = secrets.token_hex(8)
        self._tell(self.news())

    def _numbered(self, number: int) -> Screen:
        for screen in self.screens():
            if screen.number == number:
                return screen
        raise ScreenRefusedError("This device does not wait any more. Let it ask again.")

    def screen(self, headers: Headers) -> Screen | None:
        """Return the device that a request comes from, by its cookie."""
        given = list(cookies_of(headers, self.cookie_name))
        return next((screen for screen in self.screens() for cookie in given if same(cookie, screen.cookie)), None)

    def hosts(self) -> tuple[str, ...]:
        """Return the only name under which a device may call: the address itself."""
        return (f"{self._at[0]}:{self._at[1]}",) if self._at else ()

    def refusal(self, path: str, headers: Headers, *, reads: bool) -> tuple[int, str] | None:
        """Refuse what a device may not ask for."""
        if path in ENTRANCE or (path.startswith("/static/") and reads):
            return None
        screen = self.screen(headers)
        if screen is None or not screen.is_in:
            return 403, "This screen is not let in. Open the address that the desk shows, and give its code."
        self._called = monotonic()
        if not reads and not same(headers.get("x-windowfall-token", ""), screen.token):
            return 403, "This page is from before. Load it again. Nothing was changed."
        parts = path.split("/")
        if parts[1:2] == ["wall"] and parts[2:3] and parts[2] not in self.walls:
            return 403, "This wall is not shared."
        return None

    def hear(self, told: Mapping[str, Any]) -> None:
        """Pass on what devices should know of what is told at the desk."""
        is_of_plan = told["kind"] != "aside" or told["plan"] is not None
        if told["kind"] in _TOLD and is_of_plan and told["wall"] in self.walls:
            self.events.tell(**told)
