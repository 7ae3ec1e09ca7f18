"""A LibreOffice with the extension that serves all tests of a run, driven from outside."""

from __future__ import annotations

import contextlib
import json
import subprocess
import uuid
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from pailbook.hosts.calc import driver
from pailbook.hosts.calc.program import environment

INSIDE = Path(__file__).with_name("inside.py")
SECONDS = 120


class Session:
    """Calls of `inside.Office` by their names and arguments."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self._process = process

    def __call__(self, what: str, **given: Any) -> Any:
        """What the call gives.

        Raises
        ------
        RuntimeError
            When it fails in LibreOffice, or LibreOffice is gone.
        """
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps([what, given]) + "\n")
        self._process.stdin.flush()
        answer = self._process.stdout.readline()
        if not answer:
            raise RuntimeError(f"LibreOffice is gone: {self._process.communicate()[1]}")
        result = json.loads(answer)
        if "failed" in result:
            raise RuntimeError(result["failed"])
        return result["done"]

    @contextlib.contextmanager
    def document(self, path: Path | None = None) -> Iterator[str]:
        """The name of a new spreadsheet, or of a file's, for the block."""
        name = uuid.uuid4().hex
        if path is None:
            self("new", name=name)
        else:
            self("open", name=name, url=path.resolve().as_uri())
        try:
            yield name
        finally:
            self("close", name=name)


@contextlib.contextmanager
def session(profile: Sequence[str]) -> Iterator[Session]:
    """LibreOffice for the block; `profile` is what `driver.make_profile` gives."""
    office = driver.needed()
    pipe = f"pailbook-{uuid.uuid4().hex}"
    with (
        driver.running(office.program, [*profile, f"--accept=pipe,name={pipe};urp;"]),
        subprocess.Popen([python_with_uno(), str(INSIDE), pipe, str(SECONDS)], stdin=subprocess.PIPE, text=True,
                         stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment()) as process,
    ):
        try:
            yield Session(process)
        finally:
            process.kill()


@cache
def python_with_uno() -> str:
    """The Python that LibreOffice uses: its own, or the system's."""
    office = driver.needed()
    for place in (office.program.resolve().parent / "python", Path("/usr/bin/python3")):
        if place.exists() and subprocess.run([place, "-c", "import uno"], env=environment(), check=False,
                                             capture_output=True).returncode == 0:
            return str(place)
    raise RuntimeError("no Python with the module uno was found; on Debian it is in the package python3-uno")
