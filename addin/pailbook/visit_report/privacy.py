"""One client's report names nobody else: rows of other systems stay out, and their names leave free texts."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from typing import Any

from pailbook.visit_report.season import Season, is_client
from pailbook.workbook.farm_log import systems, upkeep
from pailbook.workbook.log import schema
from pailbook.workbook.log.locate import folded
from pailbook.workbook.log.season import Row, text
from pailbook.workbook.privacy.words import Words

ELSEWHERE, LEFT_OUT = "(another site)", "(text left out: it names another site)"
_NAMES = ("client", "system")  # columns that hold the client's own names


def for_client(season: Season, client: str) -> tuple[Season, int]:
    """The season with only this client's rows, and upkeep and kits that serve all; and how many texts had to change.

    Names of other clients, and of systems that are not this client's, are taken out of all texts.
    """
    every = {table.sheet: season.rows(table.sheet) for table in schema.TABLES}
    register = every[systems.SHEET]
    mine = [row for row in register if is_client(row, client)]
    names = {row.of for row in mine}
    unlisted = {text(row["system"]) for rows in every.values() for row in rows if row.of and row.of not in names}
    clean = _Cleaner(_names(mine), [*_names(row for row in register if row not in mine), *unlisted])
    kept = {systems.SHEET: mine}
    for sheet, rows in every.items():
        if sheet != systems.SHEET:
            wanted = names | ({""} if sheet == upkeep.SHEET else set())
            kept[sheet] = [row for row in rows if "system" not in row.cells or row.of in wanted]
    cleaned = {sheet: [Row(row.number, _cleaned(row.cells, clean)) for row in rows] for sheet, rows in kept.items()}
    return season.of_rows(cleaned, clean(season.farm)), clean.changed


def readable(words: str) -> str:
    """The text without characters that no cell can hold."""
    return "".join(sign if sign in "\n\t" or unicodedata.category(sign) not in ("Cc", "Cs", "Cn") else " "
                   for sign in words)


def _names(rows: Iterable[Row]) -> list[str]:
    return [name for row in rows for key in _NAMES if (name := text(row[key]))]


def _cleaned(cells: Mapping[str, Any], clean: _Cleaner) -> dict[str, Any]:
    return {key: (readable if key in _NAMES else clean)(value) if isinstance(value, str) else value
            for key, value in cells.items()}


class _Cleaner:
    """Takes the names of others out of texts."""

    def __init__(self, own: Iterable[str], others: Iterable[str]) -> None:
        self._own = {folded(name) for name in own}
        others = [name for name in others if folded(name) not in self._own]
        self._words = Words(others, own)
        wanted = sorted({*own, *others}, key=len, reverse=True)  # a longer name of the client's own goes first
        words = "|".join(r"\s+".join(map(re.escape, name.split())) for name in wanted)
        self._pattern = re.compile(rf"(?<!\w)(?:{words})(?!\w)", re.IGNORECASE)
        self.changed = 0

    def __call__(self, text: str) -> str:
        text = readable(text)
        if not self._words.named(text):
            return text
        self.changed += 1
        shorter = self._pattern.sub(lambda found: found[0] if folded(found[0]) in self._own else ELSEWHERE, text)
        return LEFT_OUT if self._words.named(shorter) else shorter
