"""What tables come to: in Python, and as single-cell array formulas in two engines and in LibreOffice."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any

import pytest
from openpyxl.utils import get_column_letter

import calc
from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.hosts.engines import FAST, REFERENCE
from pailbook.outcomes import BadInput
from pailbook.quantities import Alkalinity, WaterTemperature
from pailbook.quantity import Quantity
from pailbook.rules import BadRule, clean, judge
from pailbook.rules.declaration import question
from pailbook.rules.expression import fixed
from pailbook.rules.rows import Reduced, column, count, entry, faulty, known, latest, reduce, total
from pailbook.rules.rows_in_sheet import reduced_in_sheet
from rule_cases import FAULTY
from rule_examples import DAY, RULES
from rule_forms import Cells, calculated, recalculated
from thorough import thorough

NAMES = Quantity("system", choices=("North raft", "Court wall", "School beds"))
STAMP = Quantity("stamp", low=36526, high=73050)

SYSTEM = column("system", Annotated[str, NAMES, "System"])
WHEN = column("when", Annotated[float, STAMP, "Day and time"])
ALKALINITY = column("alkalinity", Annotated[Alkalinity, "Alkalinity"])
COLUMNS = (SYSTEM, WHEN, ALKALINITY)
NAME = question("name", Annotated[str, NAMES, "System that is looked at"])
SINCE = question("since", Annotated[float, DAY, "First day that counts"])

ASKED: dict[str, Reduced] = {
    "readings": count(SYSTEM == NAME, WHEN >= SINCE, known(ALKALINITY)),
    "broken": count(SYSTEM == NAME, faulty(ALKALINITY)),
    "nameless": count(faulty(SYSTEM)),
    "last": latest(WHEN, SYSTEM == NAME, known(ALKALINITY)),
    "sum": total(ALKALINITY, SYSTEM == NAME, WHEN >= SINCE),
    "squares": total(ALKALINITY * ALKALINITY - 2 * ALKALINITY, SYSTEM == NAME, known(ALKALINITY)),
    "first": entry(ALKALINITY, SYSTEM == NAME, WHEN >= SINCE),
    "whose": entry(SYSTEM, WHEN > 46180, ALKALINITY < 80),
    "north_raft": count(SYSTEM == "North raft", WHEN != 46170),
}

# By hand: three rows of the North raft, one of them blank; one of the Court wall with a text; one of nobody.
ROWS: list[dict[str, Any]] = [
    {"system": "North raft", "when": 46170.0, "alkalinity": 110.0},
    {"system": "NORTH RAFT", "when": 46174.5, "alkalinity": 90.0},
    {"system": "North raft", "when": 46190.0, "alkalinity": None},
    {"system": "Court wall", "when": 46181.0, "alkalinity": "about 60"},
    {"system": "Court wall", "when": 46182.0, "alkalinity": 60.0},
    {"system": ErrorValue("#N/A"), "when": 46183.0, "alkalinity": 55.0},
    {"system": "School beds", "when": "yesterday", "alkalinity": 70.0},
]
BROKEN = "? Alkalinity is not in order in one of the rows"
BY_HAND: dict[tuple[Any, Any], dict[str, Any]] = {
    ("North raft", 46171.0): {
        "readings": 1.0, "broken": 0.0, "nameless": 1.0, "last": 46174.5, "sum": 90.0,
        "squares": 110.0**2 + 90.0**2 - 400, "first": 90.0, "whose": "Court wall", "north_raft": 2.0},
    ("court wall", 46171.0): {
        "readings": 1.0, "broken": 1.0, "nameless": 1.0, "last": 46182.0, "sum": BROKEN, "squares": 60.0**2 - 120,
        "first": BROKEN, "whose": "Court wall", "north_raft": 2.0},
    ("School beds", 46171.0): {
        "readings": 0.0, "broken": 0.0, "nameless": 1.0, "last": "? Day and time is not in order in one of the rows",
        "sum": 0.0, "squares": 70.0**2 - 140, "first": None, "whose": "Court wall", "north_raft": 2.0},
    ("North raft", None): {
        "readings": "? First day that counts is missing", "broken": 0.0, "nameless": 1.0, "last": 46174.5,
        "sum": "? First day that counts is missing", "squares": 110.0**2 + 90.0**2 - 400,
        "first": "? First day that counts is missing", "whose": "Court wall", "north_raft": 2.0},
    ("Lake", 46171.0): {
        **dict.fromkeys(("readings", "broken", "last", "sum", "squares", "first"),
                        "? System that is looked at is none of the choices"),
        "nameless": 1.0, "whose": "Court wall", "north_raft": 2.0},
}


def in_python(rows: Sequence[Mapping[str, Any]], beside: Sequence[tuple[Any, Any]]) -> list[list[Any]]:
    """What is asked, for each name and day."""
    return [[reduce(node, rows, {"name": name, "since": since}) for node in ASKED.values()] for name, since in beside]


def sheet_of(rows: Sequence[Mapping[str, Any]], beside: Sequence[tuple[Any, Any]]) -> Cells:
    """The table in A:C, its twins in E:G; names and days in I:J, their twins in K:L, what is asked from N on."""
    cells: Cells = {}
    for row, values in enumerate(rows, start=1):
        for typed, twin, one in zip("ABC", "EFG", COLUMNS):
            if values[one.name] is not None:
                cells[f"{typed}{row}"] = values[one.name]
            cells[f"{twin}{row}"] = FormulaCell(clean(one, f"{typed}{row}"))
    ranges = {one.name: f"${twin}$1:${twin}${len(rows)}" for one, twin in zip(COLUMNS, "EFG")}
    for row, pair in enumerate(beside, start=1):
        for typed, twin, asked, value in zip("IJ", "KL", (NAME, SINCE), pair):
            if value is not None:
                cells[f"{typed}{row}"] = value
            cells[f"{twin}{row}"] = FormulaCell(clean(asked, f"{typed}{row}"))
        for i, node in enumerate(ASKED.values(), start=14):
            at = f"{get_column_letter(i)}{row}"
            cells[at] = FormulaCell(reduced_in_sheet(node, ranges, {"name": f"$K{row}", "since": f"$L{row}"}), at)
    return cells


def read(found: Mapping[tuple[str, str], Any], count: int) -> list[list[Any]]:
    """What is asked, row by row; an empty text is a blank."""
    def value(row: int, column: int) -> Any:
        shown = found.get(("S", f"{get_column_letter(column)}{row}"))
        return None if shown == "" else shown

    return [[value(row, i) for i in range(14, 14 + len(ASKED))] for row in range(1, count + 1)]


def close(one: Any, other: Any) -> bool:
    """Whether two values agree; sums may differ in their last digits."""
    return bool(one == pytest.approx(other, rel=1e-12)) if isinstance(one, float) else one == other


def same(found: list[list[Any]], wanted: list[list[Any]]) -> bool:
    """Whether all values agree."""
    return all(close(one, other) for line, want in zip(found, wanted, strict=True)
               for one, other in zip(map(as_float, line), want, strict=True))


def as_float(value: Any) -> Any:
    """Whole numbers come back from a file as such."""
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def drawn(seed: int, rows: int) -> tuple[list[dict[str, Any]], list[tuple[Any, Any]]]:
    """A log with blanks and broken cells."""
    rng = random.Random(seed)

    def cell(value: Any, faults: float) -> Any:
        return rng.choice((None, *FAULTY)) if rng.random() < faults else value

    table = [{"system": cell(rng.choice(NAMES.choices), 0.05), "when": cell(46170.0 + rng.randrange(200) / 10, 0.03),
              "alkalinity": cell(rng.randrange(550, 1400) / 10, rng.choice((0.01, 0.1)))} for _ in range(rows)]
    beside = [(name, 46170.0 + rng.randrange(25)) for name in NAMES.choices for _ in range(6)]
    return table, beside


def test_python_comes_to_what_was_counted_by_hand() -> None:
    for beside, expected in BY_HAND.items():
        found = dict(zip(ASKED, in_python(ROWS, [beside])[0]))
        assert found == expected, beside


@pytest.mark.parametrize("engine", [FAST, REFERENCE])
def test_a_sheet_comes_to_what_was_counted_by_hand(engine: str) -> None:
    beside = list(BY_HAND)
    found = read(calculated(sheet_of(ROWS, beside), engine), len(beside))
    for line, expected in zip(found, BY_HAND.values(), strict=True):
        assert dict(zip(ASKED, line)) == expected


@pytest.mark.parametrize(("engine", "seeds"), [(FAST, 6), (REFERENCE, 1)])
def test_a_sheet_comes_to_what_python_comes_to(engine: str, seeds: int) -> None:
    for seed in range(seeds * (4 if thorough() else 1)):
        table, beside = drawn(seed, 60)
        assert same(read(calculated(sheet_of(table, beside), engine), len(beside)), in_python(table, beside))


@pytest.mark.libreoffice
@pytest.mark.long
def test_libreoffice_comes_to_what_python_comes_to(tmp_path: Path) -> None:
    calc.needed()
    for seed in range(4):
        table, beside = drawn(seed + 100, 200)
        table, beside = [*ROWS, *table], [*BY_HAND, *beside]
        found = read(recalculated(sheet_of(table, beside), tmp_path), len(beside))
        assert same(found, in_python(table, beside))


def test_what_a_table_comes_to_is_the_value_of_a_question() -> None:
    """A broken row makes the trend not known; it is not left out without a word."""
    rule = RULES["alkalinity_running_out"]
    for name, readings, outcome, says in (
        ("North raft", reduce(ASKED["readings"], ROWS, {"name": "North raft", "since": 46150}), "not asked",
         "there are too few readings for a trend"),
        ("Court wall", 5, "not known", "Latest alkalinity is no number"),
    ):
        found = judge(rule, {
            "readings": readings, "now": reduce(ASKED["first"], ROWS, {"name": name, "since": 46150}), "least": 55,
            "fall": 1})
        assert (found.outcome, found.says) == (outcome, says)


def test_rows_that_lack_a_column_are_told() -> None:
    with pytest.raises(BadInput, match="a row of the table has no when; expected: system, when, alkalinity"):
        reduce(ASKED["readings"], [{"system": "North raft", "alkalinity": 80}], {"name": "North raft", "since": 46150})
    with pytest.raises(BadRule, match="the table has no column for alkalinity"):
        reduced_in_sheet(ASKED["readings"], {"system": "A1:A9", "when": "B1:B9"}, {"name": "D1", "since": "D2"})


temperature = column("temperature", Annotated[WaterTemperature, "Temperature"])


def test_a_constant_is_in_the_units_of_the_sheet() -> None:
    node = count(temperature > fixed(20, temperature))
    assert reduce(node, [{"temperature": 67.0}, {"temperature": 69.0}], units="us") == 1.0  # 20 °C is 68 °F
    assert "$A$1:$A$9>68" in reduced_in_sheet(node, {"temperature": "$A$1:$A$9"}, units="us")


@pytest.mark.parametrize(("make", "why"), [
    (lambda: count(), "tell which rows count"),
    (lambda: count(SYSTEM), "by comparing a column"),
    (lambda: count(WHEN > WHEN), "a column, on the left"),
    (lambda: count(WHEN >= SINCE - 1), "a column, on the left"),
    (lambda: count(SYSTEM == "Lake"), "'Lake' is none of its choices"),
    (lambda: count(temperature > 20), "another unit in US sheets"),
    (lambda: latest(WHEN + 1, known(WHEN)), "those of one column"),
    (lambda: latest(SYSTEM, known(WHEN)), "a text stands where a number belongs"),
    (lambda: total(ALKALINITY / WHEN, known(WHEN)), "adds, subtracts and multiplies"),
    (lambda: total(3, known(WHEN)), "adds, subtracts and multiplies"),
])
def test_what_no_table_can_be_asked(make: Any, why: str) -> None:
    with pytest.raises(BadRule, match=why):
        make()
