"""The parts of a record file: where values come from, and the values of one moment and place."""

from __future__ import annotations

from dataclasses import dataclass, field

from pailbook.workbook.readings.answers import Question
from pailbook.workbook.readings.columns import Meaning
from pailbook.workbook.readings.table import Row


@dataclass(frozen=True)
class Measure:
    """One source of values: a column of a wide record, or a variable in one unit of a long one."""

    name: str  # as a mapping text names it
    meaning: Meaning
    unit_text: str = ""
    variable: bool = False

    def __str__(self) -> str:
        unit = f" in {self.unit_text}" if self.unit_text and self.variable else ""
        return f'{"variable" if self.variable else "column"} "{self.name}"{unit}'


@dataclass(frozen=True)
class Found:
    """A value as written, its row, and the note that a long record has beside it."""

    row: int
    text: str
    note: str = ""


@dataclass
class Record:
    """The values of one moment and place. `places` are the texts of date, time, zone, system, tester, note ..."""

    row: int
    places: dict[str, str]
    found: dict[int, Found] = field(default_factory=dict)  # by the measure's position


@dataclass
class Arrangement:
    """A record file taken apart."""

    measures: list[Measure] = field(default_factory=list)
    records: list[Record] = field(default_factory=list)
    columns: dict[str, str] = field(default_factory=dict)  # by the role of a place, the column's name
    zone: str = ""  # that the heading of the date or time says
    telling: list[str] = field(default_factory=list)  # depth and replicate, where they differ from row to row
    rows: list[Row] = field(default_factory=list)
    repeated: list[tuple[int, int]] = field(default_factory=list)  # a row, and the earlier one that it repeats
    unused: list[tuple[str, str]] = field(default_factory=list)  # name and reason
    questions: list[Question] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    long: bool = False
