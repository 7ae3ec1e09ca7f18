"""Sheet "Water tests": what was read, and what follows from it.

The input columns, their keys and their order are what a reader of records fills in.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from pailbook.rules import Entries, Rule, Sheet
from pailbook.rules.clean_cell import clean_number
from pailbook.rules.row_entries import every_fault, is_usable, named_faults
from pailbook.rules.words import BEFORE_REASON, reasoned, spelt
from pailbook.terms import FINE, NOT_KNOWN, WATCH
from pailbook.workbook.columns import Table, picking
from pailbook.workbook.farm_log import kits, latest, limits, settings, systems, water_rules
from pailbook.workbook.farm_log.log import ELEVATION, Log, first_that_holds
from pailbook.workbook.farm_log.water_columns import CLEANED, IN_BASIS, clean_key
from pailbook.workbook.farm_log.water_columns import INPUTS as INPUTS
from pailbook.workbook.farm_log.water_columns import RESULTS as RESULTS
from pailbook.workbook.sheets import Formula, write_table
from pailbook.workbook.validation import LATEST

SHEET = "Water tests"
ROWS = 500
_BEGINNING = "."  # of the reasons of a row: where nothing stands behind it, all is fine


def table(rows: int = ROWS, systems_list: str = "") -> Table:
    """Where the sheet's table is; systems are picked from that range."""
    return Table(SHEET, picking(INPUTS + RESULTS, "system", systems_list), rows)


