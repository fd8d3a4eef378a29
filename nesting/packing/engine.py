"""The kernels, interpreted or compiled: the same functions, at different speeds; the compiled ones have higher limits.

Loading the compiled ones takes about as long as planning a few pieces with the others, so small jobs are interpreted.
"""

from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from typing import Any

from nesting.packing import (
    object_code,
    recursion_kernels,
    ruin_recreate_kernels,
    set_enumeration_kernels,
    subset_kernels,
)

__all__ = ["Engine", "Ints", "compiled", "interpreted", "is_ready"]

Ints = Any
"""A flat mutable sequence of whole numbers: a list, or an array of 64 or 32 bits."""


@dataclass(frozen=True, slots=True)
class Engine:
    """The kernels, and the sequences they want."""

    ints: Callable[[Sequence[int]], Ints]
    zeros: Callable[[int], Ints]
    halves: Callable[[int], Ints]
    """Zeros of 32 bits, where arrays have a number of bits."""
    rebuild: Callable[..., tuple[int, int]]
    improve: Callable[..., None]
    rests: Callable[..., None]
    value_table: Callable[..., None]
    first_cut: Callable[..., int]
    collect: Callable[..., int]
    find: Callable[..., int]
    largest: Callable[..., int]
    parting: Callable[..., int]
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
        ints=list,
        zeros=lambda n: [0] * n,
        halves=lambda n: [0] * n,
        rebuild=ruin_recreate_kernels.rebuild,
        improve=ruin_recreate_kernels.improve,
        rests=recursion_kernels.rests,
        value_table=recursion_kernels.value_table,
        first_cut=recursion_kernels.first_cut,
        collect=subset_kernels.collect,
        find=subset_kernels.find,
        largest=subset_kernels.largest,
        parting=subset_kernels.parting,
        dearest=subset_kernels.dearest,
        outside=set_enumeration_kernels.outside,
        gather=set_enumeration_kernels.gather,
        largest_sets=set_enumeration_kernels.largest,
        work=100_000,
        items=6,
        sets=64,
        boxes=300,
        steps=100_000,
        pace=300_000,
    )


def is_ready() -> bool:
    """Whether nothing has to be compiled before `compiled` returns."""
    return compiled.cache_info().currsize > 0 or find_spec("numba") is None or object_code.is_kept()


@cache
def compiled() -> Engine:
    """Return the kernels compiled, or as plain Python where there is no compiler for the machine.

    The first call on a machine compiles, which takes about half a minute; later ones read what was kept.

    Returns
    -------
    Engine
        The functions do the same whichever kernels it has.
    """
    if find_spec("numba") is None:
        return interpreted()
    kernels = object_code.load()

    def by_bits(name: str, place: int) -> Callable[..., Any]:
        """Return the kernel for numbers of as many bits as the array at a place among its parameters has."""
        wide, small = kernels[name], kernels[f"small_{name}"]
        return lambda *given: (small if given[place].typecode == "i" else wide)(*given)

    of_any_bits = {"value_table": by_bits("value_table", 11), "first_cut": by_bits("first_cut", 9)}
    of_64_bits = {name: kernel for name, kernel in kernels.items() if not name.startswith("small_")}
    return Engine(
        ints=lambda numbers: array("q", numbers),
        zeros=lambda n: array("q", (0,)) * n,
        halves=lambda n: array("i", (0,)) * n,
        **(of_64_bits | of_any_bits),
        work=10**9,
        items=40,
        sets=20_000,
        boxes=100_000,
        steps=200_000_000,
        pace=30_000_000,
    )
