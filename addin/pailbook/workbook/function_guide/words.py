"""What the guide says of a function, in words and numbers; all of it follows from the function's declaration."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

import pailbook.functions as _fill_the_catalogue  # noqa: F401
from pailbook.formula.trace import plain_formula
from pailbook.formula.tree import NotTraceable
from pailbook.formula.write import write
from pailbook.function import CATALOGUE, Argument, WorksheetFunction
from pailbook.hosts.call import call
from pailbook.quantities import METRIC, US, Quantity

DIGITS = 6  # of a printed value
SHORTEST_LONG = 400  # characters of a plain formula that is not printed any more


def by_category() -> dict[str, list[WorksheetFunction]]:
    """The catalogue by subject, in the order in which the subjects are declared."""
    found: dict[str, list[WorksheetFunction]] = {}
    for function in CATALOGUE.values():
        found.setdefault(function.category, []).append(function)
    return found


def paragraphs(function: WorksheetFunction) -> list[str]:
    """What there is to know beyond its first line: the model and its limits."""
    return [" ".join(part.split()) for part in function.details.split("\n\n") if part.strip()]


def gives(function: WorksheetFunction) -> str:
    """What its answer is."""
    return function.result.help or function.result.label


def accepted(quantity: Quantity, units: str | None = None) -> str:
    """What a cell for it may hold, in words; in both unit systems where none is named."""
    if quantity.series:
        return f"a range of cells, each {_accepted(quantity, units)} or blank"
    return _accepted(quantity, units)


def _accepted(quantity: Quantity, units: str | None) -> str:
    if units is not None:
        return quantity.expected(METRIC if quantity.us_when else units)
    metric, us = quantity.expected(METRIC), quantity.expected(US)
    return metric if metric == us or quantity.us_when else f"{metric} ({us})"


def unit(quantity: Quantity, units: str | None = None) -> str:
    """Its unit; in both unit systems where none is named."""
    if units is not None:
        return quantity.unit_in(units)
    return f"{quantity.unit} ({quantity.us_unit})" if quantity.converts else quantity.unit


def unknown(argument: Argument) -> bool:
    """Whether leaving it out means that it is not known."""
    default = argument.default
    return default is None or explained(argument) or (
        not isinstance(default, (bool, str)) and default == 0 and any(argument.quantity.outside(0)))


def explained(argument: Argument) -> bool:
    """Whether its help says what leaving it out means."""
    return "left out" in argument.quantity.help


def need(argument: Argument, units: str | None = None) -> str:
    """Whether it must be given, or what it counts as when it is left out."""
    if argument.required:
        return "required"
    if unknown(argument):
        return "optional" if argument.default is None or explained(argument) else "optional; if left out: not known"
    default = shown(default_in(argument, units or METRIC))
    if units is None and argument.quantity.converts and argument.default != 0:
        name = argument.quantity
        return f"optional; if left out: {default} {name.unit} ({shown(default_in(argument, US))} {name.us_unit})"
    return f"optional; if left out: {default} {argument.quantity.unit_in(units or METRIC)}".rstrip()


def default_in(argument: Argument, units: str) -> Any:
    """The default in that unit system, as a cell would hold it."""
    default = argument.default
    return default if isinstance(default, (bool, str)) else rounded(argument.quantity.from_metric(default, units), 5)


def example(function: WorksheetFunction, units: str = METRIC) -> list[Any]:
    """The worked example in that unit system: a value for each declared argument, None for what is not known."""
    values: list[Any] = []
    for number, argument in enumerate(function.arguments):
        if number < len(function.example):
            values.append(_converted(argument, function.example[number], units))
        else:
            values.append(None if unknown(argument) else default_in(argument, units))
    return values


def _converted(argument: Argument, value: Any, units: str) -> Any:
    if isinstance(value, list):
        return [_converted(argument, one, units) for one in value]
    if value is None or isinstance(value, (bool, str)) or units == METRIC or not argument.quantity.converts:
        return value
    low, high = argument.quantity.limits(units)
    number = rounded(argument.quantity.from_metric(value, units), 4)
    return min(max(number, low if low is not None else number), high if high is not None else number)


def printed(function: WorksheetFunction, units: str = METRIC) -> Any:
    """The worked example's value in that unit system, a number to six digits."""
    value = call(function, [*example(function, units), *([units] if function.has_units else [])])
    return value if isinstance(value, str) else rounded(value, DIGITS)


def rounded(value: float, digits: int) -> float:
    """The number to that many digits."""
    return float(f"{value:.{digits}g}")


def number_format(value: Any) -> str:
    """A cell's number format that shows four digits of it, no fewer than it has before the point."""
    if isinstance(value, str) or value == 0:
        return "General"
    decimals = max(0, 3 - math.floor(math.log10(abs(value))))
    text = f"{value:.{decimals}f}"
    kept = len(text.rstrip("0").rpartition(".")[2]) if "." in text else 0
    return "0." + "0" * kept if kept else "0"


def shown(value: Any) -> str:
    """A value for reading."""
    if value is None:
        return "-"
    if isinstance(value, bool):
        return str(value).upper()
    if not isinstance(value, float):
        return str(value)
    return f"{Decimal(f'{value:.4g}' if abs(value) < 10000 else f'{value:.10g}'):f}"  # never 6e-05


def call_text(function: WorksheetFunction) -> str:
    """The worked example as it is typed into a cell, metric."""
    return f"={function.name}({', '.join(map(_typed, function.example))})"


def _typed(value: Any) -> str:
    if isinstance(value, list):
        if all(one is None for one in value):
            return ""
        return "{" + ", ".join("" if one is None else write(one) for one in value) + "}"
    return write(value)


def plain_text(function: WorksheetFunction, references: Iterable[str], units: str) -> str:
    """The plain formula for these cells in that unit system, where it is short; else, in words, where to find it."""
    system = [f'"{units}"'] if function.has_units and units != METRIC else []
    try:
        text = plain_formula(function, [*references, *system])
    except NotTraceable:
        return "Calculated in steps: a workbook with plain formulas has them on its sheet Workings."
    if len(text) > SHORTEST_LONG:
        return f"Too long to print ({len(text)} characters): a workbook with plain formulas has it in its cells."
    return f"={text}"


def sources(function: WorksheetFunction) -> str:
    """The works that it rests on, with what is known to be wrong in copies of them."""
    return "; ".join(
        str(citation) + (f" ({citation.work.errata})" if citation.work.errata else "") for citation in function.source)
