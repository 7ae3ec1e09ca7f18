"""Sheet "Entries": every box of the plan that decides, and what is wrong with what stands in it.

A box refuses a wrong entry when it is typed, but not one that is pasted or comes from a formula. Each row judges its
box by the box's own rule; one fault keeps the plan's answer from being a go.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from openpyxl.worksheet.datavalidation import DataValidation

from pailbook.terms import NOT_KNOWN
from pailbook.workbook import validation
from pailbook.workbook.columns import quoted
from pailbook.workbook.form import Plan
from pailbook.workbook.move_plan import known, match, ph_days
from pailbook.workbook.sheets import headings, put, widths
from pailbook.workbook.texts import first_that_holds

SHEET = "Entries"
_FIRST = 5
_UNUSED = ("On the road",)  # sheets whose boxes are a test beside the plan: no check rests on them


@dataclass(frozen=True)
class Entry:
    """A box: what it is for, where it stands, what is expected there, the rule that it has."""

    name: str
    cell: str
    expected: str
    rule: DataValidation

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
    units = plan.book.units
    for form in plan.forms.values():
        for _, item in form.fields():
            if item.result is not None or item.kind == "text" or form.sheet in _UNUSED:
                continue
            if item.kind == "number":
                assert item.quantity is not None
                expected = item.quantity.expected(units)
            else:
                expected = "a date, such as 2026-03-31" if item.kind == "date" else "one of its list"
            yield Entry(known.label(plan, item.key), form.address(item.key, given=True), expected,
                        validation.of_column(item.column, units))


def _of_match(plan: Plan) -> Iterator[Entry]:
    for pair in match.PAIRS:
        quantity = match.resolution_quantity()
        yield Entry(match.resolution_label(pair), match.resolution_given(pair.key), quantity.expected(plan.book.units),
                    validation.of_quantity(quantity, plan.book.units, ""))


def _of_days(plan: Plan) -> Iterator[Entry]:
    table = ph_days.table()
    for column in table.inputs:
        assert column.quantity is not None
        yield Entry(f"{table.sheet}: {column.heading}", table.range(column.key),
                    column.quantity.expected(plan.book.units), validation.of_column(column, plan.book.units))


def _plain(bound: object) -> str:
    """A limit of a rule as formulas write it: without an exponent."""
    return f"{float(str(bound)):.12f}".rstrip("0").rstrip(".")


def _fault(entry: Entry) -> str:
    """Formula text for what is wrong with an entry; blank where nothing is."""
    cell, rule = entry.cell, entry.rule
    if rule.type == "list":
        choices = str(rule.formula1).strip('"').split(",")
        held = ",".join(f'{cell}="{choice}"' for choice in choices)
    else:
        low, high = _plain(rule.formula1), _plain(rule.formula2)
    if ":" in cell:
        return first_that_holds((
            (f"COUNT({cell})<COUNTA({cell})", f'"one of the entries is not {entry.expected}"'),
            (f"COUNT({cell})=0", '""'),
            (f"OR(MIN({cell})<{low},MAX({cell})>{high})",
             f'"one of the entries is not {entry.expected}"'),
        ), '""')
    wrong = f'"the entry is "&{cell}&"; expected: {entry.expected}"'
    ladder = [(f"ISERROR({cell})", '"the entry is an error"'), (f'{cell}=""', '""')]
    if rule.type == "list":
        ladder.append((f"NOT(OR({held}))", wrong))
    else:
        ladder += [(f"NOT(ISNUMBER({cell}))", wrong),
                   (f"OR({cell}<{low},{cell}>{high})", wrong)]
        if rule.type == "whole":
            ladder.append((f"INT({cell})<>{cell}", wrong))
    return first_that_holds(ladder, '""')


def _span(plan: Plan, letter: str) -> str:
    return f"{quoted(SHEET)}!${letter}${_FIRST}:${letter}${_FIRST + len(entries(plan)) - 1}"


def sound(plan: Plan) -> str:
    """Condition that holds where no entry has a fault."""
    return f"SUM({_span(plan, 'E')})=0"


def verdict(plan: Plan) -> str:
    """Formula text for the verdict on all entries; it names the first that cannot be used."""
    row = f"MATCH(1,{_span(plan, 'E')},0)"
    name, place, fault = (f"INDEX({_span(plan, letter)},{row})" for letter in "ABD")
    return f'IF({sound(plan)},"fine","{NOT_KNOWN}: "&{name}&" ("&{place}&"): "&{fault})'


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "Every box that decides, and what is wrong with its entry. Nothing to fill in.")
    widths(sheet, 52, 34, 44, 62, 8)
    headings(sheet, _FIRST - 1, ("Box", "Where it stands", "What is expected", "What is wrong", "Fault"))
    row = _FIRST - 1
    for row, entry in enumerate(entries(plan), _FIRST):
        put(sheet, f"A{row}", entry.name, "strong")
        put(sheet, f"B{row}", entry.place)
        put(sheet, f"C{row}", entry.expected, wrap=True)
        put(sheet, f"D{row}", f"={_fault(entry)}", "key", wrap=True, align="left")
        put(sheet, f"E{row}", f'=IF(D{row}="",0,1)', "result", "0")
    sheet.freeze_panes = f"A{_FIRST}"
    sheet.print_area = f"A1:D{row}"
