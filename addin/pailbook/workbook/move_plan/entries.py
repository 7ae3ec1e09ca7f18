"""Sheet "Entries": every box of the plan that decides, and what is wrong with what stands in it.

A box refuses a wrong entry when it is typed, but not one that is pasted or comes from a formula. Each row has the clean
cell of its box; one fault keeps the plan's answer from being a go.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pailbook.formula.tree import Binary, Call, Reference
from pailbook.formula.write import write as formula_text
from pailbook.quantities import Quantity
from pailbook.rules import Question, clean
from pailbook.rules.expression import SKIPS
from pailbook.workbook.columns import quoted
from pailbook.workbook.form import Plan
from pailbook.workbook.move_plan import measures, ph_days, waters
from pailbook.workbook.move_plan.labels import label
from pailbook.workbook.sheets import headings, put, widths
from pailbook.workbook.texts import first_that_holds

SHEET = "Entries"
_FIRST = 5
_CLEAN, _ALL_CLEAN = "F", "F4"  # hidden: the clean cell of each box, and that of all of them
_UNUSED = ("On the road",)  # sheets whose boxes are a test beside the plan: no check rests on them


@dataclass(frozen=True)
class Entry:
    """A box, or a column of boxes: the key of what is typed, what it is for, where it stands, what may stand there."""

    key: str
    name: str
    cell: str
    quantity: Quantity

    def expected(self, units: str) -> str:
        """What may stand there, in words."""
        if self.quantity.choices:
            return "one of its list"
        return "a date, such as 2026-03-31" if self.quantity is measures.DATE else self.quantity.expected(units)

    @property
    def place(self) -> str:
        """Where it stands, in words."""
        sheet, address = self.cell.split("!")
        cells = address.replace("$", "")
        return f"{sheet.strip(chr(39))}, {'cells' if ':' in cells else 'cell'} {cells}"


def entries(plan: Plan) -> list[Entry]:
    """Every box that decides, sheet by sheet."""
    return [*_of_forms(plan), *_of_match(plan), *_of_days(plan)]


def _of_forms(plan: Plan) -> Iterator[Entry]:
    for form in plan.forms.values():
        for _, item in form.fields():
            if item.result is None and item.kind != "text" and form.sheet not in _UNUSED:
                yield Entry(item.key, label(item), form.address(item.key, given=True), measures.of_box(item))


def _of_match(plan: Plan) -> Iterator[Entry]:
    for pair in waters.PAIRS:
        yield Entry(f"kit_resolution_{pair.key}", waters.resolution_label(pair), waters.resolution_given(pair.key),
                    waters.resolution_quantity())


def _of_days(plan: Plan) -> Iterator[Entry]:
    table = ph_days.table()
    for column in table.inputs:
        assert column.quantity is not None
        yield Entry(column.key, f"{table.sheet}: {column.heading}", table.range(column.key), column.quantity)


def clean_cells(plan: Plan) -> dict[str, str]:
    """The clean cells of this sheet by what rules ask: each box as given_ and its key, and `entries` for them all."""
    found = {f"given_{entry.key}": f"{quoted(SHEET)}!${_CLEAN}${row}"
             for row, entry in enumerate(entries(plan), _FIRST) if ":" not in entry.cell}
    return {**found, "entries": f"{quoted(SHEET)}!{_ALL_CLEAN}"}


def _fault_in_column(entry: Entry, units: str) -> str:
    """Formula text for what is wrong with a column of boxes; blank where nothing is."""
    cells = Reference(entry.cell)
    beyond = [one for end in ("MIN", "MAX") for one in entry.quantity.outside(Call(end, (cells,)), units)]
    wrong = f"one of the entries is not {entry.expected(units)}"
    inside = Call("IF", (Call("OR", tuple(beyond)), wrong, ""))
    numbers = Call("COUNT", (cells,))
    inside = Call("IF", (Binary("=", numbers, 0), "", inside))
    return formula_text(Call("IF", (Binary("<", numbers, Call("COUNTA", (cells,))), wrong, inside)))


def _fault(entry: Entry, clean_cell: str, units: str) -> str:
    """Formula text for what is wrong with an entry; blank where nothing is."""
    return first_that_holds((
        (f'LEFT({clean_cell},1)<>"?"', '""'), (f"ISERROR({entry.cell})", '"the entry is an error"'),
    ), f'"the entry is "&{entry.cell}&"; expected: {entry.expected(units)}"')


def _span(plan: Plan, letter: str) -> str:
    return f"{quoted(SHEET)}!${letter}${_FIRST}:${letter}${_FIRST + len(entries(plan)) - 1}"


def sound(plan: Plan) -> str:
    """Condition that holds where no entry has a fault."""
    return f"SUM({_span(plan, 'E')})=0"


def _all_clean(plan: Plan) -> str:
    """Formula text for the clean cell of all entries: how many are wrong, none, or what is wrong with the first."""
    row = f"MATCH(1,{_span(plan, 'E')},0)"
    name, place, fault = (f"INDEX({_span(plan, letter)},{row})" for letter in "ABD")
    return f'IF({sound(plan)},0,"? "&{name}&" ("&{place}&"): "&{fault})'


def write(plan: Plan) -> None:
    """Writes the sheet."""
    units = plan.book.units
    sheet = plan.book.sheet(SHEET, "Every box that decides, and what is wrong with its entry. Nothing to fill in.")
    widths(sheet, 52, 34, 44, 62, 8)
    headings(sheet, _FIRST - 1, ("Box", "Where it is", "What is expected", "What is wrong", "Fault"))
    row = _FIRST - 1
    for row, entry in enumerate(entries(plan), _FIRST):
        put(sheet, f"A{row}", entry.name, "strong")
        put(sheet, f"B{row}", entry.place)
        put(sheet, f"C{row}", entry.expected(units), wrap=True)
        if ":" in entry.cell:
            fault = _fault_in_column(entry, units)
        else:
            asked = Question(entry.key, entry.name, entry.quantity, SKIPS)
            put(sheet, f"{_CLEAN}{row}", f"={clean(asked, entry.cell, units)}", "note")
            fault = _fault(entry, f"${_CLEAN}{row}", units)
        put(sheet, f"D{row}", f"={fault}", "key", wrap=True, align="left")
        put(sheet, f"E{row}", f'=IF(D{row}="",0,1)', "result", "0")
    put(sheet, _ALL_CLEAN, f"={_all_clean(plan)}", "note")
    sheet.column_dimensions[_CLEAN].hidden = True
    sheet.freeze_panes = f"A{_FIRST}"
    sheet.print_area = f"A1:D{row}"
