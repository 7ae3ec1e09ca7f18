"""The command line in process, a small farm log to be misused, and a look at what is left behind."""

from __future__ import annotations

import datetime
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest

from command_line import CLIENT as CLIENT
from command_line import Run, snapshot
from hard_files import NO_WORKBOOKS
from pailbook.demo.scenario import NORTH_RAFT, SCHOOL_TANK
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.package import set_cells

TANK = SCHOOL_TANK.name
assert SCHOOL_TANK.client == CLIENT  # for whom the commands make copies and reports


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a farm log of two systems, readings for it, and a sensor's record."""
    folder = tmp_path_factory.mktemp("season")
    log = farm_log(rows=12)
    blank = log.book.save(folder / "blank.xlsx")
    systems, tests = log["Systems"], log["Water tests"]
    rows = [
        (systems, {"system": TANK, "client": CLIENT, "species": SCHOOL_TANK.species, "volume": SCHOOL_TANK.volume,
                   "found": "tape measure"}),
        (systems, {"system": NORTH_RAFT.name, "species": NORTH_RAFT.species, "volume": NORTH_RAFT.volume,
                   "found": "flow meter"}),
        (tests, {"date": datetime.date(2026, 5, 2), "system": TANK, "temperature": 19.0, "ph": 7.8, "tan": 0.4}),
    ]
    cells: dict[str, dict[str, object]] = {}
    for table, line in rows:
        number = table.first_row + sum(1 for address in cells.get(table.sheet, {})
                                       if address.startswith(table.letter("system")))
        for key, value in line.items():
            cells.setdefault(table.sheet, {})[f"{table.letter(key)}{number}"] = value
    set_cells(blank, folder / "log.xlsx", cells)
    blank.unlink()
    (folder / "readings.csv").write_text(f"Date,Tank,Temp (C),pH\n2026-05-03,{TANK},19.3,7.7\n", encoding="utf-8")
    (folder / "sensor.csv").write_text(
        "Timestamp,Tank,Temp (C),pH\n" + "".join(f"2026-05-03 {hour:02d}:00,{TANK},19.3,7.7\n" for hour in range(24)),
        encoding="utf-8")
    return folder


@pytest.fixture(scope="session")
def bad_files(season: Path) -> dict[str, bytes]:
    """The files that are no workbook."""
    sound = (season / "log.xlsx").read_bytes()
    return {kind: make(sound) for kind, (make, _) in NO_WORKBOOKS.items()}


@pytest.fixture
def here(season: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The season's files in a folder of their own, which is the working one; so are temporary files."""
    folder, scratch = tmp_path / "here", tmp_path / "temporary"
    shutil.copytree(season, folder)
    scratch.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(scratch))
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture
def refused(run: Run, here: Path) -> Callable[..., str]:
    """Runs a command that must be refused with one message; gives the message. Nothing may have changed."""

    def command(*arguments: object) -> str:
        before = snapshot(here)
        ended = run(*arguments)
        assert snapshot(here) == before
        assert list(Path(tempfile.gettempdir()).iterdir()) == []
        assert (ended.code, ended.out) == (2, ""), ended
        message = ended.err.removeprefix("pailbook: ").rstrip("\n")
        assert ended.err == f"pailbook: {message}\n"
        return message

    return command
