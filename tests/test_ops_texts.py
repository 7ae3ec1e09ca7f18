"""Operations on texts: tables, label grades."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest

from pailbook import ops
from pailbook.formula.tree import Reference
from pailbook.formula.write import write
from pailbook.hosts.headless import evaluate
from pailbook.outcomes import NotInTable

X = Reference("A1")


LETTERS = {"a": 1.0, "b": 2.5}
PAIRS = {("a", "x"): 1.0, ("a", "y"): 2.0, ("b", "x"): 3.0}


def test_pick() -> None:
    assert ops.pick("b", LETTERS, "letter") == 2.5
    assert ops.pick(np.array(["a", "b", "a"]), LETTERS, "letter").tolist() == [1, 2.5, 1]
    column = ops.pick(pd.Series(["b", "a"], index=[4, 2]), LETTERS, "letter")
    assert column.to_dict() == {4: 2.5, 2: 1.0}
    assert evaluate(write(ops.pick(X, LETTERS, "letter")), {"A1": "B"}) == 2.5  # sheets take no notice of case


def test_pick_by_several_texts() -> None:
    assert ops.pick(("a", "y"), PAIRS, "pair") == 2
    assert ops.pick((np.array(["a", "b"]), "x"), PAIRS, "pair").tolist() == [1, 3]
    assert ops.pick(("a", pd.Series(["y", "x"])), PAIRS, "pair").tolist() == [2, 1]
    assert evaluate(write(ops.pick((X, "x"), PAIRS, "pair")), {"A1": "b"}) == 3
    assert write(ops.pick((X, "y"), PAIRS, "pair")) == 'INDEX({2},1,MATCH(A1,{"a"},0))'
    both = write(ops.pick((X, Reference("B1")), PAIRS, "pair"))
    assert evaluate(both, {"A1": "a", "B1": "y"}) == 2


def test_pick_where_the_table_has_nothing() -> None:
    with pytest.raises(NotInTable, match="there is no letter for c; there is one for: a, b"):
        ops.pick("c", LETTERS, "letter")
    with pytest.raises(NotInTable, match="there is no pair for b / y; there is one for: b / x"):
        ops.pick(("b", "y"), PAIRS, "pair")
    assert np.isnan(ops.pick(np.array(["c", "a"]), LETTERS, "letter")).tolist() == [True, False]
    assert np.isnan(ops.pick((np.array(["b", None]), "y"), PAIRS, "pair")).all()
    assert str(evaluate(write(ops.pick(X, LETTERS, "letter")), {"A1": "c"})) == "#N/A"
    with pytest.raises(NotInTable, match="no pair for any of these"):
        ops.pick((X, "z"), PAIRS, "pair")


GRADES = {"15-5-30": (15, 5, 30), "15.5-0-0": (15.5, 0, 0), "0-0-60": (0, 0, 60), "100-0-0.25": (100, 0, 0.25)}
NO_GRADES = ["", "KCl", "15", "15-5", "15-5-", "-15-5-30", "15-5-30-2", "15-x-30", "15--30", "15.-5-30", ".5-5-5",
             "15-5-5e2", "1 5-5-5", "15- 5-30", "15,5-0-0", "1:30-5-5", "15%-5-5", "½-5-5", "١-٢-٣"]


@pytest.mark.parametrize("text", GRADES)
def test_label_grades(text: str) -> None:
    assert ops.is_grade(text)
    assert evaluate(write(ops.is_grade(X)), {"A1": text}) is True
    for place, part in enumerate(GRADES[text]):
        assert ops.grade_part(text, place) == part
        assert ops.grade_part(np.array([text, "KCl"]), place).tolist() == pytest.approx([part, math.nan], nan_ok=True)
        assert evaluate(write(ops.grade_part(X, place)), {"A1": text}) == part


@pytest.mark.parametrize("text", NO_GRADES)
def test_what_is_no_label_grade(text: str) -> None:
    assert not ops.is_grade(text)
    assert ops.is_grade(np.array([text, "15-5-30"], dtype=object)).tolist() == [False, True]


def test_is_text() -> None:
    assert ops.is_text("fine")
    assert not ops.is_text(0.02)
