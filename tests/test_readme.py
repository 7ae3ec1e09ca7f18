"""The README is true: its commands, functions, files and options are there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.main import get_command

import pailbook.cli as _enters_the_commands  # noqa: F401
import rebuild
from pailbook.commands.app import app
from pailbook.function import CATALOGUE
from pailbook.workbook.templates import WORKBOOKS

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_it_begins_with_the_job_in_one_paragraph() -> None:
    title, paragraph, *_ = README.split("\n\n")
    assert title == "# Pailbook"
    assert len(paragraph) > 300
    assert not paragraph.startswith("#")


def test_its_table_of_functions_is_current() -> None:
    """Made anew by: python tests/rebuild.py."""
    assert rebuild.table_in(README) == rebuild.functions_table()
    assert all(f" {name}" in rebuild.functions_table() for name in CATALOGUE)


@pytest.mark.parametrize("target", sorted(set(re.findall(r"\]\(([^)#:]+)\)", README))))
def test_links_and_pictures_lead_somewhere(target: str) -> None:
    assert (ROOT / target).exists()


def test_commands_and_options_are_there() -> None:
    commands = get_command(app).commands  # type: ignore[attr-defined]
    shown = re.findall(r"^pailbook ([a-z]\S*)|`pailbook ([a-z]\S*?)[ `]", README, re.MULTILINE)
    for command in {first or second for first, second in shown}:
        assert command in commands, command
    every = [c for command in commands.values() for c in (command, *getattr(command, "commands", {}).values())]
    options = {name for command in every for p in command.params for name in (*p.opts, *p.secondary_opts)}
    own = {"--help", "--long"}  # every command has the one; the other is pytest's
    for option in set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", README)) - own:
        assert option in options, option


@pytest.mark.parametrize("name", sorted(WORKBOOKS))
def test_every_workbook_is_named(name: str) -> None:
    assert name in README


def test_the_tree_for_developers_names_every_package_and_top_module() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    tree = guide[guide.index("## Where things are"):guide.index("Imports run one way")]
    package = ROOT / "addin" / "pailbook"
    modules = {path.stem for path in package.glob("[!_]*.py")}
    packages = {path.parent.name for path in package.rglob("__init__.py")}
    assert {name for name in modules | packages if not re.search(rf"\b{name}\b", tree)} == set()
    for name in re.findall(r"^ +(\w+\.py|[\w/ ]+/)  ", tree, re.MULTILINE):
        for one in name.split():
            assert any(ROOT.rglob(one.rstrip("/"))), one
