"""Every public name is documented, in the form of the house."""

import ast
import re
from pathlib import Path

import pytest

import nesting

ROOT = Path(__file__).parent.parent
MODULES = sorted([*(ROOT / "nesting").rglob("*.py"), *(ROOT / "cli").rglob("*.py")])
HOMES = sorted(set(nesting._HOMES.values()) - {"nesting", "nesting.errors"})
FACE = [ROOT / f"{home.replace('.', '/')}.py" for home in HOMES]
FACE += [ROOT / "nesting" / "pictures.py", *sorted((ROOT / "nesting" / "frames").glob("of_*.py"))]


def called(path):
    return path.relative_to(ROOT).as_posix()


def listed(tree):
    """Return the names in ``__all__``; none where a module has none, or takes them from its stub."""
    named = [node for node in tree.body if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"]
    return ast.literal_eval(named[0].value) if named and isinstance(named[0].value, ast.List) else []


def defined(tree):
    return [node for node in tree.body if isinstance(node, ast.FunctionDef | ast.ClassDef)]


def is_inside(path, node, tree):
    """Whether a part of compiled loops that only they call, or a command that its group has."""
    is_part = path.stem.endswith("kernels") or any(".command(" in ast.unparse(its) for its in node.decorator_list)
    return is_part and node.name not in listed(tree)


def constants(tree):
    """Return the constants that a module lists, each with the line it begins on and what follows it."""
    following = [*tree.body[1:], None]
    for node, after in zip(tree.body, following, strict=True):
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) in listed(tree):
            yield node, after


def members(node):
    """Return a public definition and, of a class, its public methods and properties."""
    inner = node.body if isinstance(node, ast.ClassDef) else []
    return [node, *(its for its in inner if isinstance(its, ast.FunctionDef) and not its.name.startswith("_"))]


def section(text, title):
    """Return what stands below a heading of a description, up to the next one."""
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[\w ]*\n-+$|\Z)", text, re.DOTALL | re.MULTILINE)
    return found[1] if found else ""


def arguments(node):
    return [its.arg for its in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)]


def gives(node):
    return node.returns is not None and ast.unparse(node.returns) != "None"


@pytest.mark.parametrize("path", MODULES, ids=called)
def test_every_public_name_is_listed_and_described(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    public = [node for node in defined(tree) if not node.name.startswith("_") and not is_inside(path, node, tree)]
    assert {node.name for node in public} <= set(listed(tree))
    for node in (its for one in public for its in members(one)):
        first = (ast.get_docstring(node) or "").split("\n\n")[0]
        assert first.endswith("."), f"{node.name} is not described in a sentence"


@pytest.mark.parametrize("path", [path for path in MODULES if not path.stem.endswith("kernels")], ids=called)
def test_every_public_constant_is_described(path):
    text = path.read_text(encoding="utf-8")
    for node, after in constants(ast.parse(text)):
        below = isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
        above = text.splitlines()[node.lineno - 2].startswith("#")
        assert below or above, ast.unparse(node.targets[0])


@pytest.mark.parametrize("path", [path for path in MODULES if not path.stem.endswith("kernels")], ids=called)
def test_a_description_with_parameters_says_what_comes_back(path):
    for node in defined(ast.parse(path.read_text(encoding="utf-8"))):
        text = ast.get_docstring(node) or ""
        if isinstance(node, ast.FunctionDef) and section(text, "Parameters"):
            assert section(text, "Returns") or section(text, "Yields") or not gives(node), node.name


@pytest.mark.parametrize("path", FACE, ids=called)
def test_what_other_programs_call_is_described_in_full(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    faced = {*nesting.__all__, *nesting.frames.__all__, *nesting.pictures.__all__}
    functions = [node for node in defined(tree) if isinstance(node, ast.FunctionDef) and node.name in faced]
    for node in functions:
        text = ast.get_docstring(node) or ""
        told = re.findall(r"^(\w[\w, ]*) : ", section(text, "Parameters"), re.MULTILINE)
        assert [name for names in told for name in names.split(", ")] == arguments(node), node.name
        assert section(text, "Returns"), node.name
        raised = re.findall(r"raise (\w+)\(", ast.unparse(node))
        assert [name for name in raised if name not in section(text, "Raises")] == [], node.name
