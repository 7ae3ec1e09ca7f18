"""The verdict on a water test: values known from elsewhere, and what goes wrong with water, kits and records."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Any

import pytest

import filled
import logs
from pailbook.workbook.farm_log import limits

TESTS = "Water tests"

Typed = dict[str, Any]
OTHER_BASES = {"basis_phosphate": "P", "basis_nitrate": "N", "basis_nitrite": "N", "basis_ammonia": "NH3",
               "basis_alkalinity": "dH"}

# What is typed, the result that follows, its value and how near it must be.
KNOWN: list[tuple[Typed, str, float, float]] = [
    # Emerson et al. 1975 as calculated in UF/IFAS FA-16, figure 3 (looked up).
    ({"tan": 1.0, "ph": 8.0, "temperature": 24.0}, "nh3", 0.0502, 0.0003),
    # EN 25814 / ISO 5814: water at 25 °C and 101.325 kPa holds 8.26 mg/L (seen in a reprint).
    ({"oxygen": 8.26, "temperature": 25.0}, "saturation", 100.0, 0.1),
]
# Conversion factors by IUPAC 2021 atomic weights and exact definitions.
KNOWN_IN_OTHER_BASES: list[tuple[Typed, str, float, float]] = [
    ({"phosphate": 10.0}, "po4", 30.661, 0.001),
    ({"nitrate": 10.0}, "no3", 44.2664, 0.001),
    ({"nitrite": 1.0}, "no2", 3.28443, 0.0001),
    ({"tan": 1.21589}, "tan_n", 1.0, 0.0001),
]
# What is typed, the verdict, and words of its reason. The system's fish are jade perch; the limits and the ends of the
# kits are tried with water beyond the scenario's.
JUDGED: list[tuple[Typed, str, str]] = [
    ({"oxygen": 8.0, "temperature": 24.0, "ph": 7.2, "tan": 0.1}, "fine", ""),
    # Lowest oxygen and caution levels: common practice (no published source), but where another source is named.
    ({"oxygen": 4.9, "temperature": 20.0}, "watch", "oxygen low (watch)"),
    ({"oxygen": 3.9, "temperature": 20.0}, "act", "oxygen low (act)"),  # Queensland Government, jade perch: at least 4
    ({"ph": 5.4}, "act", "pH low (act)"),  # common practice
    ({"ph": 9.2}, "act", "pH high (act)"),  # common practice
    ({"alkalinity": 18.0}, "act", "alkalinity low (act)"),
    ({"alkalinity": 55.0}, "fine", ""),
    # UF/IFAS FA-16: the un-ionised share by its table 1, harm to gills above 0.05 mg/L.
    ({"tan": 1.0, "ph": 8.4, "temperature": 20.0}, "act", "un-ionised ammonia high (act)"),  # 0.0904 mg/L by FA-16
    # By hand from Emerson et al. 1975: pKa 9.2772 at 24 °C, so 0.0322 mg/L; watch above 0.02 is common practice.
    ({"tan": 1.0, "ph": 7.8, "temperature": 24.0}, "watch", "un-ionised ammonia high (watch)"),
    ({"nitrite": 6.0}, "act", "nitrite high (act)"),
    ({"nitrite": 2.0}, "watch", "nitrite high (watch)"),
    # Queensland Government, species notes, jade perch: handling deaths below 17 °C, mass deaths below 13 °C, more air
    # above 30 °C.
    ({"temperature": 16.0}, "watch", "water too cold (watch)"),
    ({"temperature": 12.0}, "act", "water too cold (act)"),
    ({"temperature": 31.0}, "watch", "water too warm (watch)"),
    # What goes wrong with kits: the ends of their ranges, the day after their use-by date.
    ({"ph": 6.4}, "watch", "pH at the lower end of its kit, may be lower (watch)"),
    ({"ph": 8.2}, "watch", "pH at the upper end of its kit, may be higher (watch)"),
    ({"alkalinity": 5.0}, "act", "alkalinity at the lower end of its kit, may be lower (watch)"),
    ({"tan": 4.0, "ph": 7.1, "temperature": 18.0}, "watch",
     "ammonia at the upper end of its kit, may be higher (watch)"),
    ({"alkalinity": 100.0, "date": date(2026, 4, 30), "time": 0.99}, "fine", ""),
    ({"alkalinity": 100.0, "date": date(2026, 5, 1)}, "watch", "alkalinity drops expired 2026-04-30 (watch)"),
    ({"ph": 7.2, "date": date(2026, 5, 1)}, "fine", ""),
    # What goes wrong with records: texts, readings that no water has, rows that belong nowhere.
    ({"tan": "<0.2"}, "not known", "not known: total ammonia is not a number"),
    ({"ph": "7,2"}, "not known", "not known: pH is not a number"),
    ({"temperature": -127.0}, "not known", "not known: water temperature is impossible"),
    ({"ph": 15.45, "tan": 1.0, "temperature": 20.0}, "not known", "not known: pH is impossible"),  # a broken probe
    ({"oxygen": 90.0, "temperature": 20.0}, "not known", "not known: dissolved oxygen is impossible"),
    ({"ph": "7,2", "nitrite": -1.0}, "not known", "not known: pH is not a number, nitrite is impossible"),
    ({"ph": "7,2", "oxygen": 2.0}, "act", "oxygen low (act); not known: pH is not a number"),  # a known act stays one
    ({"tan": 1.0}, "watch", "total ammonia without pH and temperature (watch)"),
    ({"ph": 7.2, "system": "South bed"}, "not known", "not known: System is not on the sheet Systems"),
    ({"ph": 7.2, "date": "12/13/26"}, "not known", "not known: Date is missing or wrong"),
    ({"ph": 7.2, "alkalinity": 5.0, "phosphate": 40.0, "temperature": 25.0}, "act",
     "alkalinity and phosphate contradict each other (watch)"),
]
JUDGED_IN_OTHER_BASES: list[tuple[Typed, str, str]] = [
    ({"alkalinity": 1.0}, "act", "alkalinity low (act)"),  # in dH: 17.8 mg/L
    ({"alkalinity": 3.1}, "fine", ""),  # in dH: 55.3 mg/L
    ({"nitrite": 9.0}, "act", "nitrite high (act)"),  # 29.6 mg/L as NO2
    ({"phosphate": 5.0}, "fine", ""),  # 15.3 mg/L as PO4
    ({"phosphate": 25.0}, "watch", "phosphate at the upper end of its kit, may be higher (watch)"),  # this kit reads P
]


@pytest.mark.parametrize("number", range(len(KNOWN)))
def test_known_values(number: int) -> None:
    _, key, expected, within = KNOWN[number]
    assert _usual()[number][key] == pytest.approx(expected, abs=within)


@pytest.mark.parametrize("number", range(len(KNOWN_IN_OTHER_BASES)))
def test_known_values_in_other_bases(number: int) -> None:
    _, key, expected, within = KNOWN_IN_OTHER_BASES[number]
    assert _in_other_bases()[number][key] == pytest.approx(expected, abs=within)


@pytest.mark.parametrize("number", range(len(JUDGED)))
def test_verdicts(number: int) -> None:
    _judge(_usual()[len(KNOWN) + number], *JUDGED[number][1:])


@pytest.mark.parametrize("number", range(len(JUDGED_IN_OTHER_BASES)))
def test_verdicts_in_other_bases(number: int) -> None:
    _judge(_in_other_bases()[len(KNOWN_IN_OTHER_BASES) + number], *JUDGED_IN_OTHER_BASES[number][1:])


def test_ones_own_limit_is_used_instead_and_a_blank_one_is_not_judged() -> None:
    reading = {"oxygen": 4.5}
    label, sheet = "Oxygen: watch below", logs.log("metric").book.workbook["Limits"]
    for_all, own = (cell.row for cell in sheet["A"] if cell.value == label)
    jade, yellow = (limits.column_of(kind) for kind in ("jade perch", "yellow perch"))
    assert _rows([reading], {f"Limits!{yellow}{own}": 4.4})[0]["verdict"] == "watch"  # another species' limit
    assert _rows([reading], {f"Limits!{jade}{own}": 4.4})[0]["verdict"] == "fine"
    assert _rows([reading], {f"Limits!C{for_all}": None})[0]["verdict"] == "fine"


def _judge(row: dict[str, Any], verdict: str, words: str) -> None:
    assert row["verdict"] == verdict, row["why"]
    assert words in row["why"]
    assert (row["why"] == "") == (words == "")


@cache
def _usual() -> list[dict[str, Any]]:
    return _rows([*(case[0] for case in KNOWN), *(case[0] for case in JUDGED)])


@cache
def _in_other_bases() -> list[dict[str, Any]]:
    tests = [*(case[0] for case in KNOWN_IN_OTHER_BASES), *(case[0] for case in JUDGED_IN_OTHER_BASES)]
    return _rows(tests, OTHER_BASES)


def _rows(tests: list[Typed], settings: Typed | None = None) -> list[dict[str, Any]]:
    """What a metric log makes of each of these water tests of South beds, in place of its own.

    Settings are given by defined name, or by sheet and cell.
    """
    made = logs.log("metric", False, True)
    table, names = made[TESTS], made.book.names
    inputs: dict[tuple[str, str], Any] = {}
    for name, value in (settings or {}).items():
        inputs[logs.place(name if "!" in name else names[name])] = value
    for row, given in enumerate(tests, table.first_row):
        typed: Typed = {"date": date(2026, 4, 2), "system": filled.SOUTH} | given
        for column in table.inputs:
            value = typed.get(column.key)
            value = logs.serial(value) if isinstance(value, date) else value
            inputs[TESTS, f"{table.letter(column.key)}{row}"] = value
    values = logs.model("metric", True).calculate(inputs).values
    return [
        {c.key: values[TESTS, f"{table.letter(c.key)}{row}"] for c in table.columns if not c.is_input}
        for row in range(table.first_row, table.first_row + len(tests))
    ]
