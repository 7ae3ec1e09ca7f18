"""The rules of the plan as a whole: the product in use, scale, the date, and the base or acid that moves pH."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.functions.dosing import CALCITE_PH, PH_CHEMICALS
from pailbook.quantities import PH, Density, PHTolerance, Strength
from pailbook.quantity import Quantity
from pailbook.rules import Rungs, act, fine, is_blank, needs, not_asked, rule, say, shown, skips, watch
from pailbook.workbook.dosing_plan import questions
from pailbook.workbook.dosing_plan.nutrients import ACID, BLEND, PHOSPHATE
from pailbook.workbook.dosing_plan.questions import (
    AMOUNT,
    COUNT,
    DATE,
    MOVED,
    NUMBER,
    UNITS,
    AlkalinityNow,
    CalciumNow,
    DaysBetween,
    LatestDate,
    MagnesiumNow,
    PHNow,
    PHRule,
    Salts,
    Temperature,
    Tests,
    Used,
    WaterVolume,
)

_OF_PHOSPHATE = questions.of_nutrient(PHOSPHATE)
Product, Low, High = (_OF_PHOSPHATE[key] for key in ("product", "low", "high"))
_CHEMICAL = Quantity("chemical", choices=tuple(chemical.name for chemical in PH_CHEMICALS))
_CALCITE = "calcium carbonate"
_GIVE = "give today's dose below, then test tomorrow"


@rule("Product in use")
def right_product(
    used: Used,
    product: Product,  # type: ignore[valid-type]
    volume: WaterVolume,
    low: Low,  # type: ignore[valid-type]
    high: High,  # type: ignore[valid-type]
    tests: Tests, ph: PHNow, temperature: Temperature, alkalinity: AlkalinityNow,
    at_limit: Annotated[float, COUNT, "Days at a limit in the calendar"],
    days_of_dosing: Annotated[float, COUNT, "Days over which the dose is split"],
    mono: Annotated[float, AMOUNT, "Monopotassium phosphate for the blend"],
    mono_unit: Annotated[str, UNITS, "Its unit"],
    di: Annotated[float, AMOUNT, "Dipotassium phosphate for the blend"],
    di_unit: Annotated[str, UNITS, "Unit of dipotassium phosphate"],
) -> Rungs:
    """Whether a blend, which leaves pH alone, would serve better than the product in use."""
    blend = say("a blend leaves pH alone and fills the target range in one day, with ", shown(mono, 0), " ", mono_unit,
                " of monopotassium and ", shown(di, 0), " ", di_unit, " of dipotassium phosphate")
    return (
        not_asked(used == 0),
        fine(product == BLEND, "the blend leaves pH alone; test potassium now and then"),
        needs(volume, low, high, tests, ph, temperature, alkalinity, mono, mono_unit, di, di_unit),
        watch(at_limit > 0, say("it brings pH or alkalinity to its limit within the calendar; ", blend)),
        watch(days_of_dosing >= 2, say("pH allows only small daily doses; ", blend)),
        fine(product == ACID, "it uses up alkalinity, so test alkalinity weekly"),
        fine(True, "the dose fits into one day"),
    )


@rule("Scale")
def scale(
    used: Used,
    high: High,  # type: ignore[valid-type]
    calcium_there: Annotated[float, AMOUNT, "Calcium in the water (Setup)"],
    tests: Tests, ph: PHNow, alkalinity: AlkalinityNow, temperature: Temperature,
    scale_index: Annotated[float, NUMBER, "Scale index"],
) -> Rungs:
    """Whether calcium phosphate precipitates with phosphate at the upper end of the target."""
    return (
        not_asked(used == 0),
        needs(high, calcium_there, tests, ph, alkalinity, temperature),
        watch(scale_index > 0,
              "calcium phosphate may precipitate as scale or cloud the water; lower pH or the target range"),
        watch(scale_index > -2, "calcium phosphate is close to precipitation; do not let pH or calcium rise"),
        fine(True, "no scale is expected"),
    )


@rule("Date")
def date_check(
    latest_date: LatestDate, date_today: Annotated[float, DATE, "Today's date"], days_between: DaysBetween
) -> Rungs:
    """Whether the date that was typed fits the readings, and the latest of them is new enough to dose from."""
    age = ops.floor(date_today) - latest_date
    return (
        needs(latest_date),
        act(age < 0, "some readings are later than this date: enter today's date", "Enter today's date"),
        watch(age > 2 * days_between, say("the latest reading is ", shown(age, 0), " days old; test before you dose")),
        fine(),
    )


@rule("Base or acid")
def ph_dose(
    ph_asked: Annotated[float, COUNT, "Boxes filled in for pH"],
    volume: WaterVolume, temperature: Temperature, tests: Tests, ph: PHNow, alkalinity: AlkalinityNow,
    ph_target: Annotated[PH, "pH to reach"],
    ph_chemical: Annotated[str, _CHEMICAL, "Base or acid"],
    ph_strength: Annotated[Strength, "Strength on its label", skips],
    acid_strength: Annotated[Strength, "Strength on the acid's label"],
    ph_density: Annotated[Density, "Density, of a solution", skips],
    ph_tolerance: Annotated[PHTolerance, "Close enough to that pH"],
    conductivity: Salts, calcium: CalciumNow, magnesium: MagnesiumNow, ph_rule: PHRule,
    ph_days: Annotated[float, COUNT, "Days of dosing"],
    ph_step_target: Annotated[PH, "pH to reach today"],
    ph_dose_today: Annotated[float, AMOUNT, "Safe dose today", skips],
    ph_move_overshoot: Annotated[PH, "pH at once if the settled dose were given", skips],
) -> Rungs:
    """Whether the base or acid reaches the pH, and whether its settled dose must not be given in one go."""
    return (
        not_asked(ph_asked == 0),
        needs(volume, temperature, tests, ph, alkalinity, ph_target, ph_chemical, ph_tolerance, ph_rule),
        fine(ph_days == 0, "close enough; no dose is needed"),
        needs(acid_strength, ph_strength, ph_density, conductivity, calcium, magnesium),
        act((ph_chemical == _CALCITE) & (ph_step_target > CALCITE_PH),
            f"calcium carbonate does not dissolve enough above pH {CALCITE_PH:g}", "Choose another base"),
        act(is_blank(ph_dose_today), "this cannot move pH that way; a base raises it, an acid lowers it",
            "Choose a base to raise pH, an acid to lower it"),
        watch(ops.absolute(ph_move_overshoot - ph) > ph_rule + MOVED,
              say("never give the settled dose in one go; pH would be ", shown(ph_move_overshoot, 2))),
        fine(True, _GIVE),
    )
