"""Truth tables: what each rule says of these inputs, worked out by hand, in every form that a rule has."""

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
from pailbook.rules.words import texted
from rule_examples import RULES
from rule_forms import Case, Told, differences, in_columns, in_engine, in_libreoffice, in_python


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
def table() -> tuple[list[Case], list[str], list[str]]:
    """The cases, the outcomes and the texts of truth.csv."""
    cases: list[Case] = []
    outcomes, texts = [], []
    with (Path(__file__).parent / "truth.csv").open(encoding="utf-8", newline="") as file:
        for line in csv.DictReader(file, strict=True):
            values = dict(part.split("=", 1) for part in line["inputs"].split("; "))
            cases.append((RULES[line["rule"]], line["units"], {name: typed(text) for name, text in values.items()}))
            outcomes.append(line["outcome"])
            texts.append(texted(line["outcome"], line["words"]))
    return cases, outcomes, texts


def wrong(found: list[Told]) -> list[str]:
    """Where outcome or text differ from the table, in words."""
    cases, outcomes, texts = table()
    return [f"{rule.name} {dict(values)}: {told} instead of {text}"
            for (rule, _, values), outcome, text, told in zip(cases, outcomes, texts, found, strict=True)
            if told[:2] != (text, outcome)]


def test_the_table_holds_every_rule_and_every_outcome() -> None:
    cases, outcomes, _ = table()
    assert {rule.name for rule, _, _ in cases} == set(RULES)
    assert len(RULES) >= 10
    assert set(outcomes) == {"act", "not known", "watch", "fine", "not asked"}


@pytest.mark.parametrize("form", [
    in_python, in_columns, lambda cases: in_engine(cases, FAST), lambda cases: in_engine(cases, REFERENCE),
    lambda cases: in_engine(cases, FAST, calls=True),
], ids=["python", "columns", "fast", "reference", "calls"])
def test_every_form_says_what_the_table_says(form: Callable[[list[Case]], list[Told]]) -> None:
    cases, _, _ = table()
    found = form(cases)
    assert not wrong(found)
    assert not differences(cases, in_python(cases), found)  # remedies and urgencies too


@pytest.mark.libreoffice
@pytest.mark.long
def test_libreoffice_says_what_the_table_says(tmp_path: Path) -> None:
    calc.needed()
    cases, _, _ = table()
    found = in_libreoffice(cases, tmp_path)
    assert not wrong(found)
    assert not differences(cases, in_python(cases), found)
