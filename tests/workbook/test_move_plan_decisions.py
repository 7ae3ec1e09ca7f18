"""Go, go with care or no-go: the known good, the known bad, and more of both kinds, each with what it rests on."""

from __future__ import annotations

import pytest

import moves
from pailbook.demo import scenario
from pailbook.functions.species import LIMITS
from pailbook.workbook.move_plan import road_table

B = moves.BASE
FINE_PUMP: moves.Inputs = {"air_flow": 6.0, "stone": "fine"}
# A larger vessel with more fish and air: 14 yellow perch of 110 g in 72 L of water, 21 kg/m³.
LARGE: moves.Inputs = B | FINE_PUMP | {"to_ph": 7.6, "vessel_volume": 90.0, "fish_count": 14.0, "fish_weight": 1.54}
NOT_NO_GO, NO_GO = ("go", "go with care"), ("no-go",)

# (case, inputs, answers that are right, the check that says so, what it rests on). Where a case leaves the fish or the
# water of the invented farm, what it rests on needs it.
CASES: list[tuple[str, moves.Inputs, tuple[str, ...], str, str]] = [
    ("the base case", B, NOT_NO_GO, "", "21 kg/m³, aired: below 24, 1 lb in 5 US gal (common practice)"),
    ("the same without air for 90 minutes", B | moves.STILL, NO_GO, "Oxygen on the road",
     "7.9 mg/L of oxygen at loading, some 5 used in the first hour (Clarke & Johnston 1999)"),
    ("the pump off for an hour", B | moves.PUMP_OFF, NO_GO, "Oxygen on the road",
     "common practice: a failed pump kills within half an hour to an hour"),
    ("four of them", B | {"fish_count": 4.0, "fish_weight": 0.44}, NOT_NO_GO, "", "9 kg/m³"),
    ("one of them, without air, a quarter of an hour", B | {
        "fish_count": 1.0, "fish_weight": 0.11, "road_minutes": 10.0, "loading_minutes": 2.0, "unloading_minutes": 3.0,
        "carried": "without air"}, NOT_NO_GO, "",
        "0.1 mg/L of oxygen used, by Clarke & Johnston twice the resting rate"),
    ("twenty of them", B | {"fish_count": 20.0, "fish_weight": 2.2}, NO_GO, "Vessels",
     "46 kg/m³, beyond 36, 1.5 lb in 5 US gal (common practice)"),
    ("trout in cold water, strong air", B | FINE_PUMP | {
        "species": "rainbow trout", "from_temperature": 11.0, "to_temperature": 11.0, "fish_count": 7.0,
        "fish_weight": 0.84}, NOT_NO_GO, "", "18 kg/m³, cold, more air than they use"),
    ("trout in water of 24 °C", B | FINE_PUMP | {
        "species": "rainbow trout", "from_temperature": 24.0, "to_temperature": 24.0, "fish_count": 1.0,
        "fish_weight": 0.12}, NO_GO, "Species and temperature", "half survive 14 days at 25 °C (Huysman 2020)"),
    ("jade perch at 15 °C", LARGE | {"species": "jade perch", "from_temperature": 15.0, "to_temperature": 15.0}, NO_GO,
     "Species and temperature", "Queensland: handling deaths below 17 °C"),
    ("a large vessel, two hours", LARGE | {"road_minutes": 120.0, "air_flow": 15.0}, NOT_NO_GO, "",
     "21 kg/m³, 15 L/min"),
    ("pH 0.2 apart", LARGE | {"to_ph": 7.4}, NOT_NO_GO, "", "common practice: within 0.2"),
    ("pH 0.4 apart", LARGE | {"to_ph": 7.2}, ("go with care",), "pH of both waters", "FAO 589: 0.3 in a day can harm"),
    ("pH 0.8 apart", LARGE | {"from_ph": 7.1, "to_ph": 7.9}, NO_GO, "pH of both waters",
     "FAO 589: above 0.5 wants a day or more"),
    ("5 °F apart", LARGE | {"to_temperature": 19 + 5 / 1.8}, NOT_NO_GO, "",
     "common practice: one exchange bridges it"),
    ("4 °C apart", LARGE | {"to_temperature": 15.0}, ("go with care",), "Temperature of both waters",
     "LSU AgCenter: 5 °F cooling in half an hour"),
    ("11 °C apart", LARGE | {"from_temperature": 24.0, "to_temperature": 13.0}, NO_GO, "Temperature of both waters",
     "common practice: beyond 18 °F"),
    ("ammonia at loading, pH 7.9", LARGE | {"from_ph": 7.9, "to_ph": 7.9, "start_tan": 6.0}, NO_GO,
     "Ammonia on the road", "TAN 6 at pH 7.9 and 19 °C: NH3-N 0.17 (Emerson 1975), above Piper's 0.13"),
    ("the same ammonia, pH 7.1", LARGE | {"from_ph": 7.1, "to_ph": 7.1, "start_tan": 6.0, "carried": "without air",
                                          "road_minutes": 10.0, "fish_count": 5.0, "fish_weight": 0.55},
     NOT_NO_GO, "", "TAN 6 at pH 7.1: NH3-N 0.028 (Emerson 1975); without air the CO2 stays in"),
    ("CO2 at loading", LARGE | {"from_ph": 6.2, "to_ph": 6.2, "from_alkalinity": 120.0, "kit_lowest_ph": 5.0}, NO_GO,
     "Carbon dioxide on the road", "pH 6.2 with alkalinity 120 holds 150 mg/L CO2 (carbonate equilibrium)"),
    ("a battery for half the trip", LARGE | {"battery_hours": 0.5}, NO_GO, "Battery", "the air ends before the trip"),
    ("ammonia in the new tank", LARGE | {"to_tan": 1.0}, NO_GO, "Filter at the destination",
     "common practice: zero on the day"),
    ("nitrite in the new tank", LARGE | {"to_nitrite": 2.0}, NO_GO, "Filter at the destination",
     "common practice: zero on the day"),
    ("a full tank", LARGE | {"resident_weight": 125.0}, NO_GO, "Room at the destination",
     "41 kg/m³ after the move; FAO 589 keeps small units at 10 to 20"),
    ("ammonia found at the door", LARGE | {"tank_tan": 1.5}, NO_GO, "At the door: the tank",
     "test again before they go in"),
    ("pH found at the door", LARGE | {"tank_ph": 7.1, "door_ph": 7.8}, NO_GO, "At the door: pH",
     "readings override the forecast"),
    ("fed fish on a long haul", LARGE | {"road_minutes": 240.0, "hours_fasted": 2.0, "air_flow": 15.0},
     ("go with care",), "Feed before the trip", "Piper p. 357: 48 h; a rule for long hauls"),
    ("fed fish on a short one", LARGE | {"hours_fasted": 2.0}, NOT_NO_GO, "", "advice only, under two hours"),
    ("fry", B | {"fish_count": 400.0, "fish_weight": 0.2}, NOT_NO_GO, "", "4 kg/m³"),
]


