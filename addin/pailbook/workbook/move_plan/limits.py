"""Sheet "Limits": where the plan says watch or act. A trip has limits of its own; each is the user's to change."""

from __future__ import annotations

from pailbook.quantities import (
    Activity,
    Alkalinity,
    CarbonDioxide,
    Conductivity,
    FishDensity,
    Fraction,
    HaulingDensity,
    Minutes,
    Oxygen,
    PHStep,
    PHTolerance,
    Quantity,
    TemperatureDifference,
    UnionizedAmmonia,
)
from pailbook.sources import COMMON_PRACTICE, FAO_589, PIPER_1982, UF_IFAS_FA16, Citation
from pailbook.workbook.form import Field, Form, Formula, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import measures
from pailbook.workbook.sheets import cited

SHEET = "Limits"
_PRACTICE = COMMON_PRACTICE.at("")
_FORMATS = {"share": "0.00", "difference": "0.0#", "pH tolerance": "0.0#", "minutes": "0", "alkalinity": "0",
            "conductivity": "0"}
FEW_DEGREES = 5 / 1.8  # 5 °F: what one exchange of half the water and ten minutes can bridge


def constant(quantity: Quantity, metric: float) -> Formula:
    """Formula for a metric number in the workbook's units."""
    return lambda plan: f"{plan.book.show(quantity, metric):.12g}"


def _limit(
    key: str, label: str, quantity: Quantity, default: float | Formula, source: Citation = _PRACTICE, note: str = "",
    unit: str = "", shown: str = "",
) -> Field:
    words = "; ".join(part for part in (cited(source), note) if part)
    formula = default if callable(default) else constant(quantity, default)
    return Field(key, label, quantity, assumed=formula, why=words, unit=unit,
                 format=shown or _FORMATS.get(quantity.label, ""))


def _of_species(level: str, otherwise: float) -> Formula:
    def text(plan: Plan) -> str:
        known = plan.book.call("SPECIES_LIMIT", plan["species"], '"oxygen"', f'"{level}"')
        return f"IFERROR({known},{otherwise:g})"
    return text


