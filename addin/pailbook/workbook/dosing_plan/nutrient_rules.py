"""The rule of a nutrient, from what is missing to its level and its uptake, and what to do first about phosphate."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.rules import (
    Rule,
    Rungs,
    act,
    fine,
    is_blank,
    needs,
    not_asked,
    rule,
    say,
    shown,
    skips,
    watch,
)
from pailbook.workbook.dosing_plan import questions
from pailbook.workbook.dosing_plan.nutrients import BLEND, NUTRIENTS, PHOSPHATE, Nutrient
from pailbook.workbook.dosing_plan.questions import AMOUNT, COUNT, UNITS

AS_BELOW = "next dose as shown below"
OVERDUE = "a dose was due "
_ASKED = ("used", "basis", "resolution", "kit_low", "kit_high", "incoming", "low", "high", "product", "dose_per",
          "topped", "readings", "latest", "count", "uptake", "next_date")  # by each of the rules below
_OF_SETUP = {
    "volume": questions.WaterVolume, "alkalinity": questions.AlkalinityNow, "ph": questions.PHNow,
    "temperature": questions.Temperature, "free_co2": questions.FreeCarbonDioxide, "conductivity": questions.Salts,
    "calcium": questions.CalciumNow, "magnesium": questions.MagnesiumNow, "ph_rule": questions.PHRule,
    "ph_lowest": questions.PHLowest, "ph_highest": questions.PHHighest,
    "alkalinity_lowest": questions.AlkalinityLowest, "days_between": questions.DaysBetween,
    "refill": Annotated[float, COUNT, "Days of refilling in the calendar"],
}


def _sentence(words: str) -> str:
    """With a capital, unless it is pH that begins it, and a full stop."""
    return (words if words.startswith("pH") else words[0].upper() + words[1:]) + "."


def _to_do(condition: Any, words: str) -> Any:
    """Something to act on: the words, and as a sentence what to do first."""
    return act(condition, words, _sentence(words))


def _missing(q: dict[str, Any], n: Nutrient) -> Rungs:
    """What must be known, and be possible, before a nutrient can be judged."""
    before = (
        not_asked(q["used"] == 0),
        needs(*(q[key] for key in ("basis", "resolution", "kit_low", "kit_high", "incoming", "low", "high"))),
        _to_do(q["low"] >= q["high"], "the lower end of the target must be below its upper end"),
        needs(q["volume"], q["days_between"], q["product"], q["dose_per"]),
        _to_do(q["topped"] == 1, "the reading is at the upper end of the kit; dilute the water and test again"),
        needs(q["readings"], q["latest"]),
    )
    if n is not PHOSPHATE:
        return before
    return (
        *before,
        needs(*(q[key] for key in ("alkalinity", "ph", "temperature", "conductivity", "calcium", "magnesium",
                                   "ph_rule", "ph_lowest", "ph_highest", "alkalinity_lowest"))),
        _to_do(is_blank(q["free_co2"]),
               "pH, alkalinity and phosphate contradict each other; check the basis of each kit"),
    )


def _of_nutrient(n: Nutrient) -> Rule:
    of_setup = _OF_SETUP if n is PHOSPHATE else {key: _OF_SETUP[key] for key in ("volume", "days_between")}
    boxes = {key: questions.of_nutrient(n)[key] for key in (*_ASKED, "uptake_error", "action")}

    def body(**q: Any) -> Rungs:
        late = ops.floor(q["today"]) - q["next_date"]
        at_limit = () if n is not PHOSPHATE else (
            act(is_blank(q["next_date"]) & (q["refill"] > 0),
                "pH or alkalinity is at its limit on Setup; no dose is possible", "See Start"),)
        return (
            *_missing(q, n),
            *at_limit,
            watch(q["latest"] > q["high"], "above your target range; do not dose"),
            act(q["latest"] < q["low"], "below your target range; dose as the calendar says", "Dose"),
            watch(q["count"] < 2, "one reading is not enough for the uptake; test again in a few days"),
            watch(is_blank(q["uptake"]), "the uptake needs readings from two different days"),
            watch(q["uptake"] <= 0, "it does not fall, so no dose is due. Does feed or new water bring it?"),
            watch(q["uptake_error"] >= q["uptake"],
                  "the uptake may still be zero, which lies within its 95 % interval; keep testing"),
            watch(q["action"] >= q["high"],
                  "the target range is too narrow for this kit; widen it, test more often or use a finer kit"),
            fine(is_blank(q["next_date"]), "no dose is due within the calendar"),
            watch(late > 0, say(OVERDUE, shown(late, 0), ops.where(late == 1, " day", " days"), " ago; test first")),
            fine(True, AS_BELOW),
        )

    body.__name__ = n.key
    return rule(n.label, asks=of_setup | boxes | {"today": questions.Today})(body)


def _next_step() -> Rule:
    boxes = {key: questions.of_nutrient(PHOSPHATE)[key] for key in (*_ASKED, "next_dose")}
    more = {
        "today": questions.Today,
        "next_second": Annotated[float, AMOUNT, "Dipotassium phosphate with it", skips],
        "dose_unit": Annotated[str, UNITS, "Unit of the doses of phosphate"],
    }

    def next_step(**q: Any) -> Rungs:
        none, date, unit = is_blank(q["next_date"]), q["next_date"], q["dose_unit"]
        again = say(" Test again in ", shown(q["days_between"], 0),
                    ops.where(q["days_between"] == 1, " day.", " days."))
        dose = say(shown(q["next_dose"], 1), " ", unit)
        what = say(
            dose, ops.where(
                q["product"] == BLEND,
                say(" of monopotassium and ", shown(q["next_second"], 1), " of dipotassium phosphate. "),
                say(" of ", q["product"], ". ")),
            "Test before you dose; if the reading is not the one expected, enter it first.")
        day = ops.floor(q["today"])
        late = day - date
        ahead = ops.where(late == 0, "Today: ",
                          ops.where(late == -1, "Tomorrow: ", say("In ", shown(-late, 0), " days: ")))
        when = ops.where(is_blank(q["today"]), "On the day below: ", ahead)
        return (
            *_missing(q, PHOSPHATE),
            act(none & (q["refill"] > 0), "no dose is possible",
                "No dose is possible: pH or alkalinity is at its limit on Setup. Raise the alkalinity in small doses, "
                "or use the blend."),
            watch(none & (q["latest"] > q["high"]), "above the target range",
                  say("Phosphate is above your target range: do not dose.", again)),
            watch(none & (q["count"] < 2), "one reading",
                  say("One reading is not enough: the uptake needs two.", again)),
            watch(none & is_blank(q["uptake"]), "readings from one day",
                  say("The uptake needs readings from two different days.", again)),
            watch(none & (q["uptake"] <= 0), "phosphate does not fall",
                  "Phosphate does not fall: do not dose. Find out what brings it (feed, new water), or test the kit."),
            fine(none, "no dose is due", say("No dose is due within the calendar.", again)),
            needs(unit),
            watch(late > 0, "a dose was due",
                  say("A dose was due ", shown(late, 0), ops.where(late == 1, " day", " days"),
                      " ago. Test today and enter the reading; the plan then starts from it.")),
            fine(True, "a dose is due", say(when, what)),
        )

    return rule("Next step", asks=_OF_SETUP | boxes | more)(next_step)


OF_NUTRIENT: dict[str, Rule] = {n.key: _of_nutrient(n) for n in NUTRIENTS}
NEXT_STEP = _next_step()