@pytest.mark.parametrize("case", CASES, ids=[case[0] for case in CASES])
def test_a_move_is_judged_as_its_source_would(case: tuple[str, moves.Inputs, tuple[str, ...], str, str]) -> None:
    _, inputs, answers, check, _ = case
    values = moves.computed(inputs)
    assert moves.named(values, "answer") in answers, moves.named(values, "reason")
    if check:
        word = "act" if answers == NO_GO else "watch"
        assert moves.verdict(values, check).startswith(word), moves.verdict(values, check)
        assert moves.named(values, "change_first") not in ("", "Nothing; print the road card and the checklist")
    else:
        assert "act" not in moves.words(values)


def test_a_move_can_simply_go() -> None:
    easy = LARGE | {"fish_count": 8.0, "fish_weight": 0.88, "road_minutes": 20.0, "spare_air": "yes",
                    "kit_resolution_ph": 0.1, "air_flow": 12.0, "feed_now": 200.0, "from_alkalinity": 60.0,
                    "to_alkalinity": 60.0}
    values = moves.computed(easy)
    assert moves.named(values, "answer") == "go", moves.named(values, "reason")
    assert moves.named(values, "reason") == "all checks are fine"
    assert moves.named(values, "checks_unknown") == 0


def test_the_worst_case_stands_beside_the_expected_one_and_never_looks_better() -> None:
    values = moves.computed(moves.DEMO)
    assert moves.named(values, "worst_oxygen") < moves.named(values, "lowest_oxygen")
    assert moves.named(values, "worst_nh3") > moves.named(values, "highest_nh3")
    assert moves.named(values, "worst_co2") > moves.named(values, "highest_co2")
    # Each of its four parts alone makes it worse than none of them.
    none = moves.DEMO | {"worst_stress": 1.0, "worst_stone": 1.0, "delay_minutes": 0.0, "kit_resolution_ph": 0.01}
    calm = moves.computed(none)
    for part, name, worse in (
        ({"worst_stress": 1.5}, "worst_oxygen", -1), ({"worst_stone": 0.5}, "worst_oxygen", -1),
        ({"delay_minutes": 60.0}, "worst_nh3", 1), ({"kit_resolution_ph": 0.8}, "worst_nh3", 1),
    ):
        changed = moves.named(moves.computed(none | part), name)
        assert (changed - moves.named(calm, name)) * worse > 0, part


