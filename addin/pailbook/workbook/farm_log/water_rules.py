"""The rules of a water test: what its row needs, what its readings say, what its kits say of them.

A value is asked in the log's own basis, by the key of its column of results where the column has one ("no2"), else by
that of its reading ("ph"). A limit is asked by its key on the sheet Limits.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Annotated, Any

from pailbook.quantities import CarbonDioxide, Percent, UnionizedAmmonia
from pailbook.quantity import METRIC, Quantity
from pailbook.rules import (
    ANY_TEXT,
    Rule,
    Rungs,
    Unusable,
    Wrong,
    act,
    dated,
    fine,
    is_blank,
    needs,
    not_asked_if_blank,
    rule,
    say,
    skips,
    watch,
)
from pailbook.rules.reasons import faults, reason
from pailbook.rules.row_entries import said_of
from pailbook.rules.words import BEFORE_REASON, reasoned
from pailbook.terms import ACT, FINE, NOT_KNOWN, WATCH
from pailbook.workbook.farm_log import kits, limits, systems
from pailbook.workbook.farm_log.questions import DATE, FLAG, TIME
from pailbook.workbook.farm_log.verdict import (
    ALONE,
    CONTRADICT,
    DATE_WORDS,
    DEADLIEST,
    IMPOSSIBLE,
    NO_NUMBER,
    OTHERS,
    SYSTEM_WORDS,
    TIME_WORDS,
    Judged,
    mentioned,
)
from pailbook.workbook.farm_log.water_columns import IN_BASIS, INPUTS
from pailbook.workbook.measures import quantity


def _found(hint: Any) -> Quantity:
    """The quantity of a calculated number, which has no highest value."""
    return replace(quantity(hint), low=0, above=False, high=None)


VALUES = {  # the columns in which values are typed
    IN_BASIS.get(column.key, column.key): column for column in INPUTS if column.quantity is not None}
_CALCULATED = {"nh3": UnionizedAmmonia, "saturation": Percent, "co2": CarbonDioxide}
LIMITS = tuple(limit.key for limit in limits.OF_WATER)
BEYOND = "impossible"  # what the clean cell of a reading says of a number that no water has


def _value(key: str, blank: Any) -> Any:
    if key in _CALCULATED:
        return Annotated[float, _found(_CALCULATED[key]), f"calculated {key}", blank]
    column = VALUES[key]
    return Annotated[float, column.quantity, mentioned(column), Wrong(NO_NUMBER, IMPOSSIBLE), blank]


# What the row needs -------------------------------------------------------------------------------------

_NEEDED: dict[str, Any] = {
    **{key: _value(key, skips) for key in VALUES},
    "date": Annotated[float, DATE, "Date", Unusable(DATE_WORDS)],
    "time": Annotated[float, TIME, "Time", Wrong(TIME_WORDS), skips],
    "system": Annotated[float, FLAG, "System", Unusable(SYSTEM_WORDS)],
    "species": systems.SPECIES_ASKED,
    "elevation": systems.ELEVATION_ASKED,
    **{key: limits.asked(key) for key in LIMITS},
}
OF_SYSTEM = frozenset({"species", "elevation"})  # one cell of the sheet Systems stands for them
NAMED = frozenset(_NEEDED)  # what the rule below names, the others need not name again


@rule("Entries of the test", asks=_NEEDED)
def entries(**asked: Any) -> Rungs:
    """Whether all that is typed in the row can be used, and what judging it rests on."""
    return needs(*asked.values()), fine()


# What the readings say ----------------------------------------------------------------------------------


def _named(body: Callable[..., Rungs], name: str, declare: Callable[[Callable[..., Rungs]], Rule]) -> Rule:
    """The rule of a body that is made in a loop, with a name of its own."""
    body.__name__ = name.replace(" ", "_")
    return declare(body)


def _judged(one: Judged, rank: int) -> Rule:
    keys = [key for key in (one.act, one.watch) if key]
    asks = {one.key: _value(one.key, not_asked_if_blank)} | {key: limits.asked(key) for key in keys}

    def judged(**asked: Any) -> Rungs:
        """Whether a value is beyond its limits."""
        def beyond(key: str) -> Any:
            return asked[one.key] > asked[key] if one.above else asked[one.key] < asked[key]

        rungs = [act(beyond(one.act), one.words, one.remedy, one.urgency)] if one.act else []
        return (*rungs, watch(beyond(one.watch), one.words), fine())

    return _named(judged, one.words, rule(one.words, rank=rank, asks=asks))


DEADLY = tuple(_judged(one, rank) for rank, one in enumerate(DEADLIEST, 1))


@rule("Ammonia", rank=20, asks={
    "tan_n": _value("tan_n", not_asked_if_blank), "ph": _value("ph", skips),
    "temperature": _value("temperature", skips)})
def ammonia_alone(tan_n: Any, ph: Any, temperature: Any) -> Rungs:
    """Whether the pH and the temperature are there that show how much of the ammonia is un-ionised."""
    return needs(tan_n, ph, temperature), watch(is_blank(ph) | is_blank(temperature), ALONE), fine()


@rule("Alkalinity and phosphate", rank=21, asks={
    **{key: _value(key, not_asked_if_blank) for key in ("ph", "alkalinity", "temperature")},
    **{key: _value(key, skips) for key in ("po4", "conductivity", "co2")}})
def contradiction(ph: Any, alkalinity: Any, temperature: Any, po4: Any, conductivity: Any, co2: Any) -> Rungs:
    """Whether carbon dioxide has no answer though all is known: phosphate would make more alkalinity than there is."""
    return needs(ph, alkalinity, temperature, po4, conductivity), watch(is_blank(co2), CONTRADICT), fine()


OTHER = (ammonia_alone, contradiction, *(_judged(one, rank) for rank, one in enumerate(OTHERS, 30)))


# What the kits say --------------------------------------------------------------------------------------


def _range(reads: kits.Reads, rank: int) -> Rule:
    value = IN_BASIS.get(reads.key, reads.key)
    asks = {value: _value(value, not_asked_if_blank)} | {
        f"{value}_{end}": Annotated[float, kits.END, f"{end}est reading of the kit for {reads.label}", skips]
        for end in reads.ends}

    def range_of_kit(**asked: Any) -> Rungs:
        """Whether a reading is at an end of its kit's range."""
        of = {end: asked[f"{value}_{end}"] for end in reads.ends}
        beyond = {end: asked[value] <= at if end == "low" else asked[value] >= at for end, at in of.items()}
        return (*(watch(beyond[end], reads.at_end(end)) for end in reads.ends), fine())

    return _named(range_of_kit, f"range {reads.key}", rule(f"Range of the kit for {reads.label}", rank=rank, asks=asks))


