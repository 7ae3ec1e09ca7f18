"""Rules on the rows of a table: one cell for several entries, reasons put together, words of their own for faults."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

import pytest

from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.hosts.engines import FAST, REFERENCE
from pailbook.quantities import PH, Oxygen
from pailbook.quantity import Quantity
from pailbook.rules import (
    ANY_TEXT,
    BadRule,
    Entries,
    Rungs,
    Sheet,
    Unusable,
    Wrong,
    act,
    clean,
    dated,
    fine,
    judge,
    needs,
    not_asked_if_blank,
    rule,
    say,
    skips,
    watch,
)
from pailbook.rules.clean_cell import clean_number
from pailbook.rules.reasons import faults, reason
from pailbook.rules.row_entries import every_fault, first_fault, named_faults
from rule_forms import Case, Cells, calculated, differences, in_columns, in_engine, in_python

DATE, PLACE = Quantity("date", low=36526, high=73050), Quantity("place", low=1)
NA = ErrorValue("#N/A")
Day = Annotated[float, DATE, "Date", Wrong("is not a date")]
System = Annotated[float, PLACE, "System", Wrong("is not on the list")]
PHRead = Annotated[PH, "pH", skips, Wrong("is not a number", "is impossible")]


@rule("Kit")
def kit(
    day: Day, name: Annotated[str, ANY_TEXT, "Kit", skips], expiry: Annotated[float, DATE, "Use by", Wrong("is none")],
    system: System,
) -> Rungs:
    """Whether the kit, which has a name, was good on the day."""
    return needs(day, system), watch(day > expiry, say(name, " expired ", dated(expiry)), "Replace it"), fine()


@rule("Entries")
def entries(day: Day, system: System, ph: PHRead) -> Rungs:
    """What a row needs."""
    return needs(day, system, ph), fine()


@rule("Oxygen")
def oxygen(
    read: Annotated[Oxygen, "Oxygen", not_asked_if_blank], act_below: Annotated[Oxygen, "Limit 'act'", skips],
    watch_below: Annotated[Oxygen, "Limit 'watch'", skips],
) -> Rungs:
    """Whether oxygen is low."""
    return act(read < act_below, "oxygen low", "Air"), watch(read < watch_below, "oxygen low"), fine()


EXPIRY = float((date(2026, 5, 31) - date(1899, 12, 30)).days)  # sheets count from there
KIT: dict[str, Any] = {"day": 46100.0, "name": "phosphate drops", "expiry": EXPIRY, "system": 1.0}
KITS: list[tuple[dict[str, Any], str]] = [
    ({}, "fine"),
    ({"day": EXPIRY + 1}, "watch: phosphate drops expired 2026-05-31"),
    ({"day": EXPIRY + 1, "name": 12.0}, "watch: 12 expired 2026-05-31"),
    ({"day": EXPIRY + 1, "name": None}, "watch: ? expired 2026-05-31"),
    ({"day": EXPIRY + 1, "name": NA}, "watch: ? expired 2026-05-31"),
    ({"day": None}, "not known: Date is missing"),
    ({"day": "soon"}, "not known: Date is not a date"),
    ({"day": -5.0}, "not known: Date is not a date"),
    ({"day": NA}, "not known: Date is not a date"),
    ({"system": NA}, "not known: System is not on the list"),
    ({"expiry": True}, "not known: Use by is none"),
]


def test_faults_have_words_of_their_own_and_sentences_name_things() -> None:
    cases: list[Case] = [(kit, units, KIT | changed) for units in ("metric", "us") for changed, _ in KITS]
    found = in_python(cases)
    assert [text for text, *_ in found] == [text for _, text in KITS] * 2
    assert not differences(cases, found, in_columns(cases))
    for engine in (FAST, REFERENCE):
        assert not differences(cases, found, in_engine(cases, engine))


def test_any_text_is_not_compared() -> None:
    with pytest.raises(BadRule, match="none of its choices"):
        @rule("Name")
        def named(name: Annotated[str, ANY_TEXT, "Kit"]) -> Rungs:
            """Compares a name."""
            return watch(name == "drops", "drops"), fine()


@rule("Row")
def row_of(day: Day, system: Annotated[float, PLACE, "System", Unusable("is not on the list")], ph: PHRead) -> Rungs:
    """What a row needs, its system as another cell finds it."""
    return needs(day, system, ph), fine()


LIST = ("North raft", "South beds")  # in D1:D2
ROWS: list[tuple[dict[str, Any], str]] = [  # what was typed, the first fault
    ({"day": 46100.0, "system": "south beds", "ph": 7.2}, ""),
    ({"day": 46100.0, "system": "South beds", "ph": None}, ""),
    ({"day": 46100.0, "system": "Nowhere", "ph": 99.0}, "System is not on the list"),
    ({"day": 46100.0, "system": NA, "ph": 7.2}, "System is not on the list"),
    ({"day": 46100.0, "system": None, "ph": 7.2}, "System is missing"),
    ({"day": "x", "system": None, "ph": 7.2}, "Date is not a date"),
    ({"day": 46100.0, "system": "South beds", "ph": "7,2"}, "pH is not a number"),
    ({"day": 46100.0, "system": "South beds", "ph": 15.0}, "pH is impossible"),
    ({"day": 46100.0, "system": "South beds", "ph": NA}, "pH is not a number"),
]


@pytest.mark.parametrize("engine", [FAST, REFERENCE])
def test_one_cell_stands_for_the_entries_of_a_row(engine: str) -> None:
    cells: Cells = {f"D{i}": name for i, name in enumerate(LIST, 1)}
    for row, (typed, _) in enumerate(ROWS, 1):
        where = {"day": f"A{row}", "system": f"B{row}", "ph": f"C{row}"}
        cells |= {where[name]: value for name, value in typed.items() if value is not None}
        cells[f"E{row}"] = FormulaCell(first_fault(entries.questions, where, lists={"system": "$D$1:$D$2"}))
        sheet = Sheet(where, entries=Entries(f"E{row}", frozenset(where)))
        cells[f"F{row}"] = FormulaCell(sheet.text(entries))
    cells["F10"] = FormulaCell(Sheet({"day": "A1", "system": "B1", "ph": "C1"}, entries=Entries(
        "E10", frozenset(("day", "system", "ph")))).text(entries))  # the cell is empty: nobody looked
    values = calculated(cells, engine)
    for row, (typed, wrong) in enumerate(ROWS, 1):
        assert values["S", f"E{row}"] == (f"? {wrong}" if wrong else 1)
        assert values["S", f"F{row}"] == (f"not known: {wrong}" if wrong else "fine")
        place = {name.casefold(): float(i) for i, name in enumerate(LIST, 1)}
        there = typed["system"] if not isinstance(typed["system"], str) else place.get(
            typed["system"].casefold(), typed["system"])
        assert judge(entries, typed | {"system": there}).text == values["S", f"F{row}"]
    assert values["S", "F10"].startswith("not known")


OXYGEN: list[tuple[Any, Any, Any, str]] = [  # read, act below, watch below, the reason; the faults of limits are named
    (7.0, 4.0, 5.0, ""), (4.9, 4.0, 5.0, "; oxygen low (watch)"), (3.9, 4.0, 5.0, "; oxygen low (act)"),
    (4.0, 4.0, 4.0, ""), (None, 4.0, 5.0, ""), ("much", 4.0, 5.0, "; not known: Oxygen is no number"),
    (NA, 4.0, 5.0, "; not known: Oxygen is an error"), (3.9, None, 5.0, "; oxygen low (watch)"),
    (3.9, "four", 5.0, "; oxygen low (watch)"), (3.9, 4.0, "five", "; oxygen low (act)"), (3.9, NA, None, ""),
]


@pytest.mark.parametrize("engine", [FAST, REFERENCE])
@pytest.mark.parametrize("named", [("act_below", "watch_below"), ("read", "act_below", "watch_below")])
def test_reasons_leave_out_what_is_named_elsewhere(engine: str, named: tuple[str, ...]) -> None:
    cells: Cells = {}
    for row, values in enumerate(OXYGEN, 1):
        where = {}
        for one, letter, of, value in zip(oxygen.questions, "ABC", "DEF", values):
            if value is not None:
                cells[f"{letter}{row}"] = value
            cells[f"{of}{row}"] = FormulaCell(clean(one, f"{letter}{row}"))
            where[one.name] = f"{of}{row}"
        cells[f"G{row}"] = FormulaCell(Sheet(where, named=frozenset(named)).reasons([oxygen]))
    found = calculated(cells, engine)
    for row, (read, lowest, watched, expected) in enumerate(OXYGEN, 1):
        expected = "" if "read" in named and "not known" in expected else expected
        assert (found["S", f"G{row}"] or "") == expected, row
        told = {"read": read, "act_below": lowest, "watch_below": watched}
        assert reason(oxygen, told, named=frozenset(named)) == expected


@pytest.mark.parametrize("engine", [FAST, REFERENCE])
def test_all_faults_of_a_row_are_named_together(engine: str) -> None:
    rows: list[tuple[dict[str, Any], str]] = [
        ({"day": 46100.0, "system": 1.0, "ph": 7.2}, ""), ({"day": 46100.0, "system": 2.0, "ph": None}, ""),
        ({"day": None, "system": "", "ph": "7,2"},
         "; not known: Date is missing, System is not on the list, pH is not a number"),
        ({"day": 46100.0, "system": 1.0, "ph": 99.0}, "; not known: pH is impossible"),
    ]
    cells: Cells = {}
    for row, (values, _) in enumerate(rows, 1):
        cells |= {f"{letter}{row}": value for letter, value in zip("ABC", values.values()) if value not in (None, "")}
        day, _, ph = row_of.questions
        cells[f"D{row}"] = FormulaCell(clean(day, f"A{row}"))
        cells[f"F{row}"] = FormulaCell(clean_number(ph, f"C{row}"))
        where = {"day": f"D{row}", "system": f"B{row}", "ph": f"F{row}"}
        cells[f"G{row}"] = FormulaCell(every_fault(row_of, where, typed={"ph": f"C{row}"}))
        cells[f"H{row}"] = FormulaCell(named_faults(f"G{row}"))
    cells["H9"] = FormulaCell(named_faults("G9"))  # overwritten with nothing
    found = calculated(cells, engine)
    for row, (values, expected) in enumerate(rows, 1):
        assert (found["S", f"H{row}"] or "") == expected
        assert faults(row_of, values) == expected
    assert found["S", "H9"].startswith("; not known")


@pytest.mark.parametrize("engine", [FAST, REFERENCE])
@pytest.mark.parametrize(("typed", "factor", "held"), [
    (5.0, 2.0, 10.0), (None, 2.0, ""), ("5", 2.0, "? Oxygen is no number"), (NA, 2.0, "? Oxygen is an error"),
    (21.0, 2.0, "? Oxygen is outside its limits"), (5.0, "not known", "? Oxygen is outside its limits"),
    (5.0, NA, "? Oxygen is outside its limits"), (True, 2.0, "? Oxygen is no number"),
])
def test_a_clean_cell_holds_the_number_in_the_question_s_unit(engine: str, typed: Any, factor: Any, held: Any) -> None:
    cells: Cells = {"A2": factor, "A3": FormulaCell(clean(oxygen.questions[0], "A1", factor="A2"))}
    if typed is not None:
        cells["A1"] = typed
    assert (calculated(cells, engine)["S", "A3"] or "") == held


@pytest.mark.parametrize("engine", [FAST, REFERENCE])
@pytest.mark.parametrize(("typed", "limit", "expected"), [
    (0.3, 0.1 + 0.2, ""), (0.1 + 0.2, 0.3, ""), (0.299999, 0.3, "; oxygen low (act)"), (0.2999999, 0.3, ""),
    (5.54, (13.0 * 1.8 + 32) / 10, ""),
])
def test_rounded_numbers_are_compared_as_plain_python_does(
    engine: str, typed: float, limit: float, expected: str
) -> None:
    """The first two differ by the last bit, the fourth by less than counts."""
    one, other, _ = oxygen.questions
    cells: Cells = {"A1": typed, "B1": limit, "C1": FormulaCell(clean_number(one, "A1")),
                    "D1": FormulaCell(clean_number(other, "B1"))}
    names = frozenset(("read", "act_below"))
    sheet = Sheet({"read": "C1", "act_below": "D1", "watch_below": "E1"}, named=names,
                  trusted=frozenset(("act_below",)), rounded=names)
    cells["F1"] = FormulaCell(sheet.reasons([oxygen]))
    assert (calculated(cells, engine)["S", "F1"] or "") == expected
    assert reason(oxygen, {"read": typed, "act_below": limit, "watch_below": None}) == expected
