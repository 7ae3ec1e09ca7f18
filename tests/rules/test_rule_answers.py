"""Many verdicts made one answer, in Python and in a sheet whose cells somebody has overwritten."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import calc
from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.hosts.engines import FAST, REFERENCE
from pailbook.outcomes import BadInput
from pailbook.quantity import METRIC
from pailbook.rules import Judged, Rule, Sheet, act, clean, fine, judge, rule
from pailbook.rules.answer import answer, order, state
from pailbook.rules.answer_in_sheet import Board
from pailbook.rules.expression import BadRule
from pailbook.rules.words import OUTCOMES
from rule_cases import values_of
from rule_examples import RULES
from rule_forms import Cells, calculated, recalculated


def a_rule(subject: str, essential: str = "", rank: int = 50) -> Rule:
    """A rule that asks for nothing."""
    return rule(subject, essential=essential, rank=rank)(lambda: (fine(),))


OXYGEN, BAG = a_rule("Oxygen on the road", "oxygen", 1), a_rule("Oxygen in the bag", "oxygen", 2)
PH, KIT = a_rule("pH", "pH", 3), a_rule("The pH kit", rank=4)


def said(of: Rule, outcome: str, urgency: int = 50) -> Judged:
    """A verdict."""
    return Judged(outcome, "so it is" if outcome in ("act", "watch") else "", urgency=urgency, rule=of)


# By the words of the four rules above: the answer, as the design of answers has it.
ANSWERS: list[tuple[tuple[str, str, str, str], str]] = [
    (("fine", "not asked", "fine", "fine"), "go"),
    (("not asked", "fine", "fine", "not asked"), "go"),
    (("fine", "not asked", "watch", "fine"), "go with care"),
    (("fine", "not asked", "fine", "watch"), "go with care"),
    (("fine", "not asked", "fine", "not known"), "go with care; and not yet known: The pH kit"),
    (("fine", "not asked", "not known", "watch"), "not yet; not known: pH"),
    (("not known", "fine", "fine", "fine"), "not yet; not known: Oxygen on the road"),
    (("fine", "not asked", "act", "fine"), "no-go"),
    (("fine", "not asked", "fine", "act"), "no-go"),
    (("not known", "not known", "act", "fine"),
     "no-go; and not yet known: Oxygen on the road, Oxygen in the bag"),
    (("not asked", "not asked", "fine", "fine"), "not yet"),
    (("not asked", "not asked", "not asked", "not asked"), "not yet"),
    (("fine", "fine", "not asked", "fine"), "not yet"),
    (("fine", "fine", "ok", "fine"), "not yet; not known: pH"),
    (("fine", "fine", "", "fine"), "not yet; not known: pH"),
    (("FINE", "not asked", "Watch", "fine"), "go with care"),
]
STATES: list[tuple[tuple[str, str, str, str], str]] = [
    (("fine", "not asked", "not asked", "not asked"), "fine"),
    (("not asked", "not asked", "not asked", "not asked"), "not tested"),
    (("watch", "fine", "not asked", "fine"), "watch"),
    (("not known", "watch", "fine", "fine"), "not known: Oxygen on the road"),
    (("ok", "fine", "fine", "fine"), "not known: Oxygen on the road"),
    (("not known", "act", "fine", "fine"), "act; and not yet known: Oxygen on the road"),
]
FOUR = (OXYGEN, BAG, PH, KIT)


def test_the_answer_of_a_plan() -> None:
    for words, expected in ANSWERS:
        assert answer([said(of, word) for of, word in zip(FOUR, words)]).text == expected, words


def test_the_state_of_a_system_in_a_log() -> None:
    for words, expected in STATES:
        assert state([said(of, word) for of, word in zip(FOUR, words)]).text == expected, words


def test_without_essential_rules_nothing_is_ready() -> None:
    assert answer([]).word == "not yet"
    assert answer([said(KIT, "fine")]).word == "not yet"
    assert state([]).word == "not tested"
    assert Board([KIT], *"ABCDE").answer() == 'IF(COUNTIF($C$1:$C$1,"act")>0,"no-go","not yet")'


def test_reasons_come_by_how_serious_how_urgent_and_by_rank() -> None:
    found = answer([said(PH, "watch", 30), said(KIT, "act", 9), said(BAG, "act", 5), said(OXYGEN, "not known", 20),
                    said(replace_rank(KIT, 2), "watch", 30)])
    assert found.reasons == (
        "Oxygen in the bag: act: so it is", "The pH kit: act: so it is", "Oxygen on the road: not known",
        "The pH kit: watch: so it is", "pH: watch: so it is")
    assert order("act", 99, 999) < order("not known", 1, 1) < order("watch", 1, 1)


def replace_rank(of: Rule, rank: int) -> Rule:
    """The rule with another rank."""
    return replace(of, rank=rank)


def test_a_verdict_that_tells_no_rule_is_refused() -> None:
    with pytest.raises(BadInput, match="verdicts that tell their rule"):
        answer([Judged("fine")])


def test_a_board_that_would_be_too_long_is_refused() -> None:
    board = Board([a_rule(f"Check {i}") for i in range(300)], *"ABCDE")
    with pytest.raises(BadRule, match="the answer of 300 rules would have"):
        board.told("G1")


# In a sheet ---------------------------------------------------------------------------------------------


def words_on_a_sheet(tables: list[tuple[tuple[str, ...], str]], in_log: bool) -> Cells:
    """Each case's words as somebody would type them, and the answer below."""
    cells: Cells = {}
    for i, (words, _) in enumerate(tables):
        board = Board(FOUR, "A", "B", "C", "D", "E", top=6 * i + 1)
        cells |= board_cells(board, dict(enumerate(words)))
        cells[f"H{board.top}"] = FormulaCell(board.state() if in_log else board.answer())
        cells[f"G{board.top}"] = FormulaCell(board.told(f"H{board.top}"))
    return cells


