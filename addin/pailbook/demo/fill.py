"""The demo's registers, entered into the cells of a blank farm log."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from importlib import resources
from pathlib import Path
from typing import Any

from pailbook.demo.scenario import typed
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
    """Copies the demo's .csv files into a folder where the user can look at them."""
    for name in names:
        with replacing(folder / name, overwrite=True) as file:
            file.write(resources.files(__package__).joinpath(name).read_bytes())


def cells(log: Log, blank: Path, inputs: Path) -> dict[str, dict[str, Any]]:
    """The values of the blank log's cells, by sheet and address: the registers' rows and the settings."""
    filled: dict[str, dict[str, Any]] = {}
    for name, sheet in REGISTERS.items():
        filled[sheet] = dict(typed_rows(log[sheet], rows(inputs / name)))
    named = own_cells(Workbook(blank))
    for row in rows(inputs / SETTINGS):
        sheet, address = named[row["name"]]
        filled.setdefault(sheet, {})[address] = typed(row["value"])
    return filled


def rows(path: Path) -> list[dict[str, str]]:
    """The rows of a .csv file, each by its headings."""
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def typed_rows(table: Table, lines: list[dict[str, str]]) -> Iterator[tuple[str, Any]]:
    """The address and value of every cell of a table to fill, one line of the file in each row."""
    for number, row in enumerate(lines, start=table.first_row):
        for key, text in row.items():
            if text:
                yield f"{table.letter(key)}{number}", _value(table.column(key), text)


def _value(column: Column, text: str) -> Any:
    return text if column.kind in ("text", "choice") else typed(text)
