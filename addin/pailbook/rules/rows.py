"""What a table comes to: how many rows, their total, the latest, an entry. These are what rules of a log ask about.

    SYSTEM, WHEN = column("system", SystemName), column("when", Day)
    readings = count(SYSTEM == name, WHEN >= since, known(ALKALINITY))

Rows are picked by comparing columns with constants or questions; a row whose column is blank or not in order fits no
comparison. A row that fits but whose own value is not in order makes the whole not known: a total that silently left
it out would be too low. What comes out is the value of a question: a number or text, blank where no row fits, or a
text that starts with "? ". A sheet keeps the columns' clean cells (see `clean_cell.clean`), and reads them with one
array formula in one cell.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from pailbook.formula.tree import Binary, Call, Negative, Node
from pailbook.outcomes import BadInput
from pailbook.quantity import METRIC
from pailbook.rules.checks import check
from pailbook.rules.comparison import exactly
from pailbook.rules.declaration import question
from pailbook.rules.evaluation import NO_ANSWER, Evaluation
from pailbook.rules.expression import COMPARISONS, NUMBER, SKIPS, BadRule, ByUnits, Question
from pailbook.rules.faults import check_units, complaint, fault, read
from pailbook.rules.record import questions_in, sort_of
from pailbook.rules.words import FAULT, MISSING, spelt

COUNT, TOTAL, LATEST, ENTRY = "count", "total", "latest", "entry"


@dataclass(frozen=True, eq=False, repr=False)
class Column(Question):
    """A column of a table: a question asked in each row."""


@dataclass(frozen=True, eq=False, repr=False)
class State(Node):
    """Whether a column is in order in a row, or not in order; a blank one is neither."""

    column: Column
    faulty: bool


@dataclass(frozen=True, eq=False, repr=False)
class Reduced:
    """A number, or an entry, that a table comes to."""

    kind: str
    value: Any
    where: tuple[Any, ...]

    @property
    def columns(self) -> dict[str, Column]:
        """The columns that it reads, by name."""
        found = questions_in(self.value, *map(_sides, self.where))
        return {name: one for name, one in found.items() if isinstance(one, Column)}

    @property
    def questions(self) -> dict[str, Question]:
        """The questions that it asks beside the table, by name."""
        found = questions_in(*map(_sides, self.where))
        return {name: one for name, one in found.items() if not isinstance(one, Column)}


def column(name: str, hint: Any) -> Column:
    """A column: its name in a row, and a hint such as Annotated[Alkalinity, "Alkalinity"]. Its cells may be blank."""
    asked = question(name, hint)
    return Column(asked.name, asked.label, asked.quantity, SKIPS)


def known(of: Column) -> State:
    """Rows in which the column holds a number or a choice."""
    return State(of, faulty=False)


def faulty(of: Column) -> State:
    """Rows in which the column holds something that is not in order."""
    return State(of, faulty=True)


def count(*where: Any) -> Reduced:
    """How many rows fit."""
    return _checked(COUNT, 1, where)


def total(value: Any, *where: Any) -> Reduced:
    """The sum over the rows that fit, of a column or of what is calculated from columns; blanks add nothing."""
    return _checked(TOTAL, value, where)


def latest(value: Column, *where: Any) -> Reduced:
    """The largest of a column among the rows that fit; blank where none does."""
    return _checked(LATEST, value, where)


def entry(value: Column, *where: Any) -> Reduced:
    """What the first row that fits holds in a column; blank where none fits."""
    return _checked(ENTRY, value, where)


def reduce(
    node: Reduced, rows: Iterable[Mapping[str, Any]], values: Mapping[str, Any] | None = None, units: str = METRIC
) -> Any:
    """What the table comes to, in plain Python.

    Parameters
    ----------
    node : what is asked of the table.
    rows : what each row's cells hold, by the columns' names.
    values : what the cells of the questions beside the table hold, by name.
    units : the unit system of the numbers.

    Returns
    -------
    float, str or None
        None where no row fits; a text that starts with "? " where something is not in order.
    """
    check_units(units)
    beside = {name: read(one, (values or {})[name], units) for name, one in node.questions.items()}
    for name, one in node.questions.items():
        if wrong := complaint(one, beside[name], units) or (
                spelt(f"{one.label} {MISSING}", units) if beside[name] is None else ""):
            return FAULT + wrong
    columns = node.columns
    fitting = [row for row in (_Row(columns, cells, beside, units) for cells in rows)
               if all(map(row.holds, node.where))]
    if node.kind == COUNT:
        return float(len(fitting))
    own = questions_in(node.value).values()
    if node.kind == ENTRY:
        fitting = fitting[:1]
    if any(row.wrong[one.name] for row in fitting for one in own):
        return not_in_order(node, units)
    try:
        found = [row.value(node.value) for row in fitting if all(row.values[one.name] is not None for one in own)]
    except NO_ANSWER:
        return not_in_order(node, units)
    if node.kind == TOTAL:
        return float(sum(found))
    if not found:
        return None
    return max(found) if node.kind == LATEST else found[0]


class _Row(Evaluation):
    """A row's cells, beside the questions that are asked of all rows."""

    def __init__(
        self, columns: Mapping[str, Column], cells: Mapping[str, Any], beside: Mapping[str, Any], units: str
    ) -> None:
        if absent := [name for name in columns if name not in cells]:
            raise BadInput(f"a row of the table has no {', '.join(absent)}; expected: {', '.join(columns)} "
                           f"(None for a blank cell)")
        own = {name: read(one, cells[name], units) for name, one in columns.items()}
        self.wrong = {name: own[name] is not None and bool(fault(one, own[name], units))
                      for name, one in columns.items()}
        super().__init__({**beside, **own}, units)

    def holds(self, condition: Any) -> bool:
        """Whether the row fits the condition."""
        of = condition.column.name if isinstance(condition, State) else condition.left.name
        if self.values[of] is None:
            return False
        if isinstance(condition, State):
            return bool(self.wrong[of] == condition.faulty)
        return not self.wrong[of] and exactly(condition.operator, self.values[of], self.value(condition.right))