def board_cells(board: Board, words: dict[int, Any]) -> Cells:
    """Subjects, words, orders; words may be given."""
    cells: Cells = {}
    for i, one in enumerate(board.rules):
        row = board.top + i
        cells[f"A{row}"] = one.subject
        if words.get(i, "") != "":
            cells[f"C{row}"] = words[i]
        cells[f"E{row}"] = FormulaCell(board.order(i))
    return cells


@pytest.mark.parametrize("engine", [FAST, REFERENCE])
@pytest.mark.parametrize(("table", "in_log"), [(ANSWERS, False), (STATES, True)])
def test_a_sheet_answers_as_python_does(table: list[Any], in_log: bool, engine: str) -> None:
    found = calculated(words_on_a_sheet(table, in_log), engine)
    assert [found["S", f"G{6 * i + 1}"] for i in range(len(table))] == [expected for _, expected in table]


PLAN = [RULES[name] for name in ("oxygen_on_the_road", "species_and_temperature", "ph_kit", "ammonia", "refill_water")]
HEIGHT = len(PLAN) + 1
# What the rules of a plan may say, and the share of cells that are not in order: a "go" needs all to be fine.
WANTED: list[tuple[tuple[str, ...], float]] = [
    (("fine",), 0), (("fine", "watch"), 0), (("act", "watch", "fine", "not asked"), 0), (OUTCOMES, 0.03),
    (OUTCOMES, 0.1),
]


def plans(count: int, seed: int) -> tuple[Cells, list[tuple[str, list[str]]]]:
    """Plans whose verdict cells are overwritten now and then, and what each must answer: text and reasons."""
    rng = random.Random(seed)
    cells: Cells = {}
    wanted = []
    for top in range(1, count * HEIGHT, HEIGHT):
        board = Board(PLAN, "A", "B", "C", "D", "E", top=top)
        judged = []
        allowed, faults = WANTED[top // HEIGHT % len(WANTED)]
        for i, one in enumerate(PLAN):
            row = top + i
            values = values_of(rng, one, METRIC, faults)
            while judge(one, values).outcome not in allowed:
                values = values_of(rng, one, METRIC, faults)
            where = {}
            for k, asked in enumerate(one.questions):
                typed, twin = f"A{'ABCD'[k]}{row}", f"B{'ABCD'[k]}{row}"
                if values[asked.name] is not None:
                    cells[typed] = values[asked.name]
                cells[twin] = FormulaCell(clean(asked, typed))
                where[asked.name] = twin
            sheet = Sheet(where, calls=True)
            cells |= {f"A{row}": one.subject, f"B{row}": FormulaCell(sheet.text(one)),
                      f"C{row}": FormulaCell(sheet.word(one)), f"D{row}": FormulaCell(sheet.urgency(one)),
                      f"E{row}": FormulaCell(board.order(i))}
            found = judge(one, values)
            if rng.random() < 0.06:
                overwrite(cells, row, rng.choice([ErrorValue("#REF!"), "ok", "fine!", "*", None, 5.0, True]))
                found = Judged("overwritten", urgency=0, rule=one)
            judged.append(found)
        cells[f"H{top}"] = FormulaCell(board.answer())
        cells[f"G{top}"] = FormulaCell(board.told(f"H{top}"))
        cells |= {f"I{top + k}": FormulaCell(board.reason(k + 1)) for k in range(len(PLAN))}
        wanted.append((answer(judged).text, list(answer(judged).reasons)))
    return cells, wanted


def overwrite(cells: Cells, row: int, held: Any) -> None:
    """Somebody's own value, or nothing, in the cells of a verdict."""
    for column in "BCD":
        del cells[f"{column}{row}"]
        if held is not None and column != "D":
            cells[f"{column}{row}"] = held


def check(found: Any, wanted: list[tuple[str, list[str]]]) -> None:
    """Whether the plans answer as they must."""
    for i, (text, reasons) in enumerate(wanted):
        top = i * HEIGHT + 1
        shown = [told for k in range(len(PLAN)) if (told := found.get(("S", f"I{top + k}")))]
        assert (found["S", f"G{top}"], shown) == (text, reasons), f"plan {i}"


@pytest.mark.parametrize(("engine", "count"), [(FAST, 60), (REFERENCE, 12)])
def test_overwritten_cells_are_not_known(engine: str, count: int) -> None:
    cells, wanted = plans(count, seed=5)
    assert {text.partition(";")[0] for text, _ in wanted} == {"go", "go with care", "no-go", "not yet"}
    check(calculated(cells, engine), wanted)


@pytest.mark.libreoffice
@pytest.mark.long
def test_overwritten_cells_are_not_known_in_libreoffice(tmp_path: Path) -> None:
    calc.needed()
    from pailbook.hosts.calc import extension

    cells, wanted = plans(150, seed=6)
    check(recalculated(cells, tmp_path, extension.build(tmp_path / "ours.oxt")), wanted)


@pytest.mark.libreoffice
@pytest.mark.long
@pytest.mark.parametrize(("table", "in_log"), [(ANSWERS, False), (STATES, True)])
def test_libreoffice_answers_as_python_does(table: list[Any], in_log: bool, tmp_path: Path) -> None:
    calc.needed()
    found = recalculated(words_on_a_sheet(table, in_log), tmp_path)
    assert [found["S", f"G{6 * i + 1}"] for i in range(len(table))] == [expected for _, expected in table]


def test_an_act_rung_needs_a_remedy() -> None:
    with pytest.raises(TypeError, match="remedy"):
        act(True, "low")  # type: ignore[call-arg]
