"""Wrong use of every kind: one message that names what is wrong, what is expected and where to read on; exit code 2."""

from __future__ import annotations

import re
from pathlib import Path

import openpyxl
import pytest

from command_line import READ_RECORD, READ_WORKBOOK, Run, filled, new_name, snapshot
from pailbook.demo.scenario import COURT_WALL, COURTYARD, SCHOOL, SCHOOL_TANK
from pailbook.function import CATALOGUE
from pailbook.nearest import nearest, there_are
from pailbook.workbook.farm_log import systems
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.package import set_cells

RECORD = "Date,System,pH\n2026-05-01,School tank,7.2\n"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A small log with two clients."""
    path = tmp_path_factory.mktemp("log") / "log.xlsx"
    farm_log(rows=12).book.save(path)
    table = systems.table()
    names = {"system": (SCHOOL_TANK.name, COURT_WALL.name), "client": (SCHOOL, COURTYARD)}
    cells = {f"{table.letter(key)}{table.first_row + i}": name for key, pair in names.items()
             for i, name in enumerate(pair)}
    set_cells(path, path, {table.sheet: cells}, overwrite=True)
    return path.read_bytes()


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, made: bytes) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("log.xlsx").write_bytes(made)
    Path("readings.csv").write_text(RECORD, encoding="utf-8")
    Path("empty.csv").write_bytes(b"")
    Path("folder").mkdir()
    return tmp_path


REPORT = ("report", "log.xlsx", "-o", "new.xlsx", "--client")
IMPORT = ("import", "readings.csv", "log.xlsx", "-o", "new.xlsx")
WRONG: list[tuple[tuple[str, ...], tuple[str, ...]]] = [
    (("nwe",), ("no command 'nwe'", "did you mean new?", "pailbook --help")),
    (("install", "clac"), ("no command 'clac'", "did you mean calc?", "pailbook install --help")),
    (("--vresion",), ("no option --vresion", "did you mean --version?")),
    (("new",), ("KIND is missing", "farm-log", "pailbook new --help")),
    (("new", "farm-log"), ("FILE is missing", ".xlsx", "pailbook new --help")),
    (("new", "farmlog", "new.xlsx"), ("'farmlog'", "move-plan", "did you mean farm-log?")),
    (("new", "farm-log", "new.xlsx", "--units", "metrik"), ("'metrik'", "metric, us", "did you mean metric?")),
    (("new", "farm-log", "new.xlsx", "--units"), ("--units UNITS needs a value", "metric, us")),
    (("new", "farm-log", "new.xlsx", "--unit", "us"), ("no option --unit", "did you mean --units?")),
    (("new", "farm-log", "new.xlsx", "--plain=yes"), ("--plain takes no value",)),
    (("new", "farm-log", "new.xlsx", "more.xlsx"), ("one argument too many, 'more.xlsx'", "KIND FILE")),
    (("new", "farm-log", "new.csv"), ("new.csv", ".xlsx file")),
    (("new", "farm-log", "log.xlsx"), ("log.xlsx already exists", "--overwrite")),
    (("new", "farm-log", "folder"), ("folder is a folder",)),
    (("new", "farm-log", "none/new.xlsx"), ("none/new.xlsx", "the folder none does not exist")),
    (("recalc", "log.xlsx", "--engine", "fsat"), ("'fsat'", "fast, reference, calc", "did you mean fast?")),
    (("recalc", "log.xlsx", "-o", "log.xlsx"), ("log.xlsx already exists", "--overwrite")),
    (("recalc", "log.xlsx", "-o"), ("-o FILE needs a value", "pailbook recalc --help")),
    (("recalc", "log.xlsx", "-o", "new.csv"), ("new.csv", ".xlsx file")),
    (("share", "log.xlsx"), ("-o FILE is missing", "pailbook share --help")),
    (("share", "log.xlsx", "-o", "new.csv"), ("new.csv", ".xlsx file")),
    (("share", "log.xlsx", "-o", "new.xlsx", "--client", "Varowby School"),
     ("log.xlsx", "'Varowby School'", COURTYARD, f"did you mean {SCHOOL}?")),
    ((*REPORT, "Varowby School", "--since", "2026-05-01"), ("log.xlsx", "'Varowby School'", f"did you mean {SCHOOL}?")),
    ((*REPORT, SCHOOL), ("--since DATE is missing", "2026-03-31")),
    ((*REPORT, SCHOOL, "--since", "1.5.2026"), ("--since", "'1.5.2026'", "2026-03-31")),
    ((*REPORT, SCHOOL, "--since", "2026-05-01", "--next-visit", "May"), ("--next-visit", "'May'", "2026-03-31")),
    (("report", "log.xlsx", "--client", SCHOOL, "--since", "2026-05-01", "-o", "new.pdf"), ("new.pdf", ".xlsx")),
    ((*IMPORT, "--timezone", "Europ/Berlin"), ("Europ/Berlin", "America/New_York", "did you mean Europe/Berlin?")),
    ((*IMPORT, "--decimal", "coma"), ("'coma'", "point, comma", "did you mean comma?")),
    ((*IMPORT, "--map", "pH=phh"), ("pH=phh", "alkalinity", "did you mean ph?")),
    ((*IMPORT, "--map", "pHx=ph"), ("pHx", '"pH"')),
    ((*IMPORT, "--map", "pH"), ('"pH"', "HEADING=FIELD")),
    (("import", "readings.csv", "log.xlsx", "-o", "new.csv"), ("new.csv", ".xlsx file")),
    (("daily", "readings.csv", "-o", "new.xlsx"), ("new.xlsx", ".csv file")),
    (("daily", "readings.csv", "-o", "new.csv", "--workers", "two"), ("--workers", "'two'", "such as 4")),
    (("daily", "readings.csv", "-o", "new.csv", "--workers", "-1"), ("--workers", "'-1'")),
    (("daily", "readings.csv", "-o", "new.csv", "--figure", "ph=mean"), ("ph=mean", "lowest or highest")),
    (("functions", "AMONIA_FRACTION"), ("'AMONIA_FRACTION'", "did you mean AMMONIA_FRACTION?")),
    (("functions", "zzz"), ("'zzz'", "pailbook functions")),
    (("functions", "VESSEL_DENSITY", "--markdown"), ("--markdown", "FUNCTION")),
    (("ready", "clac"), ("'clac'", "python, folders, calc", "did you mean calc?")),
    (("install", "calc", "--build", "new.txt"), ("new.txt", ".oxt")),
    (("install", "calc", "--build", "new.oxt", "--remove"), ("--build", "--remove")),
    (("install", "excel", "--build", "folder", "--remove"), ("--build", "--remove")),
    (("install", "excel", "--build", "readings.csv"), ("readings.csv is a file", "folder")),
    (("install", "completion", "tcsh"), ("'tcsh'", "bash, zsh, fish")),
    (("install", "completion", "powershell"), ("--show", "$PROFILE")),
    (("demo", "readings.csv"), ("readings.csv is a file", "folder")),
]


def refused(run: Run, arguments: tuple[str, ...] | list[str]) -> str:
    before = snapshot(Path())
    code, out, err = run(*arguments)
    assert code == 2, (out, err)
    assert out == ""
    assert err.startswith("pailbook: ")
    assert err.count("\n") == 1
    assert snapshot(Path()) == before
    return err


@pytest.mark.parametrize(("arguments", "named"), WRONG, ids=[" ".join(arguments) for arguments, _ in WRONG])
def test_the_message_is_one_line(arguments: tuple[str, ...], named: tuple[str, ...], run: Run) -> None:
    message = refused(run, arguments)
    for words in named:
        assert words in message


@pytest.mark.parametrize("command", [*READ_WORKBOOK, *READ_RECORD])
@pytest.mark.parametrize(("name", "why"), [
    ("none.xlsx", "cannot be read: No such file"), ("folder", "cannot be read: it is a folder"), ("empty.csv", "")])
def test_what_cannot_be_read(command: str, name: str, why: str, run: Run) -> None:
    arguments = READ_WORKBOOK.get(command) or READ_RECORD[command]
    assert f"{name} {why}" in refused(run, filled(arguments, name, new_name(command)))


@pytest.mark.parametrize(("arguments", "kept"), [
    (("import", "readings.csv", "log.xlsx", "-o", "readings.csv"), "readings.csv"),
    (("daily", "readings.csv", "-o", "readings.csv"), "readings.csv"),
    (("daily", "readings.csv", "-o", "../readings.csv"), "readings.csv"),
    (("report", "log.xlsx", "--client", SCHOOL, "--since", "2026-05-01", "-o", "log.xlsx"), "log.xlsx"),
    (("share", "log.xlsx", "-o", "log.xlsx"), "log.xlsx"),
])
def test_what_was_read_is_not_overwritten(
    arguments: tuple[str, ...], kept: str, run: Run, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not with --overwrite either, which is meant for an older output."""
    if arguments[-1].startswith("../"):
        (here / "folder" / kept).symlink_to(here / kept)
        monkeypatch.chdir(here / "folder")
    assert arguments[-1] in refused(run, [*arguments, "--overwrite"])


