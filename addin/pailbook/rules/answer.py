"""Many verdicts made one: the answer of a plan, and the state of a system in a log.

`go` has to be earned. For each essential matter (fish, oxygen, ammonia ...) some rule must have said "fine" or
"watch", and no essential rule may be not known; a blank, an error or a word of somebody's own is no known word. A
known act always makes "no-go": what is not known beside it cannot take that back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pailbook.outcomes import BadInput
from pailbook.quantity import METRIC
from pailbook.rules.declaration import Rule
from pailbook.rules.in_python import Judged
from pailbook.rules.words import NOT_TESTED, OUTCOMES, spelt
from pailbook.terms import ACT, FINE, GO, NO_GO, NOT_ASKED, NOT_KNOWN, NOT_YET, WATCH, WITH_CARE

KNOWN = (ACT, WATCH, FINE, NOT_ASKED)
ALSO_UNKNOWN = "; and not yet known: "  # before the subjects that are not known, behind most words
STILL_UNKNOWN = {NOT_YET: "; not known: ", NOT_KNOWN: ": "}  # and behind these
OVERWRITTEN = f"{NOT_KNOWN}: its cells were overwritten"
SERIOUSNESS = {outcome: 1000 * place for place, outcome in enumerate(OUTCOMES, start=1)}  # in the order of reasons
NO_REASON = SERIOUSNESS[FINE]  # from here on


@dataclass(frozen=True)
class Answer:
    """The word, its reasons (the most serious first), and the subjects that are not known."""

    word: str
    reasons: tuple[str, ...]
    unknown: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """As a cell shows it: "no-go; and not yet known: pH, Ammonia"."""
        if not self.unknown:
            return self.word
        return self.word + STILL_UNKNOWN.get(self.word, ALSO_UNKNOWN) + ", ".join(self.unknown)


def answer(judged: Sequence[Judged], units: str = METRIC) -> Answer:
    """The answer of a plan: "no-go", "not yet", "go with care" or "go".

    What is not known and not essential still leaves a "go with care" at most.
    """
    rules = _rules(judged)
    words = [_known(one.outcome) for one in judged]
    matters = {rule.essential for rule in rules if rule.essential}
    earned = {rule.essential for rule, word in zip(rules, words) if word in (FINE, WATCH)}
    if ACT in words:
        word = NO_GO
    elif not matters or matters - earned or any(rule.essential and w == NOT_KNOWN for rule, w in zip(rules, words)):
        word = NOT_YET
    else:
        word = WITH_CARE if WATCH in words or NOT_KNOWN in words else GO
    return Answer(word, _reasons(judged, units), _unknown(rules, words, units))


def state(judged: Sequence[Judged], units: str = METRIC) -> Answer:
    """The state of a system in a log: the most serious of all outcomes; "not tested" where nothing was asked."""
    rules = _rules(judged)
    words = [_known(one.outcome) for one in judged]
    word = min(words, key=OUTCOMES.index, default=NOT_ASKED)
    return Answer(NOT_TESTED if word == NOT_ASKED else word, _reasons(judged, units), _unknown(rules, words, units))


def order(word: str, urgency: float, rank: int) -> float:
    """The place of a verdict among the reasons: by how serious it is, how urgent, and the rank of its rule."""
    return SERIOUSNESS[_known(word)] + urgency + rank / 1000


def _rules(judged: Sequence[Judged]) -> list[Rule]:
    rules = [one.rule for one in judged if one.rule is not None]
    if len(rules) < len(judged):
        raise BadInput("an answer needs verdicts that tell their rule, as judge(...) gives them")
    return rules


def _known(word: object) -> str:
    """The word, or "not known" for what is none of the five."""
    folded = word.casefold() if isinstance(word, str) else ""
    return folded if folded in OUTCOMES else NOT_KNOWN


def _unknown(rules: Sequence[Rule], words: Sequence[str], units: str) -> tuple[str, ...]:
    return tuple(spelt(rule.subject, units) for rule, word in zip(rules, words) if word == NOT_KNOWN)


def _reasons(judged: Sequence[Judged], units: str) -> tuple[str, ...]:
    counted = [(order(one.outcome, one.urgency, one.rule.rank), f"{spelt(one.rule.subject, units)}: {_said(one)}")
               for one in judged if one.rule is not None]
    return tuple(text for place, text in sorted(counted, key=lambda pair: pair[0]) if place < NO_REASON)


def _said(one: Judged) -> str:
    return one.text if one.outcome in OUTCOMES else OVERWRITTEN
