"""From a worksheet function to a plain formula that needs no add-in.

The function is called with cells in place of numbers. Around what it records come the guards that give the
outcome policy: an error wherever the call would be one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from pailbook import ops
from pailbook.formula.arguments import Cells, read_all
from pailbook.formula.guards import Kinds
from pailbook.formula.tree import Call, Node, NotTraceable, Reference
from pailbook.formula.write import write
from pailbook.function import Argument, WorksheetFunction
from pailbook.hosts.call import answer, kind_of, left_out
from pailbook.outcomes import Outcome
from pailbook.quantity import METRIC, US, Quantity

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
    if function.in_steps:
        raise NotTraceable(f"{function.name} is calculated in steps, not in a single formula; see formula.steps")
    return write(trace(function, read_all(function, arguments)))


def trace(function: WorksheetFunction, values: Mapping[str, Any]) -> Any:
    """The guarded record of the call; `values` are constants, None, nodes or `Cells`, by argument name."""
    guards, result = trace_parts(function, values)
    for wrong in reversed(guards):
        result = ops.where(wrong, NOT_AVAILABLE, result)
    return result


def trace_parts(function: WorksheetFunction, values: Mapping[str, Any]) -> tuple[list[Any], Any]:
    """The conditions under which the call is an error, to be asked in this order, and the record of its result."""
    given: dict[str, Any] = {}
    kinds = Kinds()
    refused: tuple[list[Any], Any] = [], NOT_AVAILABLE
    for argument in function.cell_arguments:
        value = values.get(argument.name)
        if isinstance(value, Cells):
            kinds.add_range(value)
        elif isinstance(value, Node):
            kinds.add(argument, value)
        elif left_out(argument, value):
            if argument.required:
                return refused
            continue
        else:
            try:
                value = kind_of(function, argument, value)
            except Outcome:
                return refused
        given[argument.name] = value

    units = given.pop("units", METRIC) if function.has_units else METRIC  # a blank cell is not "us" either
    outside: Any = False
    for argument in function.arguments:
        if argument.name in given:
            outside = outside | _outside(argument, given[argument.name], units, given)
    if outside is True:
        return refused
    metric = {a.name: _in_metric(a, given[a.name], units, given) for a in function.arguments if a.name in given}
    try:
        result = answer(function, metric)
    except Outcome:  # constants that have no answer
        return refused
    if not isinstance(result, (str, bool)):
        result = _from_metric(function.result, result, _units_of(function.result, units, given))
    if isinstance(result, complex) or (isinstance(result, float) and not math.isfinite(result)):
        return refused
    return [kinds.wrong(), outside], result


def _outside(argument: Argument, value: Any, units: Any, given: Mapping[str, Any]) -> Any:
    """The condition under which the argument's number lies outside its limits; a plain truth for a constant."""
    quantity = argument.quantity
    if not quantity.takes_number or isinstance(value, (str, bool)):
        return False
    if isinstance(value, Cells):
        whole = Reference(value.text)
        least, most = Call("MIN", (whole,)), Call("MAX", (whole,))
        return (quantity.outside(least)[0] | quantity.outside(most)[1]) & (Call("COUNT", (whole,)) > 0)
    in_units = _units_of(quantity, units, given)
    if isinstance(in_units, str):
        conditions = quantity.outside(value, in_units)
    else:
        limits = (pair for pair in zip(quantity.limits(METRIC), quantity.limits(US)) if pair[0] is not None)
        conditions = [
            metric if low_or_high[0] == low_or_high[1] else ops.where(in_units == US, us, metric)
            for low_or_high, metric, us in zip(limits, quantity.outside(value, METRIC), quantity.outside(value, US))
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
        if argument.default_is_zero and any(quantity.outside(0)):
            blank = blank | (value == 0)
        outside = ops.where(blank, False, outside)
    return outside


def _units_of(quantity: Quantity, units: Any, given: Mapping[str, Any]) -> Any:
    """The unit system as text where it is known, else the node that holds it."""
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
    if isinstance(value, Cells):
        return list(value.cells)
    quantity = argument.quantity
    in_units = _units_of(quantity, units, given)
    if isinstance(in_units, str):
        converted = quantity.to_metric(value, in_units)
    else:
        converted = ops.where(in_units == US, quantity.to_metric(value, US), value)
    if isinstance(value, Node) and not argument.required:
        return ops.where(value == "", argument.default, converted)
    return converted


def _from_metric(quantity: Quantity, result: Any, units: Any) -> Any:
    if isinstance(units, str):
        return quantity.from_metric(result, units)
    result = result * ops.where(units == US, quantity.us_factor, 1)  # the long result stands in the formula once
    return result + ops.where(units == US, quantity.us_offset, 0) if quantity.us_offset else result
