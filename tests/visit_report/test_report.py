"""The visit report: for one client alone, from whatever state a log is in, and readable in each."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from typer.testing import CliRunner

import calc
import pailbook.cli  # noqa: F401 - enters the commands
from pailbook import terms
from pailbook.commands.app import app
from pailbook.demo import scenario
from pailbook.outcomes import BadInput
from pailbook.visit_report import make, sentences
from pailbook.visit_report.make import Report, make_report
from pailbook.visit_report.parameters import RULES
from pailbook.workbook import front
from pailbook.workbook.check import tasks
from pailbook.workbook.farm_log import upkeep, water_moves
from pailbook.workbook.farm_log.system_state_rules import URGENT
from pailbook.workbook.package import Workbook
from render import text_of as printed
from seasons import CLIENT, DAY, OTHER, OTHERS_TANK, SYSTEMS, TANK, log_file, reading, systems_in
from thorough import first

DEMO = Path(__file__).parents[2] / "demo_workbooks" / "farm-log.xlsx"
TESTS = [reading(day, temperature=26.0, ph=7.2, oxygen=6.0, tan=0.5, nitrite=0.1, alkalinity=80.0 - day)
         for day in (0, 7, 14)]

GAPS: list[dict[str, Any]] = [
    {"ph": 7.3}, {"oxygen": 6.0}, {}, {"tan": 0.3}, {"ph": 7.2, "temperature": 25.0, "tan": 0.2}]


def report(log: Path, target: Path, client: str = CLIENT, since: str = "2026-05-01", **options: Any) -> Report:
    return make_report(log, client, since, target, **options)


def lines(path: Path, sheet: str = "Visit report") -> list[list[Any]]:
    """The rows of the sheet, without their blank cells."""
    rows = openpyxl.load_workbook(path)[sheet].iter_rows(values_only=True)
    return [[value for value in row if value is not None] for row in rows if any(value is not None for value in row)]


def text_of(path: Path, sheet: str = "Visit report") -> str:
    return "\n".join(" | ".join(map(str, line)) for line in lines(path, sheet))


def row_of(path: Path, first: str) -> list[Any]:
    return next(line for line in lines(path) if line[0] == first)


def parts(path: Path) -> Iterator[tuple[str, bytes]]:
    with zipfile.ZipFile(path) as file:
        for name in file.namelist():
            yield name, file.read(name)


# What it says -------------------------------------------------------------------------------------------


def test_it_says_what_was_found_and_how_it_compares_with_the_limits(tmp_path: Path) -> None:
    tests = [*TESTS, reading(20, time=time(7, 45), temperature=26.0, ph=7.2, oxygen=2.4, tan=0.5)]
    log = log_file(tmp_path / "log.xlsx", {"Water tests": tests}, as_of=DAY + timedelta(days=20))
    target = report(log, tmp_path / "report.xlsx").files[0]
    # Oxygen: three times 6.0 in TESTS and 2.4 now, below the limit of 3 for warm-water fish (common practice).
    _, value, unit, when, span, limits, verdict = row_of(target, terms.DISSOLVED_OXYGEN)
    assert (value, unit, when, span) == (2.4, "mg/L", "2026-05-21 07:45", "2.4 to 6.0")
    assert "act below" in limits
    assert verdict == "act: oxygen low"
    assert "dissolved oxygen (watch below 5, act below 3 mg/L)" in text_of(target)  # where the limits come from
    # Alkalinity was read a week earlier.
    assert row_of(target, terms.ALKALINITY_ONCE)[1:5] == [66, "mg/L as CaCO3", "2026-05-15", "66 to 80"]
    # At pH 7.2 and 26 °C the un-ionised share is 0.0096 (UF/IFAS FA16, table from Emerson et al. 1975), which rounds.
    assert row_of(target, terms.UNIONISED_AMMONIA)[1] == pytest.approx(0.5 * 0.0096, abs=0.5 * 0.0001)
    # Fresh water in balance with air holds 8.11 mg/L at 26 °C (from memory of the table in APHA 4500-O).
    assert row_of(target, "Oxygen saturation")[1] == pytest.approx(100 * 2.4 / 8.11, rel=2e-3)
    assert row_of(target, TANK)[1] == "act"
    # What a client reads first: the sentence, the number and its limit (5 and 3: common practice), then what to do.
    summary, _, to_do = row_of(target, TANK)[2].partition("\nWhat to do: ")
    assert summary.startswith(
        "The oxygen in School tank is too low for the fish: 2.4 mg/L on 2026-05-21; it should be 5 or more.")
    assert to_do == URGENT[0].remedy


def test_a_reading_that_stands_only_in_a_note_is_named_below_the_table(tmp_path: Path) -> None:
    """The kit's range ends at 10 mg/L: what it cannot show is no number, and the range of the numbers is not all."""
    middle, last = DAY + timedelta(days=6), DAY + timedelta(days=12)
    tests = [
        {"date": DAY, "system": TANK, "phosphate": 9.7, "nitrate": 23.0, "note": "Phosphate was read as ~9.7"},
        {"date": middle, "system": TANK, "nitrate": 25.0, "note": "fed late; Phosphate was read as >10"},
        {"date": last, "system": TANK, "nitrate": 24.0, "note": "Phosphate was read as >10"},
        {"date": last, "system": OTHERS_TANK, "nitrate": 24.0, "note": "Nitrite was read as >4"},
    ]
    log = log_file(tmp_path / "log.xlsx", {"Water tests": tests}, as_of=DAY + timedelta(days=20))
    target = report(log, tmp_path / "report.xlsx").files[0]
    assert row_of(target, terms.PHOSPHATE)[4] == "9.7"
    text = text_of(target)
    assert f'The log notes that phosphate was read as ">10" in 2 tests from {middle} to {last}.' in text
    assert "~9.7" not in text  # this one was entered
    assert ">4" not in text


