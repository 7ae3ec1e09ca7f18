"""One client's report names nobody else: rows of other systems stay out, and their names leave free texts."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import replace

import pandas

from pailbook.visit_report.season import Season, is_client
from pailbook.workbook.farm_log import systems, upkeep
from pailbook.workbook.log.locate import folded
from pailbook.workbook.privacy.words import Words

ELSEWHERE, LEFT_OUT = "(another site)", "(text left out: it names another site)"


def for_client(season: Season, client: str) -> tuple[Season, int]:
    """The season with only this client's rows, and upkeep and kits that serve all; and how many texts had to change.

    Names of other clients, and of systems that are not this client's, are taken out of all texts.
    """
    register = season[systems.SHEET]
    mine = is_client(register, client)
    names = set(register.loc[mine, "system"].map(folded))
    unlisted = {name for frame in season.registers.values() if "of" in frame
                for name in frame.loc[~frame["of"].isin(names), "system"] if name}
    clean = _Cleaner(_names(register[mine]), [*_names(register[~mine]), *unlisted])
    registers = {}
    for sheet, frame in season.registers.items():
        kept = frame
        if sheet == systems.SHEET:
            kept = frame[mine]
        elif "of" in frame:
            kept = frame[frame["of"].isin(names | ({""} if sheet == upkeep.SHEET else set()))]
        kept = kept.copy()
        for column in kept.columns.difference(["of", "row"]):
            if sheet != systems.SHEET or column not in ("client", "system"):
                kept[column] = _cleaned(kept[column], clean)
        registers[sheet] = kept
    return replace(season, farm=clean(season.farm), registers=registers), clean.changed


def readable(text: str) -> str:
    """The text without characters that no cell can hold."""
    return "".join(sign if sign in "\n\t" or unicodedata.category(sign) not in ("Cc", "Cs", "Cn") else " "
                   for sign in text)


def _names(register: pandas.DataFrame) -> list[str]:
    return [name for key in ("client", "system") for name in register[key] if name]


def _cleaned(column: pandas.Series, clean: _Cleaner) -> pandas.Series:
    if column.dtype.kind == "M":
        return column
    return column.map(lambda value: clean(value) if isinstance(value, str) else value)


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
