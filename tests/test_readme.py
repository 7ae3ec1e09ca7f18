"""The README is true: its commands, functions, files and options are there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.main import get_command

import pailbook.cli as _enters_the_commands  # noqa: F401
import pailbook.functions as _fills_the_catalogue  # noqa: F401
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


def test_every_function_is_named_and_none_that_is_not_there() -> None:
    table = README[README.index("| subject | functions |"):]
    named = set(re.findall(r"\b[A-Z][A-Z0-9]*_[A-Z0-9_]+\b|\b(?:LOADING|TURNOVER)\b", table[: table.index("\n\n")]))
    assert named == set(CATALOGUE)


@pytest.mark.parametrize("target", sorted(set(re.findall(r"\]\(([^)#:]+)\)", README))))
def test_links_and_pictures_lead_somewhere(target: str) -> None:
    assert (ROOT / target).exists()


def test_commands_and_options_are_there() -> None:
    commands = get_command(app).commands  # type: ignore[attr-defined]
    shown = re.findall(r"^pailbook (\S+)|`pailbook (\S+?)[ `]", README, re.MULTILINE)
    for command in {first or second for first, second in shown}:
        assert command in commands, command
    every = [c for command in commands.values() for c in (command, *getattr(command, "commands", {}).values())]
    options = {name for command in every for p in command.params for name in (*p.opts, *p.secondary_opts)}
    for option in set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", README)) - {"--units", "--long"}:  # the last is pytest's
        assert option in options, option


@pytest.mark.parametrize("name", sorted(WORKBOOKS))
def test_every_workbook_is_named(name: str) -> None:
    assert name in README
