"""Imports run one way, modules stay small, and what ships inside LibreOffice runs on any Python from 3.9 on, alone."""

from __future__ import annotations

import ast
import builtins
import json
import subprocess
import sys
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

from thorough import each

PACKAGE = Path(__file__).parents[1] / "addin" / "pailbook"
LONGEST_MODULE = 450  # lines

# What each part may import besides itself, from the bottom up; all judge a call by the one policy of hosts.call.
BASE = {"terms", "outcomes", "values", "texts", "ops", "sources", "quantity", "quantities", "function"}
HOSTS = BASE | {"files", "nearest", "rounding", "functions", "hosts.call", "hosts.cells", "formula"}
WORKBOOK = HOSTS | {"rules", "hosts", ""}
MAY_IMPORT: dict[str, set[str]] = {
    "terms": set(),
    "outcomes": set(),
    "sources": {"terms"},
    "quantity": set(),
    "values": {"outcomes"},
    "texts": {"outcomes", "values"},
    "ops": {"outcomes", "values", "texts"},
    "quantities": {"terms", "quantity"},
    "function": {"quantity", "sources"},
    "functions": BASE,
    "files": {"outcomes"},
    "nearest": set(),
    "rounding": set(),
    "hosts.call": BASE,
    "hosts.cells": set(),
    "formula": BASE | {"hosts.call"},
    "rules": BASE | {"rounding", "hosts.call", "hosts.cells", "formula"},
    "hosts": HOSTS | {""},  # the package itself has the version
    "workbook": WORKBOOK,
    "terminal": WORKBOOK | {"workbook"},
    "visit_report": WORKBOOK | {"workbook"},
    "demo": WORKBOOK | {"workbook", "terminal", "visit_report"},
    "readiness": WORKBOOK,
    "commands": WORKBOOK | {"readiness", "workbook", "terminal", "visit_report", "demo"},
    "cli": BASE | {"files", "commands"},
    "__main__": {"cli"},
}
SHIPPED_IN_LIBREOFFICE = BASE | {
    "", "hosts", "functions", "hosts.call", "hosts.calc", "hosts.calc.adapter", "hosts.calc.component",
    "hosts.calc.interface", "hosts.calc.wizard",
}