@pytest.mark.parametrize(("item", "which", "to_do", "done"), [
    ("pH meter calibrated", "pH meter", "Calibrate the pH meter", "pH meter calibrated"),
    ("pump cleaned", "sump", "Clean the pump (sump)", "pump cleaned (sump)"),
    ("nets disinfected", "", "Disinfect the nets", "nets disinfected"),
    ("other", "heater", "heater", "heater"), ("other", "", "other", "other"),
])
def test_upkeep_in_words(item: str, which: str, to_do: str, done: str) -> None:
    assert (tasks.to_do(item, which), tasks.done(item, which)) == (to_do, done)


def test_every_task_of_the_log_has_its_words() -> None:
    (items,) = (column.choices for column in upkeep.COLUMNS if column.key == "item")
    assert [item for item in items if tasks.to_do(item, "") == item] == ["other"]


def test_fish_survival_and_causes(tmp_path: Path) -> None:
    fish = [
        {"date": DAY - timedelta(days=30), "system": TANK, "event": "stocked", "count": 100, "mean": 80.0},
        {"date": DAY - timedelta(days=3), "system": TANK, "event": "died", "count": 4},
        {"date": DAY + timedelta(days=2), "system": TANK, "event": "moved in", "count": 54, "cause": "own hatch"},
        {"date": DAY + timedelta(days=5), "system": TANK, "event": "died", "count": 2, "cause": "jumped"},
        {"date": DAY + timedelta(days=6), "system": TANK, "event": "died", "count": 1, "cause": "injury",
         "note": "net tear"},
        {"date": DAY + timedelta(days=7), "system": TANK, "event": "found fewer", "count": 5},
    ]
    log = log_file(tmp_path / "log.xlsx", {"Fish": fish, "Water tests": TESTS}, as_of=DAY + timedelta(days=20))
    target = report(log, tmp_path / "report.xlsx").files[0]
    row = next(line for line in lines(target) if line[0] == TANK and len(line) == 7)
    # 100 - 4 + 54 - 2 - 1 - 5 fish of 80 g in the 2.4 m³ of the school's tank.
    assert row[1:5] == [142, 80, pytest.approx(142 * 0.08), pytest.approx(142 * 0.08 / 2.4)]
    # 3 of 150 died: 98.0 %; the Wilson interval by hand (z = 1.96): 94.3 % to 99.3 %.
    assert row[5] == "98.0 % (94.3 to 99.3 %): 3 of 150 fish died; 5 more were missing at a count"
    text = text_of(target)
    assert "School tank | 2026-05-06 | 2 fish died. Cause: jumped." in text
    assert "School tank | 2026-05-07 | 1 fish died. Cause: injury (net tear)." in text
    assert "School tank | 2026-05-08 | 5 fish missing at a count. The cause is not recorded." in text
    assert "Latest weighing: School tank 2026-04-01." in text


