"""`kill -9` in the middle of each writing command, and two runs at once: every file is whole, none is lost."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import time
import zipfile
from pathlib import Path
from typing import Any

import pytest

import calc
from command_line import filled
from more_commands import ALL_THAT_WRITE, BY_OFFICE, FOLDERS, each_that_writes, name_for
from thorough import first

# The long run: PAILBOOK_KILLS=100 pytest --long tests/trust/test_killed.py
ASKED = os.environ.get("PAILBOOK_KILLS")
KILLS = int(ASKED or "1")
OLD = b"a season's work"
ONTO_ITSELF = {
    "recalc": ["recalc", "log.xlsx", "-o", "log.xlsx"],
    "import": ["import", "readings.csv", "log.xlsx", "-o", "log.xlsx"],
}


class Place:
    """A folder with the season's files in which a command runs as a process of its own; so are temporary files."""

    def __init__(self, season: Path, folder: Path, arguments: list[str]) -> None:
        self.season, self.here, self.scratch = season, folder / "here", folder / "temporary"
        self.arguments = [*arguments, "--overwrite"]
        self.scratch.mkdir()

    def fresh(self, more: dict[str, Any], *, keep: bool = False) -> dict[str, Any]:
        """The season's files again, and more with an old content; what is there now. `keep`: others stay."""
        if not keep:
            shutil.rmtree(self.here, ignore_errors=True)
        shutil.copytree(self.season, self.here, dirs_exist_ok=True)
        for name in more:
            (self.here / name).parent.mkdir(parents=True, exist_ok=True)
            (self.here / name).write_bytes(OLD)
        return contents(self.here)

    def start(self) -> subprocess.Popen[bytes]:
        program = "import sys; from pailbook.cli import main; sys.argv[0] = 'pailbook'; main()"
        return subprocess.Popen(
            [sys.executable, "-c", program, *self.arguments], cwd=self.here, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL, env={**os.environ, "TMPDIR": str(self.scratch)})

    def whole(self) -> None:
        """Runs it to its end."""
        assert self.start().wait() in (0, 1)

    def writes(self, process: subprocess.Popen[bytes]) -> None:
        """Waits until it writes a file."""
        while process.poll() is None and not any(self.here.rglob(".pailbook-*.tmp")):
            time.sleep(0.001)


def contents(folder: Path) -> dict[str, Any]:
    """Of each file, but for those being written: its bytes, of a zip its parts, of a PDF that it is whole."""
    found: dict[str, Any] = {}
    for path in folder.rglob("*"):
        if path.is_file() and not path.name.startswith("."):
            found[str(path.relative_to(folder))] = content(path)
    return found


def content(path: Path) -> Any:
    data = path.read_bytes()
    if data.startswith(b"%PDF-") and data.rstrip().endswith(b"%%EOF"):
        return "a whole PDF"
    if zipfile.is_zipfile(path):
        with zipfile.ZipFile(path) as parts:
            return {name: parts.read(name) for name in parts.namelist()}
    return data


def differing(one: dict[str, Any], other: dict[str, Any]) -> list[str]:
    """The names of the files that are not the same."""
    return sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name))


def arguments_of(command: str) -> list[str]:
    return filled(ALL_THAT_WRITE[command], new=name_for(command))


def killed(place: Place, many: bool, chance: random.Random) -> None:
    """So many times; what is there must be as it was or as a run leaves it that comes to its end."""
    season = place.fresh({})
    began = time.perf_counter()
    place.whole()
    lasts = time.perf_counter() - began
    whole = contents(place.here)
    new = {name: OLD for name in whole if whole[name] != season.get(name) and name not in season}
    for number in range(KILLS):
        before = place.fresh(new if chance.random() < 0.7 else {})
        process = place.start()
        if number % 2:
            time.sleep(chance.uniform(0.3, 1.05) * lasts)
        else:
            time.sleep(chance.uniform(0, 0.9) * lasts * many)
            place.writes(process)
            time.sleep(chance.expovariate(500))
        process.kill()
        process.wait()
        after = contents(place.here)
        assert before.keys() <= after.keys()
        assert [name for name, found in after.items() if found not in (before.get(name), whole.get(name))] == []
    place.fresh({}, keep=True)
    place.whole()
    assert differing(contents(place.here), whole) == []
    assert [str(path) for path in place.here.rglob(".*")] == []


@pytest.mark.long
@pytest.mark.skipif(os.name == "nt", reason="needs kill -9")
@each_that_writes
def test_killed_at_any_moment_no_file_is_lost_or_damaged(command: str, season: Path, tmp_path: Path) -> None:
    if command in BY_OFFICE:
        calc.needed()
    if command == "demo" and not ASKED:
        pytest.skip("takes a minute: only where PAILBOOK_KILLS is set; its files are written as those of the others")
    place = Place(season, tmp_path, arguments_of(command))
    killed(place, command in FOLDERS, random.Random(command))
    if command not in BY_OFFICE:  # which may still be working for the run that was killed
        assert [path for path in place.scratch.iterdir() if path.name.startswith("pailbook-")] == []


@pytest.mark.long
@pytest.mark.skipif(os.name == "nt", reason="needs kill -9")
@pytest.mark.parametrize("command", ONTO_ITSELF)
def test_killed_while_it_replaces_the_log_that_it_read(command: str, season: Path, tmp_path: Path) -> None:
    killed(Place(season, tmp_path, ONTO_ITSELF[command]), False, random.Random(command))


@pytest.mark.parametrize("command", first(["recalc", "daily", "install excel"]))
def test_two_runs_at_once_leave_whole_files(command: str, season: Path, tmp_path: Path) -> None:
    place = Place(season, tmp_path, arguments_of(command))
    place.fresh({})
    place.whole()
    whole = contents(place.here)
    place.fresh({})
    runs = [place.start(), place.start()]
    assert [run.wait() in (0, 1) for run in runs] == [True, True]
    assert differing(contents(place.here), whole) == []
    assert [str(path) for path in place.here.rglob(".*")] == []
