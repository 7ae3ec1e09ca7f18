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
from pailbook.commands.app import app
from pailbook.outcomes import BadInput
from pailbook.visit_report import make
from pailbook.visit_report.make import Report, make_report
from pailbook.workbook.package import Workbook
from render import text_of as printed
from seasons import CLIENT, DAY, OTHER, OTHERS_TANK, SYSTEMS, TANK, log_file, reading
from thorough import first

DEMO = Path(__file__).parents[2] / "demo_workbooks" / "farm-log.xlsx"
TESTS = [reading(day, temperature=26.0, ph=7.0, oxygen=6.0, tan=0.5, nitrite=0.1, alkalinity=80.0 - day)
         for day in (0, 7, 14)]

GAPS: list[dict[str, Any]] = [
    {"ph": 7.0}, {"oxygen": 6.0}, {}, {"tan": 0.3}, {"ph": 7.2, "temperature": 25.0, "tan": 0.2}]


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


def test_it_says_what_was_found_and_how_it_stands_against_the_limits(tmp_path: Path) -> None:
    tests = [*TESTS, reading(20, time=time(7, 45), temperature=26.0, ph=7.0, oxygen=2.4, tan=0.5)]
    log = log_file(tmp_path / "log.xlsx", {"Water tests": tests}, as_of=DAY + timedelta(days=20))
    target = report(log, tmp_path / "report.xlsx").files[0]
    # Of oxygen as of TESTS: 6.0 thrice and 2.4 now, below any warm-water fish's limit of 3 (common practice).
    _, value, unit, when, span, limits, verdict = row_of(target, "Dissolved oxygen")
    assert (value, unit, when, span) == (2.4, "mg/L", "2026-05-21 07:45", "2.4 to 6.0")
    assert "act below" in limits
    assert verdict == "act: oxygen low"
    # Alkalinity was read a week earlier.
    assert row_of(target, "Alkalinity")[1:5] == [66, "mg/L as CaCO3", "2026-05-15", "66 to 80"]
    # The share of ammonia that is un-ionised at pH 7 and 26 °C is 0.60 % (Emerson et al. 1975, table 2).
    assert row_of(target, "Un-ionised ammonia")[1] == pytest.approx(0.5 * 0.0060, abs=0.5 * 0.00006)
    # Fresh water in balance with air holds 8.11 mg/L at 26 °C (from memory of the table in APHA 4500-O).
    assert row_of(target, "Oxygen saturation")[1] == pytest.approx(100 * 2.4 / 8.11, rel=2e-3)
    assert row_of(target, TANK)[1] == "act"
    assert row_of(target, TANK)[2].startswith("More air now.")


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
    # 100 - 4 + 54 - 2 - 1 - 5 fish of 80 g in 2 m³.
    assert row[1:5] == [142, 80, pytest.approx(142 * 0.08), pytest.approx(142 * 0.08 / 2)]
    # 3 of 150 died: 98.0 %; the Wilson interval by hand (z = 1.96): 94.3 % to 99.3 %.
    assert row[5] == "98.0% (94.3% to 99.3%): 3 of 150 died; 5 more not found at a count"
    said = text_of(target)
    assert "Big tank | 2026-05-06 | 2 died: jumped" in said
    assert "Big tank | 2026-05-07 | 1 died: injury; net tear" in said
    assert "Weighed on: Big tank 2026-04-01" in said
    assert "cause not written down" in said  # the five that were not found


