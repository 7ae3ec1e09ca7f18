"""The benchmarks run; what they measure is for people to read."""

from __future__ import annotations

import pytest

from benchmarks.__main__ import main
from benchmarks.measure import Measured, race, table


def test_the_benchmarks_run(capsys: pytest.CaptureFixture[str]) -> None:
    main(["--calls", "3", "--rows", "50", "--cells", "2", "4", "--rounds", "1", "--office-cells", "4",
          "--log-rows", "6"])
    shown = capsys.readouterr().out
    for line in ("Single calls", "Columns of 50 rows", "x oxygen: gsw.O2sol", "FRACTION, checked", "4 plain formulas",
                 "4 calls made plain"):
        assert line in shown


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