def write(log: Log) -> None:
    """Writes the sheet."""
    book, t = log.book, log[SHEET]
    sheet = book.sheet(SHEET, "One row per test, in any order. Leave blank what you did not test. If the water "
                              "reads below the lowest value of the kit, type that lowest value.")

    typed = {value: column.key for value, column in water_rules.VALUES.items()}
    asked = {one.name: one for one in water_rules.entries.questions}

    def cleaned(name: str) -> Formula:
        """Formula text for a reading's clean cell, in the log's basis."""
        column = t.column(typed[name])
        factor = settings.factor(column.basis) if column.basis else ""
        return lambda row: clean_number(
            asked[name], t.cell(column.key, row), book.units, factor, beyond=water_rules.BEYOND)

    def value(name: str, row: int) -> str:
        """The cell with a value in the log's basis: a number, "" where there is none, or a text where it is wrong."""
        return t.cell(clean_key(name) if name in CLEANED else name, row)

    def calculated(row: int, needed: tuple[str, ...], text: str) -> str:
        # A reading that no water has, which is named under Why, has no answer.
        cells = [value(name, row) for name in needed]
        return f'IF(COUNT({",".join(cells)})<{len(cells)},"",IFERROR({text},""))'

    def nh3(row: int) -> str:
        needed = ("tan_n", "ph", "temperature")
        cells = (value(name, row) for name in (*needed, "conductivity"))
        return calculated(row, needed, book.call("AMMONIA_UNIONIZED", *cells))

    def saturation(row: int) -> str:
        needed = ("oxygen", "temperature")
        at = t.cell("place", row)
        height = f'IF({at}="",{ELEVATION},{log[systems.SHEET].at("elevation_used", at)})'
        return calculated(row, needed, book.call("OXYGEN_PERCENT", *(value(one, row) for one in needed), "0", height))

    def co2(row: int) -> str:
        ph, alkalinity, temperature, po4, ec = (
            value(name, row) for name in ("ph", "alkalinity", "temperature", "po4", "conductivity"))
        return calculated(row, ("ph", "alkalinity", "temperature"), book.call(
            "CARBON_DIOXIDE", ph, alkalinity, temperature, po4, ec, '""', '""'))

    def filled(row: int, text: str) -> str:
        return f'IF(COUNTA({t.span("temperature", "conductivity", row)})=0,"",{text})'

    def when(row: int) -> str:
        # The row's own tiny share makes each stamp differ, so that it also finds its row.
        date, time = t.cell("date", row), t.cell("time", row)
        clock = f"IF({is_usable(asked['time'], time, book.units)},{time},0)"
        return f"IF({is_usable(asked['date'], date, book.units)},{date}+{clock}+ROW()*1E-9,0)"

    def place(row: int) -> str:
        system = t.cell("system", row)
        return f'IF(ISBLANK({system}),"",IFERROR(MATCH({system},{log[systems.SHEET].range("system")},0),""))'

    def kind(row: int) -> str:
        at = t.cell("place", row)
        return filled(row, f'IF({at}="",{len(limits.KINDS)},{log[systems.SHEET].at("kind", at)})')

    def nh3_order(row: int) -> str:
        return f'IF(ISNUMBER({t.cell("nh3", row)}),{t.cell("order", row)},"")'

    def where(row: int) -> dict[str, str]:
        cells = {name: value(name, row) for name in (*typed, "nh3", "saturation", "co2")}
        cells |= {key: limits.bound(key, t.cell("kind", row)) for key in water_rules.LIMITS}
        cells |= {"date": t.cell("when", row), "system": t.cell("place", row)}
        return cells | {f"{IN_BASIS.get(reads.key, reads.key)}_{end}": kits.in_use(log, f"{end}_end", reads.key)
                        for reads in kits.READS for end in reads.ends}

    def faults(row: int) -> str:
        at = t.cell("place", row)
        of_system = f'IF({at}="",1,{log[systems.SHEET].at("usable", at)})'
        cells = where(row) | {"date": f'IF({t.cell("when", row)}=0,"",1)'}
        entered = {name: t.cell(key, row) for name, key in (*typed.items(), ("time", "time"))}
        return every_fault(
            water_rules.entries, cells, book.units, typed=entered, sentences=faulty, beyond=water_rules.BEYOND,
            together=(Entries(of_system, water_rules.OF_SYSTEM),
                      Entries(limits.usable(t.cell("kind", row)), frozenset(water_rules.LIMITS))))

    def of_kit(row: int, key: str) -> str:
        """What is said of a reading because of its kit: at an end of its range, and after the kit's last day."""
        last_day, said = (kits.in_use(log, part, key) for part in ("good_until", "late"))
        late_said = f'IF({t.cell("when", row)}>={last_day}+1,{said},"")'
        return of_reading(row, IN_BASIS.get(key, key), [water_rules.RANGES.get(key), late_said])

    sentences = {spelt(said, book.units): limits.reason_at(key) for key, said in water_rules.REASONS.items()}
    faulty = {spelt(said, book.units): limits.fault_at(place, said == pair[0])
              for place, pair in enumerate(water_rules.FAULTS) for said in pair}
    sentences |= {reasoned(WATCH, reads.at_end(end)): kits.in_use(log, f"{end}_reason", reads.key)
                  for reads in kits.READS for end in reads.ends}

    def of_reading(row: int, name: str, rules: Sequence[Rule | str | None]) -> str:
        """What rules say that ask one reading, looking once whether it is there."""
        asking = Sheet(where(row), book.units, named=water_rules.NAMED, trusted=water_rules.TRUSTED | {name},
                       rounded=water_rules.ROUNDED, sentences=sentences)
        said = "&".join(one if isinstance(one, str) else asking.reason(one) for one in rules if one)
        return f'IF(ISNUMBER({value(name, row)}),{said},"")'

    def of_readings(row: int, rules: Sequence[Rule]) -> list[Rule | str]:
        """The rules, those in a row that ask the same reading taken together."""
        found: list[Rule | str] = []
        for name, group in groupby(rules, water_rules.reading_of):
            alike = list(group)
            found += [of_reading(row, name, alike)] if name else alike
        return found

    def reasons(row: int) -> str:
        """All reasons, the deadliest first."""
        asking = Sheet(
            where(row), book.units, named=water_rules.NAMED, trusted=water_rules.TRUSTED,
            rounded=water_rules.ROUNDED, sentences=sentences)
        found = asking.reasons([
            *of_readings(row, water_rules.DEADLY), named_faults(t.cell("faults", row)),
            *of_readings(row, water_rules.OTHER), *(of_kit(row, reads.key) for reads in kits.READS)])
        return f'"{_BEGINNING}"&{found}'

    def why(row: int) -> str:
        return f'MID({t.cell("reasons", row)},{len(_BEGINNING + BEFORE_REASON) + 1},2000)'

    def verdict(row: int) -> str:
        """The word, from the reasons; not known where they were overwritten."""
        every = t.cell("reasons", row)
        word = first_that_holds((
            *((f'ISNUMBER(FIND("{mark}",{every}))', f'"{of}"') for mark, of in water_rules.MARKS),
            (f'{every}="{_BEGINNING}"', f'"{FINE}"'),
        ), f'"{NOT_KNOWN}"')
        return f'IFERROR({word},"{NOT_KNOWN}")'

    write_table(
        book, sheet, t,
        {
            "verdict": lambda row: filled(row, verdict(row)), "why": lambda row: filled(row, why(row)),
            "nh3": nh3, "saturation": saturation, "co2": co2,
            **{name: cleaned(name) for name in IN_BASIS.values()},
            **{clean_key(name): cleaned(name) for name in CLEANED},
            "when": when, "place": place, "nh3_order": nh3_order,
            "order": lambda row: filled(row, latest.order(t.cell("place", row), t.cell("when", row))),
            "faults": lambda row: filled(row, faults(row)),
            "reasons": lambda row: filled(row, reasons(row)), "kind": kind,
        },
        freeze="temperature", bases=settings.heading_cells(), verdicts=("verdict",), heading_height=58,
    )
    # What was typed stands on paper once: the same readings in the log's basis would make all letters smaller.
    sheet.print_area = f"A1:{t.letter('co2')}{t.last_row}"


def late(log: Log, key: str) -> str:
    """Formula text for what the kit's rule says of a reading on the last of all days, in the kit's column of Kits."""
    rule = water_rules.KITS[key]
    value = IN_BASIS.get(key, key)
    where = {value: "1", "date": str(LATEST)} | {
        f"{value}_{part}": kits.in_use(log, of, key)
        for part, of in (("kit", "usable"), ("good", "good"), ("name", "kit"))}
    return Sheet(where, log.book.units, named=water_rules.NAMED, trusted=water_rules.TRUSTED).reasons([rule])
