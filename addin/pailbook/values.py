"""What a value is: a plain number or text, an array or pandas column, or a traced cell.

A traced cell (see `formula.tree`) is recognised by its method `sheet_function`, arrays by not being plain; NumPy is
imported only when an array arrives, so that the functions also run on a Python without it.
"""

from __future__ import annotations

from typing import Any

from pailbook.outcomes import Outcome

Value = Any  # a float, an array, a pandas column or a traced cell


def traced(*values: Value) -> Any:
    """The first traced cell among the values, or None."""
    return next((value for value in values if hasattr(value, "sheet_function")), None)


def plain(*values: Value) -> bool:
    """Whether all are plain numbers or texts."""
    return all(isinstance(value, (bool, int, float, str)) for value in values)


def numpy_module() -> Any:
    """NumPy."""
    import numpy

    return numpy


def forced(branch: Value, without_answer: Value = None) -> Value:
    """The value of a branch; where it has no answer, what to put in its place, if anything."""
    if not callable(branch) or hasattr(branch, "sheet_function"):
        return branch
    try:
        return branch()
    except (Outcome, ArithmeticError):
        if without_answer is None:
            raise
        return without_answer


def like(model: Value, array: Value) -> Value:
    """The array as a pandas column with the model's index, where the model is one."""
    if hasattr(model, "index") and hasattr(model, "iloc"):
        return type(model)(array, index=model.index)
    return array
