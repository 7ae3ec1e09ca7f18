"""What a client reads of a system first: whole sentences that need no chemistry, each with its number and limit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

import pandas

from pailbook import terms
from pailbook.visit_report.parameters import RULES, judged_as
from pailbook.visit_report.season import Season
from pailbook.visit_report.water import judged
from pailbook.workbook.farm_log import verdict
from pailbook.workbook.log.season import System

# For each value that is judged, by its key and whether it is too much: the sentences at "act" and at "watch".
OF_RULES = {
    ("oxygen", False): ("The oxygen in {system} is too low for the fish",
                        "The oxygen in {system} is lower than it should be"),
    ("saturation", False): ("", "The water of {system} holds less oxygen than it should"),
    ("nh3", True): ("The toxic part of the ammonia in {system} is too high for the fish",
                    "The toxic part of the ammonia in {system} is higher than it should be"),
    ("no2", True): ("The nitrite in {system} is too high for the fish",
                    "The nitrite in {system} is higher than it should be"),
    ("ph", False): ("The water of {system} is too acidic for the fish",
                    "The water of {system} is more acidic than it should be"),
    ("ph", True): ("The pH in {system} is too high for the fish", "The pH in {system} is higher than it should be"),
    ("alkalinity", False): ("The water of {system} can hardly hold its pH any more",
                            "The water of {system} has little left to hold its pH"),
    ("temperature", False): ("The water of {system} is too cold for the fish",
                             "The water of {system} is colder than it should be"),
    ("temperature", True): ("The water of {system} is too warm for the fish",
                            "The water of {system} is warmer than it should be"),
    ("co2", True): ("There is too much carbon dioxide in {system} for the fish",
                    "There is more carbon dioxide in {system} than there should be"),
    ("no3", True): ("", "The nitrate in {system} is higher than it should be"),
    ("po4", False): ("", "{system} has less phosphate than the target for the plants"),
    ("po4", True): ("", "{system} has more phosphate than the target for the plants"),
}
_NAMED = {"saturation": "oxygen saturation ", "ph": "pH ", "alkalinity": "alkalinity "}  # which the sentence leaves out


def of_system(
    season: Season, system: System, latest: pandas.Series | None, reasons: Sequence[str], until: date
) -> list[str]:
    """What the latest test of a system shows, the most serious first; what is wrong with the entries goes last.

    Parameters
    ----------
    latest : its latest test, a row of their frame; None where the water was never tested.
    reasons : all that the log says of the system's water, in its words.
    """
    name = system.name
    if latest is None:
        return [f"The water of {name} has not been tested yet.", *_of_readings(reasons)]
    found = list(_judged(season, system, latest, reasons))
    sentences = [sentence for level in (terms.ACT, terms.WATCH) for word, _, sentence in found if word == level]
    others = [reason for reason in reasons if reason not in {reason for _, reason, _ in found}]
    if not sentences:
        proviso = ", as far as the readings can be judged" if others else ""
        sentences.append(f"The latest test of {name} shows nothing outside the limits{proviso}.")
    sentences += _of_readings(others)
    days = (pandas.Timestamp(until) - latest["date"]).days
    longest = season.limits.number(None, "days_watch")
    if longest is not None and days > longest:
        sentences.append(f"That test is {days} days old.")
    return sentences


def _of_readings(reasons: Sequence[str]) -> list[str]:
    """What the log says of the readings as such: entries that cannot be used, kits that are too old."""
    return [f"Doubts about the readings: {'; '.join(reasons)}."] if reasons else []


def _judged(
    season: Season, system: System, latest: pandas.Series, reasons: Sequence[str]
) -> Iterator[tuple[str, str, str]]:
    """For each value of the test that is outside a limit: act or watch, the log's reason, and the sentence."""
    for rule in RULES:
        word = judged(rule, reasons)
        if not word:
            continue
        act, watch = OF_RULES[rule.key, rule.above]
        text = (act if word == terms.ACT else watch).format(system=system.name)
        sentence = f"{text}: {_numbers(season, rule, system, latest)}."
        yield word, verdict.says(rule.words, word), sentence


def _numbers(season: Season, rule: verdict.Judged, system: System, latest: pandas.Series) -> str:
    """The reading and the limit that it should keep to, such as "2.4 mg/L on 2026-05-21; it should be 5 or more"."""
    parameter = judged_as(rule)
    reading = " ".join(filter(None, (parameter.shown(latest[rule.key], season.units), parameter.unit_in(season.units))))
    limits = [season.limits.number(system.species, key) for key in (rule.watch, rule.act) if key]
    bound = next((limit for limit in limits if limit is not None), None)
    limit = f"; it should be {bound:.4g} or {'less' if rule.above else 'more'}" if bound is not None else ""
    return f"{_NAMED.get(rule.key, '')}{reading} on {latest['date']:%Y-%m-%d}{limit}"