def test_what_was_done_is_summed_up(tmp_path: Path) -> None:
    rows: dict[str, list[dict[str, Any]]] = {
        "Doses": [*({"date": DAY + timedelta(days=day), "system": TANK, "aim": "raise pH", "product": "KHCO3, pure",
                     "amount": 40.0, "unit": "g", "before": 7.2, "after": 7.2 + rise} for day, rise in
                    ((1, 0.1), (3, 0.18), (5, 0.05))),
                  {"date": DAY, "system": TANK, "aim": "lower pH", "product": "acid, 10 %", "amount": 90.0,
                   "unit": "mL", "before": 7.7, "after": 7.2}],
        "Water added and changed": [
            {"date": DAY + timedelta(days=2), "system": TANK, "how": "changed", "volume": 300.0,
             "source": "tap water with chlorine", "chlorine": "no"},
            {"date": DAY + timedelta(days=4), "system": TANK, "how": "topped up", "volume": 20.0,
             "source": "haul water"},
            {"date": DAY + timedelta(days=9), "system": OTHERS_TANK, "how": "changed", "volume": 77.0}],
        "Plants harvested": [
            {"date": DAY, "system": TANK, "crop": "chard", "plants": 10, "mass": 2.5},
            *({"date": DAY, "system": TANK, "crop": "mint", "plants": plants, "mass": mass}
              for plants, mass in ((12, 1.5), ("a few", 0.5), (None, "some"))),
            {"date": DAY, "system": TANK, "crop": "basil", "plants": -2, "mass": -1.0}],
        "Feed": [{"date": DAY + timedelta(days=day), "system": TANK, "feed": feed, "eaten": eaten}
                 for day, feed, eaten in ((0, 120.0, "all"), (1, 120.0, "some"), (2, None, "all"))],
        "Upkeep": [{"date": DAY, "item": "pH meter calibrated", "every": 14},
                   {"date": DAY + timedelta(days=1), "system": OTHERS_TANK, "item": "pump cleaned", "every": 14}],
        "Incidents": [{"date": DAY - timedelta(days=60), "system": TANK, "what": "leak", "story": "drip at the sump"}],
    }
    log = log_file(tmp_path / "log.xlsx", rows, as_of=DAY + timedelta(days=20))
    text = text_of(report(log, tmp_path / "report.xlsx").files[0])
    assert "Dosed to raise pH: 120 g of KHCO3, pure, in 3 doses; pH changed by at most +0.18." in text
    # 0.2 a day is the log's limit (common practice).
    assert f"{water_moves.TWICE_TOO_FAST}. Dosed to lower pH: 90 mL of acid, 10 %; pH changed by -0.50." in text
    # 20 and 300 of 2,400 L.
    assert f"{water_moves.HAUL_IN}. Water topped up: 20 L, 1 % of the system at once; source: haul water." in text
    assert (f"{water_moves.CHLORINE_IN}. Water changed: 300 L, 12 % of the system at once; source: tap water with "
            "chlorine; chlorine was not taken out.") in text
    assert "Harvested chard: 2.5 kg, 10 plants." in text
    assert "Harvested mint: at least 2 kg in total, 3 times, at least 12 plants." in text
    assert "Harvested basil: an unknown amount, an unknown number of plants." in text
    # The third day's amount is not known, so the sum is what it is at least.
    assert "Fed at least 240 g in total on 3 recorded days; much was left once." in text
    assert "all systems | 2026-05-01 | pH meter calibrated." in text
    assert ("all systems | 2026-05-15 | act: overdue. Calibrate the pH meter. The last time was 2026-05-01."
            in text)
    assert "Leak: drip at the sump. Still open." in text
    assert "The incident of 2026-03-02 (leak) is still open" in text
    assert "pump cleaned" not in text
    assert front.ACIDS_AND_BASES in text


