"""The limits in force in a farm log, by species, with where each comes from."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from pailbook import terms
from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.sources import COMMON_PRACTICE, Citation
from pailbook.terms import international
from pailbook.visit_report.tables import ReportError, Sheets, is_number
from pailbook.workbook.farm_log import limits
from pailbook.workbook.farm_log.limits import BY_SPECIES, GENERAL, KINDS, OF_WATER, OTHER, Limit, special
from pailbook.workbook.log.locate import folded

FARM = "set by the farm"
_TABLE = {folded(text) for text in ("Limit", "Unit", "For all")}


@dataclass(frozen=True)
class Bound:
    """A limit in force: its value in the log's units and the source of that value."""

    value: float
    source: str


@dataclass
class Bounds:
    """All limits of a log: those for all species, and those that the user gave for one species."""

    units: str
    defaults: dict[str, float] = field(default_factory=dict)
    own: dict[tuple[str, str], float] = field(default_factory=dict)  # by species and key
    wrong: set[str | tuple[str, str]] = field(default_factory=set)  # the same, where what was typed cannot be used

    def of(self, species: str, key: str) -> Bound | None:
        """The limit in force for a species (one that is not on the list counts as "other"); None where it is blank."""
        kind = kind_of(species)
        limit = _BY_KEY[key]
        if self.is_unknown(key, species):
            return None
        if (kind, key) in self.own:
            return Bound(self.own[kind, key], FARM)
        if (source := special(kind, limit)) is not None:
            value = call(CATALOGUE["SPECIES_LIMIT"], [kind, *(limit.known or ()), self.units])
            return Bound(float(value), _named(source))
        if key not in self.defaults:
            return None
        return Bound(self.defaults[key], self._origin(limit, self.defaults[key]))

    def is_unknown(self, key: str, species: str | None = None) -> bool:
        """Whether what was typed for a limit that is in force cannot be used; without species one for all systems."""
        if species is None:
            return key in self.wrong
        kind = kind_of(species)
        own = (kind, key) in self.own or special(kind, _BY_KEY[key]) is not None
        return (kind, key) in self.wrong or (key in self.wrong and not own)

    def unknown_of(self, species: str) -> str:
        """What the log says of the first limit of the water that is not known for a species; blank if all are known."""
        return next((limits.named_unknown(one.label) for one in OF_WATER if self.is_unknown(one.key, species)), "")

    def general(self, key: str) -> float | None:
        """A limit that does not depend on the species."""
        return self.defaults.get(key)

    def enter(self, place: str | tuple[str, str], value: Any) -> None:
        """Takes what was typed for a limit: for all, by its key, or for one species, by that and its key."""
        if value in (None, ""):
            return
        key = place if isinstance(place, str) else place[1]
        if not is_number(value) or any(_BY_KEY[key].quantity.outside(value, self.units)):
            self.wrong.add(place)
        elif isinstance(place, str):
            self.defaults[place] = float(value)
        else:
            self.own[place] = float(value)

    def _origin(self, limit: Limit, value: float) -> str:
        preset, source = limit.preset()
        if preset is None or source is None:
            return FARM
        shown = float(limit.quantity.from_metric(preset, self.units))
        return _named(source) if abs(value - shown) <= 1e-9 * max(1, abs(shown)) else FARM


_BY_KEY = {limit.key: limit for limit in (*BY_SPECIES, *GENERAL)}


def kind_of(species: str) -> str:
    """The species as the table of limits names it."""
    return next((kind for kind in KINDS if folded(kind) == folded(species)), OTHER)


def read_bounds(sheets: Sheets, units: str) -> Bounds:
    """The limits of a log.

    Raises
    ------
    ReportError
        When the log has no such sheet.
    """
    title, start, columns = _find(sheets)
    bounds, values = Bounds(units), sheets.values[title]
    keys = {folded(limit.label): limit.key for limit in (*BY_SPECIES, *GENERAL)}
    seen: set[str] = set()
    for row in range(start + 1, max(place[0] for place in values) + 1):
        key = keys.get(folded(international(str(values.get((row, columns["limit"]), "")))))
        if key is None:
            continue
        if key not in seen:
            seen.add(key)
            bounds.enter(key, values.get((row, columns["for all"])))
        else:  # the second table: the user's limits by species
            for kind in KINDS:
                if kind in columns:
                    bounds.enter((kind, key), values.get((row, columns[kind])))
    return bounds


def _named(source: Citation) -> str:
    return terms.COMMON_PRACTICE if source.work is COMMON_PRACTICE else str(source)


def _find(sheets: Sheets) -> tuple[str, int, dict[str, int]]:
    for title, rows in sheets.headings.items():
        for row, found in sorted(rows.items()):
            if found.keys() >= _TABLE and folded(OTHER) in found:
                return title, row, {heading: columns[0] for heading, columns in found.items()}
    raise ReportError(f'{sheets.path}: no sheet has the headings of the sheet "{limits.SHEET}", so there are no limits '
                      "to compare readings with")


