"""Sheet "Setup": the water, the rules that a dose must keep, and the base that keeps the alkalinity up."""

from __future__ import annotations

from pailbook import terms
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
from pailbook.workbook.dosing_plan.all_rules import OF_SETUP
from pailbook.workbook.dosing_plan.nutrients import ACID, CALCIUM, MAGNESIUM, PHOSPHATE, Nutrient
from pailbook.workbook.dosing_plan.places import cell
from pailbook.workbook.form import Field, Form, Formula, Heading, Note, Plan, write_form
from pailbook.workbook.measures import DAYS_BETWEEN, NUTRIENT_LEVEL, quantity

SHEET = "Setup"
# Bases that keep the alkalinity up beside phosphate doses; hydroxides and lime are too harsh, and lime brings scale.
BASES = tuple(c.name for c in PRODUCTS if c.carbonate and c.name != "calcium carbonate")
_AS_KIT = "the unit of the kit"
_HYDROXIDE = "never lime or hydroxide near phosphate"


def _latest(plan: Plan, key: str, otherwise: str) -> str:
    """Formula text for the latest value of a column of Readings, otherwise what Setup says."""
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
    converted = f"IF(ISNUMBER({text}),{text}*{plan['alkalinity_factor']},{text})"  # a text stays one, and is named
    return f'IF(AND({start}="",MAX({plan.tables[readings.SHEET].range("alkalinity_at")})=0),"",{converted})'


