"""The record of a calculation on cells: a tree of sheet operations, built by calculating with it.

Calling a worksheet function with these in place of numbers makes the tree; `formula.write` turns it into text.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


class NotTraceable(TypeError):
    """A function did something with a cell that a formula cannot say, such as a Python `if`."""


class Node:
    """A traced cell: arithmetic and comparisons on it are recorded."""

    __array_ufunc__ = None  # NumPy leaves operators to this class

    def __add__(self, other: Any) -> Any:
        return _arithmetic("+", self, other)

    def __radd__(self, other: Any) -> Any:
        return _arithmetic("+", other, self)

    def __sub__(self, other: Any) -> Any:
        return _arithmetic("-", self, other)

    def __rsub__(self, other: Any) -> Any:
        return _arithmetic("-", other, self)

    def __mul__(self, other: Any) -> Any:
        return _arithmetic("*", self, other)

    def __rmul__(self, other: Any) -> Any:
        return _arithmetic("*", other, self)

    def __truediv__(self, other: Any) -> Any:
        return _arithmetic("/", self, other)

    def __rtruediv__(self, other: Any) -> Any:
        return _arithmetic("/", other, self)

    def __pow__(self, other: Any) -> Any:
        return _arithmetic("^", self, other)

    def __rpow__(self, other: Any) -> Any:
        return _arithmetic("^", other, self)

    def __neg__(self) -> Node:
        return Negative(self)

    def __abs__(self) -> Node:
        return Call("ABS", (self,))

    def __lt__(self, other: Any) -> Node:
        return Binary("<", self, other)

    def __le__(self, other: Any) -> Node:
        return Binary("<=", self, other)

    def __gt__(self, other: Any) -> Node:
        return Binary(">", self, other)

    def __ge__(self, other: Any) -> Node:
        return Binary(">=", self, other)

    def __eq__(self, other: object) -> Node:  # type: ignore[override]
        return Binary("=", self, other)

    def __ne__(self, other: object) -> Node:  # type: ignore[override]
        return Binary("<>", self, other)

    def __and__(self, other: Any) -> Any:
        return _logical("AND", self, other)

    def __or__(self, other: Any) -> Any:
        return _logical("OR", self, other)

    def __rand__(self, other: Any) -> Any:
        return _logical("AND", other, self)

    def __ror__(self, other: Any) -> Any:
        return _logical("OR", other, self)

    def __invert__(self) -> Node:
        return Call("NOT", (self,))

    __hash__ = object.__hash__
    __repr__ = object.__repr__  # the text of a record whose parts are shared could fill all memory

    def __bool__(self) -> bool:
        raise NotTraceable("a cell is neither true nor false while it is traced: use ops.where instead of if, & and | "
                           "instead of and / or")

    def __float__(self) -> float:
        raise NotTraceable("a cell has no number while it is traced: use the operations of pailbook.ops")

    # What pailbook.ops asks of a traced cell.
    def sheet_function(self, name: str, *arguments: Any) -> Node:
        """A sheet function of these arguments."""
        return Call(name, arguments)

    def lookup(self, table: Mapping[str, float]) -> Node:
        """The entry of a table for this cell's text; an unknown text is #N/A."""
        return Call("INDEX", (ArrayConstant(tuple(table.values())), 1,
                              Call("MATCH", (self, ArrayConstant(tuple(table)), 0))))

    def concatenate(self, *parts: Any) -> Node:
        """Texts and cells put one behind the other."""
        joined: Node = parts[0]
        for part in parts[1:]:
            joined = Binary("&", joined, part)
        return joined


@dataclass(frozen=True, eq=False, repr=False)
class Reference(Node):
    """Text that stands for a value in a formula: an address, a name, or a formula of the user's own."""

    text: str
    atom: bool = True  # needs no parentheses


@dataclass(frozen=True, eq=False, repr=False)
class ArrayConstant(Node):
    """A row of numbers or texts in braces."""

    items: tuple[Any, ...]


@dataclass(frozen=True, eq=False, repr=False)
class Negative(Node):
    """A minus sign."""

    operand: Any


@dataclass(frozen=True, eq=False, repr=False)
class Binary(Node):
    """An operator between two values."""

    operator: str
    left: Any
    right: Any


@dataclass(frozen=True, eq=False, repr=False)
class Call(Node):
    """A sheet function."""

    name: str
    arguments: tuple[Any, ...]


def _is(value: Any, constant: float) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and value == constant


def _arithmetic(operator: str, left: Any, right: Any) -> Any:
    """The operation, or what it comes to where a constant 0 or 1 makes it needless. The value stays exact."""
    if operator == "*" and (_is(left, 0) or _is(right, 0)):
        return 0.0
    if (operator in "+-" and _is(right, 0)) or (operator in "*/^" and _is(right, 1)):
        return left
    if (operator == "+" and _is(left, 0)) or (operator == "*" and _is(left, 1)):
        return right
    return Binary(operator, left, right)


def _logical(name: str, left: Any, right: Any) -> Any:
    """AND or OR of conditions; runs of the same are made one, and plain truths are folded in."""
    decisive = name == "OR"
    for one, other in ((left, right), (right, left)):
        if isinstance(one, bool):
            return decisive if one is decisive else other
    flat: list[Any] = []
    for side in (left, right):
        flat.extend(side.arguments if isinstance(side, Call) and side.name == name else (side,))
    return Call(name, tuple(flat))
