"""All forms of a rule say the same of random cells, broken ones among them."""

from __future__ import annotations

from pathlib import Path

import pytest

import calc
from pailbook.hosts.calc import extension
from pailbook.hosts.engines import FAST, REFERENCE
from rule_cases import cases
from rule_forms import differences, in_columns, in_engine, in_libreoffice, in_python
from thorough import thorough

FEW, MANY = 12, 100  # cases of each rule in each unit system


def test_columns_say_what_python_says() -> None:
    drawn = cases(60, seed=1)
    wanted = in_python(drawn)
    assert {told[1] for told in wanted} == {"act", "not known", "watch", "fine", "not asked"}
    assert not differences(drawn, wanted, in_columns(drawn))


@pytest.mark.parametrize(("engine", "calls"), [(FAST, False), (FAST, True), (REFERENCE, False), (REFERENCE, True)])
def test_an_engine_says_what_python_says(engine: str, calls: bool) -> None:
    count = MANY if thorough() else FEW if engine == FAST else 3
    drawn = cases(count, seed=2)
    assert not differences(drawn, in_python(drawn), in_engine(drawn, engine, calls))


@pytest.mark.libreoffice
@pytest.mark.long
@pytest.mark.parametrize("calls", [False, True])
def test_libreoffice_says_what_python_says(tmp_path: Path, calls: bool) -> None:
    calc.needed()
    drawn = cases(MANY, seed=3)
    found = in_libreoffice(drawn, tmp_path, calls, extension.build(tmp_path / "ours.oxt") if calls else None)
    assert not differences(drawn, in_python(drawn), found)

