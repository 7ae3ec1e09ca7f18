"""The commands that read and write files, and what they leave."""

from __future__ import annotations

import stat
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from pailbook.demo.scenario import SCHOOL


class Outcome(NamedTuple):
    """How a command ended and what it printed."""

    code: int
    out: str
    err: str


Run = Callable[..., Outcome]
CLIENT = SCHOOL  # the client in log.xlsx for whom the commands below work

# {it} is the workbook that is read, {new} the file that is written.
READ_WORKBOOK: dict[str, list[str]] = {
    "recalc": ["recalc", "{it}", "-o", "{new}"],
    "recalc with the reference": ["recalc", "{it}", "-o", "{new}", "--engine", "reference"],
    "recalc by itself": ["recalc", "{it}"],
    "check": ["check", "{it}"],
    "share": ["share", "{it}", "-o", "{new}"],
    "share for a client": ["share", "{it}", "-o", "{new}", "--client", CLIENT],
    "report": ["report", "{it}", "--client", CLIENT, "--since", "2026-05-01", "-o", "{new}"],
    "import": ["import", "readings.csv", "{it}", "-o", "{new}"],
}
READ_RECORD: dict[str, list[str]] = {
    "import": ["import", "{it}", "log.xlsx", "-o", "{new}"],
    "daily": ["daily", "{it}", "-o", "{new}"],
}
WRITE: dict[str, list[str]] = {
    "new": ["new", "function-guide", "{new}"],
    "recalc": ["recalc", "log.xlsx", "-o", "{new}"],
    "share": ["share", "log.xlsx", "-o", "{new}"],
    "share for a client": ["share", "log.xlsx", "-o", "{new}", "--client", CLIENT],
    "report": ["report", "log.xlsx", "--client", CLIENT, "--since", "2026-05-01", "-o", "{new}"],
    "import": ["import", "readings.csv", "log.xlsx", "-o", "{new}"],
    "daily": ["daily", "sensor.csv", "-o", "{new}"],
    "functions": ["functions", "--markdown", "-o", "{new}"],
    "install calc": ["install", "calc", "--build", "{new}"],
}
ENDINGS = {"daily": ".csv", "functions": ".md", "install calc": ".oxt"}  # .xlsx is usual


def filled(arguments: list[str], it: object = "", new: object = "") -> list[str]:
    """The arguments with the files' names in them."""
    return [argument.format(it=it, new=new) for argument in arguments]


def new_name(command: str, stem: str = "new") -> str:
    """A name for what the command writes."""
    return stem + ENDINGS.get(command, ".xlsx")


def snapshot(folder: Path) -> dict[str, tuple[int, bytes]]:
    """Of each file in the folder: its mode, and its bytes where it is an ordinary file."""
    found = {}
    for path in sorted(folder.rglob("*")):
        mode = path.lstat().st_mode
        found[str(path.relative_to(folder))] = mode, path.read_bytes() if stat.S_ISREG(mode) else b""
    return found
