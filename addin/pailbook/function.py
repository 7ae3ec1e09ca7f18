"""@worksheet_function: one declaration, from which every host derives its own form of the function.

The decorator returns the function itself. It checks the declaration at import, so that a bad one never
reaches a user, and enters a record of it into CATALOGUE.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, TypeVar, get_args, get_type_hints

from pailbook.quantity import METRIC, UNIT_SYSTEMS, Quantity
from pailbook.sources import Citation

REQUIRED: Any = inspect.Parameter.empty
UNITS = Quantity(
    "units",
    'Always the last argument; if left out, metric, even in a US workbook: type "us" for US units',
    choices=UNIT_SYSTEMS,
)
WIZARD_TEXT = 255  # characters that a spreadsheet's function wizard shows

_NAME = re.compile(r"[A-Z][A-Z0-9_]*[A-Z0-9]")
_CELL_ADDRESS = re.compile(r"[A-Z]{1,3}[0-9]{1,7}|R[0-9]*(C[0-9]*)?|C[0-9]+")
_ARGUMENT_NAME = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
# Words of the languages in which hosts declare functions: macros, interface definitions. `units` is added below.
_RESERVED = frozenset((
    "and", "any", "as", "attribute", "binary", "boolean", "byte", "call", "case", "char", "close", "const",
    "constants", "currency", "date", "debug", "declare", "default", "dim", "do", "double", "each", "else", "empty",
    "end", "enum", "erase", "error", "event", "exception", "exit", "false", "float", "for", "friend", "function",
    "get", "global", "goto", "hyper", "if", "imp", "implements", "in", "inout", "input", "integer", "interface",
    "is", "let", "like", "line", "lock", "long", "loop", "me", "mid", "mod", "module", "name", "new", "next", "not",
    "nothing", "null", "object", "on", "open", "option", "optional", "or", "out", "print", "private", "property",
    "public", "published", "put", "raises", "readonly", "rem", "resume", "return", "seek", "select", "sequence",
    "service", "set", "short", "single", "singleton", "static", "step", "stop", "string", "struct", "sub", "switch",
    "then", "time", "to", "transient", "true", "type", "typedef", "union", "units", "unlock", "unsigned", "until",
    "variant", "void", "wend", "while", "with", "write", "xor",
))

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

    @property
    def default_is_zero(self) -> bool:
        """Whether leaving it out means the number 0."""
        return not isinstance(self.default, (str, bool)) and self.default is not REQUIRED and bool(self.default == 0)


@dataclass(frozen=True)
class WorksheetFunction:
    """All that any host needs to know about a function."""

    name: str
    category: str
    body: Callable[..., Any]
    arguments: tuple[Argument, ...]  # as declared, without `units`
    result: Quantity
    source: tuple[Citation, ...]
    summary: str
    details: str
    example: tuple[Any, ...]
    in_steps: bool = False  # its plain form needs cells for intermediate values

    @cached_property
    def has_units(self) -> bool:
        """Whether its cell form ends with the optional argument `units`."""
        return any(q.converts for q in (self.result, *(a.quantity for a in self.arguments)))

    @cached_property
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
    *, category: str, source: Citation | tuple[Citation, ...], example: tuple[Any, ...], in_steps: bool = False
) -> Callable[[Body], Body]:
    """Declare a worksheet function.

    An argument's type hint names its quantity, whose help is shown with it; Annotated[Volume, "Water in the sump"]
    gives the argument a help text of its own.

    Parameters
    ----------
    category : the heading under which wizards and the guide list it.
    source : where its equation comes from, one citation or several.
    example : arguments, metric, of a worked example.
    in_steps : whether it iterates or takes ranges, so that no single formula can hold it: its plain form puts
        intermediate values into cells, see `formula.steps`.

    Raises
    ------
    BadDeclaration
        At import, when name, type hints, defaults or help would not work in every host.
    """
    sources = source if isinstance(source, tuple) else (source,)

    def declare(body: Body) -> Body:
        record = replace(_record(body, category, sources, example), in_steps=in_steps)
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
        raise refuse("the name must be letters, digits and underscores, and must not be a cell address")
    if name in CATALOGUE:
        raise refuse("is declared twice")
    if not category:
        raise refuse("names no category")
    if not source or not all(isinstance(citation, Citation) for citation in source):
        raise refuse("names no source")
    summary, _, details = inspect.cleandoc(body.__doc__ or "").partition("\n\n")
    summary = " ".join(summary.split())
    if not summary or len(summary) > WIZARD_TEXT:
        raise refuse(f"the docstring's first paragraph must have 1 to {WIZARD_TEXT} characters")
    hints = get_type_hints(body, include_extras=True)

    def quantity(hint_name: str) -> Quantity:
        hint = hints.get(hint_name)
        forms = (hint, *get_args(hint))  # before Python 3.11 a default of None wraps the hint in Optional
        found = [m for form in forms for m in getattr(form, "__metadata__", ()) if isinstance(m, Quantity)]
        if len(found) != 1:
            raise refuse(f"the type hint of {hint_name} must name a quantity")
        own = [m for form in forms for m in getattr(form, "__metadata__", ()) if isinstance(m, str)]
        return replace(found[0], help=own[-1]) if own else found[0]

    arguments = []
    for parameter in inspect.signature(body).parameters.values():
        if parameter.kind is not inspect.Parameter.POSITIONAL_OR_KEYWORD:
            raise refuse(f"{parameter.name} must be an ordinary argument")
        if parameter.name in _RESERVED or not _ARGUMENT_NAME.fullmatch(parameter.name):
            raise refuse(f"{parameter.name} cannot be an argument's name")
        argument = Argument(parameter.name, quantity(parameter.name), parameter.default)
        if wrong := _wrong_default(argument):
            raise refuse(f"the default of {argument.name} {wrong}")
        arguments.append(argument)
    record = WorksheetFunction(
        name, category, body, tuple(arguments), quantity("return"), source, summary, details, example
    )
    if any(argument.quantity.us_when for argument in arguments):
        raise refuse("only the unit of a result may depend on an option")
    if (when := record.result.us_when) and when[0] not in (a.name for a in arguments if a.required):
        raise refuse(f"the unit of its result depends on {when[0]}, which is not a required argument")
    required = sum(argument.required for argument in arguments)
    if not required <= len(example) <= len(arguments):
        raise refuse("the example must give every required argument and no more than there are")
    return record


def _wrong_default(argument: Argument) -> str:
    """What is wrong with an optional argument's default, or an empty text."""
    quantity, default = argument.quantity, argument.default
    if argument.required:
        return ""
    if quantity.series:
        return "" if default is None else "must be None"
    if quantity.flag:
        return "" if isinstance(default, bool) else "must be True or False"
    if argument.default_is_zero:
        return "cannot be 0 where 0 is another value in the other unit system" if quantity.us_offset else ""
    if isinstance(default, str):
        fits = default in quantity.choices
    else:
        fits = quantity.takes_number and not isinstance(default, bool) and isinstance(default, (int, float)) and not (
            any(quantity.outside(default)) or (quantity.whole and default % 1)
        )
    if not fits:
        return f"must be {quantity.expected()}"
    # Some programs hand a blank cell over as 0.
    if quantity.takes_number and not all(any(quantity.outside(0, units)) for units in UNIT_SYSTEMS):
        return "must be 0, or 0 must lie outside the limits, since a blank cell may arrive as 0"
    return ""
