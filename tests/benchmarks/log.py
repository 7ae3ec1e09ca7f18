"""What is measured on a whole log: its recalculation in a process of its own, start-up included."""

from __future__ import annotations

import math
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

from pailbook.demo.scenario import SYSTEMS
from pailbook.hosts.calc import driver, extension
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.package import Workbook, set_cells

from .measure import Measured

_OURS = """
import sys
from pailbook.cli import main
sys.argv = ["pailbook", "recalc", {0!r}, "-o", {1!r}, "--overwrite"]
main()
"""
_REFERENCE = """
import formulas
from pailbook.hosts.headless import register
register()
formulas.ExcelModel().loads({0!r}).finish().calculate()
"""
_MEASURED = """
import resource, subprocess, sys
done = subprocess.run([sys.executable, "-c", sys.argv[1]], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
print(done.returncode, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""


def filled_log(path: Path, rows: int) -> int:
    """A log with that many water tests; gives the number of its formula cells."""
    log = farm_log(rows=rows)
    blank = log.book.save(path.with_name("blank.xlsx"), overwrite=True)
    tests, systems, known = log["Water tests"], log["Systems"], list(SYSTEMS.values())
    cells = {f"{tests.letter(key)}{tests.first_row + i}": value for i in range(rows) for key, value in {
        "date": date(2026, 1, 1) + timedelta(days=i // 3), "system": known[i % 3].name,
        "temperature": 21 + i % 7 / 2, "ph": 7.2 + i % 5 / 10, "oxygen": 5 + i % 4, "tan": i % 6 / 10,
        "alkalinity": 60 + i % 40,
    }.items()}
    named = {f"{systems.letter(key)}{systems.first_row + i}": value for i in range(3) for key, value in {
        "system": known[i].name, "species": known[i].species, "volume": known[i].volume}.items()}
    set_cells(blank, path, {tests.sheet: cells, systems.sheet: named}, overwrite=True)
    return sum(cell.formula is not None for sheet in Workbook(path).worksheets.values() for cell in sheet.cells())


def whole_log(sizes: Sequence[int], rounds: int) -> tuple[list[Measured], int]:
    """Logs of that many rows: Pailbook's recalculation, LibreOffice's conversion, and `formulas` alone for the first.

    Also gives the most memory that Pailbook's recalculation of the first one took, in kilobytes.
    """
    lines: list[Measured] = []
    memory = 0
    with tempfile.TemporaryDirectory() as folder:
        file = extension.build(Path(folder) / "pailbook.oxt")
        for size in sizes:
            path, copy = Path(folder) / f"{size}.xlsx", Path(folder) / "copy.xlsx"
            count = filled_log(path, size)
            ours = f"{count} formula cells, pailbook recalc"
            best, most = _in_process(_OURS.format(str(path), str(copy)), rounds)
            memory = memory or most
            lines.append(Measured(ours, best, count, lines[0].what if lines else ""))
            if driver.find():
                office = _by_office(path, copy, file, rounds)
                lines.append(Measured(f"{count} formula cells, LibreOffice", office, count, ours))
            if size == sizes[0]:
                reference, _ = _in_process(_REFERENCE.format(str(path)), 1)
                lines.append(Measured(f"{count} formula cells, formulas by itself", reference, count, ours))
    return lines, memory


def _in_process(code: str, rounds: int) -> tuple[float, int]:
    """The best time of a Python process that runs it, and the most memory that one took."""
    best, memory = math.inf, 0
    for _ in range(rounds):
        start = time.perf_counter()
        done = subprocess.run([sys.executable, "-c", _MEASURED, code], capture_output=True, text=True, check=True,
                              env={**os.environ, "TQDM_DISABLE": "1"})
        best = min(best, time.perf_counter() - start)
        status, used = map(int, done.stdout.split())
        assert status in (0, 1), code
        memory = max(memory, used)
    return best, memory


def _by_office(path: Path, target: Path, file: Path, rounds: int) -> float:
    best = math.inf
    for _ in range(rounds):
        target.unlink(missing_ok=True)
        start = time.perf_counter()
        driver.convert(path, target, extension=file)
        best = min(best, time.perf_counter() - start)
    return best
