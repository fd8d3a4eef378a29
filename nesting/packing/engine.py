"""The kernels, interpreted or compiled: the same functions, at different speeds; the compiled ones have higher limits.

Loading the compiler takes about as long as a whole plan of ten pieces, so small jobs are interpreted.
"""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from nesting.packing import (
    filling_kernels,
    recursion_kernels,
    ruin_recreate_kernels,
    set_enumeration_kernels,
    subset_kernels,
)

__all__ = ["Engine", "Ints", "compiled", "drop_stale", "interpreted"]

Ints = Any
"""A flat mutable sequence of whole numbers: a list, or an array of 64 bits."""


@dataclass(frozen=True, slots=True)
class Engine:
    """The kernels, and the sequences they want."""

    is_kept: Callable[[], bool]
    """Whether nothing has to be compiled before the kernels run."""
    ints: Callable[[Sequence[int]], Ints]
    zeros: Callable[[int], Ints]
    halves: Callable[[int], Ints]
    """Zeros of 32 bits, where arrays have a number of bits."""
    rebuild: Callable[..., tuple[int, int]]
    improve: Callable[..., None]
    value_table: Callable[..., None]
    collect: Callable[..., int]
    find: Callable[..., int]
    largest: Callable[..., int]
    dearest: Callable[..., int]
    outside: Callable[..., None]
    gather: Callable[..., int]
    largest_sets: Callable[..., int]
    work: int
    """How many steps the recursion may take for a first bound."""
    items: int
    """How many items a board may have for its sets to be listed."""
    sets: int
    """How many sets of items may be listed at the start."""
    boxes: int
    """How many boxes an exact subproblem may list."""
    steps: int
    """How many steps it may take."""
    pace: int
    """How many of those steps a slow machine takes in a second."""


@cache
def interpreted() -> Engine:
    """Return the kernels as plain Python."""
    return Engine(
        lambda: True,
        list,
        lambda n: [0] * n,
        lambda n: [0] * n,
        ruin_recreate_kernels.rebuild,
        ruin_recreate_kernels.improve,
        recursion_kernels.value_table,
        subset_kernels.collect,
        subset_kernels.find,
        subset_kernels.largest,
        subset_kernels.dearest,
        set_enumeration_kernels.outside,
        set_enumeration_kernels.gather,
        set_enumeration_kernels.largest,
        work=100_000,
        items=6,
        sets=64,
        boxes=300,
        steps=100_000,
        pace=300_000,
    )


@cache
def compiled(*, keep: bool = True) -> Engine:
    """Return the kernels compiled by numba, or as plain Python where there is no numba for the machine.

    The first call on a machine compiles, which takes some seconds; later ones read what was kept.

    Parameters
    ----------
    keep : bool
        Whether what is compiled is kept on the disk.

    Returns
    -------
    Engine
        The functions do the same whichever kernels it has.

    Raises
    ------
    RuntimeError
        If it is to be kept and there is no folder that it could be kept in.
    """
    if find_spec("numba") is None:
        return interpreted()
    import numba  # noqa: PLC0415 - takes a second to load
    import numpy as np  # noqa: PLC0415

    _register()
    jit = numba.njit(cache=keep)
    improve = jit(ruin_recreate_kernels.improve)
    if keep:
        drop_stale(Path(improve.stats.cache_path))
    return Engine(
        lambda: keep and any(Path(improve.stats.cache_path).glob("ruin_recreate_kernels.improve-*.nbi")),
        lambda numbers: np.array(numbers, dtype=np.int64),
        lambda n: np.zeros(n, dtype=np.int64),
        lambda n: np.zeros(n, dtype=np.int32),
        jit(ruin_recreate_kernels.rebuild),
        improve,
        jit(recursion_kernels.value_table),
        jit(subset_kernels.collect),
        jit(subset_kernels.find),
        jit(subset_kernels.largest),
        jit(subset_kernels.dearest),
        jit(set_enumeration_kernels.outside),
        jit(set_enumeration_kernels.gather),
        jit(set_enumeration_kernels.largest),
        work=10**9,
        items=40,
        sets=20_000,
        boxes=100_000,
        steps=200_000_000,
        pace=30_000_000,
    )


def drop_stale(kept: Path) -> None:
    """Drop what was compiled before any file of kernels changed.

    The compiler itself looks only at the file of the function that it was given, not at those of what that calls.

    Parameters
    ----------
    kept : Path
        The folder in which the compiler keeps what it has compiled. What may not be dropped there stays.
    """
    files = (filling_kernels, recursion_kernels, ruin_recreate_kernels, set_enumeration_kernels, subset_kernels)
    with suppress(OSError):  # what another process drops too, or may not be dropped
        changed = max(Path(str(file.__file__)).stat().st_mtime for file in files)
        for index in kept.glob("*_kernels.*.nbi"):
            if index.stat().st_mtime < changed:
                index.unlink()


@cache
def _register() -> None:
    """Tell the compiler, once, of the functions that kernels call."""
    from numba.extending import overload, register_jitable  # noqa: PLC0415 - as numba itself

    @overload(recursion_kernels.added, strict=False)  # type: ignore[untyped-decorator]
    def _of_same_type(one: Callable[[int], int], other: object) -> Callable[[int, int], int]:
        del other
        kind = one  # a type, which converts
        return lambda one, other: kind(one + other)

    of_filling = "random_below ways choose split pair divide replay fill try_fill"
    of_sheets = "put_sheet remove_sheet refill_sheet emptiness rebuild pick_sheet"
    of_sets = (
        "find keep fits_any side_by_side one_above_other turned merged taken_in listed_set"
        " is_next own_sizes without_one all_smaller ways_to_part join_parts"
    )
    for small in (
        *(getattr(filling_kernels, name) for name in of_filling.split()),
        *(getattr(ruin_recreate_kernels, name) for name in of_sheets.split()),
        *(getattr(subset_kernels, name) for name in of_sets.split()),
        set_enumeration_kernels.place,
        set_enumeration_kernels.by_area,
        set_enumeration_kernels.slot_of,
        set_enumeration_kernels.listed,
    ):
        register_jitable(small)
