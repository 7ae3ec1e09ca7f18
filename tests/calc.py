"""LibreOffice as an independent check: it recalculates a workbook, or prints it to PDF.

Each run has a profile of its own in a temporary folder and a time limit, works on a copy, and is ended in the end.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest

LEAST_VERSION = (25, 2)
_ALWAYS_RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="ODFRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""


@cache
def available() -> bool:
    """Whether a LibreOffice new enough is installed."""
    program = shutil.which("soffice", path="/usr/bin:/bin")
    if program is None:
        return False
    answer = subprocess.run([program, "--version"], capture_output=True, text=True, env=_environment(), timeout=60)
    found = re.search(r"LibreOffice (\d+)\.(\d+)", answer.stdout)
    return found is not None and (int(found[1]), int(found[2])) >= LEAST_VERSION


def needed() -> None:
    """Skips the test where LibreOffice is missing; fails it where it is required."""
    if not available():
        if os.environ.get("CI") == "true":
            pytest.fail("LibreOffice 25.2 or newer is required here and was not found")
        pytest.skip("LibreOffice 25.2 or newer is not installed")


def convert(path: Path, to: str, folder: Path, seconds: float = 180) -> Path:
    """The workbook converted to "xlsx" or "pdf" in that folder.

    Raises
    ------
    RuntimeError
        When no file came out; LibreOffice's own exit status is 0 all the same.
    """
    with tempfile.TemporaryDirectory(prefix="calc-") as scratch:
        profile = Path(scratch) / "profile"
        (profile / "user").mkdir(parents=True)
        (profile / "user" / "registrymodifications.xcu").write_text(_ALWAYS_RECALCULATE, encoding="utf-8")
        source = Path(scratch) / "in" / path.name
        source.parent.mkdir()
        shutil.copyfile(path, source)
        made = Path(scratch) / "out"
        process = subprocess.Popen(
            ["soffice", f"-env:UserInstallation={profile.as_uri()}", "--headless", "--norestore",
             "--convert-to", to, "--outdir", str(made), str(source)],
            env=_environment(), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
        )
        try:
            process.wait(timeout=seconds)
        finally:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)
                process.wait()
        result = made / f"{path.stem}.{to}"
        if not result.exists():
            raise RuntimeError(f"LibreOffice made no {to} of {path.name}")
        folder.mkdir(parents=True, exist_ok=True)
        return Path(shutil.move(result, folder / result.name))


def recalculated(path: Path) -> dict[tuple[str, str], Any]:
    """Every cell of the workbook that has a value after recalculation, by sheet and address; errors as their text."""
    with tempfile.TemporaryDirectory(prefix="calc-") as scratch:
        book = openpyxl.load_workbook(convert(path, "xlsx", Path(scratch)), data_only=True)
        return {
            (sheet.title, cell.coordinate): cell.value
            for sheet in book.worksheets for row in sheet.iter_rows() for cell in row if cell.value is not None
        }


def _environment() -> dict[str, str]:
    return {"PATH": "/usr/bin:/bin", "HOME": tempfile.gettempdir(), "LANG": "C.UTF-8"}
