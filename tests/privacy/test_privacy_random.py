"""Random small logs: the client's rows are all there and in order, and no name of anybody else's is anywhere."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from hypothesis import given, settings
from hypothesis import strategies as st

from client_logs import left_over
from pailbook.workbook.columns import Table
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.package import Workbook, set_cells
from pailbook.workbook.privacy import keep_client
from thorough import examples

SIZE = 8
SHEETS = ("Water tests", "Fish", "Incidents")
NUMBER, TEXT = {"Water tests": "nitrate", "Fish": "count", "Incidents": "dead"}, {
    "Water tests": "note", "Fish": "cause", "Incidents": "story"}
LETTERS = st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Cn", "Co"))


class Case(NamedTuple):
    """A log: whose each system is, the systems' names, and rows as (sheet, system, number, mentions)."""

    owners: list[int]  # 0: the farm's own
    clients: list[str]
    systems: list[str]
    rows: list[tuple[str, int, int, int]]


@st.composite
def cases(draw: Callable[[Any], Any]) -> Case:
    """Names carry a word of their own (vex…or, zuq…an), so that none is within another."""
    around = st.text(LETTERS | st.sampled_from("'\"&<> "), max_size=4)
    clients = [f"{draw(around)} Vex{number}or {draw(around)}" for number in range(3)]
    systems = [f"{draw(around)}Zuq{number}an{draw(around)}" for number in range(draw(st.integers(1, 5)))]
    owners = [1, *(draw(st.integers(0, 2)) for _ in systems[1:])]
    row = st.tuples(st.sampled_from(SHEETS), st.integers(0, len(systems) - 1), st.integers(1, 900), st.integers(0, 9))
    return Case(owners, clients, systems, draw(st.lists(row, max_size=12)))


@cache
def blank() -> tuple[bytes, dict[str, Table]]:
    """A blank log's file and its tables."""
    log = farm_log(rows=SIZE)
    with tempfile.TemporaryDirectory() as folder:
        return log.book.save(Path(folder) / "log.xlsx").read_bytes(), dict(log.tables)


@settings(max_examples=examples(10), deadline=None)
@given(cases())
def test_rows_and_names(case: Case) -> None:
    file, tables = blank()
    cells: dict[str, dict[str, Any]] = {"Systems": {}}
    wanted: dict[str, list[tuple[Any, Any, Any]]] = {sheet: [] for sheet in SHEETS}
    for n, (system, owner) in enumerate(zip(case.systems, case.owners), tables["Systems"].first_row):
        cells["Systems"][f"A{n}"] = system
        cells["Systems"][f"B{n}"] = case.clients[owner] if owner else None
    for sheet, which, number, mentioned in case.rows[: SIZE]:
        table, there = tables[sheet], cells.setdefault(sheet, {})
        columns = [table.letter(key) for key in ("system", NUMBER[sheet], TEXT[sheet])]
        row = table.first_row + sum(address.startswith(columns[0]) for address in there)
        text = f"about {case.systems[mentioned]}" if mentioned < len(case.systems) else f"remark {number}"
        there.update(zip((f"{letter}{row}" for letter in columns), (case.systems[which], number, text)))
        if case.owners[which] == 1:
            names_other = mentioned < len(case.systems) and case.owners[mentioned] != 1
            wanted[sheet].append((case.systems[which], number, None if names_other else text))
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "log.xlsx", Path(folder) / "copy.xlsx"
        (Path(folder) / "blank.xlsx").write_bytes(file)
        set_cells(Path(folder) / "blank.xlsx", source, cells)
        keep_client(source, target, case.clients[1])
        contents = Workbook(target).contents()
        strange = [f"zuq{n}an" for n, owner in enumerate(case.owners) if owner != 1] + ["vex0or", "vex2or"]
        assert not left_over(target, strange)
    for sheet, rows in wanted.items():
        table = tables[sheet]
        columns = [table.letter(key) for key in ("system", NUMBER[sheet], TEXT[sheet])]
        found = [tuple(contents[sheet].get(f"{letter}{row}") for letter in columns)
                 for row in range(table.first_row, table.last_row + 1)]
        assert found == rows + [(None,) * 3] * (SIZE - len(rows))