def not_in_order(node: Reduced, units: str) -> str:
    """What is said where a row that fits holds something that is not in order."""
    label = next(iter(questions_in(node.value).values())).label
    return spelt(f"{FAULT}{label} is not in order in one of the rows", units)


def _sides(condition: Any) -> Any:
    return condition.column if isinstance(condition, State) else condition


def _checked(kind: str, value: Any, where: tuple[Any, ...]) -> Reduced:
    for condition in where:
        if isinstance(condition, State):
            continue
        if not isinstance(condition, Binary) or condition.operator not in COMPARISONS:
            raise BadRule("rows are picked by comparing a column, or by known(...) and faulty(...)")
        left, right = condition.left, condition.right
        beside = isinstance(right, (Question, ByUnits, float, int, str)) and not isinstance(right, Column)
        if not isinstance(left, Column) or not beside:
            raise BadRule("rows are picked by comparing a column, on the left, with a constant or a question")
        check(condition, sort_of(condition))
    if not where:
        raise BadRule("tell which rows count: such as known(...)")
    if kind in (LATEST, ENTRY) and not isinstance(value, Column):
        raise BadRule("the latest and an entry are those of one column")
    if kind in (TOTAL, LATEST):
        check(value, NUMBER)
    if kind == TOTAL and (not questions_in(value) or not _of_columns(value)):
        raise BadRule("a total adds, subtracts and multiplies columns and constants, nothing else")
    return Reduced(kind, value, where)


def _of_columns(value: Any) -> bool:
    if isinstance(value, Binary):
        return value.operator in "+-*" and _of_columns(value.left) and _of_columns(value.right)
    if isinstance(value, Negative):
        return _of_columns(value.operand)
    return isinstance(value, (Column, int, float)) and not isinstance(value, Call)
