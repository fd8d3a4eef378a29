"""The compiled kernels, ready to run; the first time on a machine they are compiled, which is worth a word before."""

from collections.abc import Callable

from nesting.geometry import Size
from nesting.packing.engine import Engine, compiled
from nesting.packing.pricing import Pricer
from nesting.packing.search import Search, Stock
from nesting.packing.subsets import list_subsets

__all__ = ["prepared"]


def prepared(notice: Callable[[], None]) -> Engine:
    """Return the compiled kernels after running each once; `notice` is called first where they must be compiled.

    Compiling takes about a quarter of a minute and is kept for the runs after it.
    """
    engine = compiled()
    if not engine.is_kept():
        notice()
    item, sheet = Size(3, 5), Size(11, 7)
    Search(engine, {item: 2}, [Stock(sheet, 100, 2)], turn=True, longest=None, seed=1).improve(1)
    Pricer(engine, [item], [sheet], turn=True, longest=None).table([7])
    listed = list_subsets(engine, {item: 2}, [sheet], turn=True, longest=None, room=engine.sets)
    if listed is not None:
        listed.pattern(sheet, listed.dearest(sheet, {item: 7})[1])
    return engine
