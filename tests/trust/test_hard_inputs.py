"""Files that cannot be used: one message that names the file, exit code 2, and everything stays as it was."""

from __future__ import annotations

import os
import stat
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import calc
from command_line import READ_RECORD, READ_WORKBOOK, WRITE, Run, filled, new_name
from hard_files import NO_WORKBOOKS
from more_commands import READ_BY_OFFICE

pytestmark = pytest.mark.long
NAME = "the farm's log.xlsx"
Refused = Callable[..., str]


@pytest.mark.parametrize("kind", NO_WORKBOOKS)
@pytest.mark.parametrize("command", READ_WORKBOOK)
def test_what_is_no_workbook(
    command: str, kind: str, bad_files: dict[str, bytes], here: Path, refused: Refused
) -> None:
    Path(NAME).write_bytes(bad_files[kind])
    began = time.process_time()
    message = refused(*filled(READ_WORKBOOK[command], NAME, "new.xlsx"))
    assert NAME in message
    assert NO_WORKBOOKS[kind][1] in message
    assert "\n" not in message
    assert time.process_time() - began < 5


@pytest.mark.parametrize("kind", NO_WORKBOOKS)
def test_a_record_that_is_no_workbook(kind: str, bad_files: dict[str, bytes], here: Path, refused: Refused) -> None:
    Path("readings.xlsx").write_bytes(bad_files[kind])
    assert "readings.xlsx" in refused("import", "readings.xlsx", "log.xlsx", "-o", "new.xlsx")
    assert "readings.xlsx" in refused("daily", "readings.xlsx", "-o", "new.csv")


HEAD, ROW = b"Date,Tank,Temp (C),pH\n", b"2026-05-03,School tank,19.3,7.7\n"
NO_RECORDS: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "is empty"),
    "blank lines": (b"\n\n \r\n", "is empty"),
    "headings alone": (HEAD, "no rows below"),
    "noise": (bytes(range(256)) * 20, "is not a text"),
    "zeros": (bytes(3000), "zero bytes"),
    "zeros in a row, as lost power leaves them": (HEAD + ROW + bytes(50) + b"\n" + ROW, "line 3: has zero bytes"),
    "an open quote": (HEAD + b'2026-05-03,"School,19,7.7\n', "line 2: the quotes or cells are broken"),
    "a cell of 200,000 characters": (HEAD + b"x" * 200_000 + b"\n", "csv"),
    "a row of 300,000 cells": (b"x," * 300_000 + b"\n" + ROW, "expected at most 16384"),
    "half a character of UTF-16": ((HEAD + ROW).decode().encode("utf-16")[:-1], "is not a text"),
    "a picture": (b"\xff\xd8\xff\xe0\0\x10JFIF\0" + bytes(range(256)) * 9, "is not a text"),
    "an old .xls": (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(3000), "is a workbook or an archive"),
    "no dates": (HEAD + b"soon,School tank,19.3,7.7\n", "csv"),
}


@pytest.mark.parametrize("kind", NO_RECORDS)
@pytest.mark.parametrize("command", READ_RECORD)
def test_what_is_no_record(command: str, kind: str, run: Run, here: Path, refused: Refused) -> None:
    content, why = NO_RECORDS[kind]
    Path("year's record.csv").write_bytes(content)
    arguments = filled(READ_RECORD[command], "year's record.csv", new_name(command))
    if kind == "no dates" and command == "import":
        ended = run(*arguments)  # which puts nothing in and says so
        assert (ended.code, ended.err) == (0, "")
        assert "0 tests entered in" in ended.out
        return
    began = time.process_time()
    message = refused(*arguments)
    assert "year's record.csv" in message
    assert why in message
    assert time.process_time() - began < 5


def test_a_workbook_by_the_name_of_a_text(here: Path, refused: Refused) -> None:
    Path("log.csv").write_bytes(Path("log.xlsx").read_bytes())
    for arguments in READ_RECORD.values():
        assert "log.csv is a workbook" in refused(*filled(arguments, "log.csv", "new.out"))


# Places where no file can be read or written -----------------------------------------------------------------


