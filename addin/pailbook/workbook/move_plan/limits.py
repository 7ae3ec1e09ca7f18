"""Sheet "Limits": where the plan says watch or act, each limit with its source; the user may change each."""

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
from pailbook.sources import (
    BARTHEL_2003,
    COMMON_PRACTICE,
    FAO_589,
    JENSEN_1990,
    LSU_MINNOW,
    PIPER_1982,
    UF_IFAS_FA16,
    WARMWATER_HATCHERY,
    WOAH_CODE,
    WYNNE_2007,
    Citation,
)
from pailbook.terms import (
    ALKALINITY_ONCE,
    CARBON_DIOXIDE,
    HARDNESS_ONCE,
    HAULING_DENSITY,
    STOCKING_DENSITY,
    TOTAL_AMMONIA,
    UNIONISED_AMMONIA,
)
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


# What the advice on handling rests on: the checklist, the road card, Arrival and After the move. The words are our own.
HANDLING = (
    PIPER_1982.at("chapter 6, pp. 356-362: temperature, ammonia, fasting, density of fish"),
    JENSEN_1990.at("water, condition of the fish, tempering"),
    WYNNE_2007.at("fasting, loading, CO2, agitation"),
    WARMWATER_HATCHERY.at("chapter 12: arrangements with whoever receives the fish"),
    WOAH_CODE.at("chapters 5.5 and 7.2: duties, contingency plan, cleaning of vehicles and vessels"),
    FAO_589.at("section 7.5: difference in pH, floating of sealed bags"),
    LSU_MINNOW.at("p. 18: nets, disinfection"),
    BARTHEL_2003.at("soft nets without knots, deaths two to four days after netting"),
)

