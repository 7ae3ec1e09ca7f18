from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

DATA = Path(__file__).parent / "data"


@pytest.fixture
def record(tmp_path: Path) -> Callable[..., Path]:
    """Writes a record file from its text."""

    def write(text: str, name: str = "record.csv", encoding: str = "utf-8") -> Path:
        path = tmp_path / name
        path.write_bytes(text.encode(encoding))
        return path

    return write


@pytest.fixture(scope="session")
def carp() -> Path:
    return DATA / "fwi_india_carp_water_quality_sample.csv"


@pytest.fixture(scope="session")
def long_pond() -> Path:
    return DATA / "usepa_long_format_pond_sample.csv"