def test_what_a_steady_fall_will_reach_is_due(tmp_path: Path) -> None:
    # Alkalinity falls by 2 a day from 90: at the watch limit of 40 (common practice) after 25 days, 2026-05-26.
    tests = [reading(day, temperature=24.0, ph=7.2, tan=0.1, alkalinity=90.0 - 2 * day) for day in (0, 3, 6, 9)]
    log = log_file(tmp_path / "log.xlsx", {"Water tests": tests}, as_of=DAY + timedelta(days=9))
    text = text_of(report(log, tmp_path / "one.xlsx").files[0])
    # No kit is known, so a reading may be as far off as readings differ: half of 6 either way. By hand: (6 / 12^0.5)
    # / 45^0.5 is the standard error, times 1.96 is 0.5.
    assert ("School tank | 2026-05-26 | Alkalinity falls by 2 mg/L as CaCO3 a day (95 % interval ± 0.5). It will be at "
            "its limit of 40 at about this date.") in text
    # 7 days, the log's limit
    assert "School tank | 2026-05-17 | Test the water. The last time was 2026-05-10." in text
    # After a dose the readings before it no longer count.
    dose = [{"date": DAY + timedelta(days=8), "system": TANK, "aim": "alkalinity", "amount": 1.0, "unit": "g"}]
    log = log_file(tmp_path / "dosed.xlsx", {"Water tests": tests, "Doses": dose}, as_of=DAY + timedelta(days=9))
    assert "falls by" not in text_of(report(log, tmp_path / "two.xlsx").files[0])


def test_a_task_is_due_from_the_last_time_that_can_be_used(tmp_path: Path) -> None:
    """As on the sheet Upkeep: the case of a name does not matter, and a row with a wrong entry replaces nothing."""
    rows = [{"date": DAY, "system": TANK, "item": "pump cleaned", "which": "Sump", "every": 20},
            {"date": DAY + timedelta(days=4), "system": TANK, "item": "pump cleaned", "which": "sump", "every": 10},
            {"date": DAY + timedelta(days=6), "system": TANK, "item": "pump cleaned", "which": "sump", "every": "soon"},
            {"date": DAY, "item": "battery tried", "every": 5},
            {"date": DAY + timedelta(days=5), "item": "battery tried"}]  # done once more, not to be done again
    log = log_file(tmp_path / "log.xlsx", {"Upkeep": rows}, as_of=DAY + timedelta(days=9))
    due = [line.text for line in report(log, tmp_path / "r.xlsx").content.due]
    assert [text for text in due if "pump" in text] == ["Clean the pump (sump). The last time was 2026-05-05."]
    assert not any("battery" in text for text in due)


def test_due_stops_at_the_next_visit(tmp_path: Path) -> None:
    log = log_file(tmp_path / "log.xlsx", {"Water tests": TESTS}, as_of=DAY + timedelta(days=14))
    assert "Test the water." in text_of(report(log, tmp_path / "a.xlsx", next_visit="2026-05-22").files[0])
    assert "Test the water." not in text_of(report(log, tmp_path / "b.xlsx", next_visit="2026-05-21").files[0])


