"""Sheet "Setup": the water, the rules that a dose must keep, and what holds the alkalinity."""

from __future__ import annotations

from pailbook.functions.chemicals import PRODUCTS
from pailbook.functions.convert import MG_CACO3
from pailbook.quantities import (
    PH,
    Alkalinity,
    CarbonDioxide,
    Conductivity,
    HardnessValue,
    PHStep,
    Strength,
    Volume,
    WaterTemperature,
)
from pailbook.workbook.dosing_plan import products, readings
from pailbook.workbook.dosing_plan.nutrients import ACID, CALCIUM, MAGNESIUM, PHOSPHATE, Nutrient
from pailbook.workbook.dosing_plan.places import cell
from pailbook.workbook.form import Field, Form, Formula, Heading, Note, Plan, write_form
from pailbook.workbook.measures import DAYS_BETWEEN, NUTRIENT_LEVEL, quantity

SHEET = "Setup"
# Bases that hold alkalinity beside phosphate doses; hydroxides and lime are too harsh, and lime brings scale.
BASES = tuple(c.name for c in PRODUCTS if c.carbonate and c.name != "calcium carbonate")
_AS_KIT = "as the kit counts"
_HYDROXIDE = "never lime or hydroxide near phosphate"


def _latest(plan: Plan, key: str, otherwise: str) -> str:
    """Formula text for the latest value of a column of Readings, else what Setup says."""
    table = plan.tables[readings.SHEET]
    at = table.range(f"{key}_at")
    return f"IF(MAX({at})>0,INDEX({table.range(key)},MATCH(MAX({at}),{at},0)),{otherwise})"


def _alkalinity_factor(plan: Plan) -> str:
    return plan.book.call("HARDNESS_CONVERT", "1", plan["alkalinity_unit"], '"CaCO3"')


def _ph(plan: Plan) -> str:
    return _latest(plan, "ph", f'IF({plan["ph_start"]}="","",{plan["ph_start"]})')


def _alkalinity(plan: Plan) -> str:
    start = plan["alkalinity_start"]
    text = _latest(plan, "alkalinity", start)
    factor = plan["alkalinity_factor"]
    return f'IF(AND({start}="",MAX({plan.tables[readings.SHEET].range("alkalinity_at")})=0),"",{text}*{factor})'


def _hardness(nutrient: Nutrient) -> Formula:
    """Its latest reading, else what Setup says; blank without either."""
    def text(plan: Plan) -> str:
        latest, start = cell(nutrient, "latest"), plan[f"{nutrient.key}_start"]
        return f'IF(ISNUMBER({latest}),{latest},IF({start}="","",{start}))'
    return text


def _of_base(nutrient: str) -> Formula:
    def text(plan: Plan) -> str:
        call = plan.book.call("NUTRIENT_ADDED", plan["base"], f'"{nutrient}"', "1", plan["volume"], "100")
        return plan.blank_unless("volume", call)
    return text


def _base_alkalinity(plan: Plan) -> str:
    return plan.blank_unless("volume", plan.book.call("ALKALINITY_ADDED", plan["base"], "1", plan["volume"], "100"))


