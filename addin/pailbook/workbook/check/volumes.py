"""Volumes in the wrong gallons or in litres, compared with the tank's measures and with earlier water changes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from statistics import median

from pailbook.quantities import LITRES_PER_US_GALLON, METRIC
from pailbook.terms import ACT, WATCH
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.jumps import UNIT
from pailbook.workbook.check.log import FarmLog, on
from pailbook.workbook.farm_log import systems, water_moves
from pailbook.workbook.log.locate import folded

VOLUME = "volume in doubt"
LITRES_PER_IMPERIAL_GALLON = 4.54609  # by definition
NEAR = 0.05  # how far from a unit's factor a volume may be; common practice, no source
FEWEST = 3  # water changes that show what is usual; common practice, no source
_SHARE = 100 * (1 + 1e-9)


def volumes(log: FarmLog) -> Iterator[Finding]:
    """Volumes of systems and of added water that look like another unit's."""
    placed = log.table(systems.SHEET)
    for system in log.systems.values() if placed else ():
        volume, by_tape = system.row.number_of("volume"), log.season.by_tape(system.row)
        if volume is None or by_tape is None or placed is None or abs(volume / by_tape - 1) <= systems.DIFFERENCE:
            continue
        unit = _unit(log, volume / by_tape)
        what = f"the volume of {system.name} is {volume:.6g} {_own(log)}, but its tank's measures give {by_tape:.6g}"
        cell = placed.cell("volume", system.row.number)
        yield Finding(placed.sheet, cell, ACT if unit else WATCH, UNIT if unit else VOLUME,
                      f"{what}; it may be in {unit}" if unit else what,
                      f"If it is in {unit}, type {by_tape:.4g}; every dose depends on it." if unit else
                      "Measure again: a side may be wrong, or there is water elsewhere too. Every dose depends on it.")
    yield from _water(log)


def _water(log: FarmLog) -> Iterator[Finding]:
    placed = log.table(water_moves.CHANGES)
    earlier: dict[tuple[str, str], list[float]] = defaultdict(list)
    for day, row in sorted(log.dated(water_moves.CHANGES), key=lambda one: (one[0], one[1].number)):
        name, volume = row.of, row.number_of("volume")
        if volume is None or volume <= 0 or placed is None:
            continue
        own, known = earlier[name, folded(row["how"])], log.systems.get(name)
        whole = known.volume if known else None
        usual = median(own) if len(own) >= FEWEST else None
        unit = _unit(log, volume / usual) if usual else None
        if unit:
            yield Finding(placed.sheet, placed.cell("volume", row.number), WATCH, UNIT,
                          f"{volume:,.6g} {_own(log)} were added to {log.name(name)} on {on(day)}, but the usual "
                          f"amount is about {usual:,.4g}; the number may be in {unit}",
                          f"If it is in {unit}, type {usual:.4g}.")
        elif whole and 100 * volume / whole > _SHARE and folded(row["how"]) != "refilled after a move":
            yield Finding(placed.sheet, placed.cell("volume", row.number), WATCH, VOLUME,
                          f"{volume:,.6g} {_own(log)} were added to {log.name(name)} on {on(day)}, but the whole "
                          f"system holds {whole:,.6g}",
                          f"Check the number; its unit is {_own(log)}.")
        else:
            own.append(volume)


def _own(log: FarmLog) -> str:
    return "litres" if log.units == METRIC else "US gallons"


def _unit(log: FarmLog, ratio: float) -> str | None:
    """The unit in which a volume would be that many times too large or small."""
    own = 1.0 if log.units == METRIC else LITRES_PER_US_GALLON
    others = {"litres": 1.0, "US gallons": LITRES_PER_US_GALLON, "Imperial gallons": LITRES_PER_IMPERIAL_GALLON}
    return next((name for name, litres in others.items()
                 if litres != own and abs(ratio * litres / own - 1) <= NEAR), None)
