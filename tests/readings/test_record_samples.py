"""Two real records, see data/SOURCES.txt. What should go in is counted here from the files themselves."""

from __future__ import annotations

import csv
import datetime
from collections import Counter
from pathlib import Path

import pandas
import pytest

import pailbook
from pailbook.workbook.readings import NeedsAnswer, read_readings

TAN, TAN_AS_NH3, NH3 = "ammonia_tan_mg_l", "ammonia_tan_as_nh3_mg_l", "ammonia_nh3_mg_l"


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_carp_record_asks_for_the_one_basis_that_its_headings_leave_open(carp: Path) -> None:
    with pytest.raises(NeedsAnswer) as caught:
        read_readings(carp)
    (question,) = caught.value.questions
    assert TAN in question.about
    assert [text for text, _ in question.choices] == [f'--map "{TAN}=tan:{basis}"' for basis in ("N", "NH3", "NH4")]


def test_the_carp_record_goes_in_whole(carp: Path) -> None:
    # The data set's own dictionary of columns (see data/SOURCES.txt) says of this one: TAN as NH3-N, so as nitrogen.
    readings = read_readings(carp, mapping=[f"{TAN}=tan:N"])
    frame, account, source = readings.frame, readings.account, rows_of(carp)
    assert (account.rows_read, len(frame)) == (20, 20)
    assert [account.rows_not_entered, account.values_not_entered] == [[], []]
    assert [account.duplicates, account.conflicts] == [[], []]
    for entry in frame.to_dict("records"):
        row = source[entry["row"] - 2]
        assert str(entry["date"].date()) == row["date"]
        assert f'{entry["time"]:%H:%M}' == row["time"]
        assert (entry["system"], entry["ph"], entry["temperature"], entry["oxygen"]) == (
            row["pond_id"], float(row["ph"]), float(row["temperature_c"]), float(row["dissolved_oxygen_mg_l"]))
    assert int(frame["tan"].notna().sum()) == sum(bool(row[TAN] or row[TAN_AS_NH3]) for row in source)
    assert frame.loc[frame["row"] == 13, "tan"].item() == 2.02  # as nitrogen, as it stands
    unused = dict(account.columns_not_used)
    assert set(unused) == set(source[0]) - {"pond_id", "date", "time", "dissolved_oxygen_mg_l", "ph", "temperature_c",
                                            TAN,
                                            TAN_AS_NH3}
    assert "dissolved solids" in unused["tds_ppt"]
    assert "un-ionised" in unused[NH3]


def test_un_ionised_ammonia_of_the_carp_record_agrees_with_its_own_column(carp: Path) -> None:
    # By the data set's dictionary of columns (see data/SOURCES.txt) both are expressed as NH3 there, rounded to 0.01.
    # The functions calculate with nitrogen; NH3/N is 1.21589 by IUPAC 2021 atomic weights.
    frame = read_readings(carp, mapping=[f"{TAN}=tan:N"]).frame
    compared = 0
    for number, row in enumerate(rows_of(carp), start=2):
        if row[NH3] and row["ph"] and row["temperature_c"]:
            ours = frame[frame["row"] == number].iloc[0]
            nitrogen = pailbook.ammonia_unionized(ours["tan"], ours["ph"], ours["temperature"])
            assert nitrogen * 1.21589 == pytest.approx(float(row[NH3]), abs=0.006), number
            compared += 1
    assert compared == 6


def test_the_long_record_asks_which_column_is_the_system(long_pond: Path) -> None:
    with pytest.raises(NeedsAnswer) as caught:
        read_readings(long_pond)
    (question,) = caught.value.questions
    assert {text for text, _ in question.choices} == {'--map "waterbody=system"', '--map "site=system"'}


def test_the_long_record(long_pond: Path) -> None:
    readings = read_readings(long_pond, mapping=["waterbody=system", "site=system"])
    frame, account, source = readings.frame, readings.account, rows_of(long_pond)
    moments = list(dict.fromkeys((row["date"], row["time"]) for row in source))
    assert (account.rows_read, account.tests, len(frame)) == (len(source), len(moments), 3)
    assert set(frame["system"]) == {"pond A b"}
    assert list(frame["time"]) == [datetime.time(12, 45), datetime.time(13), datetime.time(14)]  # the clock on the wall
    for key, variable, factor in (("temperature", "water temperature", 1), ("oxygen", "dissolved oxygen conc.", 1),
                                  ("ph", "ph", 1), ("conductivity", "specific conductivity", 1000)):
        for entry, (date, time) in zip(frame.to_dict("records"), moments):
            written = [row["value"] for row in source if (row["date"], row["time"], row["variable"]) == (date, time,
                                                                                                         variable)]
            if pandas.isna(entry[key]):
                assert written in ([], ["12.76"], ["0"])
            else:
                assert entry[key] == pytest.approx(float(written[0]) * factor)
    assert [(one.row, one.column, one.found) for one in account.values_not_entered] == [
        (3, "ph", '"12.76"'), (4, "specific conductivity", '"0"')]
    assert "value greater than historic maximum" in account.values_not_entered[0].reason  # the record's own note
    assert [account.rows_not_entered, account.duplicates, account.conflicts] == [[], [], []]
    used = {"water temperature", "ph", "specific conductivity", "dissolved oxygen conc."}
    others = Counter(row["variable"] for row in source if row["variable"] not in used)
    for variable, count in others.items():
        (why,) = [why for name, why in account.columns_not_used if name.startswith(variable)]
        assert why.endswith(f"({count} row{'s' if count > 1 else ''})")
    assert "America/New_York" in str(account)
