"""Sheet "pH dose": the base or acid that moves pH to a target, at once and settled, and how sure that is."""

from __future__ import annotations

from pailbook import terms
from pailbook.functions.dosing import PH_CHEMICALS
from pailbook.quantities import PH, Alkalinity, Days, Density, PHTolerance, Strength
from pailbook.workbook.dosing_plan import facts
from pailbook.workbook.dosing_plan.nutrients import PHOSPHATE
from pailbook.workbook.dosing_plan.places import SHEETS, cell
from pailbook.workbook.dosing_plan.plan_rules import ph_dose
from pailbook.workbook.form import Field, Form, Formula, Heading, Note, Plan, write_form
from pailbook.workbook.measures import quantity

SHEET = SHEETS["ph"]
CHEMICALS = tuple(chemical.name for chemical in PH_CHEMICALS)
_NEEDS = "volume temperature ph alkalinity ph_target"
_DOSE = "g or mL"  # which of them is known once a chemical is chosen


def _tried(plan: Plan, text: str) -> str:
    ready = plan.blank_unless(_NEEDS, f'IFERROR({text},"")')
    return f'IF({plan["ph_chemical"]}="","",{ready})'


def _dose(target: str, timing: str, alkalinity: str = "{alkalinity}") -> Formula:
    def text(plan: Plan) -> str:
        water = alkalinity.format(alkalinity=plan["alkalinity"], half=_half_resolution(plan))
        return _tried(plan, plan.book.call(
            "PH_DOSE", plan["ph_chemical"], plan["volume"], plan["ph"], plan[target], water, plan["temperature"],
            cell(PHOSPHATE, "latest"), plan["ph_strength"], f'"{timing}"', plan["conductivity"], plan["ph_density"],
            plan["calcium"], plan["magnesium"]))
    return text


def _half_resolution(plan: Plan) -> str:
    """Formula text for half of what the alkalinity kit can show, mg/L as CaCO3."""
    return f"SUM({plan['alkalinity_resolution']})*{plan['alkalinity_factor']}/2"


def _after(amount: str, timing: str) -> Formula:
    def text(plan: Plan) -> str:
        call = plan.book.call(
            "PH_AFTER_DOSE", plan["ph_chemical"], plan[amount], plan["volume"], plan["ph"], plan["alkalinity"],
            plan["temperature"], cell(PHOSPHATE, "latest"), plan["ph_strength"], f'"{timing}"', plan["conductivity"],
            plan["ph_density"], plan["calcium"], plan["magnesium"])
        return f'IF(ISNUMBER({plan[amount]}),IFERROR({call},""),"")'
    return text


def _steps(function: str, *arguments: str) -> Formula:
    def text(plan: Plan) -> str:
        return plan.blank_unless("ph ph_target", plan.book.call(
            function, plan["ph"], plan["ph_target"], *arguments, plan["ph_rule"], plan["ph_tolerance"]))
    return text


def _unit(plan: Plan) -> str:
    acid = ",".join(f'{plan["ph_chemical"]}="{c.name}"' for c in PH_CHEMICALS if c.density)
    liquid = f"OR(ISNUMBER({plan['ph_density']}),AND(OR({acid}),{plan['ph_strength']}<>100))"
    return f'IF({plan["ph_chemical"]}="","",IF({liquid},"mL","g"))'


def _brings(nutrient: str) -> Formula:
    def text(plan: Plan) -> str:
        call = plan.book.call("NUTRIENT_ADDED", plan["ph_chemical"], f'"{nutrient}"', plan["ph_dose_today"],
                              plan["volume"], plan["ph_strength"])
        return f'IF(ISNUMBER({plan["ph_dose_today"]}),IFERROR({call},""),"")'
    return text


def _alkalinity_after(plan: Plan) -> str:
    call = plan.book.call("ALKALINITY_ADDED", plan["ph_chemical"], plan["ph_dose_today"], plan["volume"],
                          plan["ph_strength"])
    return f'IF(ISNUMBER({plan["ph_dose_today"]}),IFERROR({plan["alkalinity"]}+{call},""),"")'


def _verdict(plan: Plan) -> str:
    return facts.asking(plan, ph_dose).text(ph_dose, unasked="")


