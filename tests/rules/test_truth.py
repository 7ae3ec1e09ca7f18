"""Truth tables: what each rule says of these inputs, by hand, in every form that a rule has.

The first row of a rule in a unit system names all its inputs; each row behind it those that differ from the first.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import calc
from pailbook.hosts.cells import ErrorValue
from pailbook.hosts.engines import FAST, REFERENCE
from pailbook.rules import Rule
from pailbook.rules.words import texted
from pailbook.workbook.dosing_plan.all_rules import RULES as DOSING_PLAN
from pailbook.workbook.farm_log.all_rules import RULES as FARM_LOG
from pailbook.workbook.move_plan.rules import RULES as MOVE_PLAN
from pailbook.workbook.stocking_plan.all_rules import RULES as STOCKING_PLAN
from rule_examples import RULES
from rule_forms import Case, Told, differences, in_columns, in_engine, in_libreoffice, in_python

# The rules of each table: those of the examples, and those of a workbook. A table is one file or several, all of whose
# names begin with its own.
TABLES: dict[str, dict[str, Rule]] = {
    "truth": RULES,
    "move_plan": {rule.name: rule for rule in MOVE_PLAN},
    "dosing_plan": {rule.name: rule for rule in DOSING_PLAN},
    "stocking_plan": {rule.name: rule for rule in STOCKING_PLAN},
    "farm_log": {rule.name: rule for rule in FARM_LOG},
}
tables = pytest.mark.parametrize("name", TABLES)


def typed(text: str) -> Any:
    """What a cell holds: nothing, 'a text, #AN_ERROR!, TRUE, a number, or a choice."""
    if not text:
        return None
    if text.startswith("'"):
        return text[1:]
    if text.startswith("#"):
        return ErrorValue(text)
    if text in ("TRUE", "FALSE"):
        return text == "TRUE"
    try:
        return float(text)
    except ValueError:
        return text


@cache
def table(name: str) -> tuple[list[Case], list[str], list[str]]:
    """The cases, the outcomes and the texts of a table."""
    cases: list[Case] = []
    outcomes, texts = [], []
    first: dict[tuple[str, str], dict[str, str]] = {}
    for path in sorted(Path(__file__).parent.glob(f"{name}*.csv")):
        for line in csv.DictReader(path.read_text(encoding="utf-8").splitlines(), strict=True):
            values = dict(part.split("=", 1) for part in line["inputs"].split("; "))
            values = first.setdefault((line["rule"], line["units"]), values) | values
            held = {key: typed(text) for key, text in values.items()}
            cases.append((TABLES[name][line["rule"]], line["units"], held))
            outcomes.append(line["outcome"])
            texts.append(texted(line["outcome"], line["words"]))
    return cases, outcomes, texts


def wrong(name: str, found: list[Told]) -> list[str]:
    """Where outcome or text differ from the table, in words."""
    cases, outcomes, texts = table(name)
    return [f"{rule.name} {dict(values)}: {told} instead of {text}"
            for (rule, _, values), outcome, text, told in zip(cases, outcomes, texts, found, strict=True)
            if told[:2] != (text, outcome)]


@tables
def test_the_table_holds_every_rule_and_every_outcome(name: str) -> None:
    cases, outcomes, _ = table(name)
    assert {rule.name for rule, _, _ in cases} == set(TABLES[name])
    assert len(TABLES[name]) >= 10
    assert set(outcomes) == {"act", "not known", "watch", "fine", "not asked"}


@tables
@pytest.mark.parametrize("form", [
    in_python, in_columns, lambda cases: in_engine(cases, FAST), lambda cases: in_engine(cases, REFERENCE),
    lambda cases: in_engine(cases, FAST, calls=True),
], ids=["python", "columns", "fast", "reference", "calls"])
def test_every_form_says_what_the_table_says(form: Callable[[list[Case]], list[Told]], name: str) -> None:
    cases, _, _ = table(name)
    found = form(cases)
    assert not wrong(name, found)
    assert not differences(cases, in_python(cases), found)  # remedies and urgencies too


@pytest.mark.libreoffice
@pytest.mark.long
@tables
def test_libreoffice_says_what_the_table_says(name: str, tmp_path: Path) -> None:
    calc.needed()
    cases, _, _ = table(name)
    found = in_libreoffice(cases, tmp_path)
    assert not wrong(name, found)
    assert not differences(cases, in_python(cases), found)