def test_bounds_hold_the_expected_case_between_them() -> None:
    values = moves.computed(moves.DEMO | {"carried": "with an air stone"})
    for n in range(1, road_table.ON_TRIP + 1):
        kept, expected, aired = (values[moves.place(road_table.at(key, n))] for key in ("ph_kept", "ph", "ph_aired"))
        assert kept < expected < aired
        assert values[moves.place(road_table.at("oxygen_still", n))] < values[moves.place(road_table.at("oxygen", n))]


def test_a_sealed_bag_keeps_its_co2_and_is_opened_not_mixed() -> None:
    values = moves.computed(LARGE | {"carried": "sealed bag with oxygen"})
    end = road_table.ON_TRIP
    assert values[moves.place(road_table.at("co2", end))] == pytest.approx(values[moves.place(road_table.at("co2_kept",
        end))])
    assert moves.named(values, "arrival_how").startswith("Let the closed bag drift in the tank")
    assert moves.verdict(values, "Oxygen on the road").startswith("not asked: in a sealed bag")
    assert moves.named(values, "minutes_without_air") == ""


def test_the_field_test_finds_the_efficiency_that_made_the_readings() -> None:
    # Without fish, oxygen nears 0.98 of saturation along an exponential whose rate is the efficiency times what one
    # unit of it gives: SOTR 0.2787 g a litre, alpha 0.9, 9.09 mg/L at 20 °C (the equations of field transfer).
    efficiency, minutes, litres, flow = 0.012, 15.0, 60.0, 4.0
    saturation = 0.98 * 9.092  # Benson & Krause 1984 at 20 °C: 9.09
    rate = flow * 60 * 0.2787 * 1000 * 0.9 / 9.09 * efficiency / litres
    second = saturation - (saturation - 4.0) * 2.718281828 ** (-rate * minutes / 60)
    values = moves.computed(moves.BASE | {
        "test_volume": litres, "test_oxygen_1": 4.0, "test_oxygen_2": second, "test_minutes": minutes,
        "test_temperature": 20.0, "air_flow": flow})
    assert moves.named(values, "test_share") == pytest.approx(efficiency, rel=0.01)
    assert moves.named(values, "test_says").startswith("enter 0.012 on Trip")
    # With fish in it whose weight each is not known, nobody knows what they breathe.
    fish = moves.computed({key: value for key, value in moves.BASE.items() if key != "fish_count"} | {
        "test_volume": litres, "test_oxygen_1": 4.0, "test_oxygen_2": second, "test_minutes": minutes,
        "test_temperature": 20.0, "air_flow": flow, "test_fish": 0.5})
    assert moves.named(fish, "test_share") == ""
    assert moves.named(fish, "test_says").startswith("enter the fish on Start")


