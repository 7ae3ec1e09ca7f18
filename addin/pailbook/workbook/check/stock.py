"""Fish that do not add up: more gone than there were, deaths entered in one place only, fish that lose weight."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.outcomes import Outcome
from pailbook.quantities import GRAMS_PER_OUNCE, KG_PER_POUND
from pailbook.terms import ACT, WATCH
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.log import FarmLog, on
from pailbook.workbook.farm_log import fish, registers
from pailbook.workbook.log.locate import Located, folded
from pailbook.workbook.log.season import Row

COUNT, NOT_ENTERED, WEIGHT = "stock does not add up", "deaths not entered", "fish weight falls"
LOSS, LOSS_A_DAY = 0.15, 0.01  # share of their weight that fish may seem to lose: by sampling, and a day by fasting
TIMES = (1000.0, GRAMS_PER_OUNCE, 1000 * KG_PER_POUND, 16.0)  # grams in a kg, an ounce, a pound; ounces in a pound
NEAR_DAYS = 3  # between an incident and the row of its deaths; these are common practice, no source
Event = tuple[int, Row]  # day, and what the row says
_WHAT = {"died": "fish died", "harvested": "fish were harvested", "moved out": "fish were moved out",
         "found fewer": "fish fewer were found"}


def stock(log: FarmLog) -> Iterator[Finding]:
    """What does not add up on the sheet of fish."""
    placed = log.table(fish.SHEET)
    if placed is None:
        return
    events: dict[str, list[Event]] = defaultdict(list)
    for day, row in log.dated(fish.SHEET):
        events[row.of].append((int(day), row))
    for own in events.values():
        own.sort(key=lambda event: (event[0], folded(event[1]["event"]) not in fish.IN, event[1].number))
    for system, own in events.items():
        yield from _counts(log, placed, system, own)
    for system, own in events.items():
        yield from _weights(log, placed, system, own)
    yield from _not_entered(log, events)


def _counts(log: FarmLog, placed: Located, system: str, events: list[Event]) -> Iterator[Finding]:
    """Fish that come on a day count before those that go on it."""
    there = 0.0
    for day, row in events:
        event, count = folded(row["event"]), row.number_of("count")
        if count is None or event not in (*fish.IN, *fish.OUT):
            continue
        if event in fish.OUT and count > there:
            # The count goes on from 0, so that one slip is shown once.
            yield Finding(placed.sheet, placed.cell("count", row.number), ACT, COUNT,
                          f"{count:g} {_WHAT[event]} in {log.name(system)} on {on(day)}, but there were only {there:g}",
                          'Correct the counts. Fish that were never entered go in as "found more".')
            there = 0.0
            continue
        there += count if event in fish.IN else -count


def _weights(log: FarmLog, placed: Located, system: str, events: list[Event]) -> Iterator[Finding]:
    before: tuple[float, float] | None = None  # day and weight
    for day, row in events:
        event = folded(row["event"])
        if event in fish.NEW and before is not None:
            before = None  # others came, which may be smaller
        weight = _weight(log, row)
        if weight is None or weight <= 0 or event not in (fish.STOCKED, fish.WEIGHED):
            continue
        if before is not None and weight < before[1] * (1 - LOSS - LOSS_A_DAY * (day - before[0])):
            key = "mean" if row.number_of("mean") is not None else "sample"
            quantity = placed.table.column("mean").quantity
            unit = f" {quantity.unit_in(log.units)}" if quantity else ""
            times = next((f"; that is about {factor:.4g} times less, so perhaps the unit differs" for factor in TIMES
                          if abs(before[1] / weight / factor - 1) < 0.5), "")
            yield Finding(placed.sheet, placed.cell(key, row.number), WATCH, WEIGHT,
                          f"the mean weight in {log.name(system)} was {weight:.3g}{unit} on {on(day)}, but "
                          f"{before[1]:.3g}{unit} on {on(before[0])}{times}",
                          "Weigh a sample again, and check the count and the weight of the sample. If the fish really "
                          "lost weight, look for disease.")
            continue
        before = day, weight


def _weight(log: FarmLog, row: Row) -> float | None:
    if (mean := row.number_of("mean")) is not None:
        return mean
    try:
        found = call(CATALOGUE["MEAN_MASS"], [row["sample"], row["count"], log.units])
    except Outcome:
        return None
    return float(found)


def _not_entered(log: FarmLog, events: Mapping[str, list[Event]]) -> Iterator[Finding]:
    """Incidents with dead fish whose deaths are not on the sheet of fish."""
    placed = log.table(registers.INCIDENTS)
    for day, row in log.dated(registers.INCIDENTS):
        dead = row.number_of("dead")
        if not dead or placed is None:
            continue
        entered = any(folded(event["event"]) == fish.DIED and abs(when - day) <= NEAR_DAYS
                      for when, event in events.get(row.of, ()))
        if not entered:
            yield Finding(placed.sheet, placed.cell("dead", row.number), WATCH, NOT_ENTERED,
                          f"{dead:g} fish died in {log.name(row.of)} on {on(day)}, but the sheet {fish.SHEET} has no "
                          "deaths around that day", f"Enter them on {fish.SHEET}; until then the stock is too high.")
