"""What goes wrong for real people in a move: each is prevented or flagged by the plan."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

import moves
from pailbook.workbook.move_plan import exchanges, ph_days, waters

# 14 yellow perch of 110 g in 72 L of water.
LARGE: moves.Inputs = moves.BASE | {
    "to_ph": 7.6, "vessel_volume": 90.0, "fish_count": 14.0, "fish_weight": 1.54, "air_flow": 6.0, "stone": "fine"}


def _exchange(values: moves.Values, key: str, step: int) -> Any:
    return values[moves.place(exchanges.cell(key, step))]


def _days(values: moves.Values, key: str) -> list[Any]:
    table = ph_days.table()
    return [values[table.sheet, f"{table.letter(key)}{row}"] for row in range(table.first_row, table.last_row + 1)]


def test_known_failure_4_two_ph_values_are_not_averaged() -> None:
    # Acid water rich in phosphate, where a mean errs most: TAN 4, pH 6.6, alkalinity 40, PO4 35, mixed 1:1 with pH 8.0,
    # alkalinity 150, at 25 °C: pH 7.15, not the mean 7.30; NH3-N goes from 0.009 to 0.016 although TAN halves
    # (carbonate equilibrium, worked by hand).
    values = moves.computed(LARGE | {
        "door_ph": 6.6, "door_tan": 4.0, "vessel_alkalinity": 40.0, "from_phosphate": 35.0, "door_temperature": 25.0,
        "tank_ph": 8.0, "tank_alkalinity": 150.0, "tank_temperature": 25.0, "tank_tan": 0.0})
    assert _exchange(values, "ph", 1) == pytest.approx(7.15, abs=0.02)
    assert _exchange(values, "tan", 1) == pytest.approx(2.0)
    assert _exchange(values, "nh3", 0) == pytest.approx(0.009, abs=0.0005)
    assert _exchange(values, "nh3", 1) == pytest.approx(0.016, abs=0.001)
    assert "un-ionised ammonia rises as the waters mix, from 0.009 to " in moves.named(values, "door_rise_verdict")
    assert moves.named(values, "door_rise_verdict").startswith("watch")
    assert moves.named(values, "door_ph_verdict").startswith("act")
    # A forecast is a watch; a reading makes it a no-go.
    forecast = moves.computed(LARGE | {"air_flow": 15.0, "from_alkalinity": 140.0, "to_ph": 7.5})
    assert moves.named(forecast, "door_ph_verdict").startswith("watch: a gap of ")


@pytest.mark.parametrize(("ph", "tan", "tank", "words"), [
    (6.6, 35.0, 8.0, "act: un-ionised ammonia rises as the waters mix"),  # nine times the finding: 0.08 becomes 0.14
    (7.6, 12.0, 7.6, "act: un-ionised ammonia in the vessel is already "),  # Emerson 1975: 0.27 at 25 °C
])
def test_known_failure_4_much_ammonia_at_the_door_is_a_no_go(ph: float, tan: float, tank: float, words: str) -> None:
    # The waters of the case above.
    values = moves.computed(LARGE | {
        "door_ph": ph, "door_tan": tan, "vessel_alkalinity": 40.0, "from_phosphate": 35.0, "door_temperature": 25.0,
        "tank_ph": tank, "tank_alkalinity": 150.0, "tank_tan": 0.0, "tank_temperature": 25.0})
    assert moves.named(values, "door_rise_verdict").startswith(words)
    assert moves.named(values, "answer") == "no-go"


@pytest.mark.parametrize(("resolution", "words"), [
    (0.4, "no: a resolution of 0.4 is too coarse to show a match within 0.2"),
    (0.2, "no: with a resolution of 0.2 the true gap may be up to 0.3"),
    (0.05, "yes: a resolution of 0.05 is fine enough"),
])
def test_known_failure_6_a_kit_cannot_show_a_match_finer_than_its_resolution(resolution: float, words: str) -> None:
    values = moves.computed(moves.BASE | {"kit_resolution_ph": resolution})
    assert moves.named(values, "ph_kit_shows") == words
    assert moves.named(values, "ph_match").startswith("fine" if resolution == 0.05 else "watch")
    assert moves.named(values, "key_kit") == words
    assert moves.verdict(values, "The pH kit").startswith("fine" if resolution == 0.05 else "watch")
    assert moves.verdict(values, "pH of both waters") == "fine"


@pytest.mark.parametrize(("reading", "ends", "word"), [
    # The plan assumes a kit of the farm, 6.4 to 8.2: in more acid water it shows 6.4 all the same.
    (6.4, {}, "watch"), (6.6, {}, "fine"), (8.2, {}, "watch"), (8.0, {}, "fine"), (6.4, {"kit_lowest_ph": 5.0}, "fine"),
    (7.6, {"kit_highest_ph": 7.6}, "watch"),
])
def test_known_failure_5_a_kit_at_its_end_shows_no_match(reading: float, ends: moves.Inputs, word: str) -> None:
    values = moves.computed(moves.BASE | ends | {"from_ph": reading, "to_ph": reading, "kit_resolution_ph": 0.1})
    assert moves.verdict(values, "The pH kit").startswith(word)
    assert moves.named(values, "ph_match").startswith(word)
    assert ("the true pH may lie beyond it" in moves.named(values, "ph_kit_shows")) is (word == "watch")
    assert moves.verdict(values, "pH of both waters") == "fine"


@pytest.mark.parametrize(("source", "chlorine", "word"), [
    ("tap water with chlorine", None, "act"), ("tap water with chlorine", 0.8, "act"),
    ("tap water with chloramine", 2.0, "act"), ("tap water with chlorine", 0.0, "fine"), ("rain", None, "fine"),
    ("treated and tested free of chlorine", None, "fine"),
])
def test_known_failure_7_chlorinated_refill_water_is_stopped(source: str, chlorine: float | None, word: str) -> None:
    inputs = LARGE | {"refill_source": source, "refill_volume": 200.0}
    values = moves.computed(inputs if chlorine is None else inputs | {"chlorine": chlorine})
    assert moves.verdict(values, "Refill water").startswith(word)
    assert (moves.named(values, "answer") == "no-go") is (word == "act")
    if chlorine:  # 7 mg/L of thiosulfate per mg/L of chlorine (UF/IFAS); chloramine leaves 0.198 mg N
        assert moves.named(values, "dechlorinator") == pytest.approx(200 * chlorine * 7 / 1000, rel=0.08)
        left = moves.named(values, "chloramine_tan")
        assert left == "" if source == "tap water with chlorine" else left == pytest.approx(0.198 * chlorine, rel=0.01)


def test_known_failure_10_doses_need_a_measured_alkalinity_and_are_capped() -> None:
    raise_it = moves.BASE | {"from_ph": 7.6, "to_ph": 7.2, "to_temperature": 20.0, "calendar_volume": 1000.0,
                             "calendar_which": "at the destination", "to_phosphate": 12.0, "to_conductivity": 600.0,
                             "calendar_chemical": "potassium hydroxide"}
    blank = moves.computed(raise_it)
    assert "without it there is no dose" in moves.named(blank, "calendar_missing")
    assert set(_days(blank, "dose")) == {""}
    values = moves.computed(raise_it | {"to_alkalinity": 70.0})
    at_once, settled, dose = (_days(values, key)[0] for key in ("at_once", "settled", "dose"))
    # +0.2 from pH 7.2 at alkalinity 70, PO4 12, 20 °C, some 600 µS/cm: phreeqpython without ion pairs gives 4.33 g/m³
    # of KOH at once and 44.9 settled.
    assert at_once == pytest.approx(4.33, abs=0.1)
    assert settled == pytest.approx(44.9, rel=0.02)
    assert dose == at_once
    # The settled dose all at once goes far beyond the largest change per day.
    assert moves.named(values, "calendar_overshoot") > 7.2 + 2 * 0.2


def test_known_failure_10_acid_in_hard_water_is_warned_of() -> None:
    down = moves.BASE | {"from_ph": 7.2, "to_ph": 7.8, "calendar_volume": 1000.0,
                         "calendar_which": "at the destination", "from_alkalinity": 60.0}
    hard = moves.computed(down | {"to_alkalinity": 140.0})
    assert moves.named(hard, "calendar_hard").startswith("watch: hard water")
    assert moves.named(moves.computed(down | {"to_alkalinity": 70.0}), "calendar_hard") == "fine"
    # An acid without its strength gets no dose on the two days that there is pH to adjust.
    assert "strength" in moves.named(hard, "calendar_missing")
    assert set(_days(hard, "dose")[:2]) == {""}
    # Unless the user chooses, the plan adjusts the softer water.
    advised = moves.computed({k: v for k, v in down.items() if k != "calendar_which"} | {"to_alkalinity": 140.0})
    assert moves.named(advised, "calendar_which") == "where the fish are now"


def test_known_failure_10_a_reading_beyond_the_largest_change_stops_the_dose() -> None:
    calm, hasty = (moves.computed(moves.DEMO, readings=(reading,)) for reading in (7.4, 7.6))
    assert _days(calm, "dose")[1] > 0
    assert _days(hasty, "what")[1].startswith("watch: pH changed too much in a day")
    assert _days(hasty, "dose")[1] == 0


def test_the_calendar_says_when_to_start_and_follows_the_readings() -> None:
    far = moves.DEMO | {"from_ph": 7.9, "to_ph": 7.1, "move_date": date(2026, 6, 30)}
    values = moves.computed(far)
    assert moves.named(values, "calendar_days") == 3  # (0.8 - 0.2) / 0.2, common practice
    assert _days(values, "target")[:4] == pytest.approx([7.3, 7.5, 7.7, 7.7])
    assert moves.named(values, "calendar_verdict") == "watch: start by 2026-06-27"
    late = moves.computed(far | {"as_of": date(2026, 6, 29)})
    assert moves.named(late, "calendar_verdict").startswith("act: 2 days too late to start")
    assert moves.named(late, "answer") == "no-go"
    read = moves.computed(far, readings=(7.2,))  # less than hoped for: a day more
    assert _days(read, "before")[1] == 7.2
    assert _days(read, "target")[1:4] == pytest.approx([7.4, 7.6, 7.8])
    assert moves.named(read, "calendar_left") == 3


def test_known_failure_12_fine_residents_excuse_no_ph_gap() -> None:
    # The residents drifted with their water down to pH 7.1 and look well; the new fish would meet it at once.
    drifted = LARGE | {"from_ph": 7.9, "to_ph": 7.1}
    values = moves.computed(drifted)
    assert moves.verdict(values, "Room at the destination") == "fine"
    assert moves.verdict(values, "pH of both waters").startswith("act")
    assert moves.named(values, "answer") == "no-go"
    sheet = moves.plan("metric").book.workbook[waters.SHEET]
    notes = " ".join(str(cell.value) for row in sheet.iter_rows() for cell in row)
    assert "Healthy fish at the destination prove nothing" in notes
    # And if they died all the same, within two days, residents well: the sheet after the move points to it.
    died = moves.computed(drifted, more=moves.dead((0, 0), (1, 2), (2, 1)))
    assert "the move itself" in moves.named(died, "deaths_point_to")
    assert "pH" in moves.named(died, "deaths_point_to")
    both = moves.computed(drifted, more=moves.dead((1, 2), residents=((1, 3),)))
    assert "the water at the destination" in moves.named(both, "deaths_point_to")


def test_known_failure_14_salted_haul_water_is_flagged_with_what_it_would_bring() -> None:
    # 60 L at 5 g/L bring 38 mg/L of sodium to 3,100 L: 39.34 % of salt is sodium (IUPAC 2021).
    values = moves.computed(moves.BASE | {"fill": 1.0, "salt": 5.0})
    assert moves.named(values, "salt_brought") == pytest.approx(60 * 5 * 1000 * 0.39339 / 3100, abs=0.1)
    assert moves.named(values, "salt_verdict") == (
        "watch: salted haul water; pour it neither into the tank nor onto plants")
    assert moves.verdict(values, "Salt in the haul water").startswith("watch")
    assert moves.verdict(moves.computed(moves.BASE), "Salt in the haul water") == "fine"


@pytest.mark.parametrize(("gap", "word", "share"), [(2.0, "fine", 0.5), (4.0, "watch", 0.25)])
def test_wide_temperature_differences_get_smaller_and_more_exchanges(gap: float, word: str, share: float) -> None:
    values = moves.computed(LARGE | {"to_temperature": 19.0 - gap})
    assert moves.named(values, "door_temperature_verdict").startswith(word)
    assert moves.named(values, "exchange_share") == share
    steps = int(moves.named(values, "exchanges"))
    assert abs(_exchange(values, "temperature", steps) - (19 - gap)) <= 1.0
    waits = [_exchange(values, "minute", n + 1) - _exchange(values, "minute", n) for n in range(exchanges.STEPS)]
    assert min(waits) >= 10  # about ten minutes, common practice
    # No faster than 5 °F (2.8 °C) cooling in half an hour (LSU AgCenter).
    cooled = [_exchange(values, "temperature", n) - _exchange(values, "temperature",
        n + 1) for n in range(exchanges.STEPS)]
    assert all(fall / wait <= 5 / 1.8 / 30 * 1.05 for fall, wait in zip(cooled, waits))