def test_what_was_done_is_summed_up(tmp_path: Path) -> None:
    rows = {
        "Doses": [*({"date": DAY + timedelta(days=day), "system": TANK, "aim": "raise pH", "product": "KHCO3, pure",
                     "amount": 40.0, "unit": "g", "before": 6.5, "after": 6.5 + rise} for day, rise in
                    ((1, 0.1), (3, 0.18), (5, 0.05))),
                  {"date": DAY, "system": TANK, "aim": "lower pH", "product": "acid, 10 %", "amount": 90.0,
                   "unit": "mL", "before": 7.4, "after": 6.9}],
        "Water added and changed": [
            {"date": DAY + timedelta(days=2), "system": TANK, "how": "changed", "volume": 300.0,
             "source": "tap water with chlorine", "chlorine": "no"},
            {"date": DAY + timedelta(days=4), "system": TANK, "how": "topped up", "volume": 20.0,
             "source": "haul water"},
            {"date": DAY + timedelta(days=9), "system": OTHERS_TANK, "how": "changed", "volume": 77.0}],
        "Plants harvested": [{"date": DAY, "system": TANK, "crop": "chard", "plants": 10, "mass": 2.5}],
        "Feed": [{"date": DAY + timedelta(days=day), "system": TANK, "feed": 120.0, "eaten": "all"} for day in (0, 1)],
        "Upkeep": [{"date": DAY, "item": "pH meter calibrated", "every": 14},
                   {"date": DAY + timedelta(days=1), "system": OTHERS_TANK, "item": "pump cleaned", "every": 14}],
        "Incidents": [{"date": DAY - timedelta(days=60), "system": TANK, "what": "leak", "story": "drip at the sump"}],
    }
    log = log_file(tmp_path / "log.xlsx", rows, as_of=DAY + timedelta(days=20))
    said = text_of(report(log, tmp_path / "report.xlsx").files[0])
    assert "raise pH: KHCO3, pure, 3 times, 120 g in all, pH moved by +0.18 at most" in said
    # 0.2 a day is the log's limit (common practice).
    assert ("act: pH moved by over twice the limit; smaller doses; lower pH: acid, 10 %, 90 mL, pH moved by -0.50"
            in said)
    assert "act: haul water does not belong here (salt, ammonia, disease); water topped up from haul water" in said
    assert "act: take the chlorine out before tap water goes in; water changed from mains with" in said
    assert "harvested chard, 2.5 kg, 10 plants" in said
    assert "fed 240 g on 2 days that were written down" in said
    assert "all systems | 2026-05-01 | pH meter calibrated" in said
    assert "all systems | 2026-05-15 | act: overdue; pH meter calibrated: do it again. Last on 2026-05-01." in said
    assert "leak: drip at the sump; still open" in said
    assert "leak of 2026-03-02 is still open" in said
    assert "pump cleaned" not in said
    assert "Acids and bases burn" in said


def test_what_a_steady_fall_will_reach_is_due(tmp_path: Path) -> None:
    # Alkalinity falls by 2 a day from 72: at the watch level of 40 after 16 days, 2026-05-17.
    tests = [reading(day, temperature=24.0, ph=7.2, tan=0.1, alkalinity=72.0 - 2 * day) for day in (0, 3, 6, 9)]
    log = log_file(tmp_path / "log.xlsx", {"Water tests": tests}, as_of=DAY + timedelta(days=9))
    said = text_of(report(log, tmp_path / "one.xlsx").files[0])
    assert "Big tank | 2026-05-17 | alkalinity low: falls by 2 a day" in said
    assert "Big tank | 2026-05-17 | Test the water. Last on 2026-05-10." in said  # 7 days, the log's limit
    # A dose in between makes the readings before it say nothing.
    dose = [{"date": DAY + timedelta(days=8), "system": TANK, "aim": "alkalinity", "amount": 1.0, "unit": "g"}]
    log = log_file(tmp_path / "dosed.xlsx", {"Water tests": tests, "Doses": dose}, as_of=DAY + timedelta(days=9))
    assert "falls by" not in text_of(report(log, tmp_path / "two.xlsx").files[0])


def test_due_stops_at_the_next_visit(tmp_path: Path) -> None:
    log = log_file(tmp_path / "log.xlsx", {"Water tests": TESTS}, as_of=DAY + timedelta(days=14))
    assert "Test the water." in text_of(report(log, tmp_path / "a.xlsx", next_visit="2026-05-22").files[0])
    assert "Test the water." not in text_of(report(log, tmp_path / "b.xlsx", next_visit="2026-05-21").files[0])