ITEMS: tuple[Item, ...] = (
    Note("A blank box leaves what is assumed; what you type there wins. A trip has limits of its own: a tank's "
         "limits would forbid every ordinary trip."),
    Heading("On the road"),
    _limit("limit_oxygen_watch", "Oxygen: watch below", quantity(Oxygen), _of_species("watch low", 5),
           note="by species; 5, trout 6"),
    _limit("limit_oxygen_act", "Oxygen: act below", quantity(Oxygen), _of_species("act low", 3),
           note="by species; 3, jade perch 4, trout 5"),
    _limit("limit_nh3_watch", "NH3-N: watch above", quantity(UnionizedAmmonia), 0.05, UF_IFAS_FA16.at("harm to gills")),
    _limit("limit_nh3_act", "NH3-N: act above", quantity(UnionizedAmmonia), 0.13,
           PIPER_1982.at("p. 357, trout, 6 hours")),
    _limit("limit_co2_watch", "Free CO2: watch above", quantity(CarbonDioxide), 20, note="upper aim in hauling"),
    _limit("limit_co2_act", "Free CO2: act above", quantity(CarbonDioxide), 40,
           note="trucks of tilapia have run at 36 to 80"),
    _limit("hauling_density_plan", "Density in a vessel: plan for", quantity(HaulingDensity), 24,
           note="1 lb in 5 US gal"),
    _limit("hauling_density_most", "Density in a vessel: at most", quantity(HaulingDensity), 36, note="1.5 lb in 5 US gal"),
    _limit("activity_first", "Breathing in the first hour", quantity(Activity), 2, unit="times resting"),
    _limit("activity_after", "Breathing after the first hour", quantity(Activity), 1.3, unit="times resting"),
    _limit("limit_without_air", "Minutes without the pump: watch below, without a spare", measures.MINUTES_OR_NONE, 30,
           note="a failed pump kills within half an hour to an hour"),
    Heading("The worst case, side by side with the expected one"),
    _limit("worst_stress", "Stress: breathing", measures.MULTIPLE, 1.5, unit="times the expected"),
    _limit("worst_stone", "Air stone: efficiency", measures.MULTIPLE, 0.5,
           note="the weakest number here", unit="times the expected"),
    Heading("Water match and pH calendar"),
    _limit("ph_within", "pH: matched within", quantity(PHTolerance), 0.2),
    _limit("ph_no_go", "pH: act above a difference of", quantity(PHTolerance), 0.5,
           FAO_589.at("section 7.5, a day or more")),
    _limit("ph_daily", "pH: largest change in a day", quantity(PHStep), 0.2, FAO_589.at("section 7.3")),
    _limit("temperature_watch", "Temperature: watch above a difference of", quantity(TemperatureDifference),
           FEW_DEGREES, note="5 °F; tempering speed by LSU AgCenter"),
    _limit("temperature_no_go", "Temperature: act above a difference of", quantity(TemperatureDifference), 10),
    _limit("alkalinity_gap", "Alkalinity: watch above a difference of", quantity(Alkalinity), 50),
    _limit("hardness_gap", "Hardness: watch above a difference of", measures.DIFFERENCE, 150, unit="mg/L as CaCO3",
           shown="0"),
    _limit("conductivity_gap", "Conductivity: watch above a difference of", quantity(Conductivity), 500),
    _limit("hard_water", "Alkalinity: pH bounces back after acid above", quantity(Alkalinity), 100),
    Heading("Acclimating at the destination"),
    _limit("exchange_half", "Share of the water in one exchange", quantity(Fraction), 0.5, unit="0 to 1"),
    _limit("exchange_small", "Share where temperatures differ more", quantity(Fraction), 0.25, unit="0 to 1"),
    _limit("exchange_wait", "Wait after an exchange at least", quantity(Minutes), 10),
    Heading("Room at the destination"),
    _limit("density_watch", "Stocking density: watch above", quantity(FishDensity), 20,
           FAO_589.at("chapter 8, small units")),
    _limit("density_act", "Stocking density: act above", quantity(FishDensity), 40),
    _limit("small_system", "Small systems hold less: up to a volume of", measures.WATER_TO_ADD, 500,
           note="feed ratios do not scale down to a small tank"),
    _limit("density_small", "Stocking density of a small system: watch above", quantity(FishDensity), 10),
    _limit("nitrite_zero", "Nitrite today: at most", measures.NITRITE, 0.25, note="zero, as kits show it"),
    _limit("tan_zero", "Total ammonia (TAN-N) today: at most", measures.DIFFERENCE, 0.25,
           note="zero, as kits show it", unit="mg/L"),
    _limit("tan_per_feed", "Ammonia from feed", measures.TAN_PER_FEED, 25, note="extension rule at 35 % protein"),
    _limit("filter_rate", "What the filter takes up", measures.FILTER_RATE, 0.3, note="0.2 to 0.6 at 25 °C (77 °F)"),
    _limit("feed_rise", "Feed: raise by at most, a day", measures.PER_CENT, 20),
    Heading("After the move"),
    _limit("watch_days", "Days of watching", measures.DAYS, 21),
    _limit("deaths_arrival", "Dead on arrival: the trade's limit", measures.PER_CENT, 5),
    _limit("deaths_day", "Call at deaths in a day above", measures.PER_CENT, 2),
    _limit("deaths_week", "Call at deaths in 7 days above", measures.PER_CENT, 5),
    _limit("deaths_vet", "Vet at deaths on two days running above", measures.PER_CENT, 1),
    _limit("alike", "Isolate at so many fish with like signs", measures.VESSELS, 3),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET,
                            "Where the plan says watch or act, with the source of each. Common practice has no "
                                   "source: it is yours to change.", landscape=False)
    write_form(plan, sheet, FORM)
    sheet.freeze_panes = "A5"
