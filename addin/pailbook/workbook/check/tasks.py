"""The log's upkeep in words: what was done, and what is to be done again."""

from __future__ import annotations

_TO_DO = {"calibrated": "Calibrate", "cleaned": "Clean", "tried": "Try", "disinfected": "Disinfect"}
_OTHER = "other"  # a task that only its name tells apart


def done(item: str, which: str) -> str:
    """What was done, such as "pH meter calibrated"; the name of the thing follows where the task does not say it."""
    if item == _OTHER and which:
        return which
    return item + _named(item, which)


def to_do(item: str, which: str) -> str:
    """What is to be done again, such as "Calibrate the pH meter"; a task without such words stays as it is."""
    thing, _, participle = item.rpartition(" ")
    if not thing or participle not in _TO_DO:
        return done(item, which)
    return f"{_TO_DO[participle]} the {thing}{_named(item, which)}"


def _named(item: str, which: str) -> str:
    return f" ({which})" if which and which.casefold() not in item.casefold() else ""
