"""The benchmarks run; what they measure is for people to read."""

from __future__ import annotations

import pytest

import calc
from benchmarks.__main__ import main
from benchmarks.measure import Measured, race, table
from benchmarks.suite import columns

SMALL = ["--calls", "3", "--rows", "50", "--cells", "2", "4", "--rounds", "1"]
LINES = ("Single calls", "Columns of 50 rows", "x oxygen: gsw.O2sol", "FRACTION, checked", "4 plain formulas",
         "4 calls made plain")


def test_the_benchmarks_run(capsys: pytest.CaptureFixture[str]) -> None:
    main([*SMALL, "--log-rows", "--office-cells", "0"])
    shown = capsys.readouterr().out
    assert [line for line in LINES if line not in shown] == []


@pytest.mark.long
def test_those_of_a_whole_log_and_in_libreoffice_run(capsys: pytest.CaptureFixture[str]) -> None:
    main([*SMALL, "--log-rows", "6", "--office-cells", "4"])
    shown = capsys.readouterr().out
    assert "most memory of the first" in shown
    assert ("one array call, 20 rows" in shown) == calc.available()


@pytest.mark.long
@pytest.mark.parametrize("name", ["OXYGEN_SATURATION", "AMMONIA_FRACTION"])
def test_a_checked_column_takes_at_most_half_of_what_gsw_takes(name: str) -> None:
    """Beside gsw's solubility of oxygen by absolute salinity and conservative temperature, in the same run."""
    seconds = {line.what: line.seconds for line in columns(200_000, 5)}
    assert seconds[f"{name}, checked"] < seconds["oxygen: gsw.O2sol"] / 2


def test_the_table_compares() -> None:
    text = table([Measured("one", 0.5, 1000), Measured("other", 0.002, 1000, "one"), Measured("slow", 2.0, 1, "one")])
    assert text.splitlines()[1:] == [
        "  one    500 µs    500 ms",
        "  other    2 µs      2 ms  0.00 x one",
        "  slow     2 s       2 s   4000.00 x one",
    ]


def test_a_race_keeps_the_best_round() -> None:
    runs: list[str] = []
    best = race({"one": lambda: runs.append("one"), "other": lambda: runs.append("other")}, 3)
    assert runs == ["one", "other"] * 3
    assert set(best) == {"one", "other"}
    assert all(0 <= seconds < 1 for seconds in best.values())
