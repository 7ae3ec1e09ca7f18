"""Cells that show an error: those in which it starts, with the reason, not all those to which it spreads."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pailbook.hosts.cells import ErrorValue
from pailbook.hosts.results import Problem
from pailbook.outcomes import DIV0, NA, NAME, NULL, NUM, REF, VALUE
from pailbook.terms import ACT, NOT_KNOWN
from pailbook.workbook import workings
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.subject import Subject

ERROR, NOT_COMPUTED = "error", "not calculated here"
_REMEDIES = {
    NA: "Look in the cells that it uses: one is blank, or a name is not on its list.",
    VALUE: "Look in the cells that it uses: one holds text instead of a number.",
    NUM: "Look in the cells that it uses: one holds an impossible number.",
    DIV0: "Fill in the number by which it divides.",
    REF: "A cell that it used was deleted: correct the formula.",
    NAME: "Check the spelling of the function or name. If it comes from an add-in, ask for a copy that needs none.",
    NULL: "Check the ranges in it: they do not overlap.",
}
_CIRCLE = "circular reference"


def errors(subject: Subject) -> Iterator[Finding]:
    """Each cell in which an error starts, and each that only the program that wrote the file can calculate."""
    problems = [problem for problem in subject.calculation.problems if not _behind(problem.sheet)]
    problems += _shown_of_workings(subject)
    stored = {} if all(problem.computed for problem in problems) else subject.book.stored_values()
    found = [_computed(problem) if problem.computed else
             _not_computed(problem, stored.get((problem.sheet, problem.cell))) for problem in problems]
    found += [
        Finding(sheet, address, ACT, ERROR, f"the error {content} was typed or pasted here as a value",
                "Type the right value, or clear the cell.")
        for sheet, cells in subject.contents.items() for address, content in cells.items()
        if isinstance(content, ErrorValue)
    ]
    if len(found) == 1 and found[0].kind == ERROR and subject.complete:
        found = [replace(found[0], what=found[0].what + _flow(subject, problems))]
    yield from found


def _flow(subject: Subject, problems: list[Problem]) -> str:
    """How many cells show the error besides the one in which it starts."""
    start = (problems[0].sheet, problems[0].cell) if problems else ("", "")
    code = subject.calculation.values.get(start)
    cells = sum(value == code and isinstance(value, ErrorValue) and place != start
                for place, value in subject.calculation.values.items())
    return f"; {cells} {'cell shows' if cells == 1 else 'cells show'} it too" if cells and start[0] else ""


def _behind(sheet: str) -> bool:
    """Whether it is the sheet of intermediate values, whose errors are intended: the results' formulas judge them."""
    return sheet.startswith(workings.SHEET)


def _shown_of_workings(subject: Subject) -> list[Problem]:
    """The cells in front of the sheet of intermediate values that show an error of it."""
    if not any(_behind(problem.sheet) for problem in subject.calculation.problems):
        return []
    found = []
    for (sheet, address), value in subject.calculation.values.items():
        if isinstance(value, ErrorValue) and not _behind(sheet):
            text = subject.formula(sheet, address) or ""
            if f"{workings.SHEET}!" in text:
                found.append(Problem(sheet, address, text, f"its intermediate values give {value.code}", computed=True))
    return found


def _computed(problem: Problem) -> Finding:
    code = next((code for code in _REMEDIES if code in problem.reason), VALUE)
    return Finding(problem.sheet, problem.cell, ACT, ERROR, f"{problem.reason} ({_formula(problem)})", _REMEDIES[code])


def _not_computed(problem: Problem, stored: object) -> Finding:
    if _CIRCLE in problem.reason:
        return Finding(problem.sheet, problem.cell, ACT, ERROR, problem.reason,
                       "Break the circle: one of these cells must stop using the others.")
    if isinstance(stored, ErrorValue) or (stored is None and REF in problem.formula):
        return Finding(problem.sheet, problem.cell, ACT, ERROR, f"{problem.reason} ({_formula(problem)})",
                       _REMEDIES.get(str(stored), _REMEDIES[REF]))
    return Finding(problem.sheet, problem.cell, NOT_KNOWN, NOT_COMPUTED, f"{problem.reason} ({_formula(problem)})",
                   "Check it in the program that wrote the workbook; the cells that use it were not checked either.")


def _formula(problem: Problem) -> str:
    text = problem.formula if problem.formula.startswith("=") else f"={problem.formula}"
    return text if len(text) <= 80 else text[:77] + "..."