def test_an_expired_kit_is_watch_and_named_with_its_date(tmp_path: Path) -> None:
    # Two kits of the scenario, and a reading five days after the first one expired.
    kits = [{"kit": "phosphate powder sachets", "reads": "phosphate", "basis": "PO4", "resolution": 0.5, "low": 0.5,
             "high": 25.0, "expiry": date(2026, 5, 31), "in_use": "yes"},
            {"kit": "nitrate strips", "reads": "nitrate", "basis": "NO3", "resolution": 5.0, "low": 5.0, "high": 150.0,
             "expiry": date(2026, 12, 1), "in_use": "yes"}]
    tests = [*TESTS, reading(35, temperature=22.0, ph=7.4, oxygen=7.0, tan=0.2, phosphate=8.0)]
    log = log_file(tmp_path / "log.xlsx", {"Water tests": tests, "Kits": kits}, as_of=date(2026, 6, 6))
    target = report(log, tmp_path / "report.xlsx", next_visit="2026-12-01").files[0]
    text = text_of(target)
    assert "| 2026-05-31 | watch: phosphate powder sachets expired on 2026-05-31; a new kit is needed." in text
    assert "test kits | 2026-12-01 | Replace by this date: nitrate strips." in text
    assert row_of(target, TANK)[1] == "watch"


def test_every_rule_has_a_sentence_for_each_of_its_verdicts() -> None:
    for rule in RULES:
        act, watch = sentences.OF_RULES[rule.key, rule.above]
        assert watch
        assert bool(act) == bool(rule.act), rule
        for text in filter(None, (act, watch)):
            assert "{system}" in text
            assert not terms.refused(text)
    assert len(sentences.OF_RULES) == len({(rule.key, rule.above) for rule in RULES})


def test_new_fish_are_watched(tmp_path: Path) -> None:
    fish = [{"date": DAY, "system": TANK, "event": "stocked", "count": 10, "mean": 50.0}]
    log = log_file(tmp_path / "log.xlsx", {"Fish": fish}, as_of=DAY + timedelta(days=2))
    # 21 days, common practice.
    assert "School tank | 2026-05-22 | New fish came on 2026-05-01: watch them every day until this date." in text_of(
        report(log, tmp_path / "r.xlsx").files[0])


@pytest.mark.parametrize(("units", "volume"), first([("us", "634 US gal"), ("metric", "2,400 L")]))
def test_units_are_the_logs(tmp_path: Path, units: str, volume: str) -> None:
    log = log_file(tmp_path / "log.xlsx", {"Water tests": [reading(0, temperature=30.0 if units == "metric" else 86.0,
                                                                   oxygen=7.0)]}, units=units, as_of=DAY)
    target = report(log, tmp_path / "r.xlsx").files[0]
    assert f"(channel catfish, {volume})" in text_of(target)
    assert row_of(target, terms.WATER_TEMPERATURE)[2] == ("°C" if units == "metric" else "°F")
    # 7.56 mg/L at 30 °C (EN 25814, table of oxygen solubility).
    assert row_of(target, "Oxygen saturation")[1] == pytest.approx(100 * 7.0 / 7.56, rel=1e-3)


def test_us_english_leaves_alone_what_users_typed(tmp_path: Path) -> None:
    # Names and notes with words that US English spells differently, which no name of the scenario has.
    client, system = "Grey Litre School", "Colour tank"
    rows = {"Water tests": [reading(0, system, temperature=75.0, ph=7.3, tan=0.4)],
            "Upkeep": [{"date": DAY, "system": system, "item": "grey mould wiped off", "every": 14}]}
    systems = [{**systems_in("us")[0], "client": client, "system": system}]
    log = log_file(tmp_path / "log.xlsx", rows, units="us", as_of=DAY, systems=systems)
    text = text_of(report(log, tmp_path / "report.xlsx", client).files[0])
    assert client in text
    assert f"What was found: {system} (" in text
    assert "Grey mould wiped off." in text
    assert terms.american(terms.UNIONISED_AMMONIA) in text
    assert terms.UNIONISED_AMMONIA not in text


# Nobody else's words ------------------------------------------------------------------------------------


