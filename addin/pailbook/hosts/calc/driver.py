"""LibreOffice as a helper that converts, recalculates and prints workbooks, and is always ended.

Each process has its own profile in a temporary folder, so that it does not disturb another LibreOffice, a time limit,
and its own process group, which is always ended. It works on a copy: the user's file is never opened.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import tempfile
import threading
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import FrameType
from typing import Any

from pailbook.files import replacing, scratch
from pailbook.hosts.calc.program import WINDOWS, Office, OfficeError, environment
from pailbook.hosts.calc.program import find as find
from pailbook.hosts.calc.program import needed as needed

FILTERS = {".xlsx": "xlsx:Calc MS Excel 2007 XML", ".ods": "ods:calc8", ".pdf": "pdf:calc_pdf_Export"}
ALWAYS, NEVER = 0, 1  # when the formulas of a file are recalculated on loading
GRACE = 5  # seconds that an ended process may take to disappear
UNSEEN = ("--headless", "--norestore", "--nolockcheck", "--nologo", "--nodefault")

_OWN_GROUP: dict[str, Any] = (
    {"creationflags": getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)} if WINDOWS else {"start_new_session": True}
)
_SETTINGS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>{mode}</value></prop></item>
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="ODFRecalcMode" oor:op="fuse"><value>{mode}</value></prop></item>
{more}</oor:items>
"""


def convert(
    source: str | os.PathLike[str], target: str | os.PathLike[str], *, recalculate: bool = True,
    extension: Path | None = None, limit: float = 180, settings: str = "",
) -> None:
    """Calculates a workbook with LibreOffice and writes it as another file.

    Parameters
    ----------
    source : the workbook; it is not changed.
    target : the file to write, in full or not at all; its ending gives the kind: .xlsx, .ods, .pdf. An existing
        file is replaced: the caller has asked before.
    recalculate : whether formulas are recalculated; otherwise the values in the file are used.
    extension : the .oxt whose functions the workbook calls.
    limit : seconds.
    settings : more `<item>`s for the profile, as LibreOffice's registry has them.

    Raises
    ------
    OfficeError
        When LibreOffice is missing, fails, takes too long or makes no file.
    """
    source, target = Path(source), Path(target)
    kind = target.suffix.lower()
    if kind not in FILTERS:
        raise OfficeError(f"{target}: LibreOffice writes {', '.join(FILTERS)} here; give a name that ends so")
    if not source.is_file():
        raise OfficeError(f"{source} does not exist")
    office = needed()
    with scratch() as folder:
        profile = make_profile(folder, ALWAYS if recalculate else NEVER, extension, settings)
        copy = folder / "in" / source.name
        copy.parent.mkdir()
        shutil.copyfile(source, copy)
        made = made_of(office, copy, kind, profile, limit)
        with replacing(target, overwrite=True, error=OfficeError) as out:
            out.write(made.read_bytes())


def made_of(office: Office, copy: Path, kind: str, profile: Sequence[str], limit: float) -> Path:
    """The file of that kind that LibreOffice makes of another, beside it; `profile` are arguments that name a profile.

    Raises
    ------
    OfficeError
        When it takes too long or makes none.
    """
    made = copy.parent / "made" / f"{copy.stem}{kind}"
    arguments = [*profile, "--convert-to", FILTERS[kind], "--outdir", str(made.parent), str(copy)]
    status, _ = run(office.program, arguments, limit, f"converting {copy.name}")
    if not made.is_file() or not made.stat().st_size:  # its status is 0 even then
        raise OfficeError(f"LibreOffice made no {kind} file from {copy.name} (it ended with status {status}); "
                          "open the file in LibreOffice to see whether it is damaged or protected by a password")
    return made


def make_profile(
    scratch: Path, mode: int = ALWAYS, extension: Path | None = None, settings: str = ""
) -> list[str]:
    """A new profile in that folder, and the arguments that make LibreOffice use it, without windows."""
    user = scratch / "profile" / "user"
    user.mkdir(parents=True)
    (user / "registrymodifications.xcu").write_text(_SETTINGS.format(mode=mode, more=settings), encoding="utf-8")
    arguments = [f"-env:UserInstallation={user.parent.as_uri()}", *UNSEEN]
    if extension is not None:  # as if it came with the program, since the installer refuses some users
        with zipfile.ZipFile(extension) as parts:
            parts.extractall(scratch / "extensions" / extension.stem)
        arguments.insert(0, f"-env:BUNDLED_EXTENSIONS={(scratch / 'extensions').as_uri()}")
    return arguments


@contextlib.contextmanager
def running(
    program: Path, arguments: Sequence[str], output: Any = subprocess.DEVNULL
) -> Iterator[subprocess.Popen[bytes]]:
    """A program of LibreOffice while the block runs; at its end it and all that it started are ended."""
    with _ended_in_order():
        try:
            process = subprocess.Popen(
                [str(program), *arguments], env=environment(), stdin=subprocess.DEVNULL,
                stdout=output, stderr=subprocess.STDOUT, **_OWN_GROUP,
            )
        except OSError as reason:
            raise OfficeError(f"{program} cannot be started: {reason.strerror or reason}") from None
        try:
            yield process
        finally:
            end(process)


def run(program: Path, arguments: Sequence[str], limit: float, what: str) -> tuple[int, str]:
    """Runs a program of LibreOffice to its end: its exit status, and what it prints.

    Raises
    ------
    OfficeError
        When it cannot be started or takes longer than `limit` seconds.
    """
    # A file, not a pipe: a pipe would stay open as long as anything that the program started.
    with tempfile.TemporaryFile() as output, running(program, arguments, output) as process:
        try:
            status = process.wait(timeout=limit)
        except subprocess.TimeoutExpired:
            raise OfficeError(
                f"LibreOffice did not finish {what} within {limit:g} seconds and was stopped; no file was changed. "
                "Try again; if that does not help, open the file in LibreOffice to see what it asks") from None
        output.seek(0)
        return status, output.read().decode(errors="replace")


def end(process: subprocess.Popen[bytes]) -> None:
    """Ends the process and all that it started."""
    if WINDOWS:
        if process.poll() is None:
            subprocess.run(["taskkill", "/F", "/T", "/PID", str(process.pid)], check=False,
                           stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    else:
        with contextlib.suppress(ProcessLookupError, PermissionError):  # the whole group has ended
            os.killpg(process.pid, signal.SIGKILL)
    with contextlib.suppress(subprocess.TimeoutExpired):
        process.wait(timeout=GRACE)


@contextlib.contextmanager
def _ended_in_order() -> Iterator[None]:
    """While the block runs, a request to end this program unwinds it, so that no process stays behind."""
    if WINDOWS or threading.current_thread() is not threading.main_thread():
        yield
        return

    def leave(number: int, frame: FrameType | None) -> None:
        raise SystemExit(128 + number)

    before = {number: signal.signal(number, leave) for number in (signal.SIGTERM, signal.SIGHUP)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
