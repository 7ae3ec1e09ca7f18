"""The sheet's own functions and operators in the headless engine, above all where its library is known to go astray.

What they give is checked against OpenFormula (OASIS, ODF 1.3 part 4), named by section.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pailbook.hosts.cells import ErrorValue as error
from pailbook.hosts.headless import evaluate
from pailbook.hosts.references import Unreadable


@pytest.mark.parametrize(("formula", "expected"), [
    ("=-2^2", 4),  # 5.5: unary minus binds tighter than ^
    ("=2^3^2", 64),  # 5.5: ^ is left-associative
    ("=1E3+1", 1001), ("=1e-3", 0.001), ("=1.5E-10*2", 3e-10), ("=12%", 0.12),
    ("=--TRUE", 1), ('=--"7"', 7), ("=2--3", 5), ("=SUMPRODUCT(--(A1:A4>1))", 3),  # 5.5.13, 6.3.5
    ("=INDEX(A1:B4,0,2)", [[10], [20], [30], [40]]), ("=INDEX(A1:B4,2,0)", [[2, 20]]),  # 6.14.6: 0 means all
    ("=SUM(INDEX(A1:B4,0,2))", 100), ("=INDEX(A1:B4,3,2)", 30), ("=INDEX(B1:B4,2)", 20), ("=INDEX(A1:B1,2)", 10),
    ("=INDEX(A1:B4,9,1)", error("#REF!")), ("=INDEX({1,2.5,3},1,MATCH(\"b\",{\"a\",\"B\",\"c\"},0))", 2.5),
    ("=SUM(C1:C3)", 1), ("=COUNT(C1:C3)", 1), ("=AVERAGE(C1:C3)", 1), ("=MIN(C1:C3)", 1), ("=MAX(C1:C3)", 1),
    ("=COUNTA(C1:C3)", 3), ("=MEDIAN(C1:C3)", 1), ("=SUMPRODUCT(C1:C3,C1:C3)", 1),  # 6.3.7: text in a range
    ('=SUM("7",1)', 8),  # 6.3.5: but text given outright is converted
    ("=A9", 0), ('=A9=""', True), ("=A9=0", True), ("=ISBLANK(A9)", True), ("=COUNT(A9,A1)", 1),  # 4.7: blank cells
    ("=SUM(A1:A2 A2:A4)", 2), ("=COUNT((A1:A2,B1))", 3), ("=SUM($A$1:A$2)", 3),  # 5.8 reference operators
    ("=SUM(A4:A1)", 10), ("=ROW(B7)", 7), ("=COLUMN(B7)", 2), ("=ROWS(A1:A4)", 4),
    ("=1/0", error("#DIV/0!")), ("=SQRT(-1)", error("#NUM!")), ('="a"+1', error("#VALUE!")), ("=NA()", error("#N/A")),
    ("=10^400", error("#NUM!")), ("=0^-1", error("#DIV/0!")), ("=(-8)^0.5", error("#NUM!")),  # 5.5.2
    ("=COUNT(IF(TRUE,A9))", 0), ("=SUM(IF(FALSE,A1:A4,5))", 5), ("=SUM(IF(TRUE,A1:A4,5))", 10),  # 6.15.4
    ("=AMMONIA_FRACTION(IF(TRUE,A9),25)", error("#N/A")), ("=A9=FALSE", True), ('="a"<"B"', True), ('=9<"1"', True),
    ("=IFERROR(1/0,2)", 2), ("=NO_SUCH_FUNCTION(1)", error("#NAME?")), ("=IFERROR(NO_SUCH_FUNCTION(1),2)", 2),
    ('="a\nb"', "a\nb"), ('="say ""x"""', 'say "x"'), ("=TRUE", True), ("=true()", True), ("=#N/A", error("#N/A")),
    ("=_xlfn.STDEV.S(A1:A2)", math.sqrt(0.5)), ('=IF(A1>0,"yes","no")', "yes"), ("A1*2", 2), ("= A1 + B1 ", 11),
])
def test_the_sheets_own_arithmetic(formula: str, expected: Any) -> None:
    cells = {"A1": 1, "A2": 2, "A3": 3, "A4": 4, "B1": 10, "B2": 20, "B3": 30, "B4": 40, "C1": 1, "C2": "7", "C3": "x"}
    value = evaluate(formula, cells)
    assert value == (pytest.approx(expected) if isinstance(expected, float) else expected)
    assert isinstance(value, bool) == isinstance(expected, bool)


@pytest.mark.parametrize(("formula", "why"), [
    ("=)(", "cannot be read"), ("=1+", "missing"), ("=SUM(A1", "cannot be read"), ("=", "cannot be read"),
    ('="open', "cannot be read"), ("=A1 B1 C1 1", "cannot be read"),
    ("=ph*2", "ph is not a name"), ("=Tank!A1", "sheet 'Tank'"), ("=[2]Log!A1", "another workbook"),
    ("=SUM(Tests[pH])", "heading"), ("=TREND(A1:A2,B1:B2,9)", "TREND"), ('=DATEDIF(1,2,"d")', "DATEDIF"),
    ('=COUNTIF(A1:A9,"<>")', "<>"), ("=ROWS(A:A)", "size of a whole column"),
])
def test_what_would_come_out_wrong_is_refused_by_name(formula: str, why: str) -> None:
    with pytest.raises(Unreadable, match=why.replace("(", r"\(").replace("[", r"\[")):
        evaluate(formula)


@given(st.recursive(
    st.floats(0.1, 99).map(lambda x: f"{x:.3f}"),
    lambda part: st.tuples(part, st.sampled_from("+-*/"), part).map(lambda t: f"({t[0]}{t[1]}{t[2]})"), max_leaves=12,
))
@settings(max_examples=60, deadline=None)
def test_arithmetic_is_that_of_floats(text: str) -> None:
    try:
        expected = eval(text)
    except ZeroDivisionError:
        expected = error("#DIV/0!")
    assert evaluate(f"={text}") == expected


@pytest.mark.parametrize(("content", "expected"), [
    (5.0, True), ("5", False), ("", False), (None, False), (True, False), ("=1/0", False),
])
def test_isnumber_is_true_of_numbers_alone(content: object, expected: bool) -> None:
    # Microsoft's documentation of the IS functions: values are not converted, so ISNUMBER("19") is FALSE.
    held = error("#DIV/0!") if content == "=1/0" else content
    assert evaluate("ISNUMBER(A1)", {"A1": held}) is expected
