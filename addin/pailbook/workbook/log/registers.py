"""The rows of a log's registers, judged by the log's rules as on their sheets."""

from __future__ import annotations

from bisect import bisect_right, insort
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from pailbook.rounding import half_up
from pailbook.rules import Judged, Rule, judge
from pailbook.rules.faults import fault, read
from pailbook.workbook.farm_log import kit_columns, kit_rules, registers, systems, upkeep, water_moves
from pailbook.workbook.log.locate import folded
from pailbook.workbook.log.season import Row, Season

Values = dict[str, Any]


@dataclass(frozen=True)
class JudgedRow:
    """A row of a register, what its rule was asked, and what it says."""

    row: Row
    values: Values
    judged: Judged


def typed(season: Season, row: Row, rule: Rule) -> Values:
    """What a rule asks of a row's typed cells, by the names of its questions; a system by its place on the list."""
    found = {one.name: row[one.name] for one in rule.questions if one.name in row.cells}
    if "system" in found and "client" not in row.cells and found["system"] is not None:
        system = season.systems.get(row.of)
        found["system"] = float(system.place) if system else str(found["system"])
    return found


def is_usable(season: Season, row: Row, rule: Rule) -> bool:
    """Whether all that a rule asks of a row's typed cells is in order."""
    values = typed(season, row, rule)
    return not any(fault(one, read(one, values[one.name], season.units), season.units)
                   for one in rule.questions if one.name in values)


def number(season: Season, row: Row, rule: Rule, key: str) -> float | None:
    """The number of an entry; None where it is blank or cannot be used."""
    asked = next(one for one in rule.questions if one.name == key)
    value = row.number_of(key)
    return None if value is None or fault(asked, value, season.units) else value


def doses(season: Season) -> list[JudgedRow]:
    """The rows of doses."""
    def more(row: Row) -> Values:
        before, after = (number(season, row, water_moves.dose, key) for key in ("before", "after"))
        moved = None if before is None or after is None else half_up(after - before, 2)
        return {"moved": moved, "step": season.limits.of(None, "ph_step")}

    return _judged(season, water_moves.DOSES, water_moves.dose, more)


def water_in(season: Season) -> list[JudgedRow]:
    """The rows of water added and changed."""
    def more(row: Row) -> Values:
        system, volume = season.systems.get(row.of), row.number_of("volume")
        whole = system.volume if system else None
        return {"share": 100 * volume / whole if volume is not None and whole else None,
                "most": season.limits.of(None, "change_share")}

    return _judged(season, water_moves.CHANGES, water_moves.water_in, more)


def kept_up(season: Season) -> list[JudgedRow]:
    """The rows of upkeep."""
    def task(row: Row) -> tuple[str, ...]:
        return tuple(folded(row[key]) for key in ("item", "system", "which"))

    usable = {row.number: row for row in season.rows(upkeep.SHEET) if is_usable(season, row, upkeep.kept_up)}
    days: dict[tuple[str, ...], list[float]] = defaultdict(list)
    for row in usable.values():
        insort(days[task(row)], row["date"])

    def more(row: Row) -> Values:
        date, every, again = row.number_of("date"), row.number_of("every"), 0
        if row.number in usable:
            own = days[task(row)]
            again = len(own) - bisect_right(own, row["date"])
        return {"due": date + every if date is not None and every is not None else None, "again": float(again),
                "today": season.as_of, "soon": season.limits.of(None, "upkeep_days")}

    return _judged(season, upkeep.SHEET, upkeep.kept_up, more)


def incidents(season: Season) -> list[JudgedRow]:
    """The rows of incidents."""
    return _judged(season, registers.INCIDENTS, registers.incident, lambda row: {})


def kits(season: Season) -> list[JudgedRow]:
    """The rows of kits."""
    labels = {folded(reads.label): reads for reads in kit_columns.READS}
    same = Counter(folded(row["reads"]) for row in season.rows(kit_columns.SHEET)
                   if folded(row["in_use"]) == kit_columns.IN_USE)

    def more(row: Row) -> Values:
        reads = labels.get(folded(row["reads"]))
        basis = season.bases[reads.basis] if reads and reads.basis else kit_rules.NO_BASIS
        return {"kits_in_use": float(same[folded(row["reads"])]), "log_basis": basis if reads else None,
                "today": season.as_of, **{key: season.limits.of(None, key) for key in ("kit_days", "ph_step")}}

    return _judged(season, kit_columns.SHEET, kit_rules.kit, more)


def volumes(season: Season) -> list[JudgedRow]:
    """The rows of systems."""
    names = Counter(row.of for row in season.rows(systems.SHEET))

    def more(row: Row) -> Values:
        return {"same_name": float(names[row.of]), "in_use": season.volume(row), "worked": season.by_tape(row)}

    return _judged(season, systems.SHEET, systems.volume_check, more)


def _judged(season: Season, sheet: str, rule: Rule, more: Callable[[Row], Mapping[str, Any]]) -> list[JudgedRow]:
    found = []
    for row in season.rows(sheet):
        values = typed(season, row, rule)
        if any(value is not None for value in values.values()):  # a row with a note alone is judged by nothing
            values |= more(row)
            found.append(JudgedRow(row, values, judge(rule, values, season.units)))
    return found
