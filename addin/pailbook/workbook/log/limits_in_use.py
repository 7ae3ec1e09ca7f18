"""The limits in use in a log's file, by species, each with where it comes from."""

from __future__ import annotations

import functools
from dataclasses import dataclass, field
from typing import Any

from pailbook import terms
from pailbook.function import CATALOGUE
from pailbook.hosts.areas import place_at
from pailbook.hosts.call import call
from pailbook.rules.declaration import question
from pailbook.rules.faults import fault
from pailbook.sources import COMMON_PRACTICE, Citation
from pailbook.terms import international
from pailbook.workbook.farm_log import limits
from pailbook.workbook.farm_log.limits import BY_SPECIES, GENERAL, KINDS, OTHER, special
from pailbook.workbook.log.cells import Shown
from pailbook.workbook.log.locate import folded

FARM = "set by the farm"
_HEADINGS = {folded(text) for text in ("Limit", "Unit", "For all", OTHER)}
_KINDS = {folded(kind): kind for kind in KINDS}
_KEYS = {folded(limit.label): limit.key for limit in (*BY_SPECIES, *GENERAL)}


@dataclass
class LimitsInUse:
    """All limits of a log, in its units: those for all species, and those that the user gave for one.

    for_all : what was typed, by the limit's key.
    own : what was typed for one species, by that and the limit's key.
    """

    units: str
    for_all: dict[str, Any] = field(default_factory=dict)
    own: dict[tuple[str, str], Any] = field(default_factory=dict)

    def of(self, species: Any, key: str) -> Any:
        """What is in use for a species: a number, None where it is blank; as typed where that cannot be used.

        A species that is not on the list counts as "other"; limits for all systems have no species.
        """
        kind = kind_of(species)
        if (own := self.own.get((kind, key))) is not None:
            return own
        published = _published(kind, key, self.units)
        return self.for_all.get(key) if published is None else published

    def number(self, species: Any, key: str) -> float | None:
        """The limit in use as a number; None where it is blank or cannot be used."""
        value = self.of(species, key)
        return None if value is None or self.is_unknown(species, key) else float(value)

    def is_unknown(self, species: Any, key: str) -> bool:
        """Whether what was typed for the limit in use cannot be used."""
        value = self.of(species, key)
        return value is not None and bool(fault(question(key, limits.asked(key)), value, self.units))

    def source(self, species: Any, key: str) -> str:
        """Where the limit in use comes from."""
        kind, limit = kind_of(species), limits.of_key(key)
        if (kind, key) in self.own:
            return FARM
        if (source := special(kind, limit)) is not None:
            return _named(source)
        preset, source = limit.preset()
        value = self.number(species, key)
        if preset is None or source is None or value is None:
            return FARM
        shown = float(limit.quantity.from_metric(preset, self.units))
        return _named(source) if abs(value - shown) <= 1e-9 * max(1, abs(shown)) else FARM


def kind_of(species: Any) -> str:
    """The species as the table of limits names it."""
    return _KINDS.get(folded(species), OTHER)


@functools.cache
def _published(kind: str, key: str, units: str) -> float | None:
    """A species' own published limit, None where it has none that differs from the general limit."""
    limit = limits.of_key(key)
    if special(kind, limit) is None:
        return None
    return float(call(CATALOGUE["SPECIES_LIMIT"], [kind, *(limit.known or ()), units]))


def read_limits(cells: Shown, units: str) -> LimitsInUse | None:
    """The limits of a log's file; None where no sheet has their headings."""
    for sheet, contents in cells.contents.items():
        by_row: dict[int, dict[int, Any]] = {}
        for address in contents:
            row, column = place_at(address)
            by_row.setdefault(row, {})[column] = address
        for row in sorted(by_row):
            texts = {folded(contents[address]): column for column, address in by_row[row].items()
                     if isinstance(contents[address], str)}
            if texts.keys() >= _HEADINGS:
                return _below(cells, units, sheet, {n: by_row[n] for n in sorted(by_row) if n > row}, texts)
    return None


def _below(
    cells: Shown, units: str, sheet: str, rows: dict[int, dict[int, str]], columns: dict[str, int]
) -> LimitsInUse:
    found = LimitsInUse(units)
    seen: set[str] = set()
    for row in rows.values():
        def typed(heading: str, row: dict[int, str] = row) -> Any:
            address = row.get(columns.get(heading, 0))
            return None if address is None else cells.value(sheet, address)

        key = _KEYS.get(folded(international(str(typed("limit")))))
        if key is None:
            continue
        if key not in seen:
            seen.add(key)
            if (value := typed("for all")) is not None:
                found.for_all[key] = value
        else:  # the second table: the user's limits by species
            found.own |= {(kind, key): value for kind in KINDS if (value := typed(folded(kind))) is not None}
    return found


def _named(source: Citation) -> str:
    return terms.COMMON_PRACTICE if source.work is COMMON_PRACTICE else str(source)
