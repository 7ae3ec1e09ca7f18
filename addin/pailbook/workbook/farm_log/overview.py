"""Sheet "Overview": each system at a glance: its latest test, the verdict, what to do next."""

from __future__ import annotations

from collections.abc import Callable

from pailbook import terms
from pailbook.quantities import (
    PH,
    Oxygen,
    Percent,
    UnionizedAmmonia,
    WaterTemperature,
)
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log import following, latest, limits, settings, water_tests
from pailbook.workbook.farm_log.advice import CALM, step, urgency
from pailbook.workbook.farm_log.log import AS_OF, Log, blank_or, first_that_holds
from pailbook.workbook.farm_log.usable import NO_DATE_TODAY, not_known
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import write_table

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
    clean = [key for key, column in _LATEST.items() if not water_tests.table().column(key).is_input]

    def tested(row: int, text: str) -> str:
        return f'IF({t.cell("position", row)}="","",{text})'

    def reading(key: str) -> Callable[[int], str]:
        factor = settings.factor("basis_alkalinity")

        def text(row: int) -> str:
            cell = tests.at(key, t.cell("position", row))
            if key in clean:
                return tested(row, blank_or(cell))
            number = f"IF(ISNUMBER({factor}),{cell}*{factor},\"{terms.NOT_KNOWN}\")" if key == "alkalinity" else cell
            return tested(row, f'IF(ISNUMBER({cell}),{number},IF(ISERROR({cell}),"{terms.NOT_KNOWN}",'
                               f'IF({cell}="","","{terms.NOT_KNOWN}")))')
        return text

    def ammonia_days(row: int) -> str:
        place = t.cell("place", row)
        number = latest.largest(tests.range("nh3_order"), place)
        days = f'IF({number}="","never",MAX(0,INT({AS_OF})-{latest.day(number, place)}))'
        return f'IF(OR({t.cell("position", row)}="",{AS_OF}=""),"",{days})'

    def days(row: int) -> str:
        date = t.cell("date", row)
        return f'IF(OR({date}="",{AS_OF}=""),"",MAX(0,INT({AS_OF})-{date}))'

    def why(row: int) -> str:
        def undated(word: str) -> str:
            return (f'COUNTIFS({tests.range("place")},{t.cell("place", row)},{tests.range("when")},0,'
                    f'{tests.range("verdict")},"{word}")')

        of_test = tests.at("why", t.cell("position", row))
        count = f"{undated(terms.NOT_KNOWN)}+{undated(terms.ACT)}"
        parts = [f'IF({t.cell("place", row)}="","; {not_known("the name of the system on the sheet Systems")}",'
                 f'IF({count}=0,"","; {not_known("the date of a test")}"))',
                 tested(row, f'IF({AS_OF}="","; "&{NO_DATE_TODAY},"")')]
        for key in ("days_watch", "days_act"):
            said = limits.said_unknown(key)
            parts.append(tested(row, f'IF({limits.general(key)}="{terms.NOT_KNOWN}","; "&{said},"")'))
        parts.append(tested(row, f'IF({of_test}="","","; "&{of_test})'))
        return named(row, f"MID({'&'.join(parts)},3,2000)")

    def verdict(row: int) -> str:
        word = tested(row, tests.at("verdict", t.cell("position", row)))
        act = limits.over(t.cell("days", row), limits.general("days_act"))
        unknown = f'ISNUMBER(FIND("{not_known("")}",{t.cell("why", row)}))'
        return named(row, first_that_holds((
            (f'OR({word}="{terms.ACT}",{act})', f'"{terms.ACT}"'), (unknown, f'"{terms.NOT_KNOWN}"'),
            (f'{t.cell("urgency", row)}<{CALM}', f'"{terms.WATCH}"'),
        ), f'"{terms.FINE}"'))

    def position(row: int) -> str:
        stamp = t.cell("stamp", row)
        return f'IF({stamp}="","",MATCH({stamp},{tests.range("order")},0))'

    write_table(
        log.book, sheet, t,
        {
            **{key: reading(key) for key in _LATEST}, "why": why, "verdict": verdict, "position": position,
            "date": lambda row: tested(row, tests.at("date", t.cell("position", row))), "ammonia_days": ammonia_days,
            "system": lambda row: following.shown(log, row, t, "system"),
            "client": lambda row: following.shown(log, row, t, "client"),
            "days": days,
            "urgency": lambda row: named(row, urgency(*(
                t.cell(key, row) for key in ("position", "why", "days", "ammonia_days")))),
            "next": lambda row: named(row, step(t.cell("urgency", row))),
            "place": lambda row: named(row, following.place(log, t.cell("system", row))),
            "stamp": lambda row: f'IF({t.cell("place", row)}="","",'
                                 f'{latest.largest(tests.range("order"), t.cell("place", row))})',
        },
        freeze="client", verdicts=("verdict",), heading_height=70,
    )
