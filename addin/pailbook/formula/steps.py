"""Long calculations as several short formulas: intermediate values go to cells of a sheet that anyone can audit.

The record of a calculation shares its parts, and written in one line each part would stand as often as it is used. Here
every part that is shared or long gets a cell of its own, in the order in which they are needed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pailbook import ops
from pailbook.formula.arguments import read_all
from pailbook.formula.trace import NOT_AVAILABLE, trace_parts
from pailbook.formula.tree import ArrayConstant, Binary, Call, Negative, Node, Reference
from pailbook.formula.write import Written, depth, text_of, write
from pailbook.function import WorksheetFunction

SHARED_FROM = 60  # characters from which a part that is used more than once gets a cell
ALONE_FROM = 900  # characters from which a part gets one in any case
DEEP_FROM = 30  # functions within each other from which it does

Place = Callable[[str], str]


def plain_steps(function: WorksheetFunction, arguments: Sequence[str], place: Place) -> str:
    """The plain form of a call, its intermediate values put into cells.

    Parameters
    ----------
    function : the function that is called.
    arguments : as for `plain_formula`, but addresses must hold where the intermediate values stand.
    place : takes a formula's text without the equals sign, puts it into a free cell and gives that cell's address.

    Returns
    -------
    str
        The final formula, without the equals sign. The first cell says whether the inputs are in order; if they
        are not, all the others and the result are #N/A.

    Raises
    ------
    NotTraceable
        When the function cannot be written as formulas, or has too many arguments.
    """
    return steps_of(function, read_all(function, arguments), place)


def steps_of(function: WorksheetFunction, values: Mapping[str, Any], place: Place) -> str:
    """The same of values as `trace` takes them, by the argument's name."""
    guards, result = trace_parts(function, values)
    in_order: Any = True
    for wrong in reversed(guards):
        in_order = ops.where(wrong, False, in_order)
    if isinstance(in_order, bool) or not isinstance(result, Node):
        return write(result if in_order else NOT_AVAILABLE)
    asked = place(write(in_order))
    final = _in_steps(result, lambda text: place(f"IF({asked},{text},NA())"))
    return f"IF({asked},{final},NA())"


def _in_steps(result: Node, place: Place) -> str:
    uses: Counter[int] = Counter()
    order: list[Node] = []
    _visit(result, uses, order)
    known: dict[int, Written] = {}
    for part in order:
        shallow = _with_children(part, known)
        text, level = text_of(shallow)
        functions = depth(shallow)
        shared = uses[id(part)] > 1 and len(text) >= SHARED_FROM
        placeable = part is not result and not isinstance(part, (ArrayConstant, Reference))
        if placeable and (shared or len(text) >= ALONE_FROM or functions >= DEEP_FROM):
            known[id(part)] = Written(place(text))
        else:
            known[id(part)] = Written(text, level, functions)
    return known[id(result)].text


def _visit(root: Node, uses: Counter[int], order: list[Node]) -> None:
    """Counts how often each part is used, and lists them, each behind what it is made of; without recursion."""
    stack: list[tuple[Node, bool]] = [(root, False)]
    seen: set[int] = set()
    while stack:
        part, done = stack.pop()
        if done:
            order.append(part)
            continue
        if id(part) in seen:
            continue
        seen.add(id(part))
        stack.append((part, True))
        for child in _children(part):
            if isinstance(child, Node):
                uses[id(child)] += 1
                stack.append((child, False))


def _children(part: Node) -> tuple[Any, ...]:
    if isinstance(part, Call):
        return part.arguments
    if isinstance(part, Binary):
        return part.left, part.right
    return (part.operand,) if isinstance(part, Negative) else ()


def _with_children(part: Node, known: dict[int, Written]) -> Node:
    """The part with its children replaced by what stands in their place."""
    children = [known[id(child)] if isinstance(child, Node) else child for child in _children(part)]
    if isinstance(part, Call):
        return Call(part.name, tuple(children))
    if isinstance(part, Binary):
        return Binary(part.operator, *children)
    return Negative(children[0]) if isinstance(part, Negative) else part