ITEMS = (
    Heading("The water"),
    Field("system", "System", kind="text", why="Its name, for print-outs"),
    Field("volume", "Water volume, measured", quantity(Volume),
          help="All the water: tanks, sumps, beds and pipes. Every dose rests on it",
          why="Measured, not guessed: every dose rests on it"),
    Field("temperature", "Water temperature", quantity(WaterTemperature)),
    Field("conductivity", "Conductivity (EC)", quantity(Conductivity),
          why="May stay blank; with it the effect of dissolved salts is counted"),
    Field("ph_start", "pH at the start", quantity(PH), why="A pH on the sheet Readings wins over this one"),
    Field("alkalinity_unit", "Alkalinity kit counts in", kind="choice", choices=tuple(MG_CACO3),
          help="CaCO3: mg/L as CaCO3; dH, fH: German, French degrees; gpg: grains per US gal; meq: meq/L",
          assumed=lambda _: '"CaCO3"', why="mg/L as CaCO3"),
    Field("alkalinity_start", "Alkalinity at the start", quantity(HardnessValue), unit=_AS_KIT,
          why="An alkalinity on the sheet Readings wins. Without one no dose that moves pH is worked out"),
    Field("alkalinity_resolution", "Step of the alkalinity kit", quantity(HardnessValue), unit=_AS_KIT,
          why="What one drop more means; often 1 dH or 17.8 mg/L"),
    Field("calcium_start", "Calcium in the water", NUTRIENT_LEVEL, unit="mg/L as Ca",
          why="For pH and the scale index: it holds on to phosphate. A reading of calcium wins"),
    Field("magnesium_start", "Magnesium in the water", NUTRIENT_LEVEL, unit="mg/L as Mg",
          why="For pH, as calcium; may stay blank. A reading of magnesium wins"),
    Field("sodium_start", "Sodium in the water", NUTRIENT_LEVEL, unit="mg/L as Na",
          why="May stay blank; then only what doses bring is counted"),
    Heading("In use, with the latest readings"),
    Field("ph", "pH", quantity(PH), "result", result=_ph),
    Field("alkalinity", "Alkalinity", quantity(Alkalinity), "result", result=_alkalinity),
    Field("calcium", "Calcium", kind="result", unit="mg/L as Ca", format="0", result=_hardness(CALCIUM)),
    Field("magnesium", "Magnesium", kind="result", unit="mg/L as Mg", format="0", result=_hardness(MAGNESIUM)),
    Field("free_co2", "Free CO2", quantity(CarbonDioxide), "result", result=lambda plan: plan.blank_unless(
        "ph alkalinity temperature", "IFERROR(" + plan.book.call(
            "CARBON_DIOXIDE", plan["ph"], plan["alkalinity"], plan["temperature"], cell(PHOSPHATE, "latest"),
            plan["conductivity"], plan["calcium"], plan["magnesium"]) + ',"")'),
        why="After a dose it comes back to this within hours; phosphate's own share of the alkalinity is taken off"),
    Heading("Rules that every day's dose keeps"),
    Field("ph_rule", "Largest change of pH in a day", quantity(PHStep), assumed=lambda _: "0.2",
          why="common practice, no source"),
    Field("ph_lowest", "Lowest pH that doses may bring", quantity(PH), assumed=lambda _: "6.2",
          why="common practice, no source; below it the filter slows, and many kits are at their lowest"),
    Field("ph_highest", "Highest pH that doses may bring", quantity(PH), assumed=lambda _: "7.4",
          why="common practice, no source; above it ammonia turns more toxic and iron falls out"),
    Field("alkalinity_lowest", "Lowest alkalinity for acid", quantity(Alkalinity), assumed=lambda _: "20",
          why="common practice, no source: below it pH can crash overnight"),
    Field("days_between", "Days from one test to the next", DAYS_BETWEEN, assumed=lambda _: "3",
          why="as often as you can keep up"),
    Heading("Holding the alkalinity beside the doses (if you want to)"),
    Field("alkalinity_hold", "Keep alkalinity at", quantity(Alkalinity),
          why="Blank: no base in the calendar. Else a base on days without phosphate, never both on one day"),
    Field("base", "Base for that", kind="choice", choices=BASES, assumed=lambda _: f'"{BASES[-2]}"',
          why=f"gentle, does not overshoot at usual pH; {_HYDROXIDE}"),
    Field("base_strength", "Its strength", quantity(Strength), assumed=lambda _: "100", why="pure"),
    Field("base_alkalinity", "1 g of it, pure, raises alkalinity by", kind="result", format="0.000",
          unit="mg/L as CaCO3", result=_base_alkalinity),
    Field("base_potassium", "1 g of it, pure, raises potassium by", kind="result", format="0.000", unit="mg/L as K",
          result=_of_base("K")),
    Field("base_sodium", "1 g of it, pure, raises sodium by", kind="result", format="0.000", unit="mg/L as Na",
          result=_of_base("Na")),
    Note("What the calendar cannot know: nitrification takes alkalinity and lowers pH, plants and denitrification give "
         "some back. Test pH and alkalinity at least weekly; each new reading plans the rest anew."),
    Heading("For the other sheets"),
    Field("alkalinity_factor", "1 of the alkalinity kit is", kind="result", format="0.00", unit="mg/L as CaCO3",
          result=_alkalinity_factor),
    Field("acid_per", "1 mg/L of PO4 is, as pure phosphoric acid", kind="result", format="0.000", unit="g",
          result=lambda plan: plan.blank_unless("volume", plan.book.call(
              "PHOSPHATE_DOSE", f'"{ACID}"', plan["volume"], "0", "1", "100", "0"))),
    Field("product_charge", "Alkalinity that the phosphate product brings", kind="result", format="0.00",
          unit="eq per mol of PO4", result=lambda plan: products.in_use(plan, "charge"),
          why="-1 of phosphoric acid, 0 and 1 of the potassium phosphates, between them of their blend"),
)


def form() -> Form:
    """Where the sheet's cells are."""
    return Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "Fill in the boxes once; what has an assumption in sight may stay blank.",
                            landscape=False)
    write_form(plan, sheet, form())
    for row, item in form().fields():
        if item.unit == _AS_KIT:
            sheet[f"D{row}"].value = f"={readings.alkalinity_unit(plan)}"
