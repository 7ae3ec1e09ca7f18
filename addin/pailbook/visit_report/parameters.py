"""The values of water tests that the report shows, with their names, units and formats."""

from __future__ import annotations

from dataclasses import dataclass

from pailbook import terms
from pailbook.workbook import style
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log import verdict, water_tests

RULES = (*verdict.DEADLIEST, *verdict.OTHERS)
_COLUMNS = {column.key: column for column in water_tests.INPUTS + water_tests.RESULTS}


@dataclass(frozen=True)
class Parameter:
    """A value of water tests: its column, its name, unit ("" for the quantity's own) and number format.

    once : its name where it first stands on a sheet, if that is a longer one.
    """

    key: str
    label: str
    unit: str = ""
    format: str = ""
    once: str = ""

    def unit_in(self, units: str) -> str:
        """Its unit in a unit system."""
        return self.unit or self.column.unit(units)

    @property
    def named(self) -> str:
        """Its name within a sentence, without the abbreviation."""
        name = self.label.partition(" (")[0]
        return name if name == "pH" else name[0].lower() + name[1:]

    @property
    def column(self) -> Column:
        """The log's column that holds it, or what it follows from."""
        return _COLUMNS[self.key]

    def number_format(self, units: str) -> str:
        """The cell's number format."""
        return self.format or self.column.format or style.format_of(self.column.quantity, units)

    def shown(self, value: float, units: str) -> str:
        """A value as its cell shows it, as text."""
        return f"{value:.{len(self.number_format(units).partition('.')[2].rstrip('#'))}f}"


PARAMETERS = (
    Parameter("temperature", terms.WATER_TEMPERATURE), Parameter("oxygen", terms.DISSOLVED_OXYGEN),
    Parameter("saturation", "Oxygen saturation"), Parameter("ph", "pH"),
    Parameter("tan_n", terms.TOTAL_AMMONIA, "mg/L as N"), Parameter("nh3", terms.UNIONISED_AMMONIA, "mg/L as N"),
    Parameter("no2", terms.NITRITE, "mg/L as NO2"), Parameter("no3", terms.NITRATE, "mg/L as NO3"),
    Parameter("po4", terms.PHOSPHATE, "mg/L as PO4"),
    Parameter("alkalinity", terms.ALKALINITY, "mg/L as CaCO3", "0", terms.ALKALINITY_ONCE),
    Parameter("co2", terms.CARBON_DIOXIDE), Parameter("conductivity", "Conductivity (EC)", format="0"),
)


def judged_as(rule: verdict.Judged) -> Parameter:
    """The value that a rule of the log judges."""
    return next(parameter for parameter in PARAMETERS if parameter.key == rule.key)