def test_not_a_byte_of_another_client(tmp_path: Path) -> None:
    rows = {
        # "Sunken cellar" is on no list, so no system of the scenario can stand for it.
        "Water tests": [*TESTS, reading(3, OTHERS_TANK, ph=7.3, note="smells of brimstone"),
                        reading(4, "Sunken cellar", ph=7.4), reading(9, note="filter from the sunken cellar"),
                        reading(15, ph=7.2, note=f"vessel from {OTHER.upper()}")],
        "Fish": [
            {"date": DAY, "system": TANK, "event": "moved in", "count": 5, "mean": 50.0,
             "cause": f"from the {OTHERS_TANK.lower()} of Quillon  Court", "note": "by the back gate"},
            {"date": DAY, "system": TANK, "event": "died", "count": 1, "cause": f"fight with {OTHERS_TANK}s fish"},
            {"date": DAY, "system": OTHERS_TANK, "event": "died", "count": 1, "cause": "ragwort in the intake"}],
        "Upkeep": [{"date": DAY, "item": "nets disinfected", "which": f"those of {OTHERS_TANK}"}],
        "Incidents": [{"date": DAY, "system": OTHERS_TANK, "what": "theft", "story": "silver heirloom net gone"},
                      {"date": DAY, "system": TANK, "what": "other", "story": "Varrowby School shut"}],
        "Kits": [{"kit": f"strips left at {OTHER}", "reads": "nitrate", "basis": "NO3", "in_use": "yes",
                  "expiry": DAY}],
    }
    log = log_file(tmp_path / "log.xlsx", rows, as_of=DAY + timedelta(days=20))
    made = report(log, tmp_path / "report.xlsx")
    assert made.content.changed >= 4
    assert "taken out" in " ".join(made.notes)
    forbidden = (
        "Quillon", "Court", "wall", "4711", "gate code", "brimstone", "ragwort", "heirloom", "cellar", str(log))
    for name, content in parts(made.files[0]):
        text = re.sub(r"<[^>]+>", "", content.decode("utf-8", "replace")) + content.decode("utf-8", "replace")
        for word in forbidden:
            assert word.casefold() not in text.casefold(), (name, word)
    text = text_of(made.files[0])
    assert "Varrowby School shut" in text
    assert "(another site)" in text


def test_the_demos_reports_keep_to_themselves(tmp_path: Path) -> None:
    words = {scenario.SCHOOL: ("Varrowby", "School", "kitchen"), scenario.COURTYARD: ("Quillon", "Court wall", "herbs")}
    for client in words:
        target = report(DEMO, tmp_path / f"{client}.xlsx", client, "2026-03-01").files[0]
        for name, content in parts(target):
            for word in (word for other in words if other != client for word in words[other]):
                assert word.encode() not in content, (client, name, word)
            assert scenario.NORTH_RAFT.name.encode() not in content


# Whatever state the log is in ---------------------------------------------------------------------------


# Names that no client of the scenario has: an apostrophe, signs of XML, other scripts, what begins like a formula.
@pytest.mark.parametrize(
    "client", first(["Varrow's & Sons <pond>", "Школа «Заря»", "魚菜学校 三号", "=1+1", "Łąka; Çay"], 3))
def test_a_client_may_have_any_name(tmp_path: Path, client: str) -> None:
    systems = [SYSTEMS[0] | {"client": client, "system": "School's & \"no. 1\""}, SYSTEMS[1]]
    tests = [reading(day, "School's & \"no. 1\"", ph=7.2, temperature=25.0, note="=2+2") for day in (0, 5)]
    log = log_file(tmp_path / "log.xlsx", {"Water tests": tests}, systems=systems, as_of=DAY + timedelta(days=6))
    typed = "  " + client.upper().replace("'", "’") + " "
    target = report(log, tmp_path / "report.xlsx", typed).files[0]
    assert lines(target)[1] == [client]
    book = openpyxl.load_workbook(target)
    assert all(cell.data_type != "f" for sheet in book.worksheets for row in sheet.iter_rows() for cell in row)
    assert row_of(target, "pH")[1] == 7.2


@pytest.mark.parametrize("tests", first([[], [reading(0, ph=7.1)], [reading(0, note="came too late to test")],
                                   [reading(day, **one) for day, one in enumerate(GAPS)],
                                   # A text in place of a number, and oxygen that no water holds.
                                   [reading(0, ph="7,1 or so", oxygen=99.0)], [{"system": TANK, "ph": 7.3}]], 3))
