"""The verdict on a water test: values known from elsewhere, and what goes wrong with water, kits and records."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Any

import pytest

import filled
import logs

TESTS = "Water tests"

Typed = dict[str, Any]
OTHER_BASES = {"basis_phosphate": "P", "basis_nitrate": "N", "basis_nitrite": "N", "basis_ammonia": "NH3",
               "basis_alkalinity": "dH"}

# What is typed, the result that follows, its value and how near it must be.
KNOWN: list[tuple[Typed, str, float, float]] = [
    # Emerson et al. 1975 as worked out in UF/IFAS FA-16, figure 3 (looked up).
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
# What is typed, the verdict, and words of its reason.
JUDGED: list[tuple[Typed, str, str]] = [
    ({"oxygen": 8.0, "temperature": 26.0, "ph": 7.0, "tan": 0.1}, "fine", ""),
    # Floors and caution levels of the trade (common practice, no source), for tilapia.
    ({"oxygen": 4.9, "temperature": 20.0}, "watch", "oxygen low: watch"),
    ({"oxygen": 2.9, "temperature": 20.0}, "act", "oxygen low: act"),
    ({"ph": 5.4}, "act", "pH low: act"),
    ({"ph": 9.2}, "act", "pH high: act"),
    ({"alkalinity": 18.0}, "act", "alkalinity low: act"),
    ({"alkalinity": 54.0}, "fine", ""),
    # SRAC 283 on tilapia: ammonia of 0.08 mg/L depresses feeding, they do not eat below 63 F; nitrite below 27 mg/L.
    ({"tan": 1.0, "ph": 8.4, "temperature": 20.0}, "act", "ammonia (NH3) high: act"),  # 0.0904 by FA-16, table 1
    ({"tan": 1.0, "ph": 8.0, "temperature": 28.0}, "watch", "ammonia (NH3) high: watch"),  # 0.0654 by FA-16, table 1
    ({"nitrite": 28.0}, "act", "nitrite high: act"),
    ({"nitrite": 9.0}, "watch", "nitrite high: watch"),
    ({"temperature": 17.0}, "watch", "water too cold: watch"),
    ({"temperature": 10.0}, "act", "water too cold: act"),
    # What goes wrong with kits and records.
    ({"ph": 6.0}, "watch", "pH kit at its lowest, may be lower: watch"),
    ({"ph": 8.8}, "watch", "pH kit at its highest, may be higher: watch"),
    ({"alkalinity": 17.8}, "act", "alkalinity kit at its lowest: watch"),
    ({"tan": 8.0, "ph": 6.5, "temperature": 20.0}, "watch", "ammonia kit at its highest: watch"),
    ({"alkalinity": 100.0, "date": date(2026, 5, 1)}, "watch", "a kit past its use-by date: watch"),
    ({"ph": 7.0, "date": date(2026, 5, 1)}, "fine", ""),
    ({"tan": "<0.25"}, "act", "a reading is text, not a number: act"),
    ({"ph": "7,2"}, "act", "a reading is text, not a number: act"),
    ({"temperature": -127.0}, "act", "a reading is impossible, read again: act"),
    ({"ph": 15.45, "tan": 1.0, "temperature": 20.0}, "act", "a reading is impossible, read again: act"),
    ({"oxygen": 90.0, "temperature": 20.0}, "act", "a reading is impossible, read again: act"),
    ({"tan": 1.0}, "watch", "ammonia without pH or temperature: watch"),
    ({"ph": 7.0, "system": "Pond hose"}, "watch", "system not on the list: watch"),
    ({"ph": 7.0, "date": "12/13/26"}, "watch", "no proper date: watch"),
    ({"ph": 7.2, "alkalinity": 5.0, "phosphate": 40.0, "temperature": 25.0}, "act", "contradict: watch"),
]
JUDGED_IN_OTHER_BASES: list[tuple[Typed, str, str]] = [
    ({"alkalinity": 1.0}, "act", "alkalinity low: act"),  # 17.8 mg/L
    ({"alkalinity": 3.0}, "fine", ""),  # 53.5 mg/L
    ({"nitrite": 9.0}, "act", "nitrite high: act"),  # 29.6 mg/L as NO2
    ({"phosphate": 11.0}, "fine", ""),  # 33.7 mg/L as PO4
    ({"phosphate": 50.0}, "watch", "phosphate kit at its highest: watch"),  # this kit reads P
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


def test_a_limit_of_ones_own_wins_and_a_blank_one_is_not_judged() -> None:
    reading = {"oxygen": 4.5}
    label, sheet = "Oxygen: watch below", logs.log("metric").book.workbook["Limits"]
    for_all, own = (cell.row for cell in sheet["A"] if cell.value == label)
    assert _rows([reading], {f"Limits!K{own}": 4.4})[0]["verdict"] == "watch"  # jade perch's limit, not tilapia's
    assert _rows([reading], {f"Limits!E{own}": 4.4})[0]["verdict"] == "fine"
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
    """What a metric log works out for each of these water tests in the pond, in place of its own.

    Settings are given by defined name, or by sheet and cell.
    """
    made = logs.log("metric", False, True)
    table, names = made[TESTS], made.book.names
    inputs: dict[tuple[str, str], Any] = {}
    for name, value in (settings or {}).items():
        inputs[logs.place(name if "!" in name else names[name])] = value
    for row, given in enumerate(tests, table.first_row):
        typed: Typed = {"date": date(2026, 4, 2), "system": filled.POND} | given
        for column in table.inputs:
            value = typed.get(column.key)
            value = logs.serial(value) if isinstance(value, date) else value
            inputs[TESTS, f"{table.letter(column.key)}{row}"] = value
    values = logs.model("metric", True).calculate(inputs).values
    return [
        {c.key: values[TESTS, f"{table.letter(c.key)}{row}"] for c in table.columns if not c.is_input}
        for row in range(table.first_row, table.first_row + len(tests))
    ]