def _good(reads: kits.Reads, rank: int) -> Rule:
    value = IN_BASIS.get(reads.key, reads.key)
    asks = {
        value: _value(value, not_asked_if_blank),
        f"{value}_kit": Annotated[float, FLAG, f"the kit for {reads.label}", Wrong(kits.UNUSABLE)],
        "date": _NEEDED["date"],
        f"{value}_good": Annotated[float, DATE, f"Use-by date of the kit for {reads.label}", skips],
        f"{value}_name": Annotated[str, ANY_TEXT, f"Name of the kit for {reads.label}", skips],
    }

    def kit(**asked: Any) -> Rungs:
        """Whether all is known of a reading's kit, and whether it was good to the end of its use-by day."""
        usable, last_day, name = (asked[f"{value}_{part}"] for part in ("kit", "good", "name"))
        expired = watch(asked["date"] >= last_day + 1, say(name, " expired ", dated(last_day)))
        return needs(asked[value], usable), expired, fine()

    return _named(kit, f"kit {reads.key}", rule(f"Kit for {reads.label}", rank=rank, asks=asks))


RANGES = {reads.key: _range(reads, rank) for rank, reads in enumerate(kits.READS, 60) if reads.ends}
KITS = {reads.key: _good(reads, rank) for rank, reads in enumerate(kits.READS, 70)}
OF_KITS = tuple(one for reads in kits.READS for one in (RANGES.get(reads.key), KITS[reads.key]) if one)
# What is said in the row where a limit of the water is passed, by the limit's key.
REASONS = {key: reasoned(word, one.words) for one in (*DEADLIEST, *OTHERS)
           for key, word in ((one.watch, WATCH), (one.act, ACT)) if key}
# What is said of a reading, in the order of VALUES, where it is impossible or no number.
FAULTS = tuple((said_of(one, one.outside, METRIC), said_of(one, one.no_entry, METRIC))
               for one in entries.questions if one.name in VALUES)
# Cells that are always in order: nothing met by a reading where nothing is known, or found in the row itself.
TRUSTED = frozenset({*LIMITS, "date", *(
    f"{IN_BASIS.get(reads.key, reads.key)}_{part}" for reads in kits.READS
    for part in ("good", "name", "low", "high"))})
# Cells that hold rounded numbers.
ROUNDED = frozenset({*VALUES, *LIMITS, *(f"{value}_{end}" for value in VALUES for end in ("low", "high"))})
NAMED |= _CALCULATED.keys()  # never faulty: where they have no answer, they are blank


def reading_of(one: Rule) -> str:
    """The one reading, or value calculated from readings, that a rule asks beside limits; empty where it asks more."""
    asked = [question.name for question in one.questions if question.name not in LIMITS]
    return asked[0] if len(asked) == 1 else ""


RULES = (entries, *DEADLY, *OTHER, *OF_KITS)

# By what stands in the reasons of a row, the word of its verdict; the first that is there decides.
MARKS = ((f"({ACT})", ACT), (reasoned(NOT_KNOWN, ""), NOT_KNOWN), (f"({WATCH})", WATCH))


def verdict(why: str) -> str:
    """The word of a row's verdict, from what stands under Why."""
    return next((word for mark, word in MARKS if mark in BEFORE_REASON + why), FINE)


def why(values: Mapping[str, Any], units: str = METRIC) -> str:
    """What stands under Why in the row of a test, in plain Python; the parameters are those of `reasons`."""
    return BEFORE_REASON.join(reasons(values, units))


def reasons(values: Mapping[str, Any], units: str = METRIC) -> list[str]:
    """The reasons under Why in the row of a test, in plain Python.

    Parameters
    ----------
    values : what each question's cell holds, by its name, in the log's basis.
    units : the unit system of the log.
    """
    parts = [reason(one, values, units, NAMED) for one in DEADLY]
    parts.append(faults(entries, values, units, (OF_SYSTEM, frozenset(LIMITS))))
    parts += [reason(one, values, units, NAMED) for one in (*OTHER, *OF_KITS)]
    return [part.removeprefix(BEFORE_REASON) for part in parts if part]
