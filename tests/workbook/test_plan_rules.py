"""The rules of the dosing plan and of the stocking plan in their sheets: verdicts as plain Python judges them.

What is faulty never decides: no text, error, blank or number outside its limits ends as fine, or as a plan that can go.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

import pytest

import plans
import stocks
from pailbook.hosts.cells import ErrorValue
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.rules import Judged, Rule, judge
from pailbook.rules.answer import answer
from pailbook.rules.faults import fault, held
from pailbook.rules.words import FAULT, MISSING
from pailbook.terms import GO, NO_GO, NOT_ASKED, NOT_YET, WITH_CARE
from pailbook.workbook.dosing_plan import day_rules, nutrient_rules, plan_rules, products, readings
from pailbook.workbook.dosing_plan.nutrients import BLEND, NUTRIENTS, PHOSPHATE, Nutrient
from pailbook.workbook.dosing_plan.places import FACT_KEYS, cell, clean_cell, clean_fact
from pailbook.workbook.form import Plan
from pailbook.workbook.stocking_plan import areas, board, cohorts, facts, row_rules, weeks
from test_dosing_plan_engines import _random_plan
from test_stocking_plan_engines import _farm
from thorough import examples, part

FAULTS: tuple[Any, ...] = ("abc", "5", " ", True, -1e6, 1e12, ErrorValue("#N/A"), ErrorValue("#DIV/0!"))
Values = Mapping[tuple[str, str], Any]
Asked = dict[str, Any]  # what the clean cells hold, by the names of the questions


Verdict = tuple[Rule, Mapping[str, str], str]  # the rule, its clean cells that are in no form, the cell with its text
LITTLE = [stocks.COHORTS[0] | {"count": 20.0}]  # cohorts and plants of a plan that is fine
SMALL_BED = [{"crop": "leafy", "area": 1.0}]


def _stocking(units: str) -> dict[str, stocks.Inputs]:
    small = stocks.typed(units, stocks.changed(alkalinity=140.0), LITTLE, SMALL_BED)
    random_ones = {f"random {seed}": _farm(seed) for seed in range(6)} if units == "metric" else {}
    short = stocks.typed(units, stocks.changed(media_volume=50.0, air_flow=40.0, pump_head=1.0, volume=900.0))
    return {"worked": stocks.typed(units), "small": small, "short": short, "blank": {}, **random_ones}


def _dosing(units: str) -> dict[str, plans.Inputs]:
    random_ones = {f"random {seed}": _random_plan(seed)[0] for seed in range(8)} if units == "metric" else {}
    blend = plans.typed(units, nutrients=plans.phosphate_with(product=BLEND))
    return {"worked": plans.typed(units), "everything": plans.everything(units), "blend": blend, "blank": {},
            "below": plans.typed(units, rows=[*plans.READINGS[:-1], plans.READINGS[-1] | {"phosphate": 7.0}]),
            **random_ones}


def _of_stocking(made: Plan) -> Iterator[Verdict]:
    of_plan = {key: facts.clean_cell(key) for key in facts.KEYS}
    for key, rule in board.PLAN.items():
        yield rule, of_plan, f"Balance!{board.cell('texts', key)}"
    for rule, module in ((row_rules.cohort, cohorts), (row_rules.area, areas), (row_rules.week, weeks)):
        table = made.tables[module.SHEET]
        for row in range(table.first_row, table.last_row + 1):
            flags = {one.name: table.cell(one.name, row) for one in rule.questions if one.name.endswith("_short")}
            here = {name: f"{module.SHEET}!{at}" for name, at in (module.CLEAN.cells(table, row) | flags).items()}
            yield rule, of_plan | here, f"{module.SHEET}!{table.cell('state', row)}"
    yield row_rules.freshness, of_plan, made.book.named("count_fresh")


def _of_dosing(made: Plan) -> Iterator[Verdict]:
    forms = {key for form in made.forms.values() for key in form.questions}

    def cells(rule: Rule, n: Nutrient = PHOSPHATE, **own: str) -> dict[str, str]:
        of_plan = {key: clean_fact(key) for key in FACT_KEYS}
        known = {*forms, *of_plan, *own}
        boxes = {one.name: clean_cell(n, one.name) for one in rule.questions if one.name not in known}
        return boxes | of_plan | own

    for n in NUTRIENTS:
        rule = nutrient_rules.OF_NUTRIENT[n.key]
        yield rule, cells(rule, n), cell(n, "state")
    for rule, name in ((plan_rules.right_product, "split_advice"), (plan_rules.scale, "scale_verdict"),
                       (plan_rules.date_check, "date_check")):
        yield rule, cells(rule), made.book.named(name)
    yield plan_rules.ph_dose, cells(plan_rules.ph_dose), made["ph_verdict"]
    for name, rule in day_rules.PRODUCTS.items():
        table, row = made.tables[products.SHEET], products.row_of(made, name)
        own = {key: f"{products.SHEET}!{table.cell(f'clean_{key}', row)}" for key in products.ASKED}
        yield rule, cells(rule, PHOSPHATE, **own), products.of(made, name, "state")
    table = made.tables[readings.SHEET]
    boxes = {day_rules.of_box(n.key, box): clean_cell(n, box) for n in NUTRIENTS for box in day_rules.BOXES}
    for row in range(table.first_row, table.last_row + 1):
        own = readings.CLEAN.cells(table, row) | {"filled": table.cell("filled", row)}
        here = {name: f"{readings.SHEET}!{at}" for name, at in own.items()}
        yield day_rules.READING, boxes | here, f"{readings.SHEET}!{table.cell('state', row)}"


def _asked(made: Plan, values: Mapping[Any, Any], rule: Rule, elsewhere: Mapping[str, str]) -> dict[str, Any] | None:
    """What the cells of a rule hold, by their clean cells; None where more than a missing value is wrong with one."""
    found = {}
    for one in rule.questions:
        there = values[plans.place(elsewhere.get(one.name) or made.clean(one.name))]
        missing = there in ("", f"{FAULT}{one.label} {MISSING}")
        if isinstance(there, str) and there.startswith(FAULT) and not missing:
            return None
        found[one.name] = None if missing else there
    return found


@cache
def _judged(book: str, units: str) -> list[tuple[str, Judged, Any, dict[str, Any]]]:
    """Of every verdict of every plan: which plan, what plain Python judges, what the sheet says, what was asked."""
    module: Any = stocks if book == "stocking" else plans
    made = module.plan(units)
    found = []
    for name, inputs in (_stocking if book == "stocking" else _dosing)(units).items():
        values = module.computed(units, inputs)
        for rule, elsewhere, at in (_of_stocking if book == "stocking" else _of_dosing)(made):
            asked = _asked(made, values, rule, elsewhere)
            if asked is not None:
                found.append((name, judge(rule, asked, units), values[plans.place(at)], asked))
    return found


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
@pytest.mark.parametrize("book", ["stocking", "dosing"])
def test_the_sheets_say_what_plain_python_says(book: str, units: str) -> None:
    words = set()
    for name, one, says, _ in _judged(book, units):
        words.add(one.outcome)
        assert says == ("" if one.text == NOT_ASKED else one.text), (name, one.rule)
    assert words >= {"act", "watch", "fine", "not asked"}


@pytest.mark.parametrize("book", ["stocking", "dosing"])
def test_a_faulty_cell_that_decides_is_not_known(book: str) -> None:
    """Where the outcome is anything else, no value of the faulty cell could have changed it."""
    rng = random.Random(20261130)
    complete: dict[Rule, list[dict[str, Any]]] = {}
    for _, judged, _, asked in _judged(book, "metric"):
        assert judged.rule is not None
        complete.setdefault(judged.rule, []).append(asked)
    tried = 0
    for _ in range(examples(12000)):
        rule = rng.choice(list(complete))
        values, one = rng.choice(complete[rule]), rng.choice(rule.questions)
        faulty = rng.choice((*FAULTS, None))
        if not fault(one, held(faulty), "metric"):  # a blank that is allowed, or a number without limits
            continue
        tried += 1
        found = judge(rule, {**values, one.name: faulty})
        if found.outcome == "not known":
            assert found.about in {question.name for question in rule.questions}
            continue
        for other in rng.sample(complete[rule], min(8, len(complete[rule]))):
            mended = judge(rule, {**values, one.name: other[one.name]})
            assert mended.outcome in (found.outcome, "not known"), (rule, one.name, faulty, values, other[one.name])
    assert tried > 500


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_the_answer_of_a_stocking_plan_is_earned(units: str) -> None:
    words = {NO_GO: "act: ", NOT_YET: "not known: ", WITH_CARE: "watch: ", GO: "fine: "}
    found = set()
    for name in ("worked", "small", "short"):
        values = stocks.computed(units, _stocking(units)[name])
        rules = list(_of_stocking(stocks.plan(units)))[:len(board.PLAN) + 6]
        judged = []
        for rule, elsewhere, _ in rules:
            asked = _asked(stocks.plan(units), values, rule, elsewhere)
            assert asked is not None or name != "small", rule
            if asked is not None:
                judged.append(judge(rule, asked, units))
        if len(judged) == len(rules):
            found.add(answer(judged, units).word)
            assert stocks.named(values, units, "answer").startswith(words[answer(judged, units).word])
    assert GO in found


# Fields of Setup that decide nothing here: names, and inputs that a value of the plan's own overrides.
_STOCKING_FREE = {"system", "media_kind"}


def test_no_faulty_field_of_setup_lets_a_stocking_plan_go() -> None:
    inputs = _stocking("metric")["small"]
    assert stocks.named(stocks.computed("metric", inputs), "metric", "answer") == "fine: the system can carry this plan"
    made = stocks.plan("metric")
    (form,) = made.forms.values()
    fields = [field.key for _, field in form.fields() if field.result is None and field.key not in _STOCKING_FREE]
    for key in fields:
        for faulty in part(FAULTS, 2):
            values = stocks.model("metric").calculate(inputs | {stocks.place(made.given(key)): faulty}).values
            said = str(stocks.named(values, "metric", "answer"))
            assert said.startswith(("act: ", "not known: ")), (key, faulty, said)


# What phosphate does not need: names, what is for other nutrients, for pH or for a base.
_DOSING_FREE = {"system", "alkalinity_unit", "alkalinity_resolution", "sodium_start", "alkalinity_hold", "base",
                "base_strength"}


def test_no_faulty_box_lets_phosphate_be_dosed() -> None:
    inputs, made = _dosing("metric")["worked"], plans.plan("metric")
    assert str(plans.named(plans.computed("metric", inputs), "metric", "next_step")).startswith("Today: ")
    form = made.forms["Setup"]
    places = [made.given(field.key) for _, field in form.fields()
              if field.result is None and field.key not in _DOSING_FREE]
    places += [cell(PHOSPHATE, key) for key in ("basis", "resolution", "kit_low", "kit_high", "low", "high", "incoming",
                                                "product")]
    table = made.tables[readings.SHEET]
    places += [f"{readings.SHEET}!{table.cell(key, table.first_row + 2)}"
               for key in ("date", "phosphate", "phosphate_dose", "changed", "ph", "alkalinity")]
    places.append(products.of(made, "phosphoric acid", "strength"))
    for at in places:
        for faulty in part(FAULTS, 2):
            values = plans.computed("metric", inputs | {plans.place(at): faulty})
            said = str(plans.named(values, "metric", "next_step"))
            assert said.startswith("Put this right: "), (at, faulty, said)
            assert plans.named(values, "metric", "next_dose") in ("", None) or isinstance(
                plans.named(values, "metric", "next_dose"), ErrorValue), (at, faulty)
