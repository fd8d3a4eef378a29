"""`import nesting`: everything by name, nothing loaded before it is used."""

import importlib
import re
import subprocess
import sys
from pathlib import Path

import pytest

import nesting
from nesting import errors

ROOT = Path(__file__).parent.parent
HEAVY = ("pandas", "numpy", "ortools", "numba", "openpyxl", "pint", "reportlab", "jinja2")


def loaded_after(code):
    """Return which heavy packages and rooms of the library a fresh interpreter has loaded."""
    say = "import sys; print(*sorted(sys.modules))"
    run = subprocess.run([sys.executable, "-c", f"{code}; {say}"], cwd=ROOT, capture_output=True, text=True, check=True)
    return {name for name in run.stdout.split() if name in HEAVY or name.startswith("nesting.")}


@pytest.mark.parametrize("name", nesting.__all__)
def test_every_name_is_there(name):
    assert getattr(nesting, name) is not None
    assert name in dir(nesting)


def test_what_is_named_is_the_thing_itself():
    for name, home in nesting._HOMES.items():
        assert getattr(nesting, name) is getattr(importlib.import_module(home), name)


def test_each_public_name_is_listed_once():
    stub = (ROOT / "nesting" / "__init__.pyi").read_text(encoding="utf-8")
    code = (ROOT / "nesting" / "__init__.py").read_text(encoding="utf-8").split('"""', 2)[2]
    for name in nesting.__all__:
        assert len(re.findall(rf"^from \S+ import {name} as {name}$", stub, re.MULTILINE)) == 1
        assert not re.search(rf"\b{name}\b", code)


def test_every_error_is_there():
    kinds = {name for name in errors.__all__ if isinstance(getattr(errors, name), type)}
    assert "JobError" in kinds
    assert kinds <= set(nesting.__all__)


def test_a_name_that_is_not_there_is_said():
    with pytest.raises(AttributeError, match="module 'nesting' has no attribute 'nonsense'"):
        _ = nesting.nonsense


def test_nothing_is_loaded_before_it_is_used():
    assert loaded_after("import nesting") == set()


def test_an_error_alone_loads_nothing_heavy():
    assert loaded_after("from nesting import JobError") == {"nesting.errors", "nesting.spelling"}


def test_help_loads_nothing_heavy():
    code = "import contextlib, io; from cli.main import windowfall\nwith contextlib.redirect_stdout(io.StringIO()):\n"
    code += "    windowfall(['--help'], standalone_mode=False)\npass"
    assert not loaded_after(code) & set(HEAVY)
