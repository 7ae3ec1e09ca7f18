"""Fixtures: one LibreOffice with the extension for all tests of a run. A test module names those that it uses."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

import calc
from office_session import Session, session
from pailbook.hosts.calc import driver, extension


@pytest.fixture(scope="session")
def extension_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return extension.build(tmp_path_factory.mktemp("extension") / "pailbook.oxt")


@pytest.fixture(scope="session")
def office(extension_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Session]:
    calc.needed()
    with session(driver.make_profile(tmp_path_factory.mktemp("office"), extension=extension_file)) as running:
        yield running
