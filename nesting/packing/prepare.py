"""The compiled kernels, ready to run; the first time on a machine they are compiled, and the caller is told before."""

from collections.abc import Callable

from nesting.packing.engine import Engine, compiled, interpreted, is_ready
from nesting.packing.interrupts import put_off

__all__ = ["at_hand", "prepared"]


def prepared(notice: Callable[[], None]) -> Engine:
    """Return the compiled kernels; `notice` is called first where they must be compiled.

    Compiling takes about half a minute and is kept for the runs after it. Where nothing can be kept, or what
    was kept is damaged (a disk that is full or may not be written to), it is done again each time.
    """
    with put_off():  # which might leave modules half loaded
        if not is_ready():
            notice()
        return compiled()


def at_hand() -> Engine:
    """Return the compiled kernels where nothing has to be compiled first, otherwise interpreted ones."""
    return prepared(lambda: None) if is_ready() else interpreted()
