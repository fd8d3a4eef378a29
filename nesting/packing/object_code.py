"""The kernels as object code: compiled once, kept on the disk, and run without the compiler.

The compiler takes longer to load than most plans take to make. So each kernel is compiled to a function on pointers and
lengths, which is kept as it leaves the compiler; what links it is loaded in a tenth of the time. The kernels allocate
nothing and raise nothing, so that nothing of the compiler is needed while they run.
"""

import ctypes
import inspect
import os
import sys
from array import array
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from platformdirs import user_cache_path

from nesting.packing import (
    filling_kernels,
    recursion_kernels,
    ruin_recreate_kernels,
    set_enumeration_kernels,
    subset_kernels,
)
from nesting.packing.interrupts import put_off

__all__ = ["Entry", "entries", "is_kept", "load"]

_MODULES = (filling_kernels, recursion_kernels, ruin_recreate_kernels, set_enumeration_kernels, subset_kernels)

_FIRST_BIT = 1 << 63


@dataclass(frozen=True, slots=True)
class Entry:
    """A kernel that is called from outside.

    `returns` says how many whole numbers it returns, and `halves` names the arrays that are of 32 bits.
    """

    kernel: Callable[..., Any]
    returns: int
    halves: tuple[str, ...] = ()

    @property
    def parameters(self) -> list[tuple[str, str]]:
        """The names of the parameters, each with the typecode of its array; empty for a number."""
        signature = inspect.signature(self.kernel)
        return [
            (name, "" if each.annotation in (int, bool) else "i" if name in self.halves else "q")
            for name, each in signature.parameters.items()
        ]


def entries() -> Mapping[str, Entry]:
    """Return the kernels that are called from outside, by name."""
    table, cut = recursion_kernels.value_table, recursion_kernels.first_cut
    return {
        "rebuild": Entry(ruin_recreate_kernels.rebuild, 2),
        "improve": Entry(ruin_recreate_kernels.improve, 0),
        "rests": Entry(recursion_kernels.rests, 0),
        "value_table": Entry(table, 0),
        "small_value_table": Entry(table, 0, ("value", "line")),
        "first_cut": Entry(cut, 1),
        "small_first_cut": Entry(cut, 1, ("value",)),
        "collect": Entry(subset_kernels.collect, 1),
        "find": Entry(subset_kernels.find, 1),
        "largest": Entry(subset_kernels.largest, 1),
        "parting": Entry(subset_kernels.parting, 1),
        "dearest": Entry(subset_kernels.dearest, 1),
        "outside": Entry(set_enumeration_kernels.outside, 0),
        "gather": Entry(set_enumeration_kernels.gather, 1),
        "largest_sets": Entry(set_enumeration_kernels.largest, 1),
    }


def is_kept() -> bool:
    """Whether nothing has to be compiled before the kernels run."""
    return _kept() is not None


def load() -> dict[str, Callable[..., Any]]:
    """Return the kernels, from what is kept where that is whole; otherwise compile them, and keep them if that goes.

    They take whole numbers, and arrays of `array`.
    """
    code = _kept()
    if code is None:
        code = _compiled()
        for folder in _folders():
            with suppress(OSError):  # where it cannot be kept, it is compiled again the next time
                _keep(folder / _name(), code)
                break
    return _linked(code)


def _folders() -> tuple[Path, Path]:
    """Return the folder beside the program and, for where that may not be written to, the user's own."""
    return Path(__file__).parent / "__pycache__", user_cache_path("windowfall", appauthor=False)


@cache
def _name() -> str:
    """Return the name of the file for this version of the kernels and of the compiler, and for this processor."""
    import llvmlite  # noqa: PLC0415 - slow to load
    import llvmlite.binding as llvm  # noqa: PLC0415

    files = (Path(str(module.__file__)) for module in (*_MODULES, sys.modules[__name__]))
    version = _digest(llvmlite.__version__.encode(), *(file.read_bytes() for file in files))
    processor = (llvm.get_process_triple(), llvm.get_host_cpu_name(), llvm.get_host_cpu_features().flatten())
    return f"kernels-{version.hex()[:16]}-{_digest(*(each.encode() for each in processor)).hex()[:16]}"


def _digest(*parts: bytes) -> bytes:
    return sha256(b"\0".join(parts)).digest()


def _kept() -> bytes | None:
    """Return what is kept; None where nothing is, or where it is not as it was written."""
    size = sha256().digest_size
    for folder in _folders():
        with suppress(OSError):
            kept = (folder / _name()).read_bytes()
            if kept[:size] == _digest(kept[size:]):
                return kept[size:]
    return None


def _keep(place: Path, code: bytes) -> None:
    """Keep it, in one step, and drop what other versions kept; other processors may share the folder."""
    place.parent.mkdir(parents=True, exist_ok=True)
    new = place.with_suffix(f".{os.getpid()}")
    try:
        new.write_bytes(_digest(code) + code)
        new.replace(place)
    finally:
        new.unlink(missing_ok=True)
    version = place.name.rpartition("-")[0]
    for other in place.parent.glob("kernels-*"):
        if not other.name.startswith(version):
            with suppress(OSError):  # another process may have it open, or drop it too
                other.unlink()


