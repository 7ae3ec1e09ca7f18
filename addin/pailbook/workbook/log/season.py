"""A farm log as its file has it: settings, systems, and the rows of each register, blanks and errors kept as they are.

Numbers are in the log's own units and bases; dates are days from 1900. Nothing is judged here: the rules do that.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.hosts.cells import DAYS_1904
from pailbook.outcomes import BadInput, Outcome
from pailbook.quantity import METRIC, UNIT_SYSTEMS
from pailbook.rules.declaration import question
from pailbook.rules.faults import fault
from pailbook.workbook.farm_log import limits, systems, water_tests
from pailbook.workbook.farm_log.entries import entered
from pailbook.workbook.farm_log.settings import BASES
from pailbook.workbook.log import schema
from pailbook.workbook.log.cells import Shown
from pailbook.workbook.log.limits_in_use import LimitsInUse, read_limits
from pailbook.workbook.log.locate import Located, folded, locate


class LogError(BadInput):
    """A file cannot be read as a farm log; the message says which file, and why."""


@dataclass(frozen=True)
class Row:
    """A row of a register that is filled in.

    number : in its sheet.
    cells : what its input columns show, by key: a number, a text, TRUE or FALSE, an ErrorValue, None where blank.
    """

    number: int
    cells: Mapping[str, Any]

    def __getitem__(self, key: str) -> Any:
        return self.cells[key]

    @property
    def of(self) -> str:
        """The folded name of its system; empty where it names none."""
        return folded(self.cells.get("system"))

    def number_of(self, key: str) -> float | None:
        """The number of an entry, None for anything else."""
        value = self.cells[key]
        return value if isinstance(value, float) else None


@dataclass(frozen=True)
class System:
    """A registered system.

    place : on the list, from 1.
    species : as typed.
    volume : the water volume in use, None where it is not known.
    elevation : the height in use: a number, "not known", or what else the cell shows.
    """

    row: Row
    place: int
    name: str
    client: str
    species: Any
    volume: float | None
    elevation: Any


class Season:
    """A farm log's file. What it lacks is left out; `need` tells of it."""

    def __init__(self, cells: Shown) -> None:
        self.cells = cells
        self.tables = locate(cells, schema.TABLES)

    def need(self, *sheets: str) -> None:
        """Make sure that these tables are there with all that their rows hang on, and that the settings can be used.

        Raises
        ------
        LogError
            When the headings of a sheet are not found, or a setting on which readings depend is wrong.
        """
        for sheet in sheets:
            table = schema.table_of(sheet)
            placed = self.tables.get(sheet)
            if placed is None:
                names = ", ".join(f'"{column.heading.split(chr(10))[0]}"' for column in table.inputs)
                raise LogError(f'{self.cells.path}: no sheet has the headings of the sheet "{sheet}" ({names}): either '
                               "this is not a farm log, or that sheet was deleted")
            for key in schema.NEEDED:
                if key in {column.key for column in table.inputs} - placed.letters.keys():
                    raise LogError(f'{self.cells.path}: the sheet "{placed.sheet}" has no column '
                                   f'"{table.column(key).heading}" in row {placed.heading_row}, so it is not clear '
                                   "what its rows belong to")
        for name, choices in schema.SETTINGS.items():
            if (value := self.cells.named(name)) not in choices:
                raise LogError(f'{self.cells.path}: its setting "{name}" is {value!r}; expected one of '
                               f'{", ".join(choices)}')

    @cached_property
    def units(self) -> str:
        """The unit system; metric where the file does not say it."""
        value = self.cells.named(schema.UNITS)
        return value if value in UNIT_SYSTEMS else METRIC

    @cached_property
    def bases(self) -> dict[str, str | None]:
        """By the setting's name, the basis in which readings are typed; None where it is none of the choices."""
        held = {basis.name: self.cells.named(basis.name) for basis in BASES}
        return {basis.name: held[basis.name] if held[basis.name] in basis.choices else None for basis in BASES}

    @cached_property
    def farm(self) -> str:
        """The name of the farm or business; empty where none is typed."""
        value = self.cells.named(schema.FARM)
        return "" if value is None else str(value).strip()

    @cached_property
    def as_of(self) -> Any:
        """Today's date as typed: a number of days where it is a date; None where it is blank."""
        return self._day(self.cells.named(schema.AS_OF))

    @cached_property
    def elevation(self) -> Any:
        """The farm's elevation as typed; sea level where nothing is."""
        value = self.cells.named(schema.ELEVATION)
        return 0.0 if value is None else value

    @cached_property
    def limits(self) -> LimitsInUse:
        """The limits in use.

        Raises
        ------
        LogError
            When the file has no such sheet.
        """
        found = read_limits(self.cells, self.units)
        if found is None:
            raise LogError(f'{self.cells.path}: no sheet has the headings of the sheet "{limits.SHEET}", so there are '
                           "no limits to compare readings with")
        return found

    @cached_property
    def factors(self) -> dict[str, float | None]:
        """By the key of a reading, how many in the log's own basis 1 as typed is; None where that is not known."""
        found: dict[str, float | None] = {}
        for column in water_tests.INPUTS:
            if basis := next((basis for basis in BASES if basis.name == column.basis), None):
                convert = CATALOGUE["HARDNESS_CONVERT" if basis.hardness else "NUTRIENT_CONVERT"]
                typed = self.bases[basis.name]
                found[column.key] = None if typed is None else float(call(convert, [1.0, typed, basis.target]))
        return found

    def rows(self, sheet: str) -> list[Row]:
        """The rows of a register that are filled in, from the top; none where the file lacks it."""
        if sheet not in self._rows:
            placed = self.tables.get(sheet)
            self._rows[sheet] = list(self._read(placed)) if placed else []
        return self._rows[sheet]

    @cached_property
    def _rows(self) -> dict[str, list[Row]]:
        return {}

    def _read(self, placed: Located) -> Iterable[Row]:
        columns = placed.table.inputs
        contents = self.cells.contents[placed.sheet]
        for number in range(placed.heading_row + 1, placed.last_row + 1):
            if not any(f"{letter}{number}" in contents for letter in placed.letters.values()):
                continue
            cells = {column.key: self.cells.value(placed.sheet, placed.cell(column.key, number))
                     if column.key in placed.letters else None for column in columns}
            if any(value is not None for value in cells.values()):
                dates = {column.key: self._day(cells[column.key]) for column in columns if column.kind == "date"}
                yield Row(number, {**cells, **dates})

    def _day(self, value: Any) -> Any:
        """A date as sheets count days from 1900; what is no number stays as it is."""
        return value + DAYS_1904 if isinstance(value, float) and self.cells.book.from_1904 else value

    @cached_property
    def systems(self) -> dict[str, System]:
        """The registered systems by their folded names, in the order of the list, the first of a name."""
        found: dict[str, System] = {}
        for row in self.rows(systems.SHEET):
            first = self.tables[systems.SHEET].heading_row
            if row.of and row.of not in found:
                found[row.of] = System(
                    row, row.number - first, text(row["system"]), text(row["client"]), row["species"],
                    self.volume(row), self.elevation if row["elevation"] is None else row["elevation"])
        return found

    def volume(self, row: Row) -> float | None:
        """A system's volume: as measured, else by tape; None where what was typed is no possible volume."""
        if row["volume"] is None:
            return self.by_tape(row)
        asked = question("volume", entered(systems.COLUMNS, ("volume",))["volume"])
        return None if fault(asked, row["volume"], self.units) else float(row["volume"])

    def by_tape(self, row: Row) -> float | None:
        """A system's volume by tape measure; None where its shape or a side is missing or impossible."""
        given = [row[key] for key in ("shape", "length", "width", "depth")]
        try:
            return None if None in given else float(call(CATALOGUE["TANK_VOLUME"], [*given, self.units]))
        except Outcome:
            return None


def text(value: Any) -> str:
    """A text, in which a number counts as what is shown."""
    return "" if value is None else f"{value:.15g}" if isinstance(value, float) else str(value).strip()
