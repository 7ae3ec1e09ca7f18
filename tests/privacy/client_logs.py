"""A farm log of several clients for the tests, and a search for their words in every byte of a file.

The scenario's names are all plain English words. The search must also find others, so these clients and systems have an
apostrophe, signs of XML, a letter with an umlaut, and names in Cyrillic and in Chinese characters.
"""

from __future__ import annotations

import html
import zipfile
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from pailbook.demo.scenario import SPECIES
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.log import Log

KEPT = 'Varrowby <School> & "Friends"'
COURT, BAY, FARM = "Quillon's Court & Söhne", "Тихая Заводь", "静水農園"
BEDS, TANK = "Varrowby beds", "Varrowby tank 2"
WALL, COVE, POND, RAFT = "Quillon wall", "Заводь 7", "静池", "Zinnia raft"  # of others; the last is the farm's own
OTHERS = (COURT, BAY, FARM, WALL, COVE, POND, RAFT)
SYSTEMS = {RAFT: None, WALL: COURT, BEDS: KEPT, COVE: BAY, TANK: KEPT.lower() + "  ", POND: FARM}
AS_OF = date(2026, 5, 12)
ROWS = 40
Rows = Mapping[str, list[dict[str, Any]]]


def season() -> dict[str, list[dict[str, Any]]]:
    """Rows of every register, those of the systems in turn."""
    rows: dict[str, list[dict[str, Any]]] = {"Systems": [
        {"system": system, "client": client, "species": SPECIES[n % len(SPECIES)], "volume": 1000.0 + 100 * n,
         "found": "flow meter", "note": f"private remark on number {n}"}
        for n, (system, client) in enumerate(SYSTEMS.items())]}
    for n, system in enumerate([*SYSTEMS] * 4):
        day = AS_OF - timedelta(days=27 - n)
        rows.setdefault("Water tests", []).append(
            {"date": day, "system": system, "temperature": 22.0 + n / 10, "ph": 7.1 + n / 50, "oxygen": 7.0,
             "tan": 0.2 + n / 40, "tester": f"tester of {system}", "note": f"remark {n} about the {system}"})
        rows.setdefault("Fish", []).append(
            {"date": day, "system": system, "event": "stocked" if n < 6 else "died", "count": 60 if n < 6 else 1,
             "mean": 40.0 + n, "cause": f"cause {n} of a private kind"})
        rows.setdefault("Feed", []).append(
            {"date": day, "system": system, "feed": 50.0 + n, "kind": f"mixture {n} secret"})
    for n, system in enumerate(SYSTEMS):
        day = AS_OF - timedelta(days=n)
        rows.setdefault("Doses", []).append(
            {"date": day, "system": system, "aim": "iron", "product": f"powder {n} of the farm"})
        rows.setdefault("Water added and changed", []).append(
            {"date": day, "system": system, "how": "topped up", "volume": 20.0 + n, "source": "rain"})
        rows.setdefault("Plants harvested", []).append({"date": day, "system": system, "crop": f"secret crop {n}"})
        rows.setdefault("Upkeep", []).append({"date": day, "system": system, "item": "pump cleaned", "every": 30 + n})
        rows.setdefault("Incidents", []).append(
            {"date": day, "system": system, "what": "leak", "story": f"story {n} of a leak"})
    return rows


def typed(log: Log, rows: Rows) -> Log:
    """The log with these rows typed in, one below the other."""
    for sheet, lines in rows.items():
        table = log[sheet]
        for number, line in enumerate(lines, table.first_row):
            for key, value in line.items():
                log.book.workbook[sheet][f"{table.letter(key)}{number}"].value = value
    log.book.workbook["Start"]["C10"].value = AS_OF
    log.book.workbook["Trends"]["C4"].value = WALL
    return log


def several_clients(rows: Rows | None = None, size: int = ROWS) -> Log:
    """A farm log, in memory, with the rows of several clients."""
    return typed(farm_log(rows=size), season() if rows is None else rows)


def parts(path: Path) -> dict[str, bytes]:
    """Every part of a file."""
    with zipfile.ZipFile(path) as file:
        assert file.testzip() is None
        return {name: file.read(name) for name in file.namelist()}


def left_over(path: Path, words: Iterable[str] = OTHERS) -> dict[str, set[str]]:
    """In which parts of a file a word stands, in any case, encoding or spelling of XML; also in the zip's own bytes."""
    found: dict[str, set[str]] = {}
    everything = {**parts(path), "the zip itself": path.read_bytes()}
    for name, data in everything.items():
        text = f"{name}\n{data.decode('utf-8', 'ignore')}"
        forms = [text.casefold(), html.unescape(text).casefold()]
        for word in words:
            numbered = word.encode("ascii", "xmlcharrefreplace").decode()
            spelt = {word, html.escape(word), word.replace(" ", "_"), numbered}
            wide = {case.encode(code) for case in (word, word.lower(), word.upper())
                    for code in ("utf-16-le", "utf-16-be", "latin-1" if word.isascii() else "utf-16-le")}
            if any(one.casefold() in form for one in spelt for form in forms) or any(one in data for one in wide):
                found.setdefault(name, set()).add(word)
    return found