def _linked(code: bytes) -> dict[str, Callable[..., Any]]:
    import llvmlite.binding as llvm  # noqa: PLC0415

    linker = llvm.create_mcjit_compiler(llvm.parse_assembly(""), _machine())
    linker.add_object_file(llvm.ObjectFileRef.from_data(code))
    linker.finalize_object()
    return {name: _called(entry, linker, name) for name, entry in entries().items()}


def _machine() -> Any:
    """Return what makes code for this processor, as the compiler itself would have it."""
    import llvmlite.binding as llvm  # noqa: PLC0415

    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    target = llvm.Target.from_default_triple()
    return target.create_target_machine(
        llvm.get_host_cpu_name(),
        llvm.get_host_cpu_features().flatten(),
        opt=3,
        reloc="static" if target.name.startswith("x86") else "default",
        jit=True,
    )


def _called(entry: Entry, linker: Any, name: str) -> Callable[..., Any]:
    """Return a function that takes the kernel's own parameters."""
    codes = [code for _, code in entry.parameters]
    kinds = [kind for code in codes for kind in ((ctypes.c_void_p, ctypes.c_int64) if code else (ctypes.c_int64,))]
    if entry.returns == 2:
        kinds.append(ctypes.c_void_p)
    call: Any = ctypes.PYFUNCTYPE(ctypes.c_int64 if entry.returns == 1 else None, *kinds)(
        linker.get_function_address(name)
    )
    call.linker = linker  # which frees the code when it goes

    def flat(given: "Sequence[int | array[int]]") -> list[int]:
        """Check what the kernel itself does not: a number that is cut off, or an array of others, would be misread."""
        parts: list[int] = []
        for code, each in zip(codes, given, strict=True):
            if isinstance(each, array):
                if each.typecode != code:
                    raise TypeError(f"{name} takes {code!r} where it was given an array of {each.typecode!r}")
                parts += each.buffer_info()
            elif code or not -_FIRST_BIT <= each < _FIRST_BIT:
                raise TypeError(f"{name} takes an array or a number of 64 bits where it was given {each!r}")
            else:
                parts.append(each)
        return parts

    def plain(*given: "int | array[int]") -> Any:
        return call(*flat(given))

    def pair(*given: "int | array[int]") -> tuple[int, int]:
        out = array("q", (0, 0))
        call(*flat(given), out.buffer_info()[0])
        return out[0], out[1]

    return pair if entry.returns == 2 else plain


def _compiled() -> bytes:
    """Compile all kernels to one piece of object code, each in a function on pointers and lengths that has its name."""
    import llvmlite.binding as llvm  # noqa: PLC0415
    import numba  # noqa: PLC0415

    _register()
    machine = _machine()
    whole = llvm.parse_assembly("")
    for name, entry in entries().items():
        with put_off():  # the compiler loses an interrupt
            made = numba.cfunc(_signature(entry), error_model="numpy")(_wrapper(entry))
        module = llvm.parse_assembly(made.inspect_llvm())
        module.get_function(made.native_name).name = name
        whole.link_in(module)
    whole.link_in(llvm.parse_assembly(_never_reached(whole)))
    return machine.emit_object(whole)  # type: ignore[no-any-return]


def _never_reached(module: Any) -> str:
    """Write what the compiler names for errors: kernels that raise none reach none, and would end the process there."""

    def named(declared: Iterable[Any]) -> list[str]:
        names = (each.name for each in declared if each.is_declaration)
        return [name for name in names if name.startswith(("Py", "_Py", "NRT_", "numba_"))]

    trap = "{\n  call void @llvm.trap()\n  unreachable\n}"
    return "\n".join(
        [
            "declare void @llvm.trap()",
            *(f"define void @{name}() {trap}" for name in named(module.functions)),
            *(f"@{name} = global i64 0" for name in named(module.global_variables)),
        ]
    )


def _signature(entry: Entry) -> object:
    from numba import types  # noqa: PLC0415

    pointers = {"q": types.CPointer(types.int64), "i": types.CPointer(types.int32)}
    flat = [
        kind for _, code in entry.parameters for kind in ((pointers[code], types.int64) if code else (types.int64,))
    ]
    if entry.returns == 2:
        flat.append(pointers["q"])
    return (types.int64 if entry.returns == 1 else types.void)(*flat)


def _wrapper(entry: Entry) -> Callable[..., Any]:
    """Write the function that makes arrays of pointers and lengths, and calls the kernel."""
    import numba  # noqa: PLC0415
    from numba.extending import register_jitable  # noqa: PLC0415

    taken = [f"{name}, n_{name}" if code else name for name, code in entry.parameters]
    arrays = [f"carray({name}, n_{name})" if code else name for name, code in entry.parameters]
    call = f"kernel({', '.join(arrays)})"
    if entry.returns == 2:
        taken.append("out")
        lines = [f"one, other = {call}", "pair = carray(out, 2)", "pair[0] = one", "pair[1] = other"]
    else:
        lines = [f"return {call}" if entry.returns else call]
    text = "\n    ".join([f"def wrapper({', '.join(taken)}):", *lines])
    space: dict[str, Any] = {"carray": numba.carray, "kernel": register_jitable(entry.kernel)}
    exec(text, space)  # noqa: S102 - made of the names of parameters alone
    return space["wrapper"]  # type: ignore[no-any-return]


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
        " is_next own_sizes without_one all_smaller ways_to_part next_parts join_parts"
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