ITEMS: tuple[Item, ...] = (
    Note("Leave a box blank to use the assumed value; your entry overrides it. A trip has its own limits, because "
         "those of a tank would forbid every ordinary trip."),
    Heading("On the road"),
    _limit("limit_oxygen_watch", "Oxygen: watch below", quantity(Oxygen), _of_species("watch low", 5),
           note="species value; otherwise 5"),
    _limit("limit_oxygen_act", "Oxygen: act below", quantity(Oxygen), _of_species("act low", 3),
           note="species value; otherwise 3"),
    _limit("limit_nh3_watch", f"{UNIONISED_AMMONIA}: watch above", quantity(UnionizedAmmonia), 0.05,
           UF_IFAS_FA16.at("harm to gills")),
    _limit("limit_nh3_act", f"{UNIONISED_AMMONIA}: act above", quantity(UnionizedAmmonia), 0.13,
           PIPER_1982.at("p. 357, trout, 6 hours")),
    _limit("limit_co2_watch", f"{CARBON_DIOXIDE}: watch above", quantity(CarbonDioxide), 20,
           WYNNE_2007.at("p. 43, less than 20 if possible")),
    _limit("limit_co2_act", f"{CARBON_DIOXIDE}: act above", quantity(CarbonDioxide), 40,
           note="trucks have run at 36 to 80"),
    _limit("hauling_density_plan", f"{HAULING_DENSITY}: planned", quantity(HaulingDensity), 24,
           note="1 lb in 5 US gal"),
    _limit("hauling_density_most", f"{HAULING_DENSITY}: at most", quantity(HaulingDensity), 36,
           note="1.5 lb in 5 US gal"),
    _limit("activity_first", "Breathing in the first hour", quantity(Activity), 2, unit="times resting"),
    _limit("activity_after", "Breathing after the first hour", quantity(Activity), 1.3, unit="times resting"),
    _limit("limit_without_air", "Minutes left without the pump: watch below", measures.MINUTES_OR_NONE, 30,
           note="where there is no spare; a failed pump kills within half an hour to an hour"),
    Heading("The worst case"),
    _limit("worst_stress", "Stress: breathing", measures.MULTIPLE, 1.5, unit="times the expected"),
    _limit("worst_stone", "Air stone: efficiency", measures.MULTIPLE, 0.5,
           note="the least certain number here", unit="times the expected"),
    Heading("Water match and pH calendar"),
    _limit("ph_within", "pH: matched within", quantity(PHTolerance), 0.2),
    _limit("ph_no_go", "pH: act above a difference of", quantity(PHTolerance), 0.5,
           FAO_589.at("section 7.5, a day or more")),
    _limit("ph_daily", "pH: largest change per day", quantity(PHStep), 0.2, FAO_589.at("section 7.3")),
    _limit("temperature_watch", "Temperature: watch above a difference of", quantity(TemperatureDifference),
           FEW_DEGREES, note="5 °F; speed of tempering by LSU AgCenter"),
    _limit("temperature_no_go", "Temperature: act above a difference of", quantity(TemperatureDifference), 10),
    _limit("alkalinity_gap", f"{ALKALINITY_ONCE}: watch above a difference of", quantity(Alkalinity), 50),
    _limit("hardness_gap", f"{HARDNESS_ONCE}: watch above a difference of", measures.DIFFERENCE, 150,
           unit="mg/L as CaCO3", shown="0"),
    _limit("conductivity_gap", "Conductivity (EC): watch above a difference of", quantity(Conductivity), 500),
    _limit("hard_water", "Alkalinity: pH bounces back after acid above", quantity(Alkalinity), 100),
    Heading("Acclimating at the destination"),
    _limit("exchange_half", "Fraction of the water in one exchange", quantity(Fraction), 0.5, unit="0 to 1"),
    _limit("exchange_small", "Fraction where temperatures differ more", quantity(Fraction), 0.25, unit="0 to 1"),
    _limit("exchange_wait", "Wait after an exchange, at least", quantity(Minutes), 10),
    Heading("Room at the destination"),
    _limit("density_watch", f"{STOCKING_DENSITY}: watch above", quantity(FishDensity), 20,
           FAO_589.at("chapter 8, small units")),
    _limit("density_act", f"{STOCKING_DENSITY}: act above", quantity(FishDensity), 40),
    _limit("small_system", "A system is small up to a volume of", measures.WATER_TO_ADD, 500,
           note="small systems swing quickly"),
    _limit("density_small", f"{STOCKING_DENSITY} of a small system: watch above", quantity(FishDensity), 10),
    _limit("nitrite_zero", "Nitrite today: at most", measures.NITRITE, 0.25, note="what kits show as zero"),
    _limit("tan_zero", f"{TOTAL_AMMONIA} today: at most", measures.DIFFERENCE, 0.25,
           note="what kits show as zero", unit="mg/L as N"),
    _limit("tan_per_feed", "Ammonia from feed", measures.TAN_PER_FEED, 25, note="extension rule at 35 % protein"),
    _limit("filter_rate", "Ammonia that the filter takes up", measures.FILTER_RATE, 0.3,
           note="0.2 to 0.6 at 25 °C (77 °F)"),
    _limit("feed_rise", "Feed: largest rise per day", measures.PER_CENT, 20),
    Heading("After the move"),
    _limit("watch_days", "Days of watching", measures.DAYS, 21),
    _limit("deaths_arrival", "Dead on arrival: at most", measures.PER_CENT, 5),
    _limit("deaths_day", "Call when more than this die in a day", measures.PER_CENT, 2),
    _limit("deaths_week", "Call when more than this die in 7 days", measures.PER_CENT, 5),
    _limit("deaths_vet", "Call a vet when more die on two days running", measures.PER_CENT, 1),
    _limit("alike", "Isolate when this many fish show one sign", measures.FISH_ALIKE, 3, unit="fish"),
    Heading("Where the advice on handling comes from"),
    *(Note(f"{citation}.") for citation in HANDLING),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "The limits behind watch and act, with their sources. Common practice has no "
                                   "published source: change it where you know better.", landscape=False)
    write_form(plan, sheet, plan.forms[SHEET])
    sheet.freeze_panes = "A5"
