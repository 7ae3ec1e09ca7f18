"""A contributor adds a rule: declared, asked in Python and in columns, written into a sheet, answered."""

from __future__ import annotations

from typing import Annotated, Any

import pandas
import pytest

from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.hosts.engines import FAST, REFERENCE
from pailbook.quantities import Oxygen
from pailbook.rules import Judged, Rungs, Sheet, act, clean, fine, judge, rule, say, shown, skips, watch
from pailbook.rules.answer import answer
from pailbook.rules.answer_in_sheet import Board
from rule_cases import values_of
from rule_examples import OPEN, RULES
from rule_forms import Cells, calculated


@rule("Oxygen in Court wall", rank=1, essential="oxygen")
def oxygen_in_court_wall(
    reading: Annotated[Oxygen, "Oxygen"],
    act_below: Annotated[Oxygen, "Limit 'Oxygen: act below'"],
    watch_below: Annotated[Oxygen, "Limit 'Oxygen: watch below'", skips],
) -> Rungs:
    """Whether the fish have enough oxygen."""
    says = say("oxygen is ", shown(reading, 1), " mg/L")
    return (
        act(reading < act_below, says, "More air now. Stop feeding. Read oxygen again within the hour.", urgency=1),
        watch(reading < watch_below, says),
        fine(),
    )


def test_one_reading_in_python() -> None:
    assert judge(oxygen_in_court_wall, {"reading": 2.9, "act_below": 3, "watch_below": 5}) == Judged(
        "act", "oxygen is 2.9 mg/L", "More air now. Stop feeding. Read oxygen again within the hour.", 1)
    assert oxygen_in_court_wall.doc == "Whether the fish have enough oxygen."
    assert repr(oxygen_in_court_wall) == "<rule oxygen_in_court_wall>"


def test_a_column_of_readings() -> None:
    frame = pandas.DataFrame(
        {"reading": [6.0, 4.0, None, 2.9], "act_below": 3, "watch_below": [5, 5, 5, pandas.NA], "note": "x"},
        index=list("ijkl"))
    found = judge(oxygen_in_court_wall, frame)
    assert list(found.index) == list("ijkl")
    assert list(found.columns) == ["outcome", "says", "remedy", "urgency", "about"]
    assert list(found.outcome) == ["fine", "watch", "not known", "act"]
    assert found.says["k"] == "Oxygen is missing"
    assert list(found.about) == ["", "", "reading", ""]
    assert list(found.urgency) == [99, 50, 20, 1]
    empty = judge(oxygen_in_court_wall, frame.iloc[:0])
    assert empty.empty
    assert list(empty.columns) == list(found.columns)


def test_its_cells_in_a_sheet_and_the_answer() -> None:
    """The reading and two limits in column B, their twins in C, the verdict in row 8, the answer in A10."""
    board = Board([oxygen_in_court_wall], "A", "B", "C", "E", "F", top=8)
    where = dict(zip(("reading", "act_below", "watch_below"), ("C5", "C6", "C7")))
    sheet = Sheet(where)
    cells: Cells = {"B5": 2.9, "B6": 3.0, "B7": 5.0, "A8": oxygen_in_court_wall.subject}
    cells |= {f"C{5 + i}": FormulaCell(clean(one, f"B{5 + i}")) for i, one in enumerate(oxygen_in_court_wall.questions)}
    cells |= {"B8": FormulaCell(sheet.text(oxygen_in_court_wall)), "C8": FormulaCell(sheet.word(oxygen_in_court_wall)),
              "D8": FormulaCell(sheet.remedy(oxygen_in_court_wall)),
              "E8": FormulaCell(sheet.urgency(oxygen_in_court_wall)), "F8": FormulaCell(board.order(0)),
              "A10": FormulaCell(board.answer()), "A11": FormulaCell(board.reason(1))}
    values = calculated(cells, FAST)
    assert values["S", "B8"] == "act: oxygen is 2.9 mg/L"
    assert values["S", "D8"] == "More air now. Stop feeding. Read oxygen again within the hour."
    assert values["S", "A10"] == "no-go"
    assert values["S", "A11"] == "Oxygen in Court wall: act: oxygen is 2.9 mg/L"
    judged = judge(oxygen_in_court_wall, {"reading": 2.9, "act_below": 3, "watch_below": 5})
    assert answer([judged]).reasons == (values["S", "A11"],)


# Twins ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("engine", [FAST, REFERENCE])
@pytest.mark.parametrize(("typed", "shown_as"), [
    (6.1, 6.1), ("6,1", "? Oxygen is no number"), (True, "? Oxygen is no number"), (None, "? Oxygen is missing"),
    (ErrorValue("#DIV/0!"), "? Oxygen is an error"), (-1.0, "? Oxygen is outside its limits"),
])
def test_a_twin_holds_the_number_or_what_is_wrong_with_it(typed: Any, shown_as: Any, engine: str) -> None:
    cells: Cells = {"B5": typed, "C5": FormulaCell(clean(oxygen_in_court_wall.questions[0], "B5"))}
    assert calculated(cells, engine)["S", "C5"] == shown_as


def test_a_blank_counts_as_what_is_assumed() -> None:
    cells: Cells = {"D5": 3.0, "C5": FormulaCell(clean(oxygen_in_court_wall.questions[1], "B5", assumed="D5")),
                    "C6": FormulaCell(clean(oxygen_in_court_wall.questions[2], "B6")),
                    "C7": FormulaCell(clean(oxygen_in_court_wall.questions[1], "B7", assumed="3.5")), "B7": "off"}
    found = calculated(cells, FAST)
    assert (found["S", "C5"], found["S", "C6"]) == (3.0, "")
    assert found["S", "C7"] == "? Limit 'Oxygen: act below' is no number"


@pytest.mark.parametrize("engine", [FAST, REFERENCE])
@pytest.mark.parametrize("held", [None, "", "x", True, ErrorValue("#REF!"), "? it is gone"])
@pytest.mark.parametrize("name", ["lowest", "act_below", "carried"])
def test_a_twin_that_somebody_overwrote_is_never_fine(name: str, held: Any, engine: str) -> None:
    of = RULES["oxygen_on_the_road"]
    cells: Cells = {"A1": OPEN, "A2": 6.0, "A3": 3.0, "A4": 5.0}
    where = {one.name: f"A{i}" for i, one in enumerate(of.questions, start=1)}
    sheet = Sheet(where)
    cells |= {f"B{i}": FormulaCell(part(of)) for i, part in enumerate((sheet.word, sheet.text, sheet.urgency), start=1)}
    assert calculated(cells, engine)["S", "B1"] == "fine"
    cells[where[name]] = held
    found = calculated(cells, engine)
    assert found["S", "B1"] == "not known"
    assert str(found["S", "B2"]).startswith("not known: ")
    assert found["S", "B3"] == 20.0


def test_every_rule_is_judged_in_little_time() -> None:
    """A season of a log: 500 rows, 12 rules; a bound wide enough for a busy machine."""
    import random
    import time

    rng = random.Random(1)
    frames = {name: pandas.DataFrame([values_of(rng, one, "metric", 0.1) for _ in range(500)], dtype=object)
              for name, one in RULES.items()}
    start = time.process_time()
    for name, frame in frames.items():
        judge(RULES[name], frame)
    assert time.process_time() - start < 5