def test_gaps_one_reading_and_no_counts_give_a_readable_report(tmp_path: Path, tests: list[dict[str, Any]]) -> None:
    log = log_file(tmp_path / "log.xlsx", {"Water tests": tests}, as_of=DAY + timedelta(days=9))
    made = report(log, tmp_path / "report.xlsx")
    text = text_of(made.files[0])
    assert "The log has no entries about fish." in text
    for heading in ("Summary", f"What was found: {TANK}", "What was done", "Safety notes"):
        assert heading in text
    assert not re.search(r"\b(nan|NaT|None|inf)\b", text)
    if tests and "date" not in tests[0]:
        assert "no proper date: 1" in text


def test_a_time_without_rows_gives_a_report_that_says_so(tmp_path: Path) -> None:
    log = log_file(tmp_path / "log.xlsx", {"Water tests": TESTS}, as_of=DAY + timedelta(days=20))
    made = report(log, tmp_path / "report.xlsx", since="2026-06-15")
    text = text_of(made.files[0])
    assert "The log has no tests of these systems and no work on them from 2026-06-15 to 2026-06-15" in text
    assert "There was no test from 2026-06-15 on; these readings are older." in text
    assert row_of(made.files[0], "pH")[1:4] == [7.2, "2026-05-15", "not read since"]
    assert "There were no tests in this period." in text_of(made.files[0], "Readings")
    assert "the report says so" in " ".join(made.notes)


def test_rows_are_found_by_headings_in_a_log_that_was_changed(tmp_path: Path) -> None:
    log = log_file(tmp_path / "log.xlsx", {"Water tests": TESTS}, as_of=DAY + timedelta(days=20))
    book = openpyxl.load_workbook(log)
    tests = book["Water tests"]
    tests.title = "Wasser 2026"
    tests.insert_rows(1, 3)
    tests.insert_cols(4)
    tests.cell(7, 4).value = "My own column"
    first = 8
    rows = [[cell.value for cell in row][:15] for row in tests.iter_rows(first, first + 2)]
    for number, values in enumerate(reversed(rows), first):  # sorted the other way, the last one far below
        for column, value in enumerate(values, 1):
            tests.cell(number if number < first + 2 else 700, column).value = value
    for column in range(1, 16):
        tests.cell(first + 2, column).value = None
    book.save(tmp_path / "changed.xlsx")
    before, after = (text_of(report(path, tmp_path / f"{path.stem}-report.xlsx").files[0])
                     for path in (log, tmp_path / "changed.xlsx"))
    assert after == before


@pytest.mark.libreoffice
def test_a_log_saved_by_another_program_gives_the_same_and_prints_on_two_pages(tmp_path: Path) -> None:
    calc.needed()
    saved = calc.convert(DEMO, "xlsx", tmp_path / "saved")
    one, other = (report(path, tmp_path / f"{number}.xlsx", "Quillon Court", "2026-04-01", pdf=path is saved)
                  for number, path in enumerate((DEMO, saved)))
    assert text_of(other.files[0]) == text_of(one.files[0])
    pages = [page for page in printed(other.files[1]).split("\f") if page.strip()]
    assert len(pages) == 2
    assert "Quillon Court" in pages[0]
    assert "Trends: Court wall" in pages[1]


# Charts -------------------------------------------------------------------------------------------------


def test_charts_show_the_readings_with_dates_and_limits(tmp_path: Path) -> None:
    log = log_file(tmp_path / "log.xlsx", {"Water tests": TESTS}, as_of=DAY + timedelta(days=20))
    target = report(log, tmp_path / "report.xlsx").files[0]
    charts = [content.decode() for name, content in parts(target) if re.fullmatch(r"xl/charts/chart\d+\.xml", name)]
    assert len(charts) == 6
    readings = openpyxl.load_workbook(target)["Readings"]
    assert [readings[f"A{row}"].value for row in (5, 6, 7)] == [datetime(2026, 5, day) for day in (1, 8, 15)]
    for chart in charts:
        ranges = re.findall(r"<(?:c:)?f>'?Readings'?!\$([A-Z]+)\$(\d+):\$[A-Z]+\$(\d+)<", chart)
        assert ranges[0] == ("A", "5", "7")
        assert len(ranges) in (4, 6), chart  # the readings, and one or two limits
        for column, top, bottom in ranges:
            assert all(readings[f"{column}{row}"].value is not None for row in range(int(top), int(bottom) + 1))


