"""`pailbook install calc` and `pailbook ready calc`, in real LibreOffice and in a user's profile made for the test."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

import calc
import pailbook
import pailbook.cli  # enters the commands
from pailbook import readiness
from pailbook.commands.app import app
from pailbook.hosts.calc import install
from pailbook.hosts.calc.program import VARIABLE, Office, OfficeError

runner = CliRunner()
MAIN = "from pailbook.cli import main; main()"
AS_USER = ["unshare", "--user", "--map-user=1000", "--map-group=1000"] if os.name == "posix" else []


def _can_be_user() -> bool:
    return subprocess.run([*AS_USER, "true"], check=False, capture_output=True).returncode == 0


@pytest.mark.libreoffice
def test_installing_asking_and_removing(tmp_path: Path) -> None:
    calc.needed()
    prefix: list[str] = []
    if install.is_administrator():  # whom LibreOffice refuses; here another name for the same user
        if not _can_be_user():
            pytest.skip("LibreOffice refuses the administrator, and this system lets no other user be named")
        prefix = AS_USER
    (tmp_path / "config").mkdir()
    environment = {**os.environ, "HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path / "config")}

    def command(*arguments: str) -> tuple[int, str]:
        done = subprocess.run([*prefix, sys.executable, "-c", MAIN, *arguments], env=environment, check=False,
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=300)
        return done.returncode, done.stdout

    status, output = command("ready", "calc")
    assert status == 1
    assert "act        Functions in LibreOffice: not installed\n           next: pailbook install calc\n" in output
    status, output = command("install", "calc")
    assert status == 0, output
    assert "one of them was called" in output
    assert "next: start LibreOffice Calc" in output
    status, output = command("ready", "calc")
    assert status == 0, output
    assert f"fine       Functions in LibreOffice: version {pailbook.__version__} is installed and works" in output
    lock = tmp_path / "config" / "libreoffice" / "4" / ".lock"
    lock.write_text("")
    status, output = command("install", "calc")
    assert status == 2
    assert "LibreOffice is running; close all its windows" in output
    lock.unlink()
    status, output = command("install", "calc", "--remove")
    assert (status, output.strip()) == (0, "the functions were uninstalled from LibreOffice")
    status, output = command("install", "calc", "--remove")
    assert (status, output.strip()) == (0, "the functions were not installed in LibreOffice")


def test_the_extension_can_be_written_as_a_file(tmp_path: Path) -> None:
    done = runner.invoke(app, ["install", "calc", "--build", str(tmp_path / "pailbook.oxt")])
    assert done.exit_code == 0, done.output
    assert "Tools > Extensions" in done.output
    assert (tmp_path / "pailbook.oxt").stat().st_size > 100_000
    both = runner.invoke(app, ["install", "calc", "--build", "x.oxt", "--remove"])
    assert "--build and --remove" in str(both.exception)


def test_ready_says_what_is_asked_for_and_what_to_do(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(readiness, "find", lambda: None)
    assert [look.state for look in readiness.looks("calc", False)] == ["watch"]
    missing = next(readiness.looks("calc", True))
    assert (missing.state, missing.found) == ("act", "not installed")
    assert "25.2 or newer" in missing.remedy
    monkeypatch.setattr(readiness, "find", lambda: Office(tmp_path / "soffice", (7, 4, 7, 2)))
    old = next(readiness.looks("calc", True))
    assert "7.4.7.2" in old.found
    assert "too old" in old.found
    assert "--plain" in old.remedy
    done = runner.invoke(app, ["ready", "calc"])
    assert done.exit_code == 1
    assert done.output.startswith("act        LibreOffice: 7.4.7.2")
    assert "abacus" in str(runner.invoke(app, ["ready", "abacus"]).exception)
    python = runner.invoke(app, ["ready", "python"])
    assert python.exit_code == 0
    assert f"Pailbook: {pailbook.__version__} on Python" in python.output


def test_the_versions_of_extension_and_package_are_compared(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(readiness, "find", lambda: Office(tmp_path / "soffice", (25, 2, 3, 2)))
    monkeypatch.setattr(install, "is_administrator", lambda: False)
    monkeypatch.setattr(install, "installed_version", lambda office: "0.0.9")
    other = list(readiness.looks("calc", False))[1]
    assert other.state == "act"
    assert other.found == f"they are of version 0.0.9, but Pailbook is {pailbook.__version__}"
    assert other.remedy == "pailbook install calc"


def test_the_administrator_learns_what_to_do(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    program = tmp_path / "soffice"
    program.write_text('#!/bin/sh\necho "LibreOffice 25.2.3.2 520(Build:2)"\n')
    program.chmod(0o755)
    monkeypatch.setenv(VARIABLE, str(program))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.setattr(install, "is_administrator", lambda: True)
    with pytest.raises(OfficeError, match="run this command as the user who wants the functions"):
        install.install()
