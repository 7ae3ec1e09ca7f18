"""A farm log's file as the report reads it: its settings, limits and registers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pandas

from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.nearest import there_are
from pailbook.outcomes import Outcome
from pailbook.quantities import Elevation
from pailbook.quantity import METRIC, UNIT_SYSTEMS
from pailbook.visit_report.bounds import Bounds, read_bounds
from pailbook.visit_report.tables import ReportError, Sheets, is_number, number
from pailbook.workbook.farm_log import fish, kits, registers, systems, upkeep, water_moves, water_tests
from pailbook.workbook.farm_log.settings import BASES
from pailbook.workbook.measures import quantity
from pailbook.workbook.privacy.words import folded as same

_REGISTERS = (
    systems.table(), kits.table(), water_tests.table(), fish.table(), upkeep.table(),
    *(registers.table(name, rows) for name, rows in registers.ROWS.items()),
    *(water_moves.table(name) for name in water_moves.COLUMNS),
)


@dataclass(frozen=True)
class Season:
    """A farm log. Registers are frames by the name of their sheet; numbers are in the log's own units."""

    path: Path
    units: str
    farm: str
    elevation: float  # of the farm; missing where it cannot be used
    as_of: date | None
    bases: dict[str, str]  # by the setting's name
    bounds: Bounds
    registers: dict[str, pandas.DataFrame]

    def __getitem__(self, sheet: str) -> pandas.DataFrame:
        return self.registers[sheet]

    def factor(self, setting: str) -> float:
        """How many mg/L in the basis of the log's results one mg/L in the user's basis is."""
        basis = next(basis for basis in BASES if basis.name == setting)
        convert = CATALOGUE["HARDNESS_CONVERT" if basis.hardness else "NUTRIENT_CONVERT"]
        return float(call(convert, [1.0, self.bases[setting], basis.target]))


def read_season(path: Path) -> Season:
    """A farm log's file.

    Raises
    ------
    ReportError
        When it cannot be read, is not a farm log, or a setting that readings depend on is wrong.
    """
    sheets = Sheets(path)
    units = sheets.named("units")
    frames = {table.sheet: sheets.frame(table, units if units in UNIT_SYSTEMS else METRIC) for table in _REGISTERS}
    if units not in UNIT_SYSTEMS:
        raise ReportError(f'{path}: its setting "units" is {units!r}; expected one of {", ".join(UNIT_SYSTEMS)}')
    return Season(
        path, str(units), _text(sheets.named("farm")), _elevation(sheets.named("elevation"), str(units)),
        sheets.day(sheets.named("as_of")), {basis.name: _basis(sheets, basis.name, basis.choices) for basis in BASES},
        read_bounds(sheets, str(units)), frames,
    )


def is_client(register: pandas.DataFrame, client: str) -> pandas.Series:
    """Which rows of Systems are this client's, however the name's case, blanks and quotes are typed."""
    return register["client"].map(same) == same(client)


def clients(season: Season) -> list[str]:
    """The names of the clients in the log, in alphabetical order."""
    names = {same(name): name for name in reversed(list(season[systems.SHEET]["client"])) if name}
    return sorted(names.values(), key=str.casefold)


def systems_of(season: Season, client: str) -> pandas.DataFrame:
    """The client's systems, with the volume and elevation in use.

    Raises
    ------
    ReportError
        When there is no such client (the message names those that there are), or another has a system of that name.
    """
    known = season[systems.SHEET]
    mine = is_client(known, client)
    found: pandas.DataFrame = known[mine & (known["system"] != "") & ~known["of"].duplicated()].copy()
    if not same(client) or found.empty:
        names = clients(season)
        raise ReportError(f"{season.path} has no client {client!r}; " + (
            there_are(client, names) if names else "fill in the column Client on the sheet Systems"))
    shared = known[~mine & known["of"].isin(set(found["of"]))]
    if not shared.empty:
        raise ReportError(f"{season.path}: the sheet {systems.SHEET} gives the system {shared['system'].iloc[0]!r} to "
                          f"{client!r} and to somebody else too, so it is not clear whose its rows are; give each "
                          "system a name of its own")
    found["volume_used"] = [_volume(system, season.units) for _, system in found.iterrows()]
    wrong = found["wrong"].map(lambda entries: "elevation" in entries).astype(bool)
    found["elevation_used"] = number(found["elevation"]).fillna(season.elevation).mask(wrong)
    return found


def doubt_of(system: pandas.Series) -> str:
    """What judging a system's water lacks, in the log's words; blank where nothing does."""
    if "species" in system["wrong"]:
        return systems.WRONG_SPECIES
    return systems.WRONG_ELEVATION if math.isnan(system["elevation_used"]) else ""


def _volume(system: pandas.Series, units: str) -> float:
    """The measured volume of a system, else that of its tank by tape measure; missing where neither can be used."""
    if "volume" in system["wrong"]:
        return math.nan
    if is_number(system["volume"]):
        return float(system["volume"])
    shape, *sides = (system[key] for key in ("shape", "length", "width", "depth"))
    if not shape or not all(map(is_number, sides)):
        return math.nan
    try:
        return float(call(CATALOGUE["TANK_VOLUME"], [shape, *sides, units]))
    except Outcome:
        return math.nan


def _elevation(value: Any, units: str) -> float:
    """The farm's elevation: sea level where nothing is typed, missing where it is not a possible number."""
    if value in (None, ""):
        return 0.0
    if not is_number(value) or any(quantity(Elevation).outside(value, units)):
        return math.nan
    return float(value)


def _text(value: Any) -> str:
    return "" if value is None else str(value).strip()


def _basis(sheets: Sheets, name: str, choices: tuple[str, ...]) -> str:
    value: Any = sheets.named(name)
    if value not in choices:
        raise ReportError(f'{sheets.path}: its setting "{name}" is {value!r}; expected one of {", ".join(choices)}')
    return str(value)
