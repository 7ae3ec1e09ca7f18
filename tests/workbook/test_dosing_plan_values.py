"""What the dosing plan calculates, by hand: the worked case, salts, splits, other nutrients, a base, scale."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from typing import Any

import numpy
import pytest
from scipy.optimize import brentq

import plans
from balance import BRINGS, State
from pailbook.workbook.dosing_plan.nutrients import BLEND, DI, MONO, OTHERS
from pailbook.workbook.dosing_plan.places import cell

# By hand, from the atomic weights of the IUPAC: g/mol.
PO4, H3PO4, KH2PO4, K2HPO4, K = 94.970, 97.994, 136.084, 174.174, 39.098
DENSITY_75 = 1.579  # kg/L of phosphoric acid of 75 %, handbook
RESOLUTION, LOW, HIGH, DAYS_BETWEEN, VOLUME = 0.5, 8.0, 14.0, 3, 3100.0
PH, ALKALINITY, TEMPERATURE, CALCIUM = (
    plans.SETUP[key] for key in ("ph_start", "alkalinity_start", "temperature", "calcium_start"))
# Normal, and Student's t with three and with one degree of freedom, two-sided, as printed in any table.
Z_95, T_95_OF_3, T_95_OF_1 = 1.959964, 3.182446, 12.706205


def test_the_worked_case_by_hand() -> None:
    values = plans.computed("metric", plans.typed("metric"))
    days = numpy.array([0.0, 3.0, 6.0, 9.0, 12.0])
    slope, offset = numpy.polyfit(days, plans.READ, 1)
    rate = -slope
    spread = math.sqrt(float(numpy.sum((numpy.array(plans.READ) - slope * days - offset) ** 2)) / (len(days) - 2))
    error = max(T_95_OF_3 * spread, Z_95 * RESOLUTION / math.sqrt(12)) / math.sqrt(numpy.sum((days - days.mean()) ** 2))
    assert plans.named(values, "metric", "uptake") == pytest.approx(rate, rel=1e-9)
    assert plans.named(values, "metric", "uptake_error") == pytest.approx(error, rel=1e-6)
    action = min(LOW + RESOLUTION / 2 + (rate + error) * DAYS_BETWEEN, HIGH)
    assert plans.named(values, "metric", "action_level") == pytest.approx(action, rel=1e-6)
    assert plans.named(values, "metric", "days_to_low") == pytest.approx((plans.READ[-1] - LOW) / rate, rel=1e-9)

    # Day by day: what is left, the dose when it is due, its pH by another solution of the balance.
    level, ph, alkalinity = plans.READ[-1], PH, ALKALINITY
    columns = {key: plans.calendar(values, "metric", key) for key in (
        "before", "dose", "once", "settled", "after", "alkalinity", "what")}
    doses = 0
    for day, before in enumerate(columns["before"]):
        assert before == pytest.approx(level, rel=1e-6), day
        water = State(ph, alkalinity, TEMPERATURE, level, calcium=CALCIUM)
        if level <= action:
            rise = HIGH - level  # the acid's rule of 0.2 does not hold it back in this water: see pH below
            mol = rise / PO4 / 1000
            once, ph = (water.after(BRINGS["H3PO4"], mol, timing) for timing in ("at once", "settled"))
            assert abs(once - water.ph) < 0.2
            grams = mol * H3PO4 * VOLUME
            assert columns["dose"][day] == pytest.approx(grams / 0.75 / DENSITY_75, rel=1e-4), day
            assert columns["once"][day] == pytest.approx(once, abs=1e-4)
            alkalinity -= mol * 50043
            level, doses = HIGH, doses + 1
            assert columns["what"][day] == "dose phosphoric acid"
        else:
            assert columns["dose"][day] == ""
            assert columns["what"][day] == ""
        assert columns["settled"][day] == pytest.approx(ph, abs=2e-4), day
        assert columns["after"][day] == pytest.approx(level, rel=1e-6), day
        assert columns["alkalinity"][day] == pytest.approx(alkalinity, abs=1e-3), day
        level -= rate
    assert doses == 2
    assert plans.named(values, "metric", "next_step") == (
        "Today: 13.5 mL of phosphoric acid. Test before you dose; if the reading is not the one expected, enter it "
        "first.")


@pytest.mark.parametrize(("product", "grams", "brings"), [
    (MONO, KH2PO4, BRINGS["KH2PO4"]), (DI, K2HPO4, BRINGS["K2HPO4"])])
def test_salts_by_another_solution_of_the_balance(product: str, grams: float, brings: tuple[int, int, int]) -> None:
    values = plans.computed("metric", plans.typed("metric", nutrients=plans.phosphate_with(product=product)))
    mol = (HIGH - plans.READ[-1]) / PO4 / 1000
    water = State(PH, ALKALINITY, TEMPERATURE, plans.READ[-1], calcium=CALCIUM)
    assert plans.named(values, "metric", "next_dose") == pytest.approx(mol * grams * VOLUME, rel=1e-4)
    for name, timing in (("ph_after_at_once", "at once"), ("ph_after_settled", "settled")):
        assert plans.named(values, "metric", name) == pytest.approx(water.after(brings, mol, timing), abs=1e-4)
    potassium = mol * K * 1000 * (1 if product == MONO else 2)
    assert plans.calendar(values, "metric", "potassium_sum")[0] == pytest.approx(potassium, rel=1e-4)


def test_a_blend_leaves_ph_alone_and_brings_what_it_must() -> None:
    setup = plans.SETUP | {"conductivity": 615.0}  # for which the blend is calculated
    values = plans.computed("metric", plans.typed("metric", setup, plans.phosphate_with(product=BLEND)))
    for key in ("once", "settled"):
        assert plans.calendar(values, "metric", key)[0] == pytest.approx(PH, abs=0.01)
    mono, di = plans.named(values, "metric", "next_dose"), plans.named(values, "metric", "next_dose_second")
    assert (mono / KH2PO4 + di / K2HPO4) * PO4 / VOLUME * 1000 == pytest.approx(HIGH - plans.READ[-1], rel=1e-4)
    assert plans.calendar(values, "metric", "potassium_sum")[0] == pytest.approx(
        (mono / KH2PO4 + 2 * di / K2HPO4) * K / VOLUME * 1000, rel=1e-4)
    assert plans.named(values, "metric", "doses_needed") == 1


def test_acid_that_the_rule_holds_back_is_split_over_days() -> None:
    setup = plans.SETUP | {"alkalinity_start": 60.0}
    rows = [row | {"phosphate": row["phosphate"] - 4.0} for row in plans.READINGS]
    values = plans.computed("metric", plans.typed("metric", setup, rows=rows))
    level, ph, alkalinity, days = 5.0, PH, 60.0, 0
    uptake = plans.named(values, "metric", "uptake")
    while level < HIGH - 0.05:
        water = State(ph, alkalinity, TEMPERATURE, level, calcium=CALCIUM)
        assert plans.calendar(values, "metric", "before")[days] == pytest.approx(level, abs=1e-3)
        most = brentq(lambda rise, water=water: water.after(BRINGS["H3PO4"], rise / PO4 / 1000, "at once")
                      - water.ph + 0.2, 0.1, 50)
        rise = min(HIGH - level, most)
        ph = water.after(BRINGS["H3PO4"], rise / PO4 / 1000, "settled")
        assert abs(ph - water.ph) < 0.2  # acid moves pH more at once
        assert plans.calendar(values, "metric", "settled")[days] == pytest.approx(ph, abs=1e-3)
        alkalinity -= rise / PO4 / 1000 * 50043
        level, days = level + rise, days + 1
        assert plans.calendar(values, "metric", "after")[days - 1] == pytest.approx(level, abs=1e-3)
        level -= uptake if level < HIGH - 0.05 else 0
    assert days == plans.named(values, "metric", "doses_needed") == 2
    assert str(plans.named(values, "metric", "split_advice")).startswith("watch: pH allows only small daily doses; ")


def test_a_new_reading_plans_the_rest_anew() -> None:
    rows = [*plans.READINGS, {"date": plans.AS_OF + timedelta(days=3), "phosphate": 13.0}]
    values = plans.computed("metric", plans.typed("metric", rows=rows))
    assert plans.calendar(values, "metric", "before")[0] == 13.0
    assert plans.calendar(values, "metric", "date")[0] == (rows[-1]["date"] - datetime(1899, 12, 30).date()).days
    planned = (HIGH - plans.READ[-1]) / PO4 * H3PO4 * VOLUME / 1000 / 0.75 / DENSITY_75  # mL of 75 %
    given = [*plans.READINGS[:-1], plans.READINGS[-1] | {"phosphate_dose": planned}]
    values = plans.computed("metric", plans.typed("metric", rows=given))
    assert plans.calendar(values, "metric", "what")[:2] == ["given", ""]
    assert plans.calendar(values, "metric", "after")[0] == pytest.approx(HIGH, abs=1e-3)
    assert plans.named(values, "metric", "uptake") == pytest.approx(0.3), "a dose after the last reading"


def test_a_dose_between_readings_is_no_negative_uptake() -> None:
    # The same fall of 0.3 a day, with 3 mg/L added after the third reading: 9.596 g of acid, 8.103 mL of 75 %.
    amount = 3 / PO4 * H3PO4 * VOLUME / 1000 / 0.75 / DENSITY_75
    read = [12.5, 11.6, 10.7, 12.8, 11.9]
    rows: list[dict[str, Any]] = [
        {"date": plans.FIRST_DAY + timedelta(days=3 * i), "phosphate": value} for i, value in enumerate(read)]
    rows[2]["phosphate_dose"] = amount
    values = plans.computed("metric", plans.typed("metric", rows=rows))
    assert plans.named(values, "metric", "uptake") == pytest.approx(0.3, abs=1e-4)


def test_a_kit_that_reads_phosphorus_plans_the_same() -> None:
    per_p = 30.974 / PO4
    rows = [row | {"phosphate": row["phosphate"] * per_p} for row in plans.READINGS]
    kit = plans.phosphate_with(basis="P", resolution=RESOLUTION * per_p, kit_low=0.1)
    in_p = plans.computed("metric", plans.typed("metric", nutrients=kit, rows=rows))
    in_po4 = plans.computed("metric", plans.typed("metric"))
    for name in ("next_dose", "uptake", "uptake_error", "action_level"):
        assert plans.named(in_p, "metric", name) == pytest.approx(plans.named(in_po4, "metric", name), rel=1e-4)


def test_the_other_nutrients_by_hand() -> None:
    values = plans.computed("metric", plans.everything("metric"))
    # K2SO4 (174.25 g/mol) has 44.876 % K; 15 mg/L in 3,100 L. Iron chelate of 11 %: 1 mg/L.
    doses = {key: plans.calendar(values, "metric", f"{key}_dose", "Other nutrients")[0] for key in (
        "potassium", "iron")}
    assert doses["potassium"] == pytest.approx(15 * 3.1 / (2 * K / 174.252), rel=1e-3)
    assert doses["iron"] == pytest.approx(1.0 * 3.1 / 0.11, rel=1e-9)
    for key, high in (("potassium", 60.0), ("calcium", 50.0), ("magnesium", 12.0), ("iron", 2.0)):
        after = plans.calendar(values, "metric", f"{key}_after", "Other nutrients")
        dose = plans.calendar(values, "metric", f"{key}_dose", "Other nutrients")
        assert {round(a, 6) for a, d in zip(after, dose) if d != ""} == {high}, key


def test_potassium_from_a_phosphate_is_no_smaller_uptake_of_potassium() -> None:
    # Potassium falls by 1 mg/L a day; 18 g of KH2PO4 after the second reading bring 1.668 mg/L of it in 3,100 L.
    rise, brought = (18 / KH2PO4 * part / VOLUME * 1000 for part in (PO4, K))
    rows: list[dict[str, Any]] = [
        {"date": plans.FIRST_DAY + timedelta(days=3 * i), "phosphate": 12.5 - 0.9 * i + (rise if i > 1 else 0.0),
         "potassium": 60.0 - 3 * i + (brought if i > 1 else 0.0)} for i in range(5)]
    rows[1]["phosphate_dose"] = 18.0
    nutrients = plans.phosphate_with(product=MONO) | {"potassium": plans.OTHER_TARGETS["potassium"]}
    values = plans.computed("metric", plans.typed("metric", nutrients=nutrients, rows=rows))
    potassium = next(n for n in OTHERS if n.key == "potassium")
    assert values[plans.place(cell(potassium, "uptake"))] == pytest.approx(1.0, rel=1e-4)
    assert plans.calendar(values, "metric", "what")[0] == "", "no phosphate, which would bring more"
    assert plans.calendar(values, "metric", "potassium_before", "Other nutrients")[:2] == pytest.approx(
        [48.0 + brought, 47.0 + brought], rel=1e-4)


def _next_dose_of(key: str) -> tuple[int, float, str]:
    """Days until the next dose of a nutrient, the rise that it brings, mg/L, and the verdict; by least squares.

    With the share kept after the change of water on day 3, day d reads kept x first - rate x (3 kept + d - 3).
    """
    low, high, resolution = (plans.OTHER_TARGETS[key][name] for name in ("low", "high", "resolution"))
    kept = 1 - plans.CHANGED / 100
    read = [(3 * i, row[key]) for i, row in enumerate(plans.OTHER_READINGS) if key in row]
    design = numpy.array([(1.0, 0.0) if day == 0 else (kept, -(3 * kept + day - 3)) for day, _ in read])
    values = numpy.array([value for _, value in read])
    found, *_ = numpy.linalg.lstsq(design, values, rcond=None)
    rate = float(found[1])
    spread = T_95_OF_1 * float(numpy.linalg.norm(values - design @ found)) if len(read) == 3 else 0.0
    error = max(spread, Z_95 * resolution / math.sqrt(12)) * math.sqrt(numpy.linalg.inv(design.T @ design)[1, 1])
    action = min(low + resolution / 2 + (rate + error) * DAYS_BETWEEN, high)
    days = max(0, math.ceil((values[-1] - action) / rate - 1e-9))
    return days, high - (values[-1] - rate * days), "fine" if error < rate and action < high else "watch"


def test_start_says_when_to_dose_the_other_nutrients() -> None:
    values = plans.computed("metric", plans.everything("metric"))
    found = str(plans.named(values, "metric", "others_due")).split("\n")
    # Shares by atomic weights: K2SO4, CaCl2·2H2O, MgSO4·7H2O; an iron chelate of 11 %.
    shares = (2 * K / 174.252, 40.078 / 147.008, 24.305 / 246.466, 0.11)
    for line, (key, target), share in zip(found, plans.OTHER_TARGETS.items(), shares, strict=True):
        days, rise, verdict = _next_dose_of(key)
        grams = f"{round(rise * VOLUME / 1000 / share, 1):g}"
        when = "today" if days == 0 else f"in {days} days"
        end = "" if verdict == "fine" else "; see Nutrients"
        assert line == f"{key.capitalize()}, {verdict}: {grams} g of {target['product']} {when}{end}"
    days = _next_dose_of("magnesium")[0] + 1
    assert days > 2
    late = plans.everything("metric") | {plans.place(str(
        plans.plan("metric").book.named("as_of"))): plans.AS_OF + timedelta(days=days)}
    found = str(plans.named(plans.computed("metric", late), "metric", "others_due")).split("\n")
    assert found[0].endswith(f" g of potassium sulfate was due {days} days ago; test first; see Nutrients")
    assert found[2].startswith("Magnesium, watch: ")
    assert found[2].endswith("heptahydrate was due yesterday; test first")


def test_a_base_that_would_overshoot_is_warned_of() -> None:
    # A finding of the science: +0.2 from pH 6.8, alkalinity 60, 25 °C, PO4 35: 8.2 and 37.5 g/m3 of KOH. The water is
    # the finding's, not the scenario's.
    calcium = 60.0
    setup = plans.SETUP | {"volume": 1000.0, "temperature": 25.0, "ph_start": 6.8, "alkalinity_start": 60.0,
                           "calcium_start": calcium, "ph_target": 7.0, "ph_chemical": "potassium hydroxide",
                           "conductivity": 615.0}
    rows = [{"date": plans.AS_OF, "phosphate": 35.0}]
    kit = plans.phosphate_with(kit_high=100.0)
    values = plans.computed("metric", plans.typed("metric", setup, kit, rows))

    def found(key: str) -> Any:
        return values[plans.place(plans.plan("metric")[key])]

    # The finding leaves out ion pairs; with them phreeqpython has 8.10 and 36.5 in such water with magnesium too.
    assert found("ph_dose_at_once") == pytest.approx(8.2, rel=0.01)
    assert found("ph_dose_settled") == pytest.approx(37.0, abs=0.5)
    assert found("ph_dose_today") == found("ph_dose_at_once")
    # The finding has 8.5, with magnesium too.
    water = State(6.8, 60.0, 25.0, 35.0, 615.0, calcium)
    overshoot = water.after(BRINGS["KOH"], found("ph_dose_settled") / 56.105 / 1000, "at once")
    assert found("ph_move_overshoot") == pytest.approx(overshoot, abs=1e-3)
    assert overshoot == pytest.approx(8.5, abs=0.1)
    assert found("ph_verdict") == f"watch: never give the settled dose in one go; pH would be {round(overshoot, 2):g}"
    assert found("ph_dose_low_alkalinity") < found("ph_dose_today") < found("ph_dose_high_alkalinity")
    assert found("ph_days") == 1
    for changed, words in (({"ph_target": 6.6}, "act: this cannot move pH that way"), (
            {"ph_chemical": None}, "not known: Base or acid is missing"), (
            {"alkalinity_start": None}, "not known: Alkalinity (Setup or Readings) is missing")):
        values = plans.computed("metric", plans.typed("metric", setup | changed, kit, rows))
        assert found("ph_verdict").startswith(words)


def test_scale_is_warned_of() -> None:
    hard = plans.computed("metric", plans.typed("metric", plans.SETUP | {"calcium_start": 70.0, "ph_start": 7.9}))
    assert str(plans.named(hard, "metric", "scale_verdict")).startswith("watch: calcium phosphate may precipitate")
    # Water as soft and as acid as this does not occur in the scenario; in all others scale is near.
    soft = plans.computed("metric", plans.typed("metric", plans.SETUP | {"calcium_start": 10.0, "ph_start": 6.4}))
    assert plans.named(soft, "metric", "scale_verdict") == "fine: no scale is expected"
