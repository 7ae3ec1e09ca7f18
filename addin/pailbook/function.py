"""@worksheet_function: one declaration, from which every host derives its own form of the function.

The decorator returns the function itself. It checks the declaration at import, so that a bad one never
reaches a user, and enters a record of it into CATALOGUE.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar, get_type_hints

from pailbook.quantities import METRIC, UNIT_SYSTEMS, Quantity
from pailbook.sources import Citation

REQUIRED: Any = inspect.Parameter.empty
UNITS = Quantity("units", 'Unit system of the numbers: "metric" or "us"', choices=UNIT_SYSTEMS)
WIZARD_TEXT = 255  # characters that a spreadsheet's function wizard shows

_NAME = re.compile(r"[A-Z][A-Z0-9_]*[A-Z0-9]")
_CELL_ADDRESS = re.compile(r"[A-Z]{1,3}[0-9]{1,7}|R[0-9]*(C[0-9]*)?|C[0-9]+")
# Names that make invalid code in a spreadsheet's own macro language.
_RESERVED = frozenset(
    ("type", "end", "date", "time", "next", "to", "step", "loop", "function", "sub", "dim", "as", "is", "not", "and", "or",
     "mod", "new", "set", "get", "let")
)

Body = TypeVar("Body", bound=Callable[..., Any])


class BadDeclaration(TypeError):
    """A function is declared in a way that some host could not serve."""


@dataclass(frozen=True)
class Argument:
    """One argument: its name in every host, its quantity, and the default of an optional one."""

    name: str
    quantity: Quantity
    default: Any = REQUIRED

    @property
    def required(self) -> bool:
        """Whether it must be given."""
        return self.default is REQUIRED


@dataclass(frozen=True)
class WorksheetFunction:
    """All that any host needs to know of a function."""

    name: str
    category: str
    body: Callable[..., Any]
    arguments: tuple[Argument, ...]  # as declared, without `units`
    result: Quantity
    source: tuple[Citation, ...]
    summary: str
    details: str
    example: tuple[Any, ...]

    @property
    def has_units(self) -> bool:
        """Whether its cell form ends with the optional argument `units`."""
        return any(q.converts for q in (self.result, *(a.quantity for a in self.arguments)))

    @property
    def cell_arguments(self) -> tuple[Argument, ...]:
        """The arguments of the cell form: as declared, and `units` where a unit differs."""
        return self.arguments + ((Argument("units", UNITS, METRIC),) if self.has_units else ())

    @property
    def signature(self) -> str:
        """The call as a user types it: NAME(required, [optional])."""
        names = (a.name if a.required else f"[{a.name}]" for a in self.cell_arguments)
        return f"{self.name}({', '.join(names)})"


CATALOGUE: dict[str, WorksheetFunction] = {}


def worksheet_function(
    *, category: str, source: Citation | tuple[Citation, ...], example: tuple[Any, ...]
) -> Callable[[Body], Body]:
    """Declare a worksheet function.

    Parameters
    ----------
    category : the heading under which wizards and the guide list it.
    source : where its equation comes from, one citation or several.
    example : arguments, metric, of a worked example.

    Raises
    ------
    BadDeclaration
        At import, when name, type hints, defaults or help would not work in every host.
    """
    sources = source if isinstance(source, tuple) else (source,)

    def declare(body: Body) -> Body:
        record = _record(body, category, sources, example)
        CATALOGUE[record.name] = record
        return body

    return declare


def _record(
    body: Callable[..., Any], category: str, source: tuple[Citation, ...], example: tuple[Any, ...]
) -> WorksheetFunction:
    name = body.__name__.upper()

    def refuse(why: str) -> BadDeclaration:
        return BadDeclaration(f"{name}: {why}")

    if not _NAME.fullmatch(name) or _CELL_ADDRESS.fullmatch(name):
        raise refuse("the name must be letters, digits and underscores, and no cell address")
    if name in CATALOGUE:
        raise refuse("is declared twice")
    if not source:
        raise refuse("names no source")
    summary, _, details = inspect.cleandoc(body.__doc__ or "").partition("\n\n")
    summary = " ".join(summary.split())
    if not summary or len(summary) > WIZARD_TEXT:
        raise refuse(f"the docstring's first paragraph must have 1 to {WIZARD_TEXT} characters")
    hints = get_type_hints(body, include_extras=True)

    def quantity(hint_name: str) -> Quantity:
        found = [m for m in getattr(hints.get(hint_name), "__metadata__", ()) if isinstance(m, Quantity)]
        if len(found) != 1:
            raise refuse(f"the type hint of {hint_name} must name a quantity")
        return found[0]

    arguments = []
    for parameter in inspect.signature(body).parameters.values():
        if parameter.kind is not inspect.Parameter.POSITIONAL_OR_KEYWORD:
            raise refuse(f"{parameter.name} must be an ordinary argument")
        if parameter.name in _RESERVED or parameter.name.startswith("_") or parameter.name == "units":
            raise refuse(f"{parameter.name} cannot be an argument's name")
        arguments.append(Argument(parameter.name, quantity(parameter.name), parameter.default))
    record = WorksheetFunction(
        name, category, body, tuple(arguments), quantity("return"), source, summary, details, example
    )
    required = sum(argument.required for argument in arguments)
    if not required <= len(example) <= len(arguments):
        raise refuse("the example must give every required argument and no more than there are")
    return record
