"""Second screens, as their owner has them: shared, let in, shut out, and ended."""

from collections.abc import Callable, Mapping
from typing import Any

from cli.desk.answers.asked import Asked, AskedWrongError, text_of
from cli.desk.desk import Desk
from cli.desk.screens import addresses
from cli.desk.second import share
from cli.desk.walls import Wall

__all__ = ["OF_SCREENS"]


def _share(desk: Desk, wall: Wall, asked: Asked) -> Any:
    """Share a wall; where nothing is shared yet, at the address that was chosen."""
    if not desk.screens.is_on:
        address = text_of(asked, "address")
        if address not in addresses():
            raise AskedWrongError("This machine does not have that address any more. Load the page again.")
        share(desk, address)
    desk.screens.show(wall.id)
    return {}


def _unshare(desk: Desk, _wall: Wall, _asked: Asked) -> Any:
    desk.screens.end()
    return {}


def _new_code(desk: Desk, _wall: Wall, _asked: Asked) -> Any:
    if desk.screens.is_on:
        desk.screens.new_code()
    return {}


def _let_in(desk: Desk, _wall: Wall, asked: Asked) -> Any:
    desk.screens.let_in(_number(asked))
    return {}


def _shut_out(desk: Desk, _wall: Wall, asked: Asked) -> Any:
    desk.screens.shut_out(_number(asked))
    return {}


def _number(asked: Asked) -> int:
    number = text_of(asked, "number")
    if not (number.isascii() and number.isdecimal()):
        raise AskedWrongError("There is no such screen.")
    return int(number)


OF_SCREENS: Mapping[str, Callable[[Desk, Wall, Asked], Any]] = {
    "share": _share,
    "unshare": _unshare,
    "newcode": _new_code,
    "letin": _let_in,
    "shutout": _shut_out,
}
"""What is done for each of these names."""