def test_new_fish_are_watched(tmp_path: Path) -> None:
    fish = [{"date": DAY, "system": TANK, "event": "stocked", "count": 10, "mean": 50.0}]
    log = log_file(tmp_path / "log.xlsx", {"Fish": fish}, as_of=DAY + timedelta(days=2))
    # 21 days, common practice.
    assert "Big tank | 2026-05-22 | New fish of 2026-05-01: watch them daily until then." in text_of(
        report(log, tmp_path / "r.xlsx").files[0])


@pytest.mark.parametrize(("units", "volume"), first([("us", "2,000 US gal"), ("metric", "2,000 L")]))
def test_units_are_the_logs(tmp_path: Path, units: str, volume: str) -> None:
    log = log_file(tmp_path / "log.xlsx", {"Water tests": [reading(0, temperature=30.0 if units == "metric" else 86.0,
                                                                   oxygen=7.0)]}, units=units, as_of=DAY)
    target = report(log, tmp_path / "r.xlsx").files[0]
    assert f"(tilapia, {volume})" in text_of(target)
    assert row_of(target, "Water temperature")[2] == ("°C" if units == "metric" else "°F")
    # 7.56 mg/L at 30 °C (EN 25814, table of oxygen solubility).
    assert row_of(target, "Oxygen saturation")[1] == pytest.approx(100 * 7.0 / 7.56, rel=1e-3)


# Nobody else's words ------------------------------------------------------------------------------------


def test_not_a_byte_of_another_client(tmp_path: Path) -> None:
    rows = {
        "Water tests": [*TESTS, reading(3, OTHERS_TANK, ph=6.1, note="smells of brimstone"),
                        reading(4, "Sunken cellar", ph=6.2), reading(9, note="filter from the sunken cellar"),
                        reading(15, ph=7.0, note=f"bucket from {OTHER.upper()}")],
        "Fish": [
            {"date": DAY, "system": TANK, "event": "moved in", "count": 5, "mean": 50.0,
             "cause": f"from the {OTHERS_TANK.lower()} of Dr.  Ottoline Ferrow-Quist", "note": "by the back gate"},
            {"date": DAY, "system": TANK, "event": "died", "count": 1, "cause": f"fight with {OTHERS_TANK}s fish"},
            {"date": DAY, "system": OTHERS_TANK, "event": "died", "count": 1, "cause": "ragwort in the intake"}],
        "Upkeep": [{"date": DAY, "item": "nets disinfected", "which": f"those of {OTHERS_TANK}"}],
        "Incidents": [{"date": DAY, "system": OTHERS_TANK, "what": "theft", "story": "silver heirloom koi gone"},
                      {"date": DAY, "system": TANK, "what": "other", "story": "Marsh Lane Nursery shut"}],
        "Kits": [{"kit": f"strips left at {OTHER}", "reads": "nitrate", "basis": "NO3", "in_use": "yes",
                  "expiry": DAY}],
    }
    log = log_file(tmp_path / "log.xlsx", rows, as_of=DAY + timedelta(days=20))
    made = report(log, tmp_path / "report.xlsx")
    assert made.content.changed >= 4
    assert "taken out" in " ".join(made.notes)
    forbidden = ("Ottoline", "Ferrow", "Vault", "carp of", "4711", "gate code", "brimstone", "ragwort", "heirloom",
                 "cellar", "koi", str(log))
    for name, content in parts(made.files[0]):
        text = re.sub(r"<[^>]+>", "", content.decode("utf-8", "replace")) + content.decode("utf-8", "replace")
        for word in forbidden:
            assert word.casefold() not in text.casefold(), (name, word)
    said = text_of(made.files[0])
    assert "Marsh Lane Nursery shut" in said
    assert "(another site)" in said


def test_the_demos_reports_keep_to_themselves(tmp_path: Path) -> None:
    words = {"Hollow Oak School": ("Hollow", "School", "kitchen"), "Quillon Court": ("Quillon", "Court wall", "herbs")}
    for client in words:
        target = report(DEMO, tmp_path / f"{client}.xlsx", client, "2026-03-01").files[0]
        for name, content in parts(target):
            for word in (word for other in words if other != client for word in words[other]):
                assert word.encode() not in content, (client, name, word)
            assert b"North raft" not in content


