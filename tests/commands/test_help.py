"""The help of every command: complete, in one order, in one voice, within a terminal of 80 columns."""

from __future__ import annotations

import itertools
import re
import shlex
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from typer.main import get_command

import pailbook.cli as _enters_the_commands  # noqa: F401
from command_line import Run
from pailbook.commands.app import app
from pailbook.commands.help import SECTIONS
from pailbook.hosts.look import STATES
from pailbook.workbook.recalc import ALL_ENGINES
from pailbook.workbook.templates import WORKBOOKS

WIDTH = 80
README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def _each(command: Any, words: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    yield words, command
    for name, inner in getattr(command, "commands", {}).items():
        yield from _each(inner, (*words, name))


COMMANDS = dict(_each(get_command(app)))
PLAIN = {words: command for words, command in COMMANDS.items() if not hasattr(command, "commands")}
each = pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
each_plain = pytest.mark.parametrize("words", PLAIN, ids=" ".join)


@pytest.fixture(autouse=True)
def _narrow(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(WIDTH))


def test_commands_are_listed_in_the_order_of_use(run: Run) -> None:
    _, out, _ = run("--help")
    places = [out.index(f"{section}:\n") for section in SECTIONS]
    assert places == sorted(places)
    used = ["new", "import", "recalc", "check", "share", "functions", "install"]
    places = [re.search(rf"^  {name} ", out, re.MULTILINE).start() for name in used]  # type: ignore[union-attr]
    assert places == sorted(places)
    assert all(f"\n  {words[0]} " in out for words in COMMANDS if len(words) == 1)


@pytest.mark.parametrize("arguments", [(), ("install",)])
def test_without_a_command_the_help_is_shown(arguments: tuple[str, ...], run: Run) -> None:
    assert run(*arguments) == run(*arguments, "--help") == run(*arguments, "-h")
    assert run(*arguments).code == 0


def test_the_exit_codes_are_given_once(run: Run) -> None:
    pages = {words: run(*words, "--help").out for words in COMMANDS}
    assert [words for words, page in pages.items() if "Exit codes" in page] == [()]
    for code in (0, 1, 2, 130):
        assert re.search(rf"^  {code} ", pages[()], re.MULTILINE)


@each
def test_a_help_fits_and_cuts_nothing_off(words: tuple[str, ...], run: Run) -> None:
    code, out, err = run(*words, "--help")
    assert (code, err) == (0, "")
    assert out.startswith(f"Usage: {' '.join(('pailbook', *words))} ")
    assert "..." not in out.replace(" ...]", "")
    assert not re.search(r"<[a-z]|\[required|\[default|list\[|\{", out), "a type of Python's"
    assert [line for line in out.splitlines() if len(line) > WIDTH] == []
    summary = COMMANDS[words].help.split("\n\n")[0]
    assert summary.endswith(".")
    assert len(summary) < WIDTH - 10 or not words, "the list of commands would wrap it"
    assert not set("'\"`$") & set(summary), "shells offer it behind Tab"


@each
def test_every_argument_and_option_says_what_it_is(words: tuple[str, ...]) -> None:
    for parameter in COMMANDS[words].params:
        assert re.fullmatch(r"([A-Z{].*)?[a-z.})].*\.( .*\.)?", parameter.help, re.DOTALL), parameter.name
        if not getattr(parameter, "is_flag", False):
            assert re.fullmatch(r'[A-Z]+|[A-Z]+=[A-Z]+|"[A-Z]+=[A-Z]+"', parameter.metavar), parameter.name


@each_plain
def test_examples_can_be_typed(words: tuple[str, ...], run: Run) -> None:
    """Every option in them is there, every argument that is needed is given."""
    shown = COMMANDS[words].epilog.split("\n\n")[0].splitlines()[1:]
    assert shown
    for line in shown:
        program, *typed = shlex.split(line, comments=False)
        assert program == "pailbook"
        typed = list(itertools.takewhile(lambda word: not word.startswith(">"), typed))
        assert tuple(typed[: len(words)]) == words
        context = COMMANDS[words].make_context("x", typed[len(words):], resilient_parsing=False)
        assert context.args == []


def test_one_name_is_described_in_one_way() -> None:
    """An option of several commands has one help; those that say what is written there differ by right."""
    helps: dict[str, set[str]] = defaultdict(set)
    metavars: dict[str, set[str | None]] = defaultdict(set)
    for command in COMMANDS.values():
        for parameter in command.params:
            if parameter.param_type_name == "option":
                helps[parameter.opts[-1]].add(parameter.help)
                metavars[parameter.opts[-1]].add(parameter.metavar)
    differing = {name for name, texts in helps.items() if len(texts) > 1}
    assert differing == {"--output", "--build", "--all", "--client"}
    assert {name for name, one in metavars.items() if len(one) > 1} == {"--build"}


def test_choices_are_listed(run: Run) -> None:
    page = " ".join(run("new", "--help").out.split()).replace("- ", "-")
    assert ", ".join(WORKBOOKS) in page
    assert "metric, us" in page
    engines = " ".join(run("recalc", "--help").out.split())
    assert all(re.search(rf"\b{name}\b", engines) for name in ALL_ENGINES)
    assert "point, comma" in run("daily", "--help").out
    fields = " ".join(run("import", "--help").out.split())
    assert "phosphate, alkalinity, hardness, conductivity" in fields
    ready = run("ready", "--help").out
    assert all(re.search(rf"^  {word} +{re.escape(text)}$", ready, re.MULTILINE) for word, text in STATES.items())


def test_nothing_is_coloured_and_nothing_depends_on_the_terminal(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    plain = run("--help").out
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert run("--help").out == plain
    assert "\x1b[" not in plain
