"""Where the verdict of a rule stands in a sheet of the plan: its formula, by the name of the rule."""

from __future__ import annotations

from pailbook.rules import Rule, Sheet
from pailbook.terms import NOT_KNOWN
from pailbook.workbook.form import Formula, Plan
from pailbook.workbook.move_plan import entries, waters
from pailbook.workbook.texts import first_that_holds


def sheet_for(plan: Plan, rule: Rule, **elsewhere: str) -> Sheet:
    """The formulas of a rule on the plan's clean cells; `elsewhere` are those of a table's row."""
    return plan.asking(rule, **entries.clean_cells(plan), kit_resolution_ph=waters.clean_resolution(), **elsewhere)


def rule_named(plan: Plan, name: str) -> Rule:
    """The rule of that name; every form knows all rules of the plan."""
    form = next(iter(plan.forms.values()))
    return next(rule for rule in form.rules if rule.name == name)


def text(name: str, **elsewhere: str) -> Formula:
    """The verdict of the rule of that name, in words."""
    def formula(plan: Plan) -> str:
        rule = rule_named(plan, name)
        return sheet_for(plan, rule, **elsewhere).text(rule)
    return formula


def shown(cell: str) -> str:
    """Formula text for a result on another sheet: blank where it is, never an error."""
    return first_that_holds(((f"ISERROR({cell})", f'"{NOT_KNOWN}"'), (f'{cell}=""', '""')), cell)