@cache
def _modules() -> dict[str, Path]:
    """Every module by its name within the package; the package itself is ""."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def _tree(module: str) -> ast.Module:
    return ast.parse(_modules()[module].read_text(encoding="utf-8"))


def _imports(module: str, top_level_alone: bool = False) -> set[str]:
    """The modules that it imports: those of the package by their name within it, others as they are."""
    names = set()
    tree = _tree(module)
    for node in tree.body if top_level_alone else ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: imports are written in full"
            assert node.module is not None
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                is_module = node.module.startswith("pailbook") and inner.removeprefix("pailbook.") in _modules()
                names.add(inner if is_module else node.module)
    return names


def _own(names: set[str]) -> set[str]:
    return {name.removeprefix("pailbook").removeprefix(".") for name in names if name.split(".")[0] == "pailbook"}


def _part(module: str) -> str:
    return module if module in MAY_IMPORT else module.split(".")[0]


def _is_shipped(module: str) -> bool:
    return module in SHIPPED_IN_LIBREOFFICE or module.startswith("functions.")


each_module = each("module", [name for name in _modules() if name])
each_shipped_module = each("module", [name for name in _modules() if _is_shipped(name)])


@each_module
def test_imports_run_one_way(module: str) -> None:
    part = _part(module)
    assert part in MAY_IMPORT, f"{module}: where does it belong?"
    for other in _own(_imports(module)):
        if _part(other) != part:
            assert _part(other) in MAY_IMPORT[part], f"{module} imports {other}"


def test_there_is_no_circle() -> None:
    graph = {module: _own(_imports(module)) - {""} for module in _modules() if module}
    assert len(list(TopologicalSorter(graph).static_order())) >= len(graph)


@each_module
def test_modules_are_small(module: str) -> None:
    lines = _modules()[module].read_text(encoding="utf-8").count("\n")
    assert lines <= LONGEST_MODULE, f"{module} has {lines} lines"


@each_module
def test_modules_say_what_they_are_for(module: str) -> None:
    tree = _tree(module)
    assert not tree.body or ast.get_docstring(tree)


def test_no_module_of_functions_is_forgotten() -> None:
    """One that functions/__init__.py does not import would be missing from every host."""
    declaring = {module for module, path in _modules().items()
                 if module.startswith("functions.") and "@worksheet_function(" in path.read_text(encoding="utf-8")}
    assert len(declaring) >= 29
    assert declaring == _own(_imports("functions"))


# What ships inside LibreOffice -------------------------------------------------------------------------


@each_shipped_module
def test_shipped_modules_import_the_standard_library_alone(module: str) -> None:
    foreign = {name for name in _imports(module) if name.split(".")[0] not in {*sys.stdlib_module_names, "pailbook"}}
    assert foreign <= ({"numpy"} if module == "values" else set()), foreign
    at_top = _imports(module, top_level_alone=True)
    assert "numpy" not in at_top
    assert all(map(_is_shipped, _own(at_top)))


@each_shipped_module
def test_shipped_modules_parse_as_python_3_9(module: str) -> None:
    ast.parse(_modules()[module].read_text(encoding="utf-8"), feature_version=(3, 9))


TYPES = {name for name in dir(builtins) if isinstance(getattr(builtins, name), type)} | {"Any", "None"}
SINCE_3_10 = {
    "pairwise", "bit_count", "aiter", "anext", "StrEnum", "TypeAlias", "ParamSpec", "Self", "slots", "kw_only",
}


@each_shipped_module
def test_shipped_modules_use_nothing_newer_than_python_3_9(module: str) -> None:
    tree = _tree(module)
    assert not tree.body or any(
        isinstance(node, ast.ImportFrom) and node.module == "__future__" for node in tree.body
    ) or not any(isinstance(node, ast.FunctionDef) for node in ast.walk(tree)), "annotations must not be evaluated"
    annotations = {
        id(inner) for node in ast.walk(tree) for annotation in _annotations(node) for inner in ast.walk(annotation)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.BitOr) and id(node) not in annotations:
            assert not _is_type(node.left), f"{module}:{node.lineno} joins types at run time"
            assert not _is_type(node.right), f"{module}:{node.lineno} joins types at run time"
        if isinstance(node, ast.Call):
            newer = {keyword.arg for keyword in node.keywords} & (SINCE_3_10 | {"strict"})
            assert not newer, f"{module}:{node.lineno} {newer}"
        if isinstance(node, (ast.Name, ast.Attribute)):
            assert (node.id if isinstance(node, ast.Name) else node.attr) not in SINCE_3_10, f"{module}:{node.lineno}"
        if isinstance(node, ast.FunctionDef) and node.decorator_list and module.startswith("functions."):
            # The decorator evaluates these hints.
            assert not any(isinstance(inner, ast.BinOp) for hint in _annotations(node) for inner in ast.walk(hint))


def _annotations(node: ast.AST) -> list[ast.expr]:
    if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
        every = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs, node.args.vararg, node.args.kwarg]
        hints = [argument.annotation for argument in every if argument is not None]
        return [hint for hint in (*hints, node.returns) if hint is not None]
    return [node.annotation] if isinstance(node, ast.AnnAssign) else []


def _is_type(node: ast.expr) -> bool:
    if isinstance(node, ast.Constant):
        return node.value is None
    return getattr(node, "id", getattr(node, "attr", "")) in TYPES


def test_shipped_modules_run_without_anything_else() -> None:
    """In a Python without site-packages: every function works out its example, and NumPy is not asked for."""
    program = """
import json, sys
import pailbook.functions
from pailbook.function import CATALOGUE
from pailbook.hosts.call import call, spread

json.dump({
    "values": {name: call(function, function.example) for name, function in CATALOGUE.items()},
    "foreign": sorted({m.split(".")[0] for m in sys.modules} - set(sys.stdlib_module_names) - {"__main__"}),
    "extras": [m for m in sys.modules if m.startswith("pailbook.hosts.") and m != "pailbook.hosts.call"],
}, sys.stdout)
"""
    done = subprocess.run(
        [sys.executable, "-S", "-B", "-c", program], capture_output=True, text=True, check=False, cwd=PACKAGE.parent,
        env={"PYTHONPATH": str(PACKAGE.parent), "PYTHONUTF8": "1"}, timeout=60,
    )
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["foreign"] == ["pailbook"]
    assert told["extras"] == []
    assert len(told["values"]) >= 86
    assert all(isinstance(value, (float, str)) for value in told["values"].values())
