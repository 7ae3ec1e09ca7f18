"""Go, go with care or no-go: the known good, the known bad, and more of both kinds, each with what it rests on."""

from __future__ import annotations

import pytest

import moves
from pailbook.functions.species import LIMITS
from pailbook.workbook.move_plan import road_table

B = moves.BUCKET
FINE_PUMP: moves.Inputs = {"air_flow": 6.0, "stone": "fine"}
DRUM: moves.Inputs = B | FINE_PUMP | {"vessel_volume": 200.0, "fish_count": 20.0, "fish_weight": 3.0}
NOT_NO_GO, NO_GO = ("go", "go with care"), ("no-go",)

# (case, inputs, answers that are right, the check that says so, what it rests on)
CASES: list[tuple[str, moves.Inputs, tuple[str, ...], str, str]] = [
    ("three pan-size fish in 5 gal of water", B, NOT_NO_GO, "", "common practice: three in a bucket, short trips"),
    ("the pump off for an hour", B | moves.PUMP_OFF, NO_GO, "Oxygen on the road",
     "common practice: a failed pump kills within half an hour to an hour"),
    ("two of them", B | {"fish_count": 2.0, "fish_weight": 0.45}, NOT_NO_GO, "", "24 kg/m³, 1 lb in 5 US gal"),
    ("one of them, without air, a quarter of an hour", B | {
        "fish_count": 1.0, "fish_weight": 0.225, "road_minutes": 10.0, "loading_minutes": 2.0, "unloading_minutes": 3.0,
        "carried": "without air"}, NOT_NO_GO, "",
        "1.3 mg/L of oxygen used, by Clarke & Johnston twice the resting rate"),
    ("three of them without air", B | {"carried": "without air"}, NO_GO, "Oxygen on the road",
     "11 mg/L an hour used of 7 mg/L"),
    ("five of them", B | {"fish_count": 5.0, "fish_weight": 1.125}, NO_GO, "Vessels",
     "59 kg/m³, beyond 1.5 lb in 5 gal"),
    ("goldfish, small", B | {"fish_count": 15.0, "fish_weight": 0.3, "species": "goldfish", "from_temperature": 20.0,
                             "to_temperature": 20.0}, NOT_NO_GO, "", "16 kg/m³ of a species that breathes little"),
    ("trout in cold water, strong air", B | {
        "species": "rainbow trout", "from_temperature": 11.0, "to_temperature": 11.0, "fish_count": 3.0,
        "fish_weight": 0.36, **FINE_PUMP}, NOT_NO_GO, "", "19 kg/m³, cold, more air than they use"),
    ("trout in water of 24 °C", B | FINE_PUMP | {
        "species": "rainbow trout", "from_temperature": 24.0, "to_temperature": 24.0, "fish_count": 1.0,
        "fish_weight": 0.12}, NO_GO, "Species and temperature", "half survive 14 days at 25 °C (Huysman 2020)"),
    ("tilapia at 15 °C", DRUM | {"species": "tilapia", "from_temperature": 15.0, "to_temperature": 15.0}, NO_GO,
     "Species and temperature", "SRAC 283: do not handle below 65 °F"),
    ("a drum, two hours", DRUM | {"road_minutes": 120.0, "air_flow": 15.0}, NOT_NO_GO, "", "19 kg/m³, 15 L/min"),
    ("pH 0.2 apart", DRUM | {"to_ph": 7.0}, NOT_NO_GO, "", "common practice: within 0.2"),
    ("pH 0.4 apart", DRUM | {"to_ph": 7.2}, ("go with care",), "pH of both waters", "FAO 589: 0.3 in a day can harm"),
    ("pH 0.8 apart", DRUM | {"to_ph": 7.6}, NO_GO, "pH of both waters", "FAO 589: above 0.5 wants a day or more"),
    ("5 °F apart", DRUM | {"to_temperature": 25 + 5 / 1.8}, NOT_NO_GO, "", "common practice: one exchange bridges it"),
    ("4 °C apart", DRUM | {"to_temperature": 21.0}, ("go with care",), "Temperature of both waters",
     "LSU AgCenter: 5 °F cooling in half an hour"),
    ("11 °C apart", DRUM | {"to_temperature": 14.0}, NO_GO, "Temperature of both waters",
     "common practice: beyond 18 °F"),
    ("ammonia at loading, alkaline", DRUM | {"from_ph": 8.2, "to_ph": 8.2, "start_tan": 3.0}, NO_GO,
     "Ammonia on the road", "TAN 3 at pH 8.2 and 25 °C: NH3-N 0.25 (Emerson 1975), above Piper's 0.13"),
    ("the same ammonia, acid water", DRUM | {"from_ph": 6.6, "to_ph": 6.6, "start_tan": 3.0}, NOT_NO_GO, "",
     "TAN 3 at pH 6.6: NH3-N 0.007 (Emerson 1975)"),
    ("CO2 at loading", DRUM | {"from_ph": 6.2, "to_ph": 6.2, "from_alkalinity": 120.0}, NO_GO,
     "Carbon dioxide on the road", "pH 6.2 with alkalinity 120 holds 150 mg/L CO2 (carbonate equilibrium)"),
    ("a battery for half the trip", DRUM | {"battery_hours": 0.5}, NO_GO, "Battery", "the air ends before the trip"),
    ("ammonia in the new tank", DRUM | {"to_tan": 1.0, "to_nitrite": 0.0}, NO_GO, "Filter at the destination",
     "common practice: zero on the day"),
    ("nitrite in the new tank", DRUM | {"to_tan": 0.0, "to_nitrite": 2.0}, NO_GO, "Filter at the destination",
     "common practice: zero on the day"),
    ("a full tank", DRUM | {"to_volume": 1000.0, "resident_weight": 45.0}, NO_GO, "Room at the destination",
     "48 kg/m³ after the move; FAO 589 keeps small units at 10 to 20"),
    ("ammonia found at the door", DRUM | {"tank_tan": 1.5}, NO_GO, "At the door: the tank",
     "test again before they go in"),
    ("pH found at the door", DRUM | {"tank_ph": 7.8}, NO_GO, "At the door: pH", "readings override the forecast"),
    ("fed fish on a long haul", DRUM | {"road_minutes": 240.0, "hours_fasted": 2.0, "air_flow": 15.0},
     ("go with care",), "Feed before the trip", "Piper p. 357: 48 h; a rule for long hauls"),
    ("fed fish on a short one", DRUM | {"hours_fasted": 2.0}, NOT_NO_GO, "", "advice only, under two hours"),
    ("fry in a bucket", B | {"fish_count": 200.0, "fish_weight": 0.1}, NOT_NO_GO, "", "5 kg/m³"),
]