# Refusals -----------------------------------------------------------------------------------------------


def test_an_unknown_client_gets_the_list_of_those_in_the_file(tmp_path: Path) -> None:
    log = log_file(tmp_path / "log.xlsx")
    with pytest.raises(BadInput, match=r"no client 'Varowby Skool'; expected one of: Quillon Court, Varrowby School"):
        report(log, tmp_path / "report.xlsx", "Varowby Skool")
    own = log_file(tmp_path / "own.xlsx", systems=[{"system": scenario.NORTH_RAFT.name}])
    with pytest.raises(BadInput, match=r"has no client .*; fill in the column Client"):
        report(own, tmp_path / "report.xlsx")
    assert not (tmp_path / "report.xlsx").exists()


def test_a_system_that_two_have_is_refused(tmp_path: Path) -> None:
    log = log_file(tmp_path / "log.xlsx", systems=[SYSTEMS[0], SYSTEMS[1] | {"system": "SCHOOL tank "}])
    with pytest.raises(BadInput, match="gives the system 'SCHOOL tank' to 'Varrowby School' and to somebody else too"):
        report(log, tmp_path / "report.xlsx")


@pytest.mark.parametrize("since", ["1.5.2026", "May", "2026-02-30", "", "05/01/2026", "2026-5"])
def test_a_bad_date_is_explained(tmp_path: Path, since: str) -> None:
    with pytest.raises(BadInput, match=f"--since is {re.escape(repr(since))}; expected a date as year-month-day"):
        report(log_file(tmp_path / "log.xlsx"), tmp_path / "report.xlsx", since=since)


def test_what_is_no_log_is_refused(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.save(tmp_path / "other.xlsx")
    with pytest.raises(BadInput, match=r"other.xlsx: no sheet has the headings of"):
        report(tmp_path / "other.xlsx", tmp_path / "report.xlsx")
    (tmp_path / "text.xlsx").write_text("no workbook", encoding="utf-8")
    with pytest.raises(BadInput, match=r"text\.xlsx"):
        report(tmp_path / "text.xlsx", tmp_path / "report.xlsx")


def test_nothing_is_replaced_unasked(tmp_path: Path) -> None:
    log, target = log_file(tmp_path / "log.xlsx"), tmp_path / "report.xlsx"
    target.write_text("mine", encoding="utf-8")
    with pytest.raises(BadInput, match="already exists"):
        report(log, target)
    assert target.read_text(encoding="utf-8") == "mine"
    assert report(log, target, overwrite=True).files == (target,)
    assert "Visit report" in Workbook(target).sheets
    with pytest.raises(BadInput, match=r"an \.xlsx file; give it a name"):
        report(log, tmp_path / "report.ods")


def test_the_command_says_what_it_found(tmp_path: Path) -> None:
    log = log_file(tmp_path / "log.xlsx", {"Water tests": TESTS}, as_of=date(2026, 5, 21))
    done = CliRunner().invoke(app, ["report", str(log), "--client", CLIENT, "--since", "2026-05-01", "-o",
                                    str(tmp_path / "report.xlsx")])
    assert done.exit_code == 0, done.output
    assert f"{TANK}: " in done.stdout
    assert f"wrote {tmp_path / 'report.xlsx'}" in done.stdout


def test_without_a_program_to_print_nothing_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def missing() -> None:
        raise BadInput("LibreOffice was not found")

    monkeypatch.setattr(make, "needed", missing)
    log = log_file(tmp_path / "log.xlsx")
    with pytest.raises(BadInput, match="was not found"):
        report(log, tmp_path / "report.xlsx", pdf=True)
    assert [path.name for path in tmp_path.iterdir()] == ["log.xlsx"]
    assert report(log, tmp_path / "report.xlsx").files