def test_a_log_may_be_brought_up_to_date(run: Run) -> None:
    before = Path("log.xlsx").read_bytes()
    assert run("import", "readings.csv", "log.xlsx", "-o", "log.xlsx", "--overwrite").code == 0
    assert Path("log.xlsx").read_bytes() != before
    assert openpyxl.load_workbook("log.xlsx")["Water tests"] is not None


def test_near_misses() -> None:
    assert nearest("Farm-Lgo", ["move-plan", "farm-log"]) == "did you mean farm-log?"
    assert nearest("zebra", ["move-plan", "farm-log"]) == ""
    assert there_are("a", ["metric", "us"]) == "expected one of: metric, us"
    assert there_are("metrc", ["metric", "us"]) == "expected one of: metric, us; did you mean metric?"
    many = [f"name {i}" for i in range(100)]
    assert there_are("name 7", many) == "did you mean name 7?"
    assert there_are("zebra", many) == "no name is like it"


def test_a_word_within_names_finds_them_those_that_begin_with_it_first() -> None:
    found = nearest("AMONIA", CATALOGUE)
    assert re.fullmatch(r"did you mean AMMONIA_FRACTION, (AMMONIA_\w+, )+AMMONIA_\w+ or AMMONIA_\w+\?", found)
    assert nearest("AMMONIA_FRACTON", CATALOGUE) == "did you mean AMMONIA_FRACTION?"
    assert nearest("plan", ["farm-log", "move-plan", "dosing-plan"]) == "did you mean move-plan or dosing-plan?"
