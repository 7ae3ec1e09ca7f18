"""A function of the catalogue as a worksheet function of Excel, with its help texts."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

from pailbook.function import WIZARD_TEXT, Argument, WorksheetFunction
from pailbook.hosts.call import spread
from pailbook.hosts.excel.values import received, sent
from pailbook.quantity import METRIC, US

PREFIX = "Pailbook: "  # so that our categories stand together in the wizard


def category_of(function: WorksheetFunction) -> str:
    """The heading under which the wizard lists the function."""
    return PREFIX + function.category


def help_of(argument: Argument) -> str:
    """What the wizard says of an argument: what it is, what is accepted, and whether it may be left out."""
    quantity = argument.quantity
    metric, us = quantity.expected(METRIC), quantity.expected(US)
    accepted = metric if metric == us or quantity.us_when else f"{metric} ({us})"
    start = quantity.help or quantity.label
    for text in (start if start.endswith(accepted) else f"{start}: {accepted}", start):
        text += "" if argument.required else ". Optional"
        if len(text) <= WIZARD_TEXT:
            return text
    return text[:WIZARD_TEXT]


def cell_function(function: WorksheetFunction) -> Callable[..., list[list[Any]]]:
    """The callable that Excel calls: it takes single values and ranges, and gives rows of answers.

    An answer is a float, a text, a bool, or the text of an error such as #N/A.
    """

    def answer(*values: Any) -> list[list[Any]]:
        return [[sent(one) for one in row] for row in spread(function, [received(value) for value in values])]

    answer.__name__ = answer.__qualname__ = function.name
    answer.__doc__ = function.summary
    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    parameters = []
    optional = False  # what follows an argument that may be left out may be left out too, as far as a signature says
    for argument in function.cell_arguments:
        optional = optional or not argument.required
        parameters.append(inspect.Parameter(argument.name, kind, default=None if optional else inspect.Parameter.empty))
    answer.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    return answer


def worksheet(function: WorksheetFunction, xlwings: Any) -> Callable[..., Any]:
    """The function entered for xlwings, classic or in the browser; as it is where xlwings is None."""
    made: Callable[..., Any] = cell_function(function)
    if xlwings is None:
        return made
    for argument in function.cell_arguments:
        made = xlwings.arg(argument.name, ndim=2, err_to_str=True, doc=help_of(argument))(made)
    entered: Callable[..., Any] = xlwings.func(category=category_of(function))(made)
    return entered
