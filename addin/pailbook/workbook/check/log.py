"""What the checks have to know about a farm log: units, bases, limits in use, systems, each system's readings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property
from typing import Any

from pailbook.quantities import METRIC, UNIT_SYSTEMS
from pailbook.workbook.check.calculated import calculated
from pailbook.workbook.check.places import Placed, Places, Record
from pailbook.workbook.columns import Table
from pailbook.workbook.farm_log import kits, limits, systems, water_moves, water_tests
from pailbook.workbook.farm_log.settings import BASES
from pailbook.workbook.readings.dates import EPOCH, day_of_cell
from pailbook.workbook.readings.fields import MEASURED, within_sentence
from pailbook.workbook.readings.log_rows import folded
from pailbook.workbook.readings.units import in_basis, to_basis


@dataclass(frozen=True)
class System:
    """A registered system."""

    row: int
    name: str
    kind: str  # its species, as the limits are listed
    record: Record


@dataclass(frozen=True)
class Test:
    """A dated row of water tests, with what is calculated from it under the keys of the log's own results."""

    row: int
    when: float  # days, with the time of day
    record: Record


class FarmLog:
    """A farm log. Readings and limits are in the log's own units; concentrations in the bases in which it is typed."""

    def __init__(self, places: Places) -> None:
        self.places, self.subject = places, places.subject
        units = self.subject.named("units")
        self.units = units if units in UNIT_SYSTEMS else METRIC
        self.bases = {basis.name: value if (value := self.subject.named(basis.name)) in basis.choices
                      else basis.choices[0] for basis in BASES}
        self.as_of = self.day(self.subject.named("as_of"))
        elevation = self.subject.named("elevation")
        self.elevation = elevation if isinstance(elevation, float) else 0.0

    def table(self, sheet: str) -> Placed | None:
        """A table by the name of its sheet in a blank log; None if the file has none."""
        return self.places.tables.get(sheet)

    def records(self, sheet: str) -> Mapping[int, Record]:
        """A table's filled rows by their number."""
        placed = self.table(sheet)
        return placed.records if placed else {}

    def day(self, value: Any) -> float | None:
        """A cell's date as sheets count days from 1900, with its time of day; None if it is not a date."""
        return day_of_cell(value, self.subject.book.from_1904)

    def basis(self, key: str) -> str:
        """The basis in which a field is typed; "" if it has none."""
        column = water_tests.table().column(key)
        return self.bases[column.basis] if column.basis else ""

    @cached_property
    def factors(self) -> dict[str, float]:
        """By the key of a column, how many units in which the log calculates one typed unit is."""
        return {key: to_basis(field, 1.0, self.basis(key), field.basis) for key, field in MEASURED.items()}

    def factor_between(self, key: str, basis: str, wanted: str) -> float:
        """How many in the wanted basis 1 in the other one is."""
        return to_basis(MEASURED[key], 1.0, basis, wanted)

    def unit(self, key: str) -> str:
        """The unit in which a field is typed, with a space before it; "" if it has none."""
        basis = self.basis(key)
        unit = in_basis(basis) if basis else MEASURED[key].quantity.unit_in(self.units)
        return f" {unit}" if unit else ""

    @cached_property
    def systems(self) -> dict[str, System]:
        """The registered systems by their folded names, the first of a name."""
        found: dict[str, System] = {}
        for row, record in self.records(systems.SHEET).items():
            name = folded(record.get("system"))
            if name:
                kind = next((kind for kind in limits.KINDS if folded(kind) == folded(record.get("species"))),
                            limits.OTHER)
                found.setdefault(name, System(row, str(record["system"]).strip(), kind, record))
        return found

    @cached_property
    def tests(self) -> dict[str, list[Test]]:
        """The dated tests of each system, by its folded name, oldest first; those of systems not on the list too."""
        found: dict[str, list[Test]] = defaultdict(list)
        for row, record in self.records(water_tests.SHEET).items():
            day, time = self.day(record.get("date")), record.get("time")
            if day is not None:
                clock = time if isinstance(time, float) and 0 <= time < 1 else 0.0
                system = folded(record.get("system"))
                results, _ = calculated(record, self.factors, self.elevation_of(system), self.units)
                found[system].append(Test(row, day + clock, {**record, **results}))
        for tests in found.values():
            tests.sort(key=lambda test: (test.when, test.row))
        return found

    def kind_of(self, system: str) -> str:
        """The species of a system, from its folded name, as the limits are listed."""
        return self.systems[system].kind if system in self.systems else limits.OTHER

    def elevation_of(self, system: str) -> float:
        """A system's height above sea level: its own, else the farm's."""
        own = self.systems[system].record.get("elevation") if system in self.systems else None
        return own if isinstance(own, float) else self.elevation

    def name(self, system: str) -> str:
        """A system's name as it is registered, from the folded one."""
        return self.systems[system].name if system in self.systems else system or "no system"

    def limit(self, key: str, kind: str = "") -> float | None:
        """A limit in use, the species' own if there is one; None if it is blank."""
        return self._limits.get((key, kind))

    @cached_property
    def _limits(self) -> dict[tuple[str, str], float]:
        found: dict[tuple[str, str], float] = {}
        title = self.places.sheets.get(limits.SHEET)
        if title is None:
            return found
        rows: dict[str, int] = {}
        labels = {folded(limit.label): limit.key for limit in (*limits.BY_SPECIES, *limits.GENERAL)}
        kinds: dict[str, str] = {}  # letters by species
        for row in self.subject.rows(title):
            for cell in row.cells:
                text = self.subject.value(title, cell.address)
                if not isinstance(text, str):
                    continue
                if cell.column == 1 and (key := labels.get(folded(text))):
                    rows.setdefault(key, row.number)  # the first table is that of the limits in use
                elif (kind := next((kind for kind in limits.KINDS if folded(kind) == folded(text)), "")):
                    kinds.setdefault(kind, cell.address.rstrip("0123456789"))
        for key, number in rows.items():
            letters = kinds if any(key == limit.key for limit in limits.BY_SPECIES) else {"": "C"}
            for kind, letter in letters.items():
                value = self.subject.value(title, f"{letter}{number}")
                if isinstance(value, float):
                    found[key, kind] = value
        return found

    @cached_property
    def kits(self) -> dict[str, tuple[int, Record]]:
        """The kit in use for each reading, by the key of the column of water tests: its row and what it says."""
        keys = {folded(reads.label): reads.key for reads in kits.READS}
        return {keys[folded(record.get("reads"))]: (row, record) for row, record in self.records(kits.SHEET).items()
                if folded(record.get("in_use")) == kits.IN_USE and folded(record.get("reads")) in keys}

    @cached_property
    def changes(self) -> dict[str, list[tuple[float, str]]]:
        """By system, the days on which a dose went in, with what for, or water was changed ("water"), in order."""
        found: dict[str, list[tuple[float, str]]] = defaultdict(list)
        for sheet, what in ((water_moves.DOSES, "aim"), (water_moves.CHANGES, "")):
            for record in self.records(sheet).values():
                day = self.day(record.get("date"))
                if day is not None:
                    found[folded(record.get("system"))].append((day, folded(record.get(what)) if what else "water"))
        for days in found.values():
            days.sort()
        return found


def on(when: float) -> str:
    """The day of a moment, in words."""
    return str(EPOCH + timedelta(days=int(when)))


def heading(table: Table, key: str) -> str:
    """What a column is called within a sentence."""
    return within_sentence(table.column(key).heading.split("\n")[0])
