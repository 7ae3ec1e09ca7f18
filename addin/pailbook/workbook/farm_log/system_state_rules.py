"""The rules of a system as a whole: its state, from its latest test and that test's age, and what to do next.

Each rung has an urgency of its own, so that one number tells the state and the next step, the most urgent first.
"""

from __future__ import annotations

from typing import Annotated, Any

from pailbook.quantity import METRIC, Quantity
from pailbook.rules import (
    Rule,
    Rungs,
    Unusable,
    act_if_known,
    fine,
    is_blank,
    needs,
    rule,
    skips,
    watch,
)
from pailbook.rules.words import NO_URGENCY, NOT_KNOWN_URGENCY, spelt
from pailbook.terms import ACT, NOT_KNOWN
from pailbook.terms import FINE as ALL_IS_FINE
from pailbook.terms import WATCH as TO_WATCH
from pailbook.workbook.farm_log import advice, limits, water_rules
from pailbook.workbook.farm_log.questions import FLAG, Today

_URGENCY = Quantity("urgency", low=1, high=NO_URGENCY)
_DAYS = Quantity("days", low=0)
_VERDICT = Quantity("verdict of a test", choices=(ACT, TO_WATCH, ALL_IS_FINE))
NO_TEST, TOO_OLD = "there is no test yet", "the latest test is too old"
_OF_TEST = "see the reasons of the latest test"
_NO_AMMONIA = "un-ionised ammonia was not known for too long"
# What may have to be done at once because of a reading, the most urgent first.
URGENT = tuple(sorted((rung for one in (*water_rules.DEADLY, *water_rules.OTHER) for rung in one.rungs
                       if rung.outcome == ACT), key=lambda rung: rung.urgency))
OF_WATER = tuple(one for one in (*water_rules.DEADLY, *water_rules.OTHER) if any(rung in URGENT for rung in one.rungs))

_ASKED: dict[str, Any] = {
    "urgent": Annotated[float, _URGENCY, "the most urgent reading of the latest test"],
    "name": Annotated[float, FLAG, "the name of the system", Unusable("on the sheet Systems")],
    "dated": Annotated[float, FLAG, "the date", Unusable("of a test")],
    "test": Annotated[str, _VERDICT, "the latest test", Unusable("rests on something that is not known"), skips],
    "today": Today,
    **{key: limits.asked(key) for key in ("days_watch", "days_act")},
    "days": Annotated[float, _DAYS, "the age of the latest test"],
    "ammonia_days": Annotated[float, _DAYS, "days since un-ionised ammonia was known", skips],
}


@rule("System", asks=_ASKED)
def system_state(
    urgent: Any, name: Any, dated: Any, test: Any, today: Any, days_watch: Any, days_act: Any, days: Any,
    ammonia_days: Any,
) -> Rungs:
    """The state of a system. `test` is blank where there is none, `ammonia_days` where ammonia was never known."""
    return (
        *(act_if_known(urgent == rung.urgency, rung.says, rung.remedy, rung.urgency) for rung in URGENT),
        act_if_known(days > days_act, TOO_OLD, advice.OLD, 10),
        act_if_known(test == ACT, _OF_TEST, advice.WATCH, 11),
        needs(name, dated),
        watch(is_blank(test), NO_TEST, advice.NEVER, 30),
        needs(urgent, today, days_watch, days_act),
        watch(days > days_watch, TOO_OLD, advice.OLD, 40),
        watch(is_blank(ammonia_days) & (days_act >= 0), _NO_AMMONIA, advice.NO_AMMONIA, 45),
        watch(ammonia_days > days_act, _NO_AMMONIA, advice.NO_AMMONIA, 45),
        watch((test == TO_WATCH) | (urgent <= NOT_KNOWN_URGENCY), _OF_TEST, advice.WATCH, 50),
        fine(remedy=advice.FINE),
    )


def _known(*names: str) -> Rule:
    """The rule that says what of these is not known."""
    def known(**asked: Any) -> Rungs:
        """Whether all is known on which the state of a system rests."""
        return needs(*asked.values()), fine()

    known.__name__ = f"known_{names[-1]}"
    return rule("What the state of a system rests on", asks={name: _ASKED[name] for name in names})(known)


# What is named under Why besides the reasons of the latest test: of every system, and of one that was tested.
ALWAYS, WHERE_TESTED = (_known("name", "dated"),), tuple(map(_known, ("today", "days_watch", "days_act")))
RULES = (system_state, *ALWAYS, *WHERE_TESTED)

_RUNGS = {rung.urgency: rung for rung in system_state.rungs if rung.remedy}
STATES = {key: rung.outcome for key, rung in _RUNGS.items()} | {NOT_KNOWN_URGENCY: NOT_KNOWN}
STEPS = {key: rung.remedy for key, rung in _RUNGS.items()} | {NOT_KNOWN_URGENCY: advice.NOT_KNOWN}


def state_of(urgency: str) -> str:
    """Formula text for the word of a system's state, from the cell with its urgency."""
    return _looked_up(urgency, STATES)


def step_of(urgency: str, units: str = METRIC) -> str:
    """Formula text for what to do next, from the cell with a system's urgency."""
    return _looked_up(urgency, {key: spelt(step, units) for key, step in STEPS.items()})


def _looked_up(urgency: str, texts: dict[int, str]) -> str:
    """The text of an urgency; that of what is not known where the cell holds no such number."""
    ordered = sorted(texts)
    chosen = ",".join(f'"{texts[key]}"' for key in ordered)
    return (f"IFERROR(CHOOSE(MATCH({urgency},{{{','.join(map(str, ordered))}}},0),{chosen}),"
            f'"{texts[NOT_KNOWN_URGENCY]}")')
