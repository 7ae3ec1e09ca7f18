"""Random cases: what people type, what instruments send, and what is broken."""

from __future__ import annotations

import random
from typing import Any

from pailbook.hosts.cells import ErrorValue
from pailbook.quantity import METRIC, US, Quantity
from pailbook.rules import Rule
from pailbook.rules.expression import Question
from pailbook.rules.words import spelt
from rule_examples import RULES
from rule_forms import Case

FAULTY: tuple[Any, ...] = (
    "abc", "5", " ", "<0.25", "6,8", "?", "*", True, False, -1000.0, 1e9,
    *(ErrorValue(code) for code in ("#N/A", "#NUM!", "#DIV/0!", "#VALUE!", "#REF!")),
)
# Where the limits of a quantity are much wider than what decides, by the name of the question.
_USUAL: dict[str, tuple[float, float]] = {
    "lowest": (2, 6), "act_below": (3, 4), "watch_below": (4, 6), "chlorine": (0, 1), "here": (7.1, 7.9),
    "there": (7.1, 7.9), "resolution": (0.1, 0.3), "within": (0.1, 0.4), "readings": (2, 6), "now": (55, 140),
    "least": (55, 80), "fall": (-1, 9), "use_by": (46170, 46190), "today": (46170, 46190), "reading": (3, 18),
    "low": (3, 8), "high": (9, 18), "tan": (0, 4), "ph": (7.1, 7.9), "temperature": (14, 26), "act_above": (0.01, 0.06),
    "start": (7, 9), "fish": (1, 70), "use": (100, 500), "water": (30, 90), "warmest": (14, 26), "hours": (0.5, 3),
    "measured": (10, 30), "vessels": (0, 6), "most": (9, 18), "air": (1, 8),
}
_TEMPERATURES = (10.0, 34.0)


def in_order(rng: random.Random, question: Question, units: str) -> Any:
    """A value that the question accepts: a choice in any case, or a number with few or many decimals."""
    quantity = question.quantity
    if question.takes_choice:
        choice = spelt(rng.choice(quantity.choices), units)
        return rng.choice([choice, choice, choice.upper(), choice.title()])
    low, high = _TEMPERATURES if quantity.us_offset else _usual(question.name, quantity)
    number = quantity.from_metric(rng.uniform(low, high), units)
    rounded = round(number, 0 if quantity.whole else rng.choice([0, 1, 1, 2, 2, 3, 9]))
    return number if any(quantity.outside(rounded, units)) else rounded


def _usual(name: str, quantity: Quantity) -> tuple[float, float]:
    low, high = _USUAL[name]
    if name == "act_above" and quantity.high is not None and quantity.high > 100:
        return 15, 25  # of carbon dioxide
    if name == "act_below" or quantity.high is None:
        return low, high
    return max(low, quantity.low or 0), min(high, quantity.high)


def values_of(rng: random.Random, rule: Rule, units: str, faults: float) -> dict[str, Any]:
    """What the cells of a rule hold; a share of them is blank or not in order."""
    return {
        one.name: rng.choice((None, None, None, None, *FAULTY)) if rng.random() < faults else in_order(rng, one, units)
        for one in rule.questions
    }


def cases(count: int, seed: int, faults: float = 0.12) -> list[Case]:
    """So many cases of each rule in each unit system, always the same for a seed."""
    rng = random.Random(seed)
    return [(rule, units, values_of(rng, rule, units, faults))
            for rule in RULES.values() for units in (METRIC, US) for _ in range(count)]
