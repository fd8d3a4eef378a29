"""The wheel: it runs on what it declares alone, and declares it within bounds."""

import subprocess
import sys
import tomllib
from importlib.metadata import distribution, packages_distributions
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

import nesting
from nesting.data import data_path

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
RUN_TIME = PROJECT["project"]["dependencies"]
EXTRAS = [text for extra in PROJECT["project"]["optional-dependencies"].values() for text in extra]

# Nothing but the wheel and what it needs can be loaded by a program that begins like this.
BARE = """
import importlib.abc, sys

class Refusal(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in {refused!r}:
            raise ModuleNotFoundError(f"{{name}} is not among what the wheel declares", name=name)

sys.meta_path.insert(0, Refusal())
sys.path.insert(0, {site!r})
"""
COMMANDS = """
import nesting, cli.main

print(nesting.__file__)
LINES = "demo --copy wall|check wall|plan wall --seconds 1 --out report|start new.xlsx|check new.xlsx"
for words in LINES.split("|"):
    code = cli.main.run(words.split())
    if code:
        sys.exit(f"windowfall {words}: {code}")
"""


def applies(requirement):
    return requirement.marker is None or requirement.marker.evaluate({"extra": ""})


def needed(requirements):
    """Return the names of all distributions that some requirements bring, and those that they bring in turn."""
    names, waiting = set(), [Requirement(text) for text in requirements]
    while waiting:
        requirement = waiting.pop()
        name = canonicalize_name(requirement.name)
        if applies(requirement) and name not in names:
            names.add(name)
            waiting += [Requirement(text) for text in distribution(name).requires or ()]
    return names


def not_declared():
    """Return the modules that are installed here for tests and tools alone."""
    names = needed(RUN_TIME) | {PROJECT["project"]["name"]}
    return sorted(
        module
        for module, brought_by in packages_distributions().items()
        if module not in sys.stdlib_module_names and names.isdisjoint(canonicalize_name(name) for name in brought_by)
    )


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """Install a wheel of the project where nothing else is."""
    place = tmp_path_factory.mktemp("wheel")

    def pip(*arguments):
        subprocess.run(
            [sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet", *arguments], check=True, cwd=place
        )

    pip("wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", str(place), str(ROOT))
    wheel = next(place.glob("windowfall-*.whl"))
    pip("install", "--no-deps", "--no-compile", "--target", str(place / "site"), str(wheel))
    return place / "site"


def run_bare(site, program, folder):
    return subprocess.run(
        [sys.executable, "-P", "-c", BARE.format(refused=not_declared(), site=str(site)) + program],
        check=False,
        cwd=folder,
        capture_output=True,
        text=True,
        encoding="utf-8",
    )


def test_an_installed_wheel_runs_on_what_it_declares_and_brings_the_demonstration(site, tmp_path):
    done = run_bare(site, COMMANDS, tmp_path)
    assert done.returncode == 0, done.stderr
    assert str(site) in done.stdout
    assert "Sea holly" in done.stdout
    assert "example: postcard" in done.stdout
    assert sorted(path.name for path in (tmp_path / "wall").iterdir()) == sorted(
        path.name for path in data_path("demo").glob("*.csv")
    )
    assert (tmp_path / "report" / "plan.html").read_text(encoding="utf-8").rstrip().endswith("</html>")
    assert (tmp_path / "report" / "plan.pdf").read_bytes().startswith(b"%PDF")


def test_what_only_the_tests_need_is_out_of_its_reach(site, tmp_path):
    done = run_bare(site, "import pytest", tmp_path)
    assert done.returncode == 1
    assert "pytest is not among what the wheel declares" in done.stderr


def test_it_says_its_version_and_brings_its_licence_and_its_types(site):
    (about,) = site.glob("windowfall-*.dist-info")
    written = (about / "METADATA").read_text(encoding="utf-8")
    assert f"\nVersion: {nesting.__version__}\n" in written
    assert "\nLicense-Expression: MIT\nLicense-File: LICENSE\n" in written
    assert (about / "licenses" / "LICENSE").read_bytes() == (ROOT / "LICENSE").read_bytes()
    assert (site / "nesting" / "py.typed").exists()
    assert (site / "nesting" / "__init__.pyi").exists()


def test_the_version_stands_in_one_place():
    assert "version" not in PROJECT["project"]
    sources = [ROOT / "pyproject.toml", *(ROOT / "nesting").rglob("*.py"), *(ROOT / "cli").rglob("*.py")]
    told = [path for path in sources if nesting.__version__ in path.read_text(encoding="utf-8")]
    assert told == [ROOT / "nesting" / "__init__.py"]


@pytest.mark.parametrize("text", [*PROJECT["build-system"]["requires"], *RUN_TIME, *EXTRAS])
def test_every_dependency_is_bounded_below_and_above(text):
    signs = {bound.operator for bound in Requirement(text).specifier}
    assert signs == {">=", "<"}, text
