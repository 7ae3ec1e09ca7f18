"""Sheet "Overview": each system at a glance: its latest test, the verdict, what to do next."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import (
    PH,
    Oxygen,
    Percent,
    UnionizedAmmonia,
    WaterTemperature,
)
from pailbook.rules import Sheet
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log import following, latest, limits, system_state_rules, water_rules, water_tests
from pailbook.workbook.farm_log.log import AS_OF, Log, blank_or
from pailbook.workbook.farm_log.water_columns import CLEANED, clean_key
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import Formula, write_table

SHEET = "Overview"
_LATEST = {  # columns of water tests shown for the latest test
    "temperature": Column("temperature", terms.WATER_TEMPERATURE, quantity(WaterTemperature), "result", 11),
    "ph": Column("ph", "pH", quantity(PH), "result", 7),
    "oxygen": Column("oxygen", terms.DISSOLVED_OXYGEN, quantity(Oxygen), "result", 10),
    "saturation": Column("saturation", "Oxygen saturation", quantity(Percent), "result", 11),
    "nh3": Column("nh3", terms.UNIONISED_AMMONIA, quantity(UnionizedAmmonia), "result", 11),
    "tan_n": Column("tan_n", "Total ammonia (TAN) as N\nmg/L", kind="result", width=10, format="0.00"),
    "no2": Column("no2", "Nitrite as NO2\nmg/L", kind="result", width=9, format="0.00"),
    "no3": Column("no3", "Nitrate as NO3\nmg/L", kind="result", width=9, format="0"),
    "po4": Column("po4", "Phosphate as PO4\nmg/L", kind="result", width=10, format="0.0"),
    "alkalinity": Column("alkalinity", f"{terms.ALKALINITY_ONCE} as CaCO3\nmg/L", kind="result", width=11, format="0"),
}
COLUMNS = (
    Column("system", "System", kind="result", width=15),
    Column("client", "Client", kind="result", width=19),
    Column("verdict", "Verdict", kind="result", width=12),
    Column("next", "What to do next", kind="result", width=42),
    Column("why", "Why", kind="result", width=34),
    Column("date", "Latest test", kind="result", width=11, format="yyyy-mm-dd"),
    Column("days", "Days since the latest test", kind="result", width=9, format="0"),
    Column("ammonia_days", "Days since un-ionised ammonia was known", kind="result", width=12, format="0"),
    *_LATEST.values(),
    Column("position", "Row of the latest test", kind="result", width=8, hidden=True),
    Column("test", "Verdict of the latest test", kind="result", width=8, hidden=True),
    Column("kind", "Column of limits", kind="result", width=8, hidden=True),
    Column("urgent", "Its most urgent reading", kind="result", width=8, hidden=True),
    Column("dated", "Whether all its tests have a date", kind="result", width=8, hidden=True),
    Column("urgency", "Order of urgency", kind="result", width=8, hidden=True),
    Column("place", "Place on the list of systems", kind="result", width=8, hidden=True),
    Column("stamp", "Number of the latest test", kind="result", width=8, hidden=True),
)


def table(rows: int) -> Table:
    """Where the table of the latest tests is; a row for each prepared system."""
    return Table(SHEET, COLUMNS, rows)


def write(log: Log) -> None:
    """Writes the sheet of the latest tests."""
    t, tests = log[SHEET], log[water_tests.SHEET]
    sheet = log.book.sheet(SHEET, "The latest test of each system on the sheet Systems. There is nothing to fill in "
                                  "here. Days are counted up to the date on Start; if a test is "
                                  "old, the verdict is worse.")
    named = following.named(log, t)
    not_named = frozenset({"ammonia_days"})  # a text, "never", where it was never known

    def tested(row: int, text: str) -> str:
        return f'IF({t.cell("position", row)}="","",{text})'

    def of_test(key: str) -> Formula:
        """What stands in a column of the latest test."""
        return lambda row: tested(row, tests.at(key, t.cell("position", row)))

    def reading(key: str) -> Formula:
        """A reading as rules read it: in the log's basis, and "not known" where it is none."""
        column = clean_key(key) if key in CLEANED else key
        return lambda row: tested(row, blank_or(tests.at(column, t.cell("position", row))))

    def ammonia_days(row: int) -> str:
        place = t.cell("place", row)
        number = latest.largest(tests.range("nh3_order"), place)
        days = f'IF({number}="","never",MAX(0,INT({AS_OF})-{latest.day(number, place)}))'
        return f'IF(OR({t.cell("position", row)}="",{AS_OF}=""),"",{days})'

    def days(row: int) -> str:
        date = t.cell("date", row)
        return f'IF(OR({date}="",{AS_OF}=""),"",MAX(0,INT({AS_OF})-{date}))'

    def dated(row: int) -> str:
        """1, or nothing where a test of the system has no date and so cannot count."""
        place = t.cell("place", row)
        of_word = "+".join(
            f'COUNTIFS({tests.range("place")},{place},{tests.range("when")},0,{tests.range("verdict")},"{word}")'
            for word in (terms.NOT_KNOWN, terms.ACT))
        return f'IF({place}="","",IF({of_word}=0,1,""))'

    def urgent(row: int) -> str:
        """The urgency of the latest test's readings: that of the most urgent one."""
        cells = {key: t.cell(key, row) for key in _LATEST}
        cells["co2"] = tests.at("co2", t.cell("position", row))
        cells |= {key: limits.bound(key, t.cell("kind", row)) for key in water_rules.LIMITS}
        asking = Sheet(cells, log.book.units, named=water_rules.NAMED, trusted=water_rules.TRUSTED,
                       rounded=water_rules.ROUNDED)
        urgencies = ",".join(map(asking.urgency, system_state_rules.OF_WATER))
        return tested(row, f'IF(ISNUMBER({t.cell("kind", row)}),MIN({urgencies}),"")')

    def asking(row: int) -> Sheet:
        cells = {key: t.cell(key, row) for key in ("urgent", "dated", "test", "days", "ammonia_days")}
        cells |= {key: limits.general(key) for key in ("days_watch", "days_act")}
        cells |= {"name": t.cell("place", row), "today": AS_OF}
        return Sheet(cells, log.book.units, named=not_named)

    def why(row: int) -> str:
        said = tests.at("why", t.cell("position", row))
        reasons = asking(row).reasons((*system_state_rules.WHERE_TESTED, f'IF({said}="","","; "&{said})'))
        return named(row, f"MID({asking(row).reasons((*system_state_rules.ALWAYS, tested(row, reasons)))},3,2000)")

    def position(row: int) -> str:
        stamp = t.cell("stamp", row)
        return f'IF({stamp}="","",MATCH({stamp},{tests.range("order")},0))'

    write_table(
        log.book, sheet, t,
        {
            **{key: reading(key) for key in _LATEST}, "why": why, "position": position, "date": of_test("date"),
            "system": lambda row: following.shown(log, row, t, "system"),
            "client": lambda row: following.shown(log, row, t, "client"),
            "days": days, "ammonia_days": ammonia_days, "test": of_test("verdict"), "kind": of_test("kind"),
            "urgent": urgent, "dated": dated,
            "urgency": lambda row: named(row, asking(row).urgency(system_state_rules.system_state)),
            "verdict": lambda row: named(row, system_state_rules.state_of(t.cell("urgency", row))),
            "next": lambda row: named(row, system_state_rules.step_of(t.cell("urgency", row), log.book.units)),
            "place": lambda row: named(row, following.place(log, t.cell("system", row))),
            "stamp": lambda row: f'IF({t.cell("place", row)}="","",'
                                 f'{latest.largest(tests.range("order"), t.cell("place", row))})',
        },
        freeze="client", verdicts=("verdict",), heading_height=70,
    )
