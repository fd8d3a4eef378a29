"""Object code of the kernels: what is kept, what is not taken, and what it runs without."""

import subprocess
import sys
from array import array
from pathlib import Path

import pytest

from nesting.packing import object_code, prepare
from nesting.packing.engine import compiled, interpreted

llvm = pytest.importorskip("llvmlite.binding", reason="there is no compiler for this machine")


@pytest.fixture
def code() -> bytes:
    """The object code of this version, compiled in the usual place where it is not there yet."""
    compiled()
    kept = object_code._kept()
    assert kept is not None
    return kept


@pytest.fixture
def folders(code, tmp_path, monkeypatch):
    """Two folders to keep it in: the one beside the program, and the user's own."""
    del code  # it is read from the usual places before there are others
    places = tmp_path / "program" / "__pycache__", tmp_path / "own" / "windowfall"
    monkeypatch.setattr(object_code, "_folders", lambda: places)
    return places


@pytest.fixture
def compilings(code, monkeypatch):
    """How often it was compiled; what that gives is the code that is known."""
    done = []

    def compiles():
        done.append(1)
        return code

    monkeypatch.setattr(object_code, "_compiled", compiles)
    return done


def dearest(kernels):
    """Return what the smallest of the kernels says of three sets, of which the second is the dearest."""
    return kernels["dearest"](array("q", (1, 0, 0, 2, 1, 1)), 3, array("q", (5, 7)), 2)


def test_what_was_compiled_is_kept_and_taken_the_next_time(folders, compilings):
    assert not object_code.is_kept()
    first = object_code.load()
    assert compilings == [1]
    assert object_code.is_kept()
    assert dearest(object_code.load()) == dearest(first) == 1
    assert compilings == [1]
    assert [path.parent for path in folders[0].parent.rglob("kernels-*")] == [folders[0]]
    assert not folders[1].exists()


@pytest.mark.parametrize("fault", ["cut off", "one byte", "empty", "another file", "a folder"])
def test_what_is_kept_is_not_taken_where_it_is_not_as_it_was_written(fault, folders, compilings):
    object_code.load()
    place = folders[0] / object_code._name()
    whole = place.read_bytes()
    if fault == "a folder":
        place.unlink()
        place.mkdir()
    else:
        changed = bytearray(whole)
        changed[len(whole) // 2] ^= 1
        place.write_bytes(
            {"cut off": whole[:-1], "one byte": bytes(changed), "empty": b"", "another file": b"PK\3\4"}[fault]
        )
    assert not object_code.is_kept()
    assert dearest(object_code.load()) == 1
    assert compilings == [1, 1]
    assert object_code.is_kept()
    if fault != "a folder":
        assert place.read_bytes() == whole


def test_where_nothing_can_be_kept_beside_the_program_the_users_own_folder_has_it(folders, compilings):
    folders[0].parent.mkdir()
    folders[0].write_text("no folder")
    object_code.load()
    assert object_code.is_kept()
    object_code.load()
    assert compilings == [1]
    assert [path.name for path in folders[1].iterdir()] == [object_code._name()]


def test_where_nothing_can_be_kept_at_all_it_is_compiled_once_in_each_process(folders, compilings):
    for folder in folders:
        folder.parent.mkdir()
        folder.write_text("no folder")
    compiled.cache_clear()
    assert prepare.at_hand() is interpreted()
    told = []
    assert prepare.prepared(lambda: told.append(1)) is prepare.prepared(lambda: told.append(2)) is prepare.at_hand()
    assert prepare.at_hand() is not interpreted()
    assert (compilings, told) == ([1], [1])


@pytest.mark.usefixtures("compilings")
def test_a_disk_that_is_full_leaves_what_was_kept(folders, monkeypatch):
    def full(self, data):
        with self.open("wb") as file:
            file.write(data[:100])
        raise OSError(28, "No space left on device")

    folders[0].mkdir(parents=True)
    (folders[0] / object_code._name()).write_bytes(b"damaged")
    monkeypatch.setattr(Path, "write_bytes", full)
    assert dearest(object_code.load()) == 1
    assert [path.read_bytes() for path in folders[0].iterdir()] == [b"damaged"]


@pytest.mark.usefixtures("compilings")
def test_other_versions_are_dropped_and_other_processors_are_not(folders):
    name = object_code._name()
    version, _, processor = name.rpartition("-")
    other = f"{version}-{'0' * len(processor)}"
    folders[0].mkdir(parents=True)
    for each in (f"kernels-{'0' * 16}-{processor}", other, "engine.cpython-311.pyc"):
        (folders[0] / each).write_bytes(b"of another time")
    object_code.load()
    assert {path.name for path in folders[0].iterdir()} == {name, other, "engine.cpython-311.pyc"}


@pytest.mark.parametrize("module", object_code._MODULES, ids=lambda module: module.__name__.rpartition(".")[2])
def test_it_is_another_version_where_a_file_of_kernels_changed(module, tmp_path, monkeypatch):
    before = object_code._name()
    changed = tmp_path / "kernels.py"
    changed.write_bytes(Path(module.__file__).read_bytes() + b"\n")
    monkeypatch.setattr(module, "__file__", str(changed))
    after = object_code._name.__wrapped__()
    assert before.rpartition("-")[0] != after.rpartition("-")[0]
    assert before.rpartition("-")[2] == after.rpartition("-")[2]


def test_the_kernels_run_without_the_compiler_and_without_numpy():
    """Loading those two takes longer than most plans."""
    compiled()
    script = (
        "import sys\n"
        "from array import array\n"
        "from nesting.packing.engine import compiled\n"
        "print(compiled().dearest(array('q', (1, 0, 0, 2, 1, 1)), 3, array('q', (5, 7)), 2))\n"
        "print(sorted({'numba', 'numpy'}.intersection(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, encoding="utf-8", check=True)
    assert done.stdout.split("\n") == ["1", "[]", ""]


@pytest.mark.parametrize(
    "given",
    [
        (array("i", (1, 2)), 2, array("q", (5, 7)), 2),
        (array("q", (1, 2)), 1 << 63, array("q", (5, 7)), 2),
        (array("q", (1, 2)), 2, [5, 7], 2),
        (array("q", (1, 2)), array("q", (2,)), array("q", (5, 7)), 2),
    ],
    ids=["32 bits", "too large", "a list", "an array for a number"],
)
def test_what_a_kernel_would_misread_is_refused(given):
    with pytest.raises(TypeError):
        compiled().dearest(*given)


def test_what_the_compiler_names_for_errors_is_there_and_what_the_system_has_is_not_replaced():
    module = llvm.parse_assembly(
        "declare i32 @PyErr_Clear()\ndeclare i64 @memset()\n@PyExc_SystemError = external global i8\n"
    )
    module.link_in(llvm.parse_assembly(object_code._never_reached(module)))
    outside = [each.name for each in (*module.functions, *module.global_variables) if each.is_declaration]
    assert sorted(outside) == ["llvm.trap", "memset"]


def test_every_kernel_of_an_engine_can_be_called_from_outside():
    kernels = {entry.kernel for entry in object_code.entries().values()}
    engine = interpreted()
    fields = (getattr(engine, name) for name in engine.__slots__)
    assert kernels == {field for field in fields if getattr(field, "__module__", "").endswith("_kernels")}