def _hardness(nutrient: Nutrient) -> Formula:
    """Its latest reading, otherwise what Setup says; blank without either."""
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
    Field("system", "System", kind="text", why="Its name, for printouts"),
    Field("volume", "Water volume, measured", quantity(Volume),
          help="All the water: tanks, sumps, beds and pipes. Every dose depends on it",
          why="Measured, not guessed: every dose depends on it"),
    Field("temperature", terms.WATER_TEMPERATURE, quantity(WaterTemperature)),
    Field("conductivity", "Conductivity (EC)", quantity(Conductivity),
          why="May stay blank; with it, the effect of dissolved salts is counted"),
    Field("ph_start", "pH at the start", quantity(PH), why="The latest pH on Readings overrides it"),
    Field("alkalinity_unit", "Unit of the alkalinity kit", kind="choice", choices=tuple(MG_CACO3),
          help="CaCO3: mg/L as CaCO3; dH, fH: German, French degrees; gpg: grains per US gal; meq: meq/L",
          assumed=lambda _: '"CaCO3"', why="mg/L as CaCO3"),
    Field("alkalinity_start", f"{terms.ALKALINITY_ONCE} at the start", quantity(HardnessValue), unit=_AS_KIT,
          why="The latest alkalinity on Readings overrides it. Without one, no dose that moves pH is calculated"),
    Field("alkalinity_resolution", f"The alkalinity kit's {terms.RESOLUTION.lower()}", quantity(HardnessValue),
          unit=_AS_KIT, why="What one drop more means; often 1 dH or 17.8 mg/L"),
    Field("calcium_start", "Calcium in the water", NUTRIENT_LEVEL, unit="mg/L as Ca",
          why="For pH and the scale index: calcium binds phosphate. The latest reading of calcium overrides it"),
    Field("magnesium_start", "Magnesium in the water", NUTRIENT_LEVEL, unit="mg/L as Mg",
          why="For pH, like calcium; may stay blank. The latest reading of magnesium overrides it"),
    Field("sodium_start", "Sodium in the water", NUTRIENT_LEVEL, unit="mg/L as Na",
          why="May stay blank; then only what the doses bring is counted"),
    Heading("In use, from the latest readings"),
    Field("ph", "pH", quantity(PH), "result", result=_ph),
    Field("alkalinity", "Alkalinity", quantity(Alkalinity), "result", result=_alkalinity),
    Field("calcium", "Calcium", kind="result", unit="mg/L as Ca", format="0", result=_hardness(CALCIUM)),
    Field("magnesium", "Magnesium", kind="result", unit="mg/L as Mg", format="0", result=_hardness(MAGNESIUM)),
    Field("free_co2", terms.CARBON_DIOXIDE, quantity(CarbonDioxide), "result", result=lambda plan: plan.blank_unless(
        "ph alkalinity temperature", "IFERROR(" + plan.book.call(
            "CARBON_DIOXIDE", plan["ph"], plan["alkalinity"], plan["temperature"], cell(PHOSPHATE, "latest"),
            plan["conductivity"], plan["calcium"], plan["magnesium"]) + ',"")'),
        why="A dose changes it for a few hours only; phosphate's own share of the alkalinity is subtracted"),
    Heading("Rules for every day's dose"),
    Field("ph_rule", "Largest change of pH in a day", quantity(PHStep), assumed=lambda _: "0.2",
          why=terms.COMMON_PRACTICE),
    Field("ph_lowest", "Lowest pH after a dose", quantity(PH), assumed=lambda _: "6.2",
          why=f"{terms.COMMON_PRACTICE}; below it the filter slows, and many kits are at their lower end"),
    Field("ph_highest", "Highest pH after a dose", quantity(PH), assumed=lambda _: "7.4",
          why=f"{terms.COMMON_PRACTICE}; above it ammonia becomes more toxic and iron precipitates"),
    Field("alkalinity_lowest", "Lowest alkalinity for acid", quantity(Alkalinity), assumed=lambda _: "20",
          why=f"{terms.COMMON_PRACTICE}; below it pH can crash overnight"),
    Field("days_between", "Days from one test to the next", DAYS_BETWEEN, assumed=lambda _: "3",
          why="as often as you can keep up"),
    Heading("Keeping the alkalinity up (optional)"),
    Field("alkalinity_hold", "Keep alkalinity at", quantity(Alkalinity),
          why="Blank: no base in the calendar. Otherwise a base on days without phosphate, never both on one day"),
    Field("base", "Base for it", kind="choice", choices=BASES, assumed=lambda _: f'"{BASES[-2]}"',
          why=f"gentle, does not overshoot at usual pH; {_HYDROXIDE}"),
    Field("base_strength", "Its strength", quantity(Strength), assumed=lambda _: "100", why="pure"),
    Field("base_alkalinity", "1 g of it, pure, raises alkalinity by", kind="result", format="0.000",
          unit="mg/L as CaCO3", result=_base_alkalinity),
    Field("base_potassium", "1 g of it, pure, raises potassium by", kind="result", format="0.000", unit="mg/L as K",
          result=_of_base("K")),
    Field("base_sodium", "1 g of it, pure, raises sodium by", kind="result", format="0.000", unit="mg/L as Na",
          result=_of_base("Na")),
    Note("What the calendar cannot know: nitrification uses up alkalinity and lowers pH; plants and denitrification "
         "give some back. Test pH and alkalinity at least weekly; each new reading updates the plan."),
    Heading("For the other sheets"),
    Field("alkalinity_factor", "1 on the alkalinity kit equals", kind="result", format="0.00", unit="mg/L as CaCO3",
          result=_alkalinity_factor),
    Field("acid_per", "Pure phosphoric acid for 1 mg/L as PO4", kind="result", format="0.000", unit="g",
          result=lambda plan: plan.blank_unless("volume", plan.book.call(
              "PHOSPHATE_DOSE", f'"{ACID}"', plan["volume"], "0", "1", "100", "0"))),
    Field("product_charge", "Alkalinity that the phosphate product brings", kind="result", format="0.00",
          unit="eq per mol of PO4", result=lambda plan: products.in_use(plan, "charge"),
          why="phosphoric acid -1, the potassium phosphates 0 and 1, their blend between 0 and 1"),
)


def form() -> Form:
    """Where the sheet's cells are."""
    return Form(SHEET, ITEMS, rules=OF_SETUP)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "Fill in the boxes once. Leave a box blank to use the value assumed beside it.",
                            landscape=False)
    write_form(plan, sheet, form())
    for row, item in form().fields():
        if item.unit == _AS_KIT:
            sheet[f"D{row}"].value = f"={readings.alkalinity_unit(plan)}"
