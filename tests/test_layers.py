"""Imports run one way: each layer knows only itself and the layers above it in this list."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
LAYERS = (
    ("nesting.data", "nesting.geometry", "nesting.signs", "nesting.spelling"),
    ("nesting.errors",),
    ("nesting.model",),
    ("nesting.lengths", "nesting.money"),
    ("nesting.identity", "nesting.names", "nesting.offers", "nesting.sizing"),
    ("nesting.reading", "nesting.options"),
    ("nesting.packing",),
    ("nesting.to_instance", "nesting.from_solution", "nesting.costing", "nesting.shortfall"),
    ("nesting.check",),
    ("nesting.ahead", "nesting.plan", "nesting.chosen"),
    ("nesting.plan_selection",),
    ("nesting.foresight",),
    ("nesting.bench",),
    ("nesting.plan_file",),
    ("nesting.shelf",),
    ("nesting.scenarios", "nesting.pairing"),
    ("nesting.drawing", "nesting.frames"),
    ("nesting.pictures", "nesting.row_by_row"),
    ("nesting",),
    ("cli.plain", "cli.seconds"),
    ("cli.progress", "cli.teaching", "cli.reports", "cli.blank_job"),
    ("cli.desk",),
    ("cli.commands",),
    ("cli.main",),
    ("cli.entry", "cli"),
)
PLACE = {name: place for place, names in enumerate(LAYERS) for name in names}


def called(path):
    return re.sub(r"\.__init__$", "", ".".join(path.relative_to(ROOT).with_suffix("").parts))


FILES = {called(path): path for top in ("nesting", "cli") for path in sorted((ROOT / top).rglob("*.py"))}


def layer(module):
    """Return the longest name in the list that a module is or lies in."""
    parts = module.split(".")
    names = (".".join(parts[:count]) for count in range(len(parts), 0, -1))
    return next(name for name in names if name in PLACE and (name not in ("nesting", "cli") or name == module))


def imported(module):
    """Yield every module of the project that a module imports, also inside a function or for its types alone."""
    for node in ast.walk(ast.parse(FILES[module].read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        else:
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        yield from (name for name in names if name in FILES and name not in (module, "nesting", "cli"))


def backwards(module):
    return [name for name in imported(module) if PLACE[layer(name)] > PLACE[layer(module)]]


@pytest.mark.parametrize("module", FILES)
def test_no_import_runs_back(module):
    assert backwards(module) == []


@pytest.mark.parametrize("module", FILES)
def test_no_import_is_relative_for_these_tests_would_not_see_it(module):
    nodes = ast.walk(ast.parse(FILES[module].read_text(encoding="utf-8")))
    assert not [node.module for node in nodes if isinstance(node, ast.ImportFrom) and node.level]


def test_modules_import_each_other_in_no_circle():
    left = {module: set(imported(module)) for module in FILES}
    while free := [module for module, needed in left.items() if not needed & set(left)]:
        for module in free:
            del left[module]
    assert sorted(left) == []


def test_the_solver_knows_whole_numbers_and_the_cut_tree_and_nothing_of_mats_or_money():
    known = {"nesting.geometry", "nesting.model.cut_tree", "nesting.model.sides", "nesting.model.status"}
    solver = {module for module in FILES if layer(module) == "nesting.packing"}
    needed = {name for module in solver for name in imported(module)}
    assert needed - solver - {"nesting.model"} == known


def test_every_layer_is_there():
    assert [name for name in PLACE if name not in FILES] == []


def test_an_import_that_runs_back_is_seen():
    assert "nesting.packing.solve" in imported("nesting.plan")
    assert PLACE[layer("cli.commands.plan")] > PLACE[layer("nesting.plan")] > PLACE[layer("nesting.packing.solve")]
