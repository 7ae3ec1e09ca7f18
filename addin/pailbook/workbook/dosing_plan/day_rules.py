"""The rules of a row: a reading, a day of the calendar, a phosphate product."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops, terms
from pailbook.quantities import PH, Density, HardnessValue, Strength
from pailbook.rules import (
    Rule,
    Rungs,
    act,
    fine,
    is_blank,
    needs,
    not_asked,
    not_asked_if_blank,
    rule,
    say,
    shown,
    skips,
    watch,
)
from pailbook.workbook.dosing_plan import questions
from pailbook.workbook.dosing_plan.nutrients import ACID, BLEND, NUTRIENTS, PHOSPHATE, PHOSPHATES
from pailbook.workbook.dosing_plan.questions import AMOUNT, COUNT, DATE, MOVED, NUMBER
from pailbook.workbook.measures import CHANGE_SHARE, DOSE_AMOUNT, NUTRIENT_READING

AT_LIMIT = "pH or alkalinity is at its limit; see Start"
_SHEET = "Nutrients"


def of_box(nutrient: str, key: str) -> str:
    """The name of the question to a nutrient's box, where a rule asks all nutrients."""
    return f"{key}_of_{nutrient}"


BOXES = ("kit_low", "kit_high", "known_factor", "known_per")
_READING: dict[str, Any] = {
    "filled": Annotated[float, COUNT, "Cells filled in"],
    "date": Annotated[float, DATE, "Date"],
    **{key: hint for n in NUTRIENTS for key, hint in (
        (n.key, Annotated[float, NUTRIENT_READING, n.label, skips]),
        (f"{n.key}_dose", Annotated[float, DOSE_AMOUNT, f"{n.label} product given", skips]),
        *((of_box(n.key, box), questions.of_nutrient(n)[box]) for box in BOXES))},
    "changed": Annotated[float, CHANGE_SHARE, "Water changed", skips],
    "ph": Annotated[PH, "pH", skips],
    "alkalinity": Annotated[HardnessValue, terms.ALKALINITY, skips],
}


def _reading() -> Rule:
    def reading(**q: Any) -> Rungs:
        rungs = [not_asked(q["filled"] == 0), needs(q["date"], q["changed"], q["ph"], q["alkalinity"])]
        for n in NUTRIENTS:
            value, dose, name = q[n.key], q[f"{n.key}_dose"], n.label.lower()
            low, high, factor, per = (q[of_box(n.key, box)] for box in BOXES)
            rungs += [
                act(~is_blank(value) & is_blank(factor), f"choose the basis of the {name} kit on {_SHEET}",
                    "Choose it"),
                act(value >= high, f"{name} at the upper end of its kit; dilute the water and test again", "Dilute"),
                watch(value <= low, f"{name} at the lower end of its kit; the true value may be lower"),
                act(~is_blank(dose) & is_blank(per),
                    f"the {name} product or its strength is missing, so this dose is not counted", "Enter the product"),
            ]
        return *rungs, fine()

    return rule("Reading", asks=_READING)(reading)


READING = _reading()


@rule("Day of the calendar")
def calendar_day(
    date: Annotated[float, DATE, "Date of the day", not_asked_if_blank],
    given: Annotated[float, AMOUNT, "Phosphate given already"],
    once: Annotated[float, NUMBER, "pH after, at once", skips],
    settled: Annotated[float, NUMBER, "pH after, settled", skips],
    ph_before: Annotated[float, NUMBER, "pH before", skips],
    planned: Annotated[float, AMOUNT, "Phosphate planned"],
    pure_base: Annotated[float, AMOUNT, "Base planned"],
    refill: Annotated[float, COUNT, "Whether a refill is due"],
    tests: questions.Tests,
    ph: questions.PHNow,
    alkalinity: questions.AlkalinityNow,
    temperature: questions.Temperature,
    ph_rule: questions.PHRule,
) -> Rungs:
    """Whether a dose that is due can be given, and one that was given moved pH too far."""
    moved = ops.maximum(ops.absolute(once - ph_before), ops.absolute(settled - ph_before))
    return (
        needs(date, given, planned, pure_base, refill),
        watch((given > 0) & (moved > ph_rule + MOVED), "given, but pH moved more than Setup allows"),
        fine((given > 0) | (planned > 0) | (pure_base > 0)),
        not_asked(refill == 0),
        needs(tests, ph, alkalinity, temperature),
        act(refill > 0, AT_LIMIT, "See Start"),
        not_asked(True),
    )


def _product(name: str) -> Rule:
    hints = questions.of_nutrient(PHOSPHATE)
    strength: Any = Annotated[Strength, f"Strength of {name}", skips]
    if name == ACID:
        strength = Annotated[Strength, f"Strength on the label of {name}"]
    asks = {
        "used": questions.Used,
        "strength": strength,
        "density": Annotated[Density, f"Density of {name}", skips],
        "volume": questions.WaterVolume,
        "low": hints["low"], "high": hints["high"],
        "tests": questions.Tests, "ph": questions.PHNow, "alkalinity": questions.AlkalinityNow,
        "temperature": questions.Temperature,
        "conductivity": questions.Salts, "calcium": questions.CalciumNow, "magnesium": questions.MagnesiumNow,
        "ph_rule": questions.PHRule, "ph_lowest": questions.PHLowest, "ph_highest": questions.PHHighest,
        "alkalinity_lowest": questions.AlkalinityLowest,
        "per": Annotated[float, AMOUNT, f"Amount of {name} for 1 mg/L of PO4"],
        "allowed": Annotated[float, AMOUNT, f"Most of {name} allowed in one day"],
        "once": Annotated[float, NUMBER, "pH if given in one go, at once", skips],
        "settled": Annotated[float, NUMBER, "pH if given in one go, settled", skips],
    }

    def product(**q: Any) -> Rungs:
        ph, once, settled = q["ph"], q["once"], q["settled"]
        moved = ops.maximum(ops.absolute(once - ph), ops.absolute(settled - ph))
        not_counted = "not counted; enter the strength of the two salts above"
        of_blend = () if name != BLEND else (
            watch(~is_blank(q["strength"]), not_counted), watch(~is_blank(q["density"]), not_counted))
        setup = ("tests", "ph", "alkalinity", "temperature", "conductivity", "calcium", "magnesium", "ph_rule",
                 "ph_lowest", "ph_highest", "alkalinity_lowest")
        return (
            not_asked(q["used"] == 0),
            *of_blend,
            needs(q["volume"], q["strength"], q["density"], q["low"], q["high"]),
            needs(*(q[key] for key in setup)),
            needs(q["per"]),
            act(q["allowed"] <= 0, "not possible now: pH or alkalinity is at its limit on Setup", "See Setup"),
            *(act(is_blank(one), "cannot be calculated; check pH, alkalinity and phosphate", "Check them")
              for one in (once, settled)),
            watch(moved > q["ph_rule"], say("it would move pH by ", shown(moved, 2), "; split the dose")),
            fine(),
        )

    product.__name__ = name.replace(" ", "_")
    return rule(name[0].upper() + name[1:], asks=asks)(product)


PRODUCTS: dict[str, Rule] = {name: _product(name) for name in (*(p.name for p in PHOSPHATES), BLEND)}