def test_change_one_thing_answers_at_a_glance() -> None:
    values = moves.computed(LARGE)
    fits, count, weight = int(moves.named(values, "more_fish")), LARGE["fish_count"], LARGE["fish_weight"]
    assert fits > 0
    heavier = LARGE | {"fish_count": count + fits, "fish_weight": weight * (count + fits) / count}
    assert moves.named(moves.computed(heavier), "vessels_verdict") == "fine"
    beyond = LARGE | {"fish_count": count + fits + 1, "fish_weight": weight * (count + fits + 1) / count}
    assert moves.named(moves.computed(beyond), "vessels_verdict") != "fine"
    base = moves.computed(B)
    assert moves.named(base, "if_as_planned").startswith("watch")
    assert moves.named(base, "if_warmer").startswith("act")  # warmer water holds less, fish breathe more
    assert moves.named(base, "if_pump_off").startswith("act")
    assert moves.named(base, "minutes_at_loading") > moves.named(base, "minutes_without_air") > 0


def test_measured_values_override_what_was_assumed() -> None:
    values = moves.computed(B)
    assert moves.named(values, "start_oxygen") == pytest.approx(7.9, abs=0.05)  # 85 % of 9.28, Benson & Krause 1984
    sheet, address = moves.place(moves.plan("metric")["start_oxygen"])
    assert values[sheet, f"E{address[1:]}"] == "assumed: 85 % of saturation"
    measured = moves.computed(B | {"start_oxygen": 5.5})
    assert moves.named(measured, "start_oxygen") == 5.5
    assert measured[sheet, f"E{address[1:]}"] == "yours"
    assert moves.named(measured, "lowest_oxygen") < moves.named(values, "lowest_oxygen")


# Trout need more oxygen than the species of the farm, so the limit follows the species.
@pytest.mark.parametrize("species", ["rainbow trout", *scenario.SPECIES])
def test_oxygen_limits_follow_the_species_until_the_user_sets_them(species: str) -> None:
    values = moves.computed(B | {"species": species})
    assert moves.named(values, "limit_oxygen_act") == LIMITS[species, "oxygen", "act low"][0]
    assert moves.named(moves.computed(B | {"species": species, "limit_oxygen_act": 2.5}), "limit_oxygen_act") == 2.5


def test_the_limits_are_those_of_common_practice_until_changed() -> None:
    # Common practice, no source: 0.2, 0.2 a day, 1 to 1.5 lb in 5 US gal, ten minutes, 21 days.
    values = moves.computed({})
    lb_per_5_gal = 0.45359237 / (5 * 3.785411784) * 1000
    for name, expected in (("ph_within", 0.2), ("ph_daily", 0.2), ("hauling_density_plan", lb_per_5_gal),
                           ("hauling_density_most", 1.5 * lb_per_5_gal), ("exchange_wait", 10), ("exchange_half", 0.5),
                           ("watch_days", 21), ("temperature_watch", 5 / 1.8)):
        assert moves.named(values, name) == pytest.approx(expected, rel=0.002), name
        sheet, address = moves.place(moves.plan("metric")[name])
        assert "common practice" in values[sheet, f"E{address[1:]}"] or "FAO" in values[sheet, f"E{address[1:]}"]


def test_the_minutes_without_the_pump_are_whole_and_the_same_everywhere() -> None:
    values = moves.computed(moves.DEMO, "metric", moves.DEMO_READINGS)
    minutes = moves.named(values, "minutes_without_air")
    assert minutes == int(minutes)
    assert minutes == moves.named(values, "key_without_air") == moves.named(values, "glance_without_air")
    card = [text for (sheet, _), text in values.items() if sheet == "Road card" and isinstance(text, str)]
    assert any(text.startswith(f"The fish have {minutes:.0f} minutes.") for text in card)
