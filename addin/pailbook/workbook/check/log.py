"""What the checks have to know about a farm log: where its tables are, and what its rows say (`log.season`)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import timedelta
from functools import cached_property
from typing import Any, NamedTuple

from pailbook.rules import Judged, Rule, judge
from pailbook.workbook.check.places import Places
from pailbook.workbook.columns import Table
from pailbook.workbook.farm_log import limits, water_tests
from pailbook.workbook.log.kits_in_use import KitInUse, kits_in_use
from pailbook.workbook.log.limits_in_use import LimitsInUse, kind_of, read_limits
from pailbook.workbook.log.locate import Located
from pailbook.workbook.log.season import Row, Season, System
from pailbook.workbook.log.trend import Trends
from pailbook.workbook.log.water import Test
from pailbook.workbook.log.water import water_tests as read_tests
from pailbook.workbook.readings.dates import EPOCH, day_of_cell
from pailbook.workbook.readings.fields import MEASURED, within_sentence
from pailbook.workbook.readings.units import in_basis


class Dated(NamedTuple):
    """A test of the water with a date."""

    when: float  # days from 1900, with the time of day
    test: Test

    @property
    def row(self) -> int:
        """The number of its row."""
        return self.test.row.number

    def typed(self, key: str) -> float | None:
        """A reading as typed; None for anything but a number."""
        return self.test.row.number_of(key)

    def found(self, name: str) -> float | None:
        """A reading or calculated value in the log's basis; None where it is blank or cannot be used."""
        return self.test.number(name)


class _AnySeason(Season):
    """A log that may lack its limits: a check goes on without them, and says so."""

    @cached_property
    def limits(self) -> LimitsInUse:
        """The limits in use; none where the file lacks the sheet."""
        return self.found_limits or LimitsInUse(self.units)

    @cached_property
    def found_limits(self) -> LimitsInUse | None:
        """The limits in use; None where the file lacks the sheet."""
        return read_limits(self.cells, self.units)


class FarmLog:
    """A farm log. Readings are in the log's own units: as typed in a test's row, in the log's basis in its values."""

    def __init__(self, places: Places) -> None:
        self.places, self.subject = places, places.subject
        self.season = _AnySeason(self.subject)
        self.units, self.bases = self.season.units, self.season.bases

    def table(self, sheet: str) -> Located | None:
        """A table by the name of its sheet in a blank log; None if the file has none."""
        return self.places.tables.get(sheet)

    def dated(self, sheet: str) -> Iterator[tuple[float, Row]]:
        """A register's rows with a date, each with that day."""
        for row in self.season.rows(sheet):
            if (day := self.day(row["date"])) is not None:
                yield day, row

    def day(self, value: Any) -> float | None:
        """A row's date, as sheets count days from 1900, with its time of day; None if it is not a date."""
        return day_of_cell(value)

    @cached_property
    def as_of(self) -> float | None:
        """Today's date; None where it is none."""
        return self.day(self.season.as_of)

    def basis(self, key: str) -> str | None:
        """The basis in which a field is typed; "" if it has none, None if that is not known."""
        column = water_tests.table().column(key)
        return self.bases[column.basis] if column.basis else ""

    @cached_property
    def factors(self) -> dict[str, float | None]:
        """By the key of a field, how many in the log's own basis 1 as typed is; None where that is not known."""
        return {key: self.season.factors.get(key, 1.0) for key in MEASURED}

    def unit(self, key: str) -> str:
        """The unit in which a field is typed, with a space before it; "" if it has none or it is not known."""
        basis = self.basis(key)
        unit = "" if basis is None else in_basis(basis) if basis else MEASURED[key].quantity.unit_in(self.units)
        return f" {unit}" if unit else ""

    @property
    def systems(self) -> dict[str, System]:
        """The registered systems by their folded names, the first of a name."""
        return self.season.systems

    @cached_property
    def all_tests(self) -> list[Test]:
        """All tests, in the order of their rows."""
        return read_tests(self.season)

    @cached_property
    def tests(self) -> dict[str, list[Dated]]:
        """Each system's dated tests, by its folded name, oldest first; of unknown systems too."""
        found: dict[str, list[Dated]] = defaultdict(list)
        for test in self.all_tests:
            if test.when is not None:
                found[test.of].append(Dated(test.when, test))
        for tests in found.values():
            tests.sort(key=lambda one: (one.when, one.row))
        return found

    def judge(self, rule: Rule, test: Test) -> Judged:
        """What a rule says of a test; of equal readings once, which keeps a long log quick."""
        asked = tuple(test.values[one.name] for one in rule.questions)
        key = rule.name, asked, tuple(map(type, asked))
        if key not in self._judged:
            self._judged[key] = judge(rule, test.values, self.units)
        return self._judged[key]

    @cached_property
    def _judged(self) -> dict[tuple[Any, ...], Judged]:
        return {}

    @cached_property
    def trends(self) -> Trends:
        """The trends of the readings."""
        return Trends(self.season, self.all_tests)

    def kind_of(self, system: str) -> str:
        """The species of a system, from its folded name, as the limits are listed."""
        return kind_of(self.systems[system].species) if system in self.systems else limits.OTHER

    def name(self, system: str) -> str:
        """A system's name as it is registered, from the folded one."""
        return self.systems[system].name if system in self.systems else system or "no system"

    def limit(self, key: str, kind: str = limits.OTHER) -> float | None:
        """A limit in use, the species' own if there is one; None if it is blank or cannot be used."""
        return self.season.limits.number(kind, key)

    @cached_property
    def kits(self) -> dict[str, KitInUse]:
        """The kit in use for each reading, by the key of the column of water tests."""
        return kits_in_use(self.season)


def on(when: float) -> str:
    """The day of a moment, in words."""
    return str(EPOCH + timedelta(days=int(when)))


def heading(table: Table, key: str) -> str:
    """What a column is called within a sentence."""
    return within_sentence(table.column(key).heading.split("\n")[0])
