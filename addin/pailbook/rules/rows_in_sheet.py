"""What a table comes to, as one array formula in one cell over the clean cells of its columns."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pailbook.formula.tree import Binary, Call, Negative, NotTraceable, Reference
from pailbook.formula.write import write
from pailbook.quantity import METRIC
from pailbook.rules.binding import Binding
from pailbook.rules.expression import BadRule, Question
from pailbook.rules.record import questions_in
from pailbook.rules.rows import COUNT, ENTRY, LATEST, TOTAL, Column, Reduced, State, not_in_order
from pailbook.rules.words import FAULT, MISSING, spelt

_NOTHING = -1e99  # below any number that a quantity allows


def reduced_in_sheet(
    node: Reduced, columns: Mapping[str, str], cells: Mapping[str, str] | None = None, units: str = METRIC
) -> str:
    """Formula text, without the equals sign, to be entered as an array formula in one cell.

    Parameters
    ----------
    node : what is asked of the table.
    columns : the range of each column's clean cells, by its name; all of the same rows.
    cells : the address of the clean cell of each question beside the table, by its name.
    units : the unit system of the sheet.

    Raises
    ------
    BadRule
        When a column or question has no cells, or the formula would be too long.
    """
    binding = Binding(cells or {}, units)
    if absent := [name for name in node.columns if name not in columns]:
        raise BadRule(f"the table has no column for {', '.join(absent)}")

    def bound(one: Any) -> Any:
        if isinstance(one, Column):
            return Reference(columns[one.name])
        if isinstance(one, Binary):
            return Binary(one.operator, bound(one.left), bound(one.right))
        if isinstance(one, Negative):
            return Negative(bound(one.operand))
        return binding.value(one)

    fits = _product([mask for condition in node.where for mask in _masks(condition, bound)])
    own = [bound(one) for one in questions_in(node.value).values()]
    wrong = _product([fits, _any([_starts_with_fault(one) for one in own])]) if own else None
    if node.kind == COUNT:
        found: Any = _rows(fits)
    elif node.kind == ENTRY:
        place = Call("MATCH", (1, fits, 0))
        value = Call("INDEX", (own[0], place))
        found = Call("IF", (_starts_with_fault(value), not_in_order(node, units), value))
        found = Call("IF", (Binary("=", value, ""), "", found))
        found = Call("IF", (Binary("=", _rows(fits), 0), "", found))
        wrong = None
    else:
        there = _product([fits, *(Call("ISNUMBER", (one,)) for one in own)])
        if node.kind == TOTAL:
            found = Call("SUM", (Call("IF", (there, bound(node.value), 0)),))
        else:
            assert node.kind == LATEST
            most = Call("MAX", (Call("IF", (there, own[0], _NOTHING)),))
            found = Call("IF", (Binary("=", _rows(there), 0), "", most))
    if wrong is not None:
        found = Call("IF", (Binary(">", _rows(wrong), 0), not_in_order(node, units), found))
    for one in reversed(node.questions.values()):
        at = binding.at(one)
        complaint = Call("IF", (Binary("=", at, ""), spelt(f"{FAULT}{one.label} {MISSING}", units), at))
        found = Call("IF", (_product(_there(one, at)), found, complaint))
    try:
        return write(found)
    except NotTraceable as reason:
        raise BadRule(f"a table's {node.kind}: {reason}") from None


def counted(word: str, cells: str) -> str:
    """Formula text for how many verdicts in a range of texts, as `in_sheet.Sheet.text` gives them, have that word."""
    # No array formula: LibreOffice may calculate one that asks for ISERROR before the cells that it counts.
    return f'SUMPRODUCT((LEFT({cells}&":",{len(word) + 1})="{word}:")*1)'


def _masks(condition: Any, bound: Any) -> list[Any]:
    """What must hold in a row, as truths of arrays; a text is above every number, so that kinds are asked first."""
    if isinstance(condition, State):
        cells = bound(condition.column)
        if condition.faulty:
            return [_starts_with_fault(cells)]
        return _there(condition.column, cells)
    return [*_there(condition.left, bound(condition.left)), bound(condition)]


def _there(column: Question, cells: Any) -> list[Any]:
    if not column.takes_choice:
        return [Call("ISNUMBER", (cells,))]
    return [Binary("<>", cells, ""), Binary("<>", Call("LEFT", (cells, 1)), FAULT[0])]


def _starts_with_fault(cells: Any) -> Any:
    return Binary("=", Call("LEFT", (cells, 1)), FAULT[0])


def _product(truths: list[Any]) -> Any:
    """All of the truths, as numbers 1 and 0."""
    product: Any = 1
    for truth in truths:
        product = Binary("*", product, truth)
    return product


def _any(truths: list[Any]) -> Any:
    """Whether any of the truths holds, as a number above 0."""
    total: Any = 0
    for truth in truths:
        total = Binary("+", total, truth)
    return total


def _rows(fits: Any) -> Any:
    return Call("SUM", (Call("IF", (fits, 1, 0)),))
