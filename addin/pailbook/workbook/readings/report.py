"""What became of a record: what was entered, what was not entered and why, which columns were used and how."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pandas

_SHOWN = 12  # entries of a list that the summary shows before it says how many more there are


@dataclass(frozen=True)
class NotEntered:
    """A value that was not entered, or without a column a whole row. `row` is the file's, as a spreadsheet shows it."""

    row: int
    column: str
    found: str
    reason: str

    def __str__(self) -> str:
        return _of_rows([self])


@dataclass(frozen=True)
class ColumnUse:
    """How a column was used: the field, and the unit and basis in which it was read and how that is known."""

    column: str
    field: str
    unit: str
    known_by: str

    def __str__(self) -> str:
        unit = f", {self.unit}" if self.unit else ""
        return f"{self.column}: {self.field}{unit}" + (f" ({self.known_by})" if self.known_by else "")


@dataclass
class Account:
    """The account of reading a record file.

    `rows_read` counts the file's rows below the headings; `tests` counts the rows for a log that they make, and
    `rows_not_entered` lists those that could not be used. A long record gives one test for several rows.
    """

    source: Path
    rows_read: int = 0
    tests: int = 0
    long: bool = False
    columns: list[ColumnUse] = field(default_factory=list)
    columns_not_used: list[tuple[str, str]] = field(default_factory=list)
    rows_not_entered: list[NotEntered] = field(default_factory=list)
    values_not_entered: list[NotEntered] = field(default_factory=list)
    bounds: list[NotEntered] = field(default_factory=list)  # "<0.25" that was entered as 0.25
    duplicates: list[tuple[int, int]] = field(default_factory=list)  # row, and the earlier row that it repeats
    conflicts: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def not_entered_table(self) -> pandas.DataFrame:
        """All that was not entered: row, column ("" for a whole row), found, reason."""
        entries = sorted([*self.rows_not_entered, *self.values_not_entered], key=lambda one: one.row)
        rows = [(one.row, one.column, one.found, one.reason) for one in entries]
        table: pandas.DataFrame = pandas.DataFrame(rows, columns=["row", "column", "found", "reason"])
        return table

    def lines(self) -> list[str]:
        """The account in lines for people."""
        make = f", with one reading per row; together they make {_count(self.tests, 'test')}" if self.long else ""
        lines = [f"{self.source}: {_count(self.rows_read, 'row')} read{make}"]
        lines += _listed("columns used", map(str, self.columns), limit=0)
        lines += [f"note: {remark}" for remark in self.remarks]
        lines += _listed(f"{_count(len(self.rows_not_entered), 'row')} not entered", _grouped(self.rows_not_entered))
        lines += _listed(
            f"{_count(len(self.values_not_entered), 'value')} not entered", _grouped(self.values_not_entered))
        lines += _listed(
            "outside the range of the kit or meter, entered as the end of the range", _grouped(self.bounds))
        lines += _listed(f"{_count(len(self.duplicates), 'repeated row')} left out",
                         (f"row {row} repeats row {first}" for row, first in self.duplicates))
        lines += _listed("different tests of the same system, date and time, all of them entered", self.conflicts)
        whys: dict[str, list[str]] = {}
        for name, why in self.columns_not_used:
            whys.setdefault(why, []).append(name)
        lines += _listed("columns not used", (f"{', '.join(names)}: {why}" for why, names in whys.items()), limit=0)
        return lines

    def __str__(self) -> str:
        return "\n".join(self.lines())


@dataclass
class ImportReport:
    """What an import did to a log: the account of the record, and how its tests were entered."""

    account: Account
    log: Path
    out: Path
    entered: int = 0
    sheet: str = ""  # of water tests, as the log calls it
    rows: list[int] = field(default_factory=list)  # of that sheet
    already_there: list[int] = field(default_factory=list)  # file rows whose tests the log has already
    beside_others: list[str] = field(default_factory=list)
    systems_sheet: str = ""  # as the log calls it
    not_registered: Counter[str] = field(default_factory=Counter)
    log_units: str = ""

    def lines(self) -> list[str]:
        """The report in lines for people, the outcome first."""
        first, last = (self.rows[0], self.rows[-1]) if self.rows else (0, 0)
        rows = f"row {first}" if first == last else f"rows {first} to {last}"
        where = f", in {rows} of the sheet {self.sheet}" if self.rows else ""
        lines = [f"{_count(self.entered, 'test')} entered in {self.out}{where}", *self.account.lines()]
        if self.already_there:
            them = "it" if len(self.already_there) == 1 else "them"
            lines.append(f"{_count(len(self.already_there), 'test')} not entered, because the log has {them} already")
        lines += _listed("entered although the log has other values for the same system, date and time; check both",
                         self.beside_others)
        lines += _listed(f'systems that the log does not list yet; add them on the sheet "{self.systems_sheet}"', (
            f"{name}: {_count(count, 'test')}" for name, count in self.not_registered.items()), limit=0)
        if self.log_units:
            lines.append(f"the log's units: {self.log_units}")
        return lines

    def __str__(self) -> str:
        return "\n".join(self.lines())


def _grouped(entries: Iterable[NotEntered]) -> list[str]:
    """The entries in words; those that say the same about several rows are one."""
    alike: dict[tuple[str, str, str], list[NotEntered]] = {}
    for entry in entries:
        alike.setdefault((entry.column, entry.found, entry.reason), []).append(entry)
    return [_of_rows(group) for group in alike.values()]


def _of_rows(entries: Sequence[NotEntered]) -> str:
    one = entries[0]
    rows = ", ".join(str(entry.row) for entry in entries[:_SHOWN])
    more = f" and {len(entries) - _SHOWN} more" if len(entries) > _SHOWN else ""
    where = ("row " if len(entries) == 1 else "rows ") + rows + more + (f', "{one.column}"' if one.column else "")
    return f"{where}: {one.found} {one.reason}" if one.found else f"{where}: {one.reason}"


def _count(number: int, what: str) -> str:
    return f"{number} {what}" + ("" if number == 1 else "s")


def _listed(title: str, entries: Iterable[str], limit: int = _SHOWN) -> list[str]:
    """A title and its entries, or nothing if there are none; beyond the limit (0 for no limit) a count."""
    entries = list(entries)
    if not entries:
        return []
    shown = entries[:limit] if limit else entries
    more = [f"    and {len(entries) - len(shown)} more"] if len(shown) < len(entries) else []
    return [f"{title}:", *(f"    {entry}" for entry in shown), *more]