ITEMS = (
    Heading("What you want"),
    Field("ph_target", "pH to reach", quantity(PH)),
    Field("ph_chemical", "Base or acid", kind="choice", choices=CHEMICALS,
          why="Carbonates and bicarbonates are gentle; hydroxides and acids are for experienced hands"),
    Field("ph_strength", "Strength on its label", quantity(Strength), why="An acid needs it; a base counts as pure"),
    Field("ph_density", "Density, of a solution", quantity(Density), why="For an acid it is taken from a table"),
    Field("ph_tolerance", "Close enough to that pH", quantity(PHTolerance), assumed=lambda _: "0.05",
          why="a difference this small counts as reached", unit="pH", format="0.00"),
    Heading("How to get there"),
    Field("ph_verdict", "Verdict", kind="result", result=_verdict, verdict=True, wide=True),
    Field("ph_days", "Days of dosing", quantity(Days), "result", result=_steps("PH_STEP_DAYS"), unit="days",
          why="So that no day moves pH by more than Setup allows"),
    Field("ph_step_target", "pH to reach today", quantity(PH), "result", result=_steps("PH_STEP_TARGET", "1")),
    Field("ph_unit", "Doses are in", kind="result", result=_unit),
    Heading("Today's dose: the smaller of two answers is the safe one"),
    Field("ph_dose_today", "Safe dose today", kind="result", format="0.0", unit=_DOSE,
          result=_dose("ph_step_target", "safe"), why="The smaller of the two below. Give this one"),
    Field("ph_dose_at_once", "Dose for that pH at once", kind="result", format="0.0", unit=_DOSE,
          result=_dose("ph_step_target", "at once"), why="What a meter shows after mixing"),
    Field("ph_dose_settled", "Dose for that pH settled, hours later", kind="result", format="0.0", unit=_DOSE,
          result=_dose("ph_step_target", "settled"),
          why="When free CO2 is back to where it was. If it is the larger one, never give it in one go"),
    Field("ph_move_once", "pH after today's dose, at once", quantity(PH), "result",
          result=_after("ph_dose_today", "at once")),
    Field("ph_move_settled", "pH after today's dose, settled", quantity(PH), "result",
          result=_after("ph_dose_today", "settled")),
    Field("ph_move_overshoot", "pH at once if the settled dose were given", quantity(PH), "result",
          result=_after("ph_dose_settled", "at once"), why="Too far off? Then it must not be given in one go"),
    Field("ph_dose_low_alkalinity", "Safe dose at the lowest likely alkalinity", kind="result", format="0.0",
          unit=_DOSE, result=_dose("ph_step_target", "safe", "MAX({alkalinity}-{half},0.1)"),
          why="Half the kit's resolution lower, which the kit cannot show"),
    Field("ph_dose_high_alkalinity", "Safe dose at the highest likely alkalinity", kind="result", format="0.0",
          unit=_DOSE, result=_dose("ph_step_target", "safe", "{alkalinity}+{half}"),
          why="If these two differ much, give the smaller one"),
    Field("ph_alkalinity_after", f"{terms.ALKALINITY_ONCE} after today's dose", quantity(Alkalinity), "result",
          result=_alkalinity_after),
    Field("ph_potassium", "Potassium that it brings", kind="result", format="0.0", unit="mg/L as K",
          result=_brings("K")),
    Field("ph_sodium", "Sodium that it brings", kind="result", format="0.0", unit="mg/L as Na", result=_brings("Na"),
          why="Plants take up little of it: prefer potassium"),
    Heading("The whole way, for your shopping list"),
    Field("ph_dose_all_once", "Whole dose, at once", kind="result", format="0.0", unit=_DOSE,
          result=_dose("ph_target", "at once")),
    Field("ph_dose_all_settled", "Whole dose, settled", kind="result", format="0.0", unit=_DOSE,
          result=_dose("ph_target", "settled"),
          why="In the end you will need about this much; each day's dose is calculated from that day's pH"),
    Heading("Safety notes"),
    Note("Bases and acids burn skin and eyes: wear gloves and goggles, and keep a bucket of clean water at hand. Add "
         "acid to water and hydroxide to cold water, slowly, never the other way round. Spread the dose where the "
         "water moves most.",
         warning=True),
    Note("Never store or dose an acid beside a base, and neither beside chlorine. Never dose lime or hydroxide on a "
         "day with phosphate. Keep both away from children; follow the label and your local rules."),
    Note("In hard water acid is used up and pH bounces back: lower the alkalinity with softer water first. If the "
         "volume is a guess, give half of the dose, test, then give the rest."),
    Note("As pH rises, ammonia becomes more toxic: test total ammonia before you raise pH."),
)


def form() -> Form:
    """Where the sheet's cells are."""
    return Form(SHEET, ITEMS, rules=(ph_dose,))


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "Moves pH to a target by small daily doses. pH, alkalinity and temperature come "
                                   "from Setup and Readings.", landscape=False)
    write_form(plan, sheet, form())
    for row, item in form().fields():
        if item.unit == _DOSE:
            sheet[f"D{row}"].value = f'=IF({plan["ph_unit"]}="","{_DOSE}",{plan["ph_unit"]})'
