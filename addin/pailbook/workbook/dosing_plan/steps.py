"""What a day's doses do to pH, at once and settled: a base, or a phosphate as its hydroxide and its acid.

A phosphate salt does to water what phosphoric acid does together with the hydroxide that turns it into that salt. So
the salts and their blend are calculated in two steps: the hydroxide first, then the acid. A base has the first alone.
"""

from __future__ import annotations

from pailbook.functions.equilibrium import MG_CACO3_PER_EQ, MG_PO4_PER_MOL
from pailbook.workbook.columns import Table
from pailbook.workbook.dosing_plan.nutrients import HYDROXIDE_PER_ACID
from pailbook.workbook.form import Plan
from pailbook.workbook.sheets import Formula
from pailbook.workbook.texts import with_numbers

CACO3_PER_PO4 = MG_CACO3_PER_EQ / MG_PO4_PER_MOL  # mg of alkalinity as CaCO3 for one equivalent with each mol
_HYDROXIDE, _ACID = "KOH", "H3PO4"
COLUMNS = (
    ("first", "First step"), ("first_amount", "g of it, pure"), ("acid", "g of acid, pure"),
    ("once_1", "pH between, at once"), ("settled_1", "pH between, settled"), ("alkalinity_1", "Alkalinity between"),
)


def formulas(
    plan: Plan, t: Table, *, rise: Formula, phosphate: Formula, charge: Formula, ph: Formula, alkalinity: Formula,
    base: Formula | None = None,
) -> dict[str, Formula]:
    """The formulas of the columns above, and of "once" and "settled"; each argument is formula text for a row.

    Parameters
    ----------
    rise : mg/L of PO4 that the dose brings, 0 for none.
    phosphate, ph, alkalinity : before the dose.
    charge : equivalents of alkalinity with each mol of phosphate.
    base : g of pure base given instead, on other days.
    """
    book = plan.book

    def first(row: int) -> str:
        return f'IF(SUM({base(row)})>0,{plan["base"]},"{_HYDROXIDE}")' if base else f'"{_HYDROXIDE}"'

    def first_amount(row: int) -> str:
        acid = t.cell("acid", row)
        text = with_numbers((acid, charge(row)), f"(1+{charge(row)})*{acid}*{HYDROXIDE_PER_ACID:.12g}", "0")
        return f"IF(SUM({base(row)})>0,{base(row)},{text})" if base else text

    def acid(row: int) -> str:
        return with_numbers((plan["acid_per"],), f"({rise(row)})*{plan['acid_per']}", "0")

    def after(chemical: str, amount: str, water: tuple[str, str], timing: str, row: int) -> str:
        ph_then, alkalinity_then = water
        call = book.call(
            "PH_AFTER_DOSE", chemical, amount, plan["volume"], ph_then, alkalinity_then, plan["temperature"],
            phosphate(row), "100", f'"{timing}"', plan["conductivity"], "0", plan["calcium"], plan["magnesium"])
        known = with_numbers((ph_then, alkalinity_then, plan["temperature"], plan["volume"]), f'IFERROR({call},"")')
        return f"IF({amount}>0,{known},{ph_then})"

    def between(timing: str) -> Formula:
        return lambda row: after(t.cell("first", row), t.cell("first_amount", row), (ph(row), alkalinity(row)), timing,
                                 row)

    def final(timing: str, key: str) -> Formula:
        return lambda row: after(f'"{_ACID}"', t.cell("acid", row), (t.cell(key, row), t.cell("alkalinity_1", row)),
                                 timing, row)

    def alkalinity_1(row: int) -> str:
        first_cell, amount = t.cell("first", row), t.cell("first_amount", row)
        call = book.call("ALKALINITY_ADDED", first_cell, amount, plan["volume"], "100")
        return with_numbers((alkalinity(row), plan["volume"]),
                            f"{alkalinity(row)}+IF({amount}>0,{call},0)")

    def shown(key: str, timing: str) -> Formula:
        text = final(timing, key)
        return lambda row: f'IF({t.cell(key, row)}="","",{text(row)})'

    return {
        "first": first, "first_amount": first_amount, "acid": acid, "once_1": between("at once"),
        "settled_1": between("settled"), "alkalinity_1": alkalinity_1, "once": shown("once_1", "at once"),
        "settled": shown("settled_1", "settled"),
    }
