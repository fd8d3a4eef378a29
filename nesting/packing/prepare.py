"""The compiled kernels, ready to run; the first time on a machine they are compiled, and the caller is told before."""

from collections.abc import Callable

from nesting.packing.engine import Engine, compiled, interpreted
from nesting.packing.interrupts import put_off
from nesting.packing.pattern import GrownSize
from nesting.packing.pricing import Pricer, ValidInequality
from nesting.packing.ruin_recreate import RuinRecreate, Stock
from nesting.packing.set_enumeration import decide
from nesting.packing.stop import Stop
from nesting.packing.subsets import list_subsets

__all__ = ["at_hand", "prepared"]


def prepared(notice: Callable[[], None]) -> Engine:
    """Return the compiled kernels after running each once; `notice` is called first where they must be compiled.

    Compiling takes about a quarter of a minute and is kept for the runs after it. Where nothing can be kept, or what
    was kept cannot be read or added to (a disk that is full or may not be written to), it is done again each time.
    """
    try:
        with put_off():  # the compiler itself takes half a second to load, and what was kept another half
            engine = compiled()
        with put_off():
            return _warmed(engine, notice)
    except Exception:  # noqa: BLE001 - what was kept is damaged in more ways than can be listed
        with put_off():
            return _warmed(compiled(keep=False), notice)


def at_hand() -> Engine:
    """Return the compiled kernels where nothing has to be compiled first, otherwise interpreted ones."""
    try:
        is_kept = compiled().is_kept()
    except RuntimeError:  # there is no folder to keep anything in
        return interpreted()
    return prepared(lambda: None) if is_kept else interpreted()


def _warmed(engine: Engine, notice: Callable[[], None]) -> Engine:
    is_kept = engine.is_kept()
    if not is_kept:
        notice()
    item, sheet = GrownSize(3, 5), GrownSize(11, 7)
    RuinRecreate(engine, {item: 2}, [Stock(sheet, 100, 2)], turn=True, longest=None, seed=1).improve(1)
    pricer = Pricer(engine, [item], [sheet], turn=True, longest=None)
    if not is_kept:
        pricer.table([1 << 31])  # in 64 bits, which many runs do without
    inequality = ValidInequality(0, {item: 7}, {sheet: pricer.table([7]).worth(sheet)})
    decide(pricer, inequality, {item: 2}, {sheet: 1}, room=100, stop=Stop(60.0))
    listed = list_subsets(engine, {item: 2}, [sheet], turn=True, longest=None, room=engine.sets)
    if listed is not None:
        listed.pattern(sheet, listed.dearest(sheet, {item: 7})[1])
    return engine
