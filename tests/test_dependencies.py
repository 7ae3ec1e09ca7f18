"""What is imported is declared, what is declared is used and has its reason, and the lowest versions can be told."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from importlib.metadata import distribution, entry_points
from pathlib import Path

import pytest

from lowest import comparable, declared

ROOT = Path(__file__).parents[1]
PROJECT = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
SECTION = PROJECT[PROJECT.index("\ndependencies = ["):PROJECT.index("\n[project.scripts]")]
LINES = re.findall(r'^ +"([\w.-]+)(?:\[\w+\])?(?:>=([\d.]+))?",(.*)$', SECTION, re.MULTILINE)
OF_THE_HOST = {"uno", "unohelper"}  # LibreOffice's own Python has them
IMPORTING = {"import_module", "find_spec"}  # called with the name of a module

RUNTIME = {each.name for each in declared() if not each.extra}
OPTIONAL = {each.name for each in declared() if each.extra not in ("", "test")}
FOR_TESTS = {each.name for each in declared() if each.extra == "test"} - OPTIONAL - RUNTIME


def _named(nodes: Iterator[ast.AST]) -> set[str]:
    """The modules that these nodes import, by the first part of their names."""
    names = set()
    for node in nodes:
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and not node.level:
            names.add(node.module or "")
        elif isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
            called = getattr(node.func, "id", getattr(node.func, "attr", "")).lstrip("_")
            if called in IMPORTING:
                names.add(str(node.args[0].value))
    return {name.partition(".")[0] for name in names}


@cache
def _imported(folder: str, at_start: bool = False) -> frozenset[str]:
    """The modules from elsewhere that the code of a folder imports; `at_start`: as soon as it is imported itself."""
    paths = sorted((ROOT / folder).rglob("*.py"))
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in paths]
    names = set().union(*(_named(iter(tree.body) if at_start else ast.walk(tree)) for tree in trees))
    own = {"pailbook"} if folder == "addin" else {name for path in paths for name in (path.stem, path.parent.name)}
    return frozenset(names - own - set(sys.stdlib_module_names) - OF_THE_HOST)


@cache
def _modules(package: str) -> frozenset[str]:
    """The modules that an installed package brings, by the first part of their names."""
    files = [path.parts for path in distribution(package).files or () if path.suffix in (".py", ".pyi", ".so", ".pyd")]
    return frozenset(parts[0].partition(".")[0] for parts in files if parts[0] != "..")


def _brought_by(packages: set[str]) -> set[str]:
    return set().union(*(_modules(package) for package in packages))


def test_the_installed_package_is_that_of_the_project_file() -> None:
    """Else the other tests here would judge what was installed before a change: pip install -e ".[test]"."""
    ours = {(comparable(name), lowest) for name, lowest, _ in LINES if name != "pailbook"}
    assert ours == {(each.name, each.lowest) for each in declared()}


def test_each_has_its_reason_beside_it() -> None:
    assert len(LINES) == len(re.findall(r'^ +"', SECTION, re.MULTILINE))
    assert not [name for name, _, rest in LINES if not re.fullmatch(r"  # \S.*", rest)]


def test_each_has_a_lowest_version_but_stubs() -> None:
    without = {each.name for each in declared() if not each.lowest}
    assert all(module.endswith("-stubs") for package in without for module in _modules(package))


def test_what_the_package_imports_is_declared() -> None:
    assert _imported("addin") <= _brought_by(RUNTIME | OPTIONAL)


def test_what_it_imports_at_its_start_is_always_there() -> None:
    assert _imported("addin", at_start=True) <= _brought_by(RUNTIME)


@pytest.mark.parametrize("package", sorted(RUNTIME | OPTIONAL))
def test_what_is_declared_is_imported(package: str) -> None:
    assert _modules(package) & _imported("addin")


def test_what_the_tests_import_is_declared() -> None:
    assert _imported("tests") - {"pailbook"} <= _brought_by(RUNTIME | OPTIONAL | FOR_TESTS)


@pytest.mark.parametrize("package", sorted(FOR_TESTS))
def test_what_is_declared_for_the_tests_serves_them(package: str) -> None:
    """It is imported, has a table in the project file, extends pytest, builds, or holds types of what is imported."""
    imported = _imported("tests") | _imported("addin")
    plugins = {comparable(point.dist.name) for point in entry_points(group="pytest11") if point.dist}
    stubs = {module.removesuffix("-stubs") for module in _modules(package) if module.endswith("-stubs")}
    requires = re.search(r"^requires = (.*)$", PROJECT, re.MULTILINE)
    assert requires is not None
    assert (
        _modules(package) & imported or package in plugins or stubs & imported
        or re.search(rf"^\[tool\.{package}\b", PROJECT, re.MULTILINE)
        or package in re.findall(r"[\w-]+", requires[1])
    )


def test_the_build_backend_is_that_of_the_tests() -> None:
    build_with = re.search(r'^requires = \["(\S+)"\]', PROJECT, re.MULTILINE)
    assert build_with is not None
    assert f'    "{build_with[1]}",' in SECTION


def test_the_lowest_versions_are_told_as_constraints() -> None:
    done = subprocess.run([sys.executable, ROOT / "tests" / "lowest.py"], capture_output=True, text=True, check=True)
    told = done.stdout.splitlines()
    assert set(told) == {f"{comparable(name)}=={lowest}" for name, lowest, _ in LINES if lowest}
    assert len(told) == len(set(told))
