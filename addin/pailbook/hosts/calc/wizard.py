"""What LibreOffice's function wizard shows of a function and of its arguments."""

from __future__ import annotations

from typing import Any

from pailbook.function import Argument, WorksheetFunction
from pailbook.quantity import METRIC, US, Quantity


def function_help(function: WorksheetFunction) -> str:
    """What it gives, in which unit, and an example."""
    example = "; ".join(_typed(value) for value in function.example)
    unit = _in_both(function.result)
    return f"{function.summary} Gives {function.result.label}{', ' if unit else ''}{unit}. " \
           f"Example: {function.name}({example})"


def argument_help(argument: Argument) -> str:
    """What it is, what is accepted, and what it counts as when it is left out."""
    quantity = argument.quantity
    metric, us = quantity.expected(METRIC), quantity.expected(US)
    accepted = metric if metric == us else f'{metric}; with units "us" {us}'
    if quantity.series:
        accepted = f"a range, each cell blank or {accepted}"
    left_out = "" if argument.required or "left out" in quantity.help else f". If left out: {_default(argument)}"
    return f"{quantity.help or quantity.label}. Expected: {accepted}{left_out}"


def _default(argument: Argument) -> str:
    default = argument.default
    if default is None or (argument.default_is_zero and any(argument.quantity.outside(0))):
        return "not known"
    text = default if isinstance(default, str) else _typed(default)
    return f"{text} {argument.quantity.unit}".rstrip()


def _in_both(quantity: Quantity) -> str:
    return f'{quantity.unit} (with units "us" {quantity.us_unit})' if quantity.converts else quantity.unit


def _typed(value: Any) -> str:
    """A value as it is typed into a call."""
    if isinstance(value, (list, tuple)):
        return "{" + "|".join("" if one is None else _typed(one) for one in value) + "}"
    if isinstance(value, bool):
        return str(value).upper()
    return f'"{value}"' if isinstance(value, str) else f"{value:.15g}"
