"""What goes wrong for real people in a move: each is prevented or flagged by the plan."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

import moves
from pailbook.workbook.move_plan import exchanges, match, ph_days

DRUM: moves.Inputs = moves.BUCKET | {
    "vessel_volume": 200.0, "fish_count": 20.0, "fish_weight": 3.0, "air_flow": 6.0, "stone": "fine"}


def _exchange(values: moves.Values, key: str, step: int) -> Any:
    return values[moves.place(exchanges.cell(key, step))]


def _days(values: moves.Values, key: str) -> list[Any]:
    table = ph_days.table()
    return [values[table.sheet, f"{table.letter(key)}{row}"] for row in range(table.first_row, table.last_row + 1)]


def test_failure_4_two_ph_values_are_not_averaged() -> None:
    # Bucket TAN 4, pH 6.6, alkalinity 40, PO4 35, mixed 1:1 with pH 8.0, alkalinity 150, at 25 °C: pH 7.15, not the
    # mean 7.30; NH3-N goes from 0.009 to 0.016 although TAN halves (carbonate equilibrium, worked by hand).
    values = moves.computed(DRUM | {
        "door_ph": 6.6, "door_tan": 4.0, "vessel_alkalinity": 40.0, "from_phosphate": 35.0, "door_temperature": 25.0,
        "tank_ph": 8.0, "tank_alkalinity": 150.0, "tank_temperature": 25.0, "tank_tan": 0.0})
    assert _exchange(values, "ph", 1) == pytest.approx(7.15, abs=0.02)
    assert _exchange(values, "tan", 1) == pytest.approx(2.0)
    assert _exchange(values, "nh3", 0) == pytest.approx(0.009, abs=0.0005)
    assert _exchange(values, "nh3", 1) == pytest.approx(0.016, abs=0.001)
    assert "NH3-N rises as the waters mix, from 0.009 to " in moves.named(values, "door_rise_verdict")
    assert moves.named(values, "door_rise_verdict").startswith("watch")
    assert moves.named(values, "door_ph_verdict").startswith("act")
    # What is only foreseen is a watch; a reading makes it a no-go.
    foreseen = moves.computed(DRUM | {"air_flow": 15.0, "from_alkalinity": 60.0, "to_ph": 6.7})
    assert moves.named(foreseen, "door_ph_verdict").startswith("watch: foreseen")


@pytest.mark.parametrize(("ph", "tan", "tank", "words"), [
    (6.6, 35.0, 8.0, "act: NH3-N rises as the waters mix"),  # nine times the finding: 0.08 becomes 0.14
    (7.6, 12.0, 7.6, "act: NH3-N is "),  # Emerson 1975: 0.27 at 25 °C, before anything is mixed
])
def test_failure_4_much_ammonia_at_the_door_is_a_no_go(ph: float, tan: float, tank: float, words: str) -> None:
    values = moves.computed(DRUM | {
        "door_ph": ph, "door_tan": tan, "vessel_alkalinity": 40.0, "from_phosphate": 35.0, "tank_ph": tank,
        "tank_alkalinity": 150.0, "tank_tan": 0.0})
    assert moves.named(values, "door_rise_verdict").startswith(words)
    assert moves.named(values, "answer") == "no-go"


@pytest.mark.parametrize(("step", "words"), [
    (0.4, "your kit steps by 0.4: it cannot show a match within 0.2"),
    (0.2, "your kit steps by 0.2: the true gap may be up to 0.3"),
    (0.05, "your kit steps by 0.05: it can tell"),
])
def test_failure_6_a_kit_cannot_show_a_match_finer_than_its_step(step: float, words: str) -> None:
    values = moves.computed(moves.BUCKET | {"kit_resolution_ph": step})
    assert moves.named(values, "ph_can_tell") == words
    assert moves.named(values, "ph_match").startswith("fine" if step == 0.05 else "watch")
    assert moves.named(values, "key_kit") == words
    assert moves.said(values, "The pH kit").startswith("fine" if step == 0.05 else "watch")
    assert moves.said(values, "pH of both waters") == "fine"


@pytest.mark.parametrize(("reading", "ends", "word"), [
    # Usual drops show 6.0 to 8.8 (common practice, no source): below it they show 6.0 all the same.
    (6.0, {}, "watch"), (6.4, {}, "fine"), (8.8, {}, "watch"), (8.4, {}, "fine"), (6.0, {"kit_lowest_ph": 4.0}, "fine"),
    (7.6, {"kit_highest_ph": 7.6}, "watch"),
])
def test_failure_5_a_kit_at_its_end_shows_no_match(reading: float, ends: moves.Inputs, word: str) -> None:
    values = moves.computed(moves.BUCKET | ends | {"from_ph": reading, "to_ph": reading, "kit_resolution_ph": 0.1})
    assert moves.said(values, "The pH kit").startswith(word)
    assert moves.named(values, "ph_match").startswith(word)
    assert ("the true pH may lie beyond it" in moves.named(values, "ph_can_tell")) is (word == "watch")
    assert moves.said(values, "pH of both waters") == "fine"


@pytest.mark.parametrize(("source", "chlorine", "word"), [
    ("tap water with chlorine", None, "act"), ("tap water with chlorine", 0.8, "act"), ("tap water with chloramine", 2.0, "act"),
    ("tap water with chlorine", 0.0, "fine"), ("rain", None, "fine"), ("treated and tested free of chlorine", None, "fine"),
])
def test_failure_7_chlorinated_refill_water_is_stopped(source: str, chlorine: float | None, word: str) -> None:
    inputs = DRUM | {"refill_source": source, "refill_volume": 200.0}
    values = moves.computed(inputs if chlorine is None else inputs | {"chlorine": chlorine})
    assert moves.said(values, "Refill water").startswith(word)
    assert (moves.named(values, "answer") == "no-go") is (word == "act")
    if chlorine:  # 7 mg/L of thiosulfate per mg/L of chlorine (UF/IFAS); chloramine leaves 0.198 mg N
        assert moves.named(values, "dechlorinator") == pytest.approx(200 * chlorine * 7 / 1000, rel=0.08)
        left = moves.named(values, "chloramine_tan")
        assert left == "" if source == "tap water with chlorine" else left == pytest.approx(0.198 * chlorine, rel=0.01)


def test_failure_10_doses_need_a_measured_alkalinity_and_are_capped() -> None:
    raise_it = moves.BUCKET | {"from_ph": 7.0, "to_ph": 6.4, "to_temperature": 25.0, "calendar_volume": 1000.0,
                               "to_phosphate": 35.0, "to_conductivity": 600.0,
                               "calendar_chemical": "potassium hydroxide"}
    blank = moves.computed(raise_it)
    assert "no dose without it" in moves.named(blank, "calendar_missing")
    assert set(_days(blank, "dose")) == {""}
    values = moves.computed(raise_it | {"to_alkalinity": 20.0})
    at_once, settled, dose = (_days(values, key)[0] for key in ("at_once", "settled", "dose"))
    # +0.2 from pH 6.4 at alkalinity 20, PO4 35, 25 °C, 600 µS/cm: 5.3 g/m³ of KOH at once (phreeqc 6.597 for 5.321 g),
    # 12.6 settled.
    assert at_once == pytest.approx(5.3, abs=0.1)
    assert settled == pytest.approx(12.6, abs=0.2)
    assert dose == at_once
    # The settled dose all at once goes far beyond the day's share.
    assert moves.named(values, "calendar_overshoot") > 6.4 + 2 * 0.2


def test_failure_10_acid_in_hard_water_is_warned_of() -> None:
    down = moves.BUCKET | {"from_ph": 6.8, "to_ph": 7.8, "calendar_volume": 1000.0, "calendar_which": "where they go",
                           "from_alkalinity": 30.0}
    hard = moves.computed(down | {"to_alkalinity": 220.0})
    assert moves.named(hard, "calendar_hard").startswith("watch: hard water")
    assert moves.named(moves.computed(down | {"to_alkalinity": 40.0}), "calendar_hard") == "fine"
    # An acid without its strength gets no dose.
    assert "strength" in moves.named(hard, "calendar_missing")
    assert set(_days(hard, "dose")[:3]) == {""}
    # By itself the plan moves the softer water.
    advised = moves.computed({k: v for k, v in down.items() if k != "calendar_which"}
                             | {"to_alkalinity": 220.0, "resident_weight": 5.0})
    assert moves.named(advised, "calendar_which") == "where the fish are"


def test_failure_10_a_reading_beyond_the_days_share_stops_the_dose() -> None:
    calm, hasty = (moves.computed(moves.DEMO, readings=(reading,)) for reading in (6.5, 6.9))
    assert _days(calm, "dose")[1] > 0
    assert _days(hasty, "what")[1].startswith("watch: moved more than a day's share")
    assert _days(hasty, "dose")[1] == 0


def test_the_calendar_says_when_to_start_and_follows_the_readings() -> None:
    week = moves.DEMO | {"from_ph": 7.6, "to_ph": 6.8, "move_date": date(2026, 9, 30)}
    values = moves.computed(week)
    assert moves.named(values, "calendar_days") == 3  # (0.8 - 0.2) / 0.2, common practice
    assert _days(values, "target")[:4] == pytest.approx([7.0, 7.2, 7.4, 7.4])
    assert moves.named(values, "calendar_verdict") == "watch: start by 2026-09-27"
    late = moves.computed(week | {"as_of": date(2026, 9, 29)})
    assert moves.named(late, "calendar_verdict").startswith("act: 2 days too late")
    assert moves.named(late, "answer") == "no-go"
    read = moves.computed(week, readings=(6.9,))  # less than hoped for: a day more
    assert _days(read, "before")[1] == 6.9
    assert _days(read, "target")[1:4] == pytest.approx([7.1, 7.3, 7.5])
    assert moves.named(read, "calendar_left") == 3


def test_failure_12_fine_residents_excuse_no_ph_gap() -> None:
    # The residents drifted with their water down to pH 5.9 and look well; the new fish would meet it at once.
    drifted = DRUM | {"from_ph": 7.0, "to_ph": 5.9, "resident_weight": 8.0, "to_volume": 3000.0, "to_tan": 0.0,
                      "to_nitrite": 0.0}
    values = moves.computed(drifted)
    assert moves.said(values, "Room at the destination") == "fine"
    assert moves.said(values, "pH of both waters").startswith("act")
    assert moves.named(values, "answer") == "no-go"
    sheet = moves.plan("metric").book.workbook[match.SHEET]
    notes = " ".join(str(cell.value) for row in sheet.iter_rows() for cell in row)
    assert "Fish that live there and look well prove nothing" in notes
    # And if they died all the same, within two days, residents well: the sheet after the move points to it.
    died = moves.computed(drifted, more=moves.dead((0, 0), (1, 2), (2, 1)))
    assert "injury or shock in the move" in moves.named(died, "deaths_point_to")
    assert "pH" in moves.named(died, "deaths_point_to")
    both = moves.computed(drifted, more=moves.dead((1, 2), residents=((1, 3),)))
    assert "the water itself" in moves.named(both, "deaths_point_to")


def test_failure_14_salted_haul_water_is_flagged_with_what_it_would_bring() -> None:
    # 15 L at 5 g/L bring 30 mg/L of sodium to 1000 L: 39.34 % of salt is sodium (IUPAC 2021).
    inputs = moves.BUCKET | {"vessel_volume": 15.0, "fill": 1.0, "salt": 5.0, "to_volume": 1000.0}
    values = moves.computed(inputs)
    assert moves.named(values, "salt_brought") == pytest.approx(29.5, abs=0.1)
    assert moves.named(values, "salt_verdict") == "watch: salted haul water: never into the tank, never to plants"
    assert moves.said(values, "Salt in the haul water").startswith("watch")
    assert moves.said(moves.computed(moves.BUCKET), "Salt in the haul water") == "fine"


@pytest.mark.parametrize(("gap", "word", "share"), [(2.0, "fine", 0.5), (4.0, "watch", 0.25)])
def test_wide_temperature_differences_get_smaller_and_more_exchanges(gap: float, word: str, share: float) -> None:
    values = moves.computed(DRUM | {"to_temperature": 25.0 - gap})
    assert moves.named(values, "door_temperature_verdict").startswith(word)
    assert moves.named(values, "exchange_share") == share
    steps = int(moves.named(values, "exchanges"))
    assert abs(_exchange(values, "temperature", steps) - (25 - gap)) <= 1.0
    waits = [_exchange(values, "minute", n + 1) - _exchange(values, "minute", n) for n in range(exchanges.STEPS)]
    assert min(waits) >= 10  # about ten minutes, common practice
    # No faster than 5 °F (2.8 °C) cooling in half an hour (LSU AgCenter).
    cooled = [_exchange(values, "temperature", n) - _exchange(values, "temperature",
        n + 1) for n in range(exchanges.STEPS)]
    assert all(fall / wait <= 5 / 1.8 / 30 * 1.05 for fall, wait in zip(cooled, waits))