@pytest.mark.parametrize("case", CASES, ids=[case[0] for case in CASES])
def test_a_move_is_judged_as_its_source_would(case: tuple[str, moves.Inputs, tuple[str, ...], str, str]) -> None:
    _, inputs, answers, check, _ = case
    values = moves.computed(inputs)
    assert moves.named(values, "answer") in answers, moves.named(values, "reason")
    if check:
        word = "act" if answers == NO_GO else "watch"
        assert moves.said(values, check).startswith(word), moves.said(values, check)
        assert moves.named(values, "change_first") not in ("", "nothing; print the road card and the checklist")
    else:
        assert "act" not in moves.words(values)


def test_a_move_can_simply_go() -> None:
    easy = DRUM | {"to_ph": 6.8, "fish_count": 10.0, "fish_weight": 1.5, "road_minutes": 20.0, "spare_air": "yes",
                   "kit_resolution_ph": 0.1, "air_flow": 12.0}
    values = moves.computed(easy)
    assert moves.named(values, "answer") == "go", moves.named(values, "reason")
    assert moves.named(values, "reason") == "nothing stands in the way"


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
    values = moves.computed(DRUM | {"carried": "sealed bag with oxygen"})
    end = road_table.ON_TRIP
    assert values[moves.place(road_table.at("co2", end))] == pytest.approx(values[moves.place(road_table.at("co2_kept",
        end))])
    assert moves.named(values, "arrival_how").startswith("sealed for hours: float the closed bag")
    assert moves.said(values, "Oxygen on the road") == ""
    assert moves.named(values, "minutes_without_air") == ""


