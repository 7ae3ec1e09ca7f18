"""Plain forms by the pattern of a call: calculated once, and filled in for each call that only has other cells.

A log calls the same function in every row, on the cells of that row. What a plain form looks like depends on which
arguments are cells and which are constants, not on which cells they are.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from pailbook.formula.arguments import Cells, check_count
from pailbook.formula.steps import steps_of
from pailbook.formula.trace import trace
from pailbook.formula.tree import NotTraceable, Reference
from pailbook.formula.write import ATOM, text_of, write
from pailbook.function import CATALOGUE, WorksheetFunction

MOST_CELLS = 2000  # that a range may have which a function takes whole

_WIDTH = 12  # characters of an average address, so that lengths are judged as if one stood there
_ARGUMENT = re.compile("\1 *([0-9]+)(?:\\.([0-9]+))?\1")
_STEP = re.compile("\1 *s([0-9]+)\1")


@dataclass(frozen=True)
class Address:
    """An argument that is a cell, as text, or an expression that stands for a single value."""

    text: str
    atom: bool = True  # a cell, which needs no brackets


@dataclass(frozen=True)
class Series:
    """An argument that is a range and taken whole: its text, and the text of each of its cells, row by row."""

    text: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Constant:
    """An argument that is a number, a text or a truth value."""

    value: Any


Given = Address | Series | Constant | None  # None: left out


def in_line(function: WorksheetFunction, arguments: Sequence[Given]) -> tuple[str, bool] | None:
    """The plain form of a call in one formula, and whether it needs no brackets; None where it must be in steps.

    Raises
    ------
    NotTraceable
        When there are too many arguments.
    """
    found = _in_line(function.name, _pattern(function, arguments))
    return found and (_filled(found[0], arguments), found[1])


def in_cells(function: WorksheetFunction, arguments: Sequence[Given], place: Callable[[str], str]) -> str:
    """The plain form of a call, its intermediate values put into cells; see `formula.steps.plain_steps`.

    Raises
    ------
    NotTraceable
        When the function cannot be written as formulas, or there are too many arguments or cells.
    """
    steps, final = _in_cells(function.name, _pattern(function, arguments))
    addresses: list[str] = []

    def with_addresses(text: str) -> str:
        return _STEP.sub(lambda match: addresses[int(match[1])], _filled(text, arguments))

    for text in steps:
        addresses.append(place(with_addresses(text)))
    return with_addresses(final)


def _pattern(function: WorksheetFunction, arguments: Sequence[Given]) -> tuple[Any, ...]:
    check_count(function, arguments)
    kinds: list[Any] = []
    for given in arguments:
        if isinstance(given, Constant):
            kinds.append((type(given.value), given.value))
        elif isinstance(given, Series):
            if len(given.cells) > MOST_CELLS:
                raise NotTraceable(f"{given.text} has {len(given.cells)} cells; up to {MOST_CELLS} can be written out")
            kinds.append(len(given.cells))
        else:
            kinds.append(given and given.atom)
    return tuple(kinds)


def _values(function: WorksheetFunction, pattern: tuple[Any, ...]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for i, (argument, kind) in enumerate(zip(function.cell_arguments, pattern)):
        if isinstance(kind, tuple):
            found[argument.name] = kind[1]
        elif isinstance(kind, bool):
            found[argument.name] = Reference(_mark(str(i)), kind)
        elif kind is None:
            found[argument.name] = None
        else:
            found[argument.name] = Cells(_mark(str(i)), tuple(Reference(_mark(f"{i}.{n}")) for n in range(kind)))
    return found


def _mark(text: str) -> str:
    return f"\1{text:>{_WIDTH - 2}}\1"


@functools.lru_cache(maxsize=4096)
def _in_line(name: str, pattern: tuple[Any, ...]) -> tuple[str, bool] | None:
    function = CATALOGUE[name]
    if function.in_steps:
        return None
    try:
        record = trace(function, _values(function, pattern))
        return write(record), text_of(record)[1] == ATOM
    except NotTraceable:
        return None


@functools.lru_cache(maxsize=1024)
def _in_cells(name: str, pattern: tuple[Any, ...]) -> tuple[tuple[str, ...], str]:
    function = CATALOGUE[name]
    steps: list[str] = []

    def place(text: str) -> str:
        steps.append(text)
        return _mark(f"s{len(steps) - 1}")

    final = steps_of(function, _values(function, pattern), place)
    return tuple(steps), final


def _filled(text: str, arguments: Sequence[Given]) -> str:
    def written(match: re.Match[str]) -> str:
        given = arguments[int(match[1])]
        if isinstance(given, Series) and match[2]:
            return given.cells[int(match[2])]
        assert isinstance(given, (Address, Series))
        return given.text

    return _ARGUMENT.sub(written, text)
