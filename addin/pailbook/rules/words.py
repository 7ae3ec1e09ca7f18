"""The words of rules besides those of `terms`: what can be wrong with a cell, and how a sentence is put together."""

from __future__ import annotations

from pailbook.quantity import US
from pailbook.terms import ACT, FINE, NOT_ASKED, NOT_KNOWN, WATCH, american

OUTCOMES = (ACT, NOT_KNOWN, WATCH, FINE, NOT_ASKED)  # of a rule, the most serious first
NOT_TESTED = "not tested"  # of a system in a log, where nothing was asked

# What is wrong with what a cell holds, behind its label.
MISSING, NO_NUMBER, NO_CHOICE = "is missing", "is no number", "is none of the choices"
ERROR, OUTSIDE = "is an error", "is outside its limits"

FAULT = "? "  # before the label, in a clean cell
UNSHOWN = "?"  # in a sentence, for a number that is not there
PUT_RIGHT = "Put this right: "
BEFORE_REASON = "; "  # before each reason of a row
UNCALCULATED = "cannot be calculated from these values"
UNCALCULATED_ROW = "this row cannot be calculated"
NOT_KNOWN_URGENCY, NO_URGENCY = 20, 99


def texted(outcome: str, says: str) -> str:
    """As a cell shows it: "act: oxygen falls to 2.9 mg/L", or the outcome alone."""
    return f"{outcome}: {says}" if says else outcome


def reasoned(outcome: str, says: str) -> str:
    """As a reason of a row: "; oxygen low (act)"; what is not known stands behind its word."""
    return BEFORE_REASON + (f"{NOT_KNOWN}: {says}" if outcome == NOT_KNOWN else f"{says} ({outcome})")


def spelt(text: str, units: str) -> str:
    """A text as sheets of that unit system spell it."""
    return american(text) if units == US else text