def test_the_field_test_finds_the_efficiency_that_made_the_readings() -> None:
    # Without fish, oxygen nears 0.98 of saturation along an exponential whose rate is the efficiency times what one
    # unit of it gives: SOTR 0.2787 g a litre, alpha 0.9, 9.09 mg/L at 20 °C (the equations of field transfer).
    efficiency, minutes, litres, flow = 0.012, 15.0, 60.0, 4.0
    saturation = 0.98 * 9.092  # Benson & Krause 1984 at 20 °C: 9.09
    rate = flow * 60 * 0.2787 * 1000 * 0.9 / 9.09 * efficiency / litres
    second = saturation - (saturation - 4.0) * 2.718281828 ** (-rate * minutes / 60)
    values = moves.computed(moves.BUCKET | {
        "test_volume": litres, "test_oxygen_1": 4.0, "test_oxygen_2": second, "test_minutes": minutes,
        "test_temperature": 20.0, "air_flow": flow})
    assert moves.named(values, "test_share") == pytest.approx(efficiency, rel=0.01)
    assert moves.named(values, "test_says").startswith("type 0.012")


def test_change_one_thing_answers_at_a_glance() -> None:
    values = moves.computed(DRUM)
    fits = int(moves.named(values, "more_fish"))
    assert fits > 0
    heavier = DRUM | {"fish_count": 20.0 + fits, "fish_weight": 3.0 * (20 + fits) / 20}
    assert moves.named(moves.computed(heavier), "vessels_verdict") == "fine"
    beyond = DRUM | {"fish_count": 21.0 + fits, "fish_weight": 3.0 * (21 + fits) / 20}
    assert moves.named(moves.computed(beyond), "vessels_verdict") != "fine"
    bucket = moves.computed(B)
    assert moves.named(bucket, "if_as_planned").startswith("watch")
    assert moves.named(bucket, "if_warmer").startswith("act")  # warmer water holds less, fish breathe more
    assert moves.named(bucket, "if_pump_off").startswith("act")
    assert moves.named(bucket, "minutes_at_loading") > moves.named(bucket, "minutes_without_air") > 0


def test_measured_values_replace_what_was_assumed() -> None:
    values = moves.computed(B)
    assert moves.named(values, "start_oxygen") == pytest.approx(7.0, abs=0.05)  # 85 % of 8.26, Benson & Krause 1984
    sheet, address = moves.place(moves.plan("metric")["start_oxygen"])
    assert values[sheet, f"E{address[1:]}"] == "assumed: 85 % of saturation"
    measured = moves.computed(B | {"start_oxygen": 5.5})
    assert moves.named(measured, "start_oxygen") == 5.5
    assert measured[sheet, f"E{address[1:]}"] == "yours"
    assert moves.named(measured, "lowest_oxygen") < moves.named(values, "lowest_oxygen")


@pytest.mark.parametrize("species", ["rainbow trout", "jade perch", "tilapia"])
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
        assert "no source" in values[sheet, f"E{address[1:]}"] or "FAO" in values[sheet, f"E{address[1:]}"]


def test_the_minutes_without_the_pump_are_whole_and_the_same_everywhere() -> None:
    values = moves.computed(moves.DEMO, "metric", moves.DEMO_READINGS)
    minutes = moves.named(values, "minutes_without_air")
    assert minutes == int(minutes)
    assert minutes == moves.named(values, "key_without_air") == moves.named(values, "glance_without_air")
    card = [text for (sheet, _), text in values.items() if sheet == "Road card" and isinstance(text, str)]
    assert any(text.startswith(f"{minutes:.0f} minutes: spare pump") for text in card)