@pytest.mark.parametrize(("command", "arguments"), [*READ_WORKBOOK.items(), *READ_RECORD.items()])
def test_what_is_no_file(command: str, arguments: list[str], here: Path, refused: Refused) -> None:
    Path("folder.xlsx").mkdir()
    os.mkfifo("pipe.xlsx")  # which nobody writes into: whoever opens it waits for ever
    Path("loop.xlsx").symlink_to("loop.xlsx")
    for name, why in (("none.xlsx", "o such file"), ("no/folder/log.xlsx", "o such file"), ("log.xlsx/a.xlsx", ""),
                      ("folder.xlsx", "a folder"), ("pipe.xlsx", "not an ordinary file"), ("loop.xlsx", ""),
                      ("/dev/null", "not an ordinary file"), ("/dev/zero", "not an ordinary file"),
                      ("long" * 80 + ".xlsx", "name too long")):
        message = refused(*filled(arguments, name, new_name(command)))
        assert name in message
        assert why in message.lower()


@pytest.mark.parametrize("command", WRITE)
def test_where_no_file_can_be_written(command: str, here: Path, refused: Refused) -> None:
    there, folder, pipe, loop, link = (new_name(command, stem) for stem in ("there", "folder", "pipe", "loop", "link"))
    Path(there).write_bytes(b"a season's work")
    Path(folder).mkdir()
    os.mkfifo(pipe)
    Path(loop).symlink_to(loop)
    Path(link).symlink_to(there)
    for name, why in ((there, "already exists"), (link, "already exists"), (folder, "is a folder"),
                      (pipe, "not an ordinary file"), (f"none/{there}", "the folder none does not exist"),
                      (f"{there}/{there}", "does not exist"), (loop, "cannot be written"),
                      (new_name(command, "long" * 80), "name too long")):
        for more in ([], ["--overwrite"]):
            if more and "already" in why:
                continue
            message = refused(*filled(WRITE[command], new=name), *more)
            assert name in message
            assert why in message.lower()
    if command not in ("share", "share for a client", "report", "install calc"):  # which tell kinds by the ending
        assert "not an ordinary file" in refused(*filled(WRITE[command], new="/dev/null"), "--overwrite")


@pytest.mark.parametrize("command", WRITE)
def test_a_file_that_is_protected_or_open_is_not_replaced(command: str, here: Path, refused: Refused, run: Run) -> None:
    name = new_name(command, "last year's")
    Path(name).write_bytes(b"a season's work")
    Path(name).chmod(0o444)
    again = [*filled(WRITE[command], new=name), "--overwrite"]
    assert f"{name} is write-protected" in refused(*again)
    Path(name).chmod(0o644)
    for lock in (f".~lock.{name}#", f"~${name}"):
        Path(lock).write_bytes(b"someone")
        message = refused(*again)
        assert f"{name} is open in a spreadsheet program" in message
        assert lock in message
        assert run(*filled(WRITE[command], new=f"by {name}")).code in (0, 1)  # open or not, it is not touched
        Path(f"by {name}").unlink()
        Path(lock).unlink()
    assert run(*again).code in (0, 1)
    assert Path(name).read_bytes() != b"a season's work"


@pytest.mark.parametrize("command", READ_WORKBOOK)
def test_a_file_that_is_open_elsewhere_can_be_read(command: str, here: Path, run: Run) -> None:
    """The command says that the program may hold changes that are not in the file yet."""
    note = "open in a spreadsheet program; changes that are not saved there cannot be read here"
    assert note not in run(*filled(READ_WORKBOOK[command], "log.xlsx", "other.xlsx")).err
    Path(".~lock.log.xlsx#").write_bytes(b"someone")
    Path("~$log.xlsx").write_bytes(b"someone")
    ended = run(*filled(READ_WORKBOOK[command], "log.xlsx", "new.xlsx"))
    assert ended.code in (0, 1)
    assert ended.err.count(f"pailbook: log.xlsx is {note}\n") == 1
    assert ended.err.count("\n") == 1


@pytest.fixture
def nobody(here: Path) -> Iterator[Callable[[], None]]:
    """Makes this process one of a user without rights, for whom the folder is as its mode says, until the test ends."""
    def become() -> None:
        if os.geteuid() == 0:
            os.seteuid(65534)

    user = os.geteuid()
    yield become
    os.seteuid(user)
    for path in (here, *here.iterdir()):
        path.chmod(0o755)


