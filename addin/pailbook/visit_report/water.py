"""Water tests as a frame: the log's readings and what it calculates from them, and what it says of a test."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import pandas

from pailbook import terms
from pailbook.quantity import US
from pailbook.visit_report.season import EPOCH, Season, day
from pailbook.workbook.farm_log import verdict, water_rules
from pailbook.workbook.log.season import text
from pailbook.workbook.log.water import Test

VALUES = (*water_rules.VALUES, "nh3", "saturation", "co2")


def frame_of(tests: list[Test]) -> pandas.DataFrame:
    """The tests, oldest first, those without a date at the beginning.

    Columns: the values by the names of the log's rules, in the log's own basis, missing where they cannot be used;
    `test`, `row`, `of`, `date`, `time`, `when` (date and time), `note`, and `read`, whether anything was read.
    """
    frame = pandas.DataFrame({
        "test": pandas.Series(tests, dtype=object), "row": [test.row.number for test in tests],
        "of": [test.of for test in tests],
        "date": pandas.to_datetime(pandas.Series([day(test.values["date"]) for test in tests], dtype=object)),
        "time": pandas.Series([test.values["time"] for test in tests], dtype=object),
        "when": pandas.to_datetime(pandas.Series(map(_when, tests), dtype=object)),
        "note": [text(test.row["note"]) for test in tests],
        "read": pandas.Series([test.is_read for test in tests], dtype=bool),
        **{name: pandas.Series([test.number(name) for test in tests], dtype=float) for name in VALUES},
    })
    ordered: pandas.DataFrame = frame.sort_values(["when", "row"], na_position="first")
    return ordered


def _when(test: Test) -> Any:
    """Its moment to the second; NaT where it has no date."""
    if test.when is None:
        return pandas.NaT
    date = test.values["date"]
    return EPOCH + pandas.Timedelta(days=math.floor(date), seconds=round((test.when - date) * 86400))


def reasons_of(season: Season, test: Test) -> list[str]:
    """What is wrong with a test and what is not known of it, in the log's words and order."""
    return english(season, water_rules.reasons(test.values, season.units))


def english(season: Season, words: list[str]) -> list[str]:
    """What the log says, in international English; the whole report is spelt the log's way in the end."""
    return [terms.international(one) for one in words] if season.units == US else words


def judged(rule: verdict.Judged, reasons: Sequence[str]) -> str:
    """By what the log says of a test: act, watch, or an empty text where a value is not known or within its limits."""
    return next((word for word in (terms.ACT, terms.WATCH) if verdict.says(rule.words, word) in reasons), "")
