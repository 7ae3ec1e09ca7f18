"""The demo's registers, put into the cells of a blank farm log."""

from __future__ import annotations

import csv
import datetime
from collections.abc import Iterable, Iterator
from importlib import resources
from pathlib import Path
from typing import Any

from pailbook.files import replacing
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.package import Workbook
from pailbook.workbook.recalc import own_cells

REGISTERS = {
    "systems.csv": "Systems", "kits.csv": "Kits", "fish.csv": "Fish", "feed.csv": "Feed", "doses.csv": "Doses",
    "water-in.csv": "Water added and changed", "harvest.csv": "Plants harvested", "upkeep.csv": "Upkeep",
    "incidents.csv": "Incidents",
}
SETTINGS = "settings.csv"
READINGS = ("readings-own.csv", "readings-clients.csv")


def copy_inputs(names: Iterable[str], folder: Path) -> None:
    """The demo's .csv files, copied to where a user can look at them."""
    for name in names:
        with replacing(folder / name, overwrite=True) as file:
            file.write(resources.files(__package__).joinpath(name).read_bytes())


def cells(log: Log, blank: Path, inputs: Path) -> dict[str, dict[str, Any]]:
    """What goes into which cell of the blank log: the registers' rows and the settings."""
    filled: dict[str, dict[str, Any]] = {}
    for name, sheet in REGISTERS.items():
        filled[sheet] = dict(typed_rows(log[sheet], rows(inputs / name)))
    named = own_cells(Workbook(blank))
    for row in rows(inputs / SETTINGS):
        sheet, address = named[row["name"]]
        filled.setdefault(sheet, {})[address] = typed(row["value"])
    return filled


def rows(path: Path) -> list[dict[str, str]]:
    """The lines of a .csv file, each by its headings."""
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def typed_rows(table: Table, lines: list[dict[str, str]]) -> Iterator[tuple[str, Any]]:
    """Address and value of what goes into a table's columns, a line a row."""
    for number, row in enumerate(lines, start=table.first_row):
        for key, text in row.items():
            if text:
                yield f"{table.letter(key)}{number}", _value(table.column(key), text)


def _value(column: Column, text: str) -> Any:
    return text if column.kind in ("text", "choice") else typed(text)


def typed(text: str) -> Any:
    """A date, a time, a number or a text, as the file spells it."""
    for read in (float, datetime.date.fromisoformat, datetime.time.fromisoformat):
        try:
            return read(text)
        except ValueError:
            continue
    return text
