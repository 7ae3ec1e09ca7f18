"""From a worksheet function to a plain formula that needs no add-in.

The function is called with cells in place of numbers. Around what it records come the guards that give the
outcome policy: an error wherever the call would be one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pailbook import ops
from pailbook.formula.tree import ArrayConstant, Call, Node, NotTraceable, Reference
from pailbook.formula.write import write
from pailbook.function import Argument, WorksheetFunction
from pailbook.hosts.call import kind_of, left_out
from pailbook.outcomes import Outcome
from pailbook.quantities import METRIC, US, Quantity

_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")
_TEXT = re.compile(r'"(?:[^"]|"")*"')
_REFERENCE = re.compile(r"(?:(?:'(?:[^']|'')+'|[\w.]+)!)?\$?[A-Za-z]{1,3}\$?\d+")
LONGEST_GUARD = 10  # options that a guard lists
NOT_AVAILABLE = Call("NA", ())


def plain_formula(function: WorksheetFunction, arguments: Sequence[str]) -> str:
    """The plain formula for a call with these argument texts, in the order of the cell form.

    Parameters
    ----------
    function : the function that is called.
    arguments : what stands between the commas: addresses, constants or formulas; "" where one is left out.

    Returns
    -------
    str
        Formula text without the leading equals sign. A constant that the function refuses makes it NA().

    Raises
    ------
    NotTraceable
        When the function cannot be written as a formula, or has too many arguments.
    """
    if len(arguments) > len(function.cell_arguments):
        raise NotTraceable(f"{function.name} takes at most {len(function.cell_arguments)} arguments")
    values = {a.name: read(text) for a, text in zip(function.cell_arguments, arguments)}
    return write(trace(function, values))


def read(text: str) -> Any:
    """An argument's text as a constant, None where it is left out, or a reference."""
    text = text.strip()
    if not text:
        return None
    if _NUMBER.fullmatch(text):
        return float(text)
    if _TEXT.fullmatch(text):
        return text[1:-1].replace('""', '"')
    if text.upper() in ("TRUE", "FALSE"):
        return text.upper() == "TRUE"
    return Reference(text, atom=bool(_REFERENCE.fullmatch(text)))


def trace(function: WorksheetFunction, values: Mapping[str, Any]) -> Any:
    """The guarded record of the call; `values` are constants, None, or nodes, by argument name."""
    given: dict[str, Any] = {}
    counted: list[Any] = []  # each is a number exactly where its argument is of the right kind
    for argument in function.cell_arguments:
        value = values.get(argument.name)
        if isinstance(value, Node):
            counted.extend(_counted(argument, value))
        elif left_out(argument, value):
            if argument.required:
                return NOT_AVAILABLE
            continue
        else:
            try:
                value = kind_of(function, argument, value)
            except Outcome:
                return NOT_AVAILABLE
        given[argument.name] = value

    units: Any = METRIC
    if "units" in given and function.has_units:
        units = given.pop("units")
        if isinstance(units, Node):
            units = _or_default(function.cell_arguments[-1], units, units)
    outside: Any = False
    for argument in function.arguments:
        if argument.name in given:
            outside = outside | _outside(argument, given[argument.name], units, given)
    if outside is True:
        return NOT_AVAILABLE
    metric = {a.name: _in_metric(a, given[a.name], units, given) for a in function.arguments if a.name in given}
    try:
        result = function.body(**metric)
    except (Outcome, ArithmeticError, ValueError):  # constants that have no answer
        return NOT_AVAILABLE
    if not isinstance(result, (str, bool)):
        quantity = function.result
        in_units = _units_of(quantity, units, given)
        if isinstance(in_units, str):
            result = quantity.from_metric(result, in_units)
        else:  # the long result stands in the formula once
            result = result * ops.where(in_units == US, quantity.us_factor, 1)
            if quantity.us_offset:
                result = result + ops.where(in_units == US, quantity.us_offset, 0)
    result = ops.where(outside, NOT_AVAILABLE, result)
    if counted:
        result = ops.where(Call("COUNT", tuple(counted)) < len(counted), NOT_AVAILABLE, result)
    return result


def _or_default(argument: Argument, cell: Node, value: Any) -> Any:
    """The value made of the cell, or the argument's default where the cell is blank."""
    return value if argument.required else ops.where(cell == "", argument.default, value)


def _counted(argument: Argument, cell: Node) -> Iterator[Any]:
    """What COUNT must see of the cell: a number where its kind is right, text or an error where it is not."""
    quantity = argument.quantity
    value = _or_default(argument, cell, cell)
    if quantity.flag:
        yield ops.where((value == True) | (value == False) | (value == 0) | (value == 1), 1, NOT_AVAILABLE)  # noqa: E712
    elif len(quantity.choices) > LONGEST_GUARD:
        pass  # looked up in the body, which gives #N/A for an unknown text
    elif quantity.choices:
        match = Call("MATCH", (value, ArrayConstant(quantity.choices), 0))
        yield ops.where(ops.is_text(value), match, value) if quantity.takes_number else match
    else:
        yield value


def _outside(argument: Argument, value: Any, units: Any, given: Mapping[str, Any]) -> Any:
    """The condition under which the argument's number lies outside its limits; a plain truth for a constant."""
    quantity = argument.quantity
    if not quantity.takes_number or isinstance(value, (str, bool)):
        return False
    in_units = _units_of(quantity, units, given)
    if isinstance(in_units, str):
        conditions = quantity.outside(value, in_units)
    else:
        pairs = zip(quantity.outside(value, METRIC), quantity.outside(value, US))
        conditions = [
            metric if isinstance(metric, bool) and metric is us else ops.where(in_units == US, us, metric)
            for metric, us in pairs
        ]
    if quantity.whole:
        conditions.append(ops.floor(value) != value)
    outside: Any = False
    for condition in conditions:
        outside = outside | condition
    if not isinstance(value, Node) or isinstance(outside, bool):
        return outside
    if quantity.choices:  # an option's name among them is no number to be judged
        outside = ops.where(ops.is_text(value), False, outside)
    if not argument.required:
        blank: Any = value == ""
        if argument.default == 0 and any(quantity.outside(0)):
            blank = blank | (value == 0)
        outside = ops.where(blank, False, outside)
    return outside


def _units_of(quantity: Quantity, units: Any, given: Mapping[str, Any]) -> Any:
    """The unit system as text where it is known, else the node that tells it."""
    if not quantity.converts:
        return METRIC
    if quantity.us_when is None or (isinstance(units, str) and units == METRIC):
        return units
    name, text = quantity.us_when
    holds = given.get(name) == text
    if isinstance(holds, bool):
        return units if holds else METRIC
    return ops.where(holds, units, METRIC)


def _in_metric(argument: Argument, value: Any, units: Any, given: Mapping[str, Any]) -> Any:
    if isinstance(value, (str, bool)):
        return value
    quantity = argument.quantity
    in_units = _units_of(quantity, units, given)
    if isinstance(in_units, str):
        converted = quantity.to_metric(value, in_units)
    else:
        converted = ops.where(in_units == US, quantity.to_metric(value, US), value)
    return _or_default(argument, value, converted) if isinstance(value, Node) else converted