# Whatever state the log is in ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    "client", first(["O'Hara & Sons <aquatic>", "Рыбная ферма «Омуль»", "魚菜農園 三号", "=1+1", "Łąka; Çay"], 3))
def test_a_client_may_have_any_name(tmp_path: Path, client: str) -> None:
    systems = [SYSTEMS[0] | {"client": client, "system": "Tank's & \"no. 1\""}, SYSTEMS[1]]
    tests = [reading(day, "Tank's & \"no. 1\"", ph=7.0, temperature=25.0, note="=2+2") for day in (0, 5)]
    log = log_file(tmp_path / "log.xlsx", {"Water tests": tests}, systems=systems, as_of=DAY + timedelta(days=6))
    typed = "  " + client.upper().replace("'", "’") + " "
    target = report(log, tmp_path / "report.xlsx", typed).files[0]
    assert lines(target)[1] == [client]
    book = openpyxl.load_workbook(target)
    assert all(cell.data_type != "f" for sheet in book.worksheets for row in sheet.iter_rows() for cell in row)
    assert row_of(target, "pH")[1] == 7


@pytest.mark.parametrize("tests", first([[], [reading(0, ph=7.1)], [reading(0, note="came too late to test")],
                                   [reading(day, **one) for day, one in enumerate(GAPS)],
                                   [reading(0, ph="7,1 or so", oxygen=99.0)], [{"system": TANK, "ph": 7.0}]], 3))
def test_gaps_one_reading_and_no_counts_give_a_readable_report(tmp_path: Path, tests: list[dict[str, Any]]) -> None:
    log = log_file(tmp_path / "log.xlsx", {"Water tests": tests}, as_of=DAY + timedelta(days=9))
    made = report(log, tmp_path / "report.xlsx")
    said = text_of(made.files[0])
    assert "No fish are written down" in said
    for heading in ("In short", f"What was found: {TANK}", "What was done", "Cautions, and who to ask"):
        assert heading in said
    assert not re.search(r"\b(nan|NaT|None|inf)\b", said)
    if tests and "date" not in tests[0]:
        assert "no proper date: 1" in said


def test_a_time_without_rows_gives_a_report_that_says_so(tmp_path: Path) -> None:
    log = log_file(tmp_path / "log.xlsx", {"Water tests": TESTS}, as_of=DAY + timedelta(days=20))
    made = report(log, tmp_path / "report.xlsx", since="2026-06-15")
    said = text_of(made.files[0])
    assert "The log has no tests and no work of these systems from 2026-06-15 to 2026-06-15" in said
    assert "No test from 2026-06-15 on; these readings are older." in said
    assert row_of(made.files[0], "pH")[1:4] == [7, "2026-05-15", "read before"]
    assert "No tests in this time." in text_of(made.files[0], "Readings")
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
    with pytest.raises(BadInput, match=r"no client 'Mersh Lane'; expected one of: Dr. Ottoline Ferrow-Quist, Marsh"):
        report(log, tmp_path / "report.xlsx", "Mersh Lane")
    with pytest.raises(BadInput, match=r"has no client .*; fill in the column Client"):
        report(log_file(tmp_path / "own.xlsx", systems=[{"system": "Pond"}]), tmp_path / "report.xlsx")
    assert not (tmp_path / "report.xlsx").exists()


def test_a_system_that_two_have_is_refused(tmp_path: Path) -> None:
    log = log_file(tmp_path / "log.xlsx", systems=[SYSTEMS[0], SYSTEMS[1] | {"system": "BIG tank "}])
    with pytest.raises(BadInput, match="'BIG tank' is on the sheet Systems for 'Marsh Lane Nursery' and for somebody"):
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
    with pytest.raises(BadInput, match="is there already"):
        report(log, target)
    assert target.read_text(encoding="utf-8") == "mine"
    assert report(log, target, overwrite=True).files == (target,)
    assert "Visit report" in Workbook(target).sheets
    with pytest.raises(BadInput, match=r"an \.xlsx file; give a name"):
        report(log, tmp_path / "report.ods")


def test_the_command_tells_what_it_found(tmp_path: Path) -> None:
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