@pytest.mark.skipif(os.name == "nt", reason="folders there have no such mode")
@pytest.mark.parametrize("command", WRITE)
def test_a_folder_that_is_read_only(
    command: str, here: Path, nobody: Callable[[], None], run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = new_name(command)
    run(*filled(WRITE[command], new=name))  # so that all is imported that a command needs
    there = Path(name).read_bytes()
    for path in (*here.parents, Path(here.parent, "temporary")):
        if path.stat().st_uid == os.geteuid() and not path.stat().st_mode & 0o001:
            path.chmod(path.stat().st_mode | 0o011)
    Path(here.parent, "temporary").chmod(0o777)
    here.chmod(0o555)
    Path(name).chmod(0o666)
    before = stat.S_IMODE(Path(name).stat().st_mode)
    nobody()
    for target, more in ((f"other {name}", []), (name, ["--overwrite"])):
        ended = run(*filled(WRITE[command], new=target), *more)
        assert ended.code == 2, ended
        assert ended.err == f"pailbook: {target} cannot be written: Permission denied\n"
    assert (Path(name).read_bytes(), stat.S_IMODE(Path(name).stat().st_mode)) == (there, before)
    assert sorted(path.name for path in here.iterdir()) == sorted(["log.xlsx", "readings.csv", "sensor.csv", name])
    assert list(Path(here.parent, "temporary").iterdir()) == []


@pytest.mark.skipif(os.name == "nt", reason="files there have no such mode")
@pytest.mark.parametrize(("command", "arguments"), [*READ_WORKBOOK.items(), *READ_RECORD.items()])
def test_a_file_that_may_not_be_read(
    command: str, arguments: list[str], here: Path, nobody: Callable[[], None], run: Run
) -> None:
    for path in here.parents:
        if path.stat().st_uid == os.geteuid() and not path.stat().st_mode & 0o001:
            path.chmod(path.stat().st_mode | 0o011)
    here.chmod(0o777)
    Path(here.parent, "temporary").chmod(0o777)
    run("new", "farm-log", "other.xlsx")
    Path("locked.xlsx").write_bytes(Path("log.xlsx").read_bytes())
    Path("locked.xlsx").chmod(0)
    nobody()
    ended = run(*filled(arguments, "locked.xlsx", new_name(command)))
    assert ended.code == 2, ended
    assert ended.out == ""
    assert "locked.xlsx" in ended.err
    assert "permission denied" in ended.err.lower()
    assert ended.err.count("\n") == 1
    assert not Path(new_name(command)).exists()


def test_the_folder_for_the_files_for_excel(here: Path, refused: Refused, run: Run) -> None:
    build = ["install", "excel", "--build"]
    assert "log.xlsx is a file" in refused(*build, "log.xlsx", "--overwrite")
    assert "name too long" in refused(*build, "long" * 80).lower()
    Path("made/lite").mkdir(parents=True)
    Path("made/lite/main.py").write_text("print('my own')\n", encoding="utf-8")
    assert "main.py already exists" in refused(*build, "made")
    Path("made/lite/main.py").unlink()
    Path("made/Pailbook.xlam").mkdir()
    assert "Pailbook.xlam is a folder" in refused(*build, "made", "--overwrite")
    Path("made/Pailbook.xlam").rmdir()
    assert run(*build, "made").code == 0
    assert sorted(path.name for path in Path("made").rglob("*")) == [
        "Pailbook.xlam", "Pailbook.xlsm", "lite", "main.py", "requirements.txt", "steps.txt"]


@pytest.mark.libreoffice
@pytest.mark.parametrize("kind", NO_WORKBOOKS)
@pytest.mark.parametrize("command", READ_BY_OFFICE)
def test_what_is_no_workbook_is_not_handed_to_another_program(
    command: str, kind: str, bad_files: dict[str, bytes], here: Path, refused: Refused
) -> None:
    """It is refused as it is without that program, and as soon: nothing waits for LibreOffice."""
    calc.needed()
    Path(NAME).write_bytes(bad_files[kind])
    began = time.monotonic()
    message = refused(*filled(READ_BY_OFFICE[command], NAME, "new.xlsx"))
    assert NAME in message
    assert NO_WORKBOOKS[kind][1] in message
    assert time.monotonic() - began < 30
