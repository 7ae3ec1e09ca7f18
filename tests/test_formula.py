"""Plain formulas: how they are written, what stands around them, and which functions they may use."""

from __future__ import annotations

from typing import Any

import pytest

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from inputs import typed
from pailbook import ops
from pailbook.formula.trace import plain_formula
from pailbook.formula.tree import Binary, Negative, Node, NotTraceable, Reference
from pailbook.formula.write import DEEPEST_FORMULA, LONGEST_FORMULA, write
from pailbook.function import CATALOGUE, WorksheetFunction
from pailbook.hosts.call import call
from pailbook.hosts.headless import evaluate
from pailbook.outcomes import NotInTable
from plain import SINGLE, plain_form
from thorough import each

FUNCTIONS = SINGLE
each_function = each("function", FUNCTIONS, lambda function: function.name)
AMMONIA = CATALOGUE["AMMONIA_FRACTION"]
A, B, C = Reference("A1"), Reference("B1"), Reference("C1")


# Writing -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("node", "text"), [
    (A + B + C, "A1+B1+C1"), (A + (B + C), "A1+(B1+C1)"), (A - B - C, "A1-B1-C1"), (A - (B + C), "A1-(B1+C1)"),
    (A - (B - C), "A1-(B1-C1)"), (A * B * C, "A1*B1*C1"), (A * (B * C), "A1*(B1*C1)"), (A / B / C, "A1/B1/C1"),
    (A / (B * C), "A1/(B1*C1)"), ((A + B) * C, "(A1+B1)*C1"), (A + B * C, "A1+B1*C1"), (A * B + C, "A1*B1+C1"),
    # In a sheet ^ is left-associative and unary minus binds tighter than it.
    (A**B**C, "A1^(B1^C1)"), ((A**B) ** C, "(A1^B1)^C1"), (A**-B, "A1^(-B1)"), ((-A) ** 2, "(-A1)^2"),
    (-(A**2), "-(A1^2)"), (-A, "-A1"), (-Negative(A), "-(-A1)"), (A**-2, "A1^(-2)"), (2**A, "2^A1"),
    ((-2) ** A, "(-2)^A1"),
    (A**B * C, "A1^B1*C1"), (A * B**C, "A1*B1^C1"), ((A * B) ** C, "(A1*B1)^C1"), (A ** (B * C), "A1^(B1*C1)"),
    (A + -B, "A1+(-B1)"), (A - -B, "A1-(-B1)"), (A * -B, "A1*(-B1)"), (-A + B, "-A1+B1"), (-A * B, "-A1*B1"),
    (-(A * B), "-(A1*B1)"), (-(A + B), "-(A1+B1)"), (A + -2, "A1+(-2)"), (A - 2, "A1-2"), (A - 1, "A1-1"),
    (A + 1, "A1+1"), (A * -2.5, "A1*(-2.5)"),
    (A < -1, "A1<(-1)"), ((A + B) > C, "A1+B1>C1"), ((A == B) + C, "(A1=B1)+C1"), ((A < B) == C, "A1<B1=C1"),
    (Binary("=", C, A < B), "C1=(A1<B1)"),
    (A != "", 'A1<>""'), (A == 'say "yes"', 'A1="say ""yes"""'), (A == True, "A1=TRUE"), (A == False, "A1=FALSE"),  # noqa: E712
    ((A > 1) & (B > 1) & (C > 1), "AND(A1>1,B1>1,C1>1)"), ((A > 1) | ((B > 1) | (C > 1)), "OR(A1>1,B1>1,C1>1)"),
    ((A > 1) & ((B > 1) | (C > 1)), "AND(A1>1,OR(B1>1,C1>1))"), (~(A > 1), "NOT(A1>1)"),
    (A.concatenate(A, "|", B), 'A1&"|"&B1'), (A.concatenate(A, "|", B) == "x|y", 'A1&"|"&B1="x|y"'),
    (Reference("B4*2", atom=False) * A, "(B4*2)*A1"), (ops.exp(Reference("B4*2", atom=False)), "EXP(B4*2)"),
    (Reference("Sheet 1!A1") + 1, "Sheet 1!A1+1"),
])
def test_operators(node: Node, text: str) -> None:
    assert write(node) == text


@pytest.mark.parametrize(("value", "text"), [
    (0, "0"), (1, "1"), (1.0, "1"), (-2.5, "-2.5"), (0.1, "0.1"), (273.15, "273.15"), (1e15, "1E+15"), (1000, "1000"),
    (123456789012345.0, "123456789012345"), (1.25e20, "1.25E+20"), (1e-5, "1E-5"), (2.25577e-5, "2.25577E-5"),
    (1e-300, "1E-300"), (0.1 + 0.2, "0.3"), (1 / 3, "0.333333333333333"), (100000000, "100000000"),
    (-1e-7, "-1E-7"), (8.621949e11, "862194900000"),
])
def test_numbers(value: float, text: str) -> None:
    assert write(value) == text
    assert float(evaluate(text)) == pytest.approx(value, rel=1e-14)


def test_what_is_known_beforehand_is_folded() -> None:
    assert write(A * 1 + 0) == "A1"
    assert write(1 * A / 1 - 0) == "A1"
    assert write(0 + A**1) == "A1"
    assert write(A * 0) == "0"
    assert write(0.0 * A + B) == "B1"
    assert write(ops.where(False | (A > 1), 1, 2)) == "IF(A1>1,1,2)"
    assert write(ops.where(True & (A > 1), 1, 2)) == "IF(A1>1,1,2)"
    assert write(ops.where((A > 1) | True, 1, 2)) == "1"
    assert write(ops.where((A > 1) & False, 1, 2)) == "2"
    assert write(A - A) == "A1-A1"  # no algebra
    assert write(0 - A) == "0-A1"
    assert write(1 / A) == "1/A1"


# The values are elementary arithmetic; sheets without the parentheses give others (-2^2 is 4 there, 2^3^2 is 64).
@pytest.mark.parametrize(("node", "value"), [
    (-(A**2), -4), ((-A) ** 2, 4), (A**B**A, 512), ((A**B) ** A, 64), (C - (A - B), 8), (C - A - B, 2),
    (C / (A * B), 7 / 6), (A**-B, 0.125), (A - -B, 5), (-A - B, -5), (-A * -B, 6), (C / A / B, 7 / 6),
    (C / (A / B), 10.5), (-(A**-B), -0.125),
])
def test_order_of_evaluation_is_pythons(node: Node, value: float) -> None:
    assert evaluate(write(node), {"A1": 2, "B1": 3, "C1": 7}) == pytest.approx(value, rel=1e-14)


def test_formulas_that_would_be_too_long_are_refused_at_once() -> None:
    node: Any = A
    for _ in range(60):  # written out, this would have 2^60 characters
        node = node * node + 1
    assert len(repr(node)) < 100
    with pytest.raises(NotTraceable, match="more than the 8192 characters"):
        write(node)
    fits = Reference("x" * (LONGEST_FORMULA - 2)) + 1
    assert len(write(fits)) == LONGEST_FORMULA
    with pytest.raises(NotTraceable, match="more than the 8192 characters"):
        write(fits + 1)


def test_formulas_that_would_be_too_deep_are_refused() -> None:
    node: Any = A
    for _ in range(100_000):
        node = node + 1
    with pytest.raises(NotTraceable, match="too many operations within operations"):
        write(node)
    node = A
    for _ in range(DEEPEST_FORMULA):
        node = ops.exp(node)
    assert write(node).count("EXP(") == DEEPEST_FORMULA == 64
    with pytest.raises(NotTraceable, match="65 functions within functions; 64 are allowed"):
        write(Binary("+", 1, -ops.exp(node)))


# The formula of a call ---------------------------------------------------------------------------------

GOLDEN = [
    # The form that the design gives, with the guards around it.
    (["B4", "C4"],
     "IF(COUNT(B4,C4)<2,NA(),IF(OR(B4<4,B4>11,C4<=0,C4>40),NA(),1/(1+10^(0.09018+2729.92/(C4+273.15)-B4))))"),
    (["B4", "C4", "", '"us"'],
     "IF(COUNT(B4,C4)<2,NA(),IF(OR(B4<4,B4>11,C4<=32,C4>104),NA(),1/(1+10^(0.09018+2729.92/((C4-32)/1.8+273.15)-B4))))"),
    (["B4", "C4", "", "E4"],
     'IF(COUNT(B4,C4)+(E4="")+OR(E4="metric",E4="us")<3,NA(),IF(OR(B4<4,B4>11,IF(E4="us",C4<=32,C4<=0),'
     'IF(E4="us",C4>104,C4>40)),NA(),1/(1+10^(0.09018+2729.92/(IF(E4="us",(C4-32)/1.8,C4)+273.15)-B4))))'),
    (["8.0", "C4"], "IF(COUNT(C4)<1,NA(),IF(OR(C4<=0,C4>40),NA(),1/(1+10^(0.09018+2729.92/(C4+273.15)-8))))"),
    (["$B$4", "'Own tanks'!C4"],
     "IF(COUNT($B$4,'Own tanks'!C4)<2,NA(),IF(OR($B$4<4,$B$4>11,'Own tanks'!C4<=0,'Own tanks'!C4>40),NA(),"
     "1/(1+10^(0.09018+2729.92/('Own tanks'!C4+273.15)-$B$4))))"),
    (["ph_today", "C4+1"],
     "IF(ISNUMBER(ph_today)+ISNUMBER(C4+1)<2,NA(),IF(OR((ph_today)<4,(ph_today)>11,(C4+1)<=0,(C4+1)>40),NA(),"
     "1/(1+10^(0.09018+2729.92/((C4+1)+273.15)-(ph_today)))))"),
]


@pytest.mark.parametrize(("arguments", "text"), GOLDEN)
def test_the_formula_of_ammonia_fraction(arguments: list[str], text: str) -> None:
    assert plain_formula(AMMONIA, arguments) == text


@pytest.mark.parametrize(("name", "arguments", "text"), [
    ("BATTERY_HOURS", ["A1", "B1", "C1"],
     "IF(COUNT(A1,B1,C1)<3,NA(),IF(OR(A1<=0,A1>10000,B1<=0,B1>1000,C1<=0,C1>100000),NA(),A1*B1*0.5*0.85/C1))"),
    ("OXYGEN_FROM_FEED", ["A1", "B1"],
     'IF(COUNT(A1,B1)+(B1="")<2,NA(),IF(OR(A1<0,A1>10000000,IF(B1="",FALSE,OR(B1<=0,B1>2))),NA(),'
     'A1*IF(B1="",0.5,B1)))'),
    ("MEAN_MASS", ["A1", "B1", "C1"],
     'IF(COUNT(A1,B1)+(C1="")+OR(C1="metric",C1="us")<3,NA(),IF(OR(A1<=0,IF(C1="us",A1>2204622.622,A1>1000000),'
     'B1<=0,B1>1000000000,INT(B1)<>B1),NA(),IF(C1="us",A1/2.20462262184878,A1)*1000/B1*IF(C1="us",0.0352739619495804,1)))'),
    ("HARDNESS_CONVERT", ["A1", '"gpg"', '"CaCO3"'],
     # A grain is 64.79891 mg, a US gallon 3.785411784 L, by definition.
     f"IF(COUNT(A1)<1,NA(),IF(OR(A1<0,A1>10000),NA(),A1*{64.79891 / 3.785411784:.15g}))"),
    # Queensland Government, jade perch: farmers often stop feeding at 16 °C.
    ("SPECIES_LIMIT", ['"Jade Perch"', '"temperature"', '"feed low"', "D1"],
     'IF((D1="")+OR(D1="metric",D1="us")<1,NA(),16*IF(D1="us",1.8,1)+IF(D1="us",32,0))'),
    ("TANK_VOLUME", ["A1", "200", "100", "50"],
     'IF(NOT(OR(A1="rectangular",A1="round",A1="oval")),NA(),IF(A1="rectangular",1000,785.398163397448))'),
])
def test_other_formulas(name: str, arguments: list[str], text: str) -> None:
    assert plain_formula(CATALOGUE[name], arguments) == text


@pytest.mark.parametrize("arguments", [
    [], ["B4"], ["", "C4"], ["80", "C4"], ["B4", "0"], ['"8"', "C4"], ["TRUE", "C4"], ["B4", "C4", "-1"], ["B4", "104"],
    ["B4", "32", "", '"us"'], ["B4", "C4", "", '"imperial"'], ["B4", "C4", "", "1"], ["B4", '"warm"'], ["B4", '""'],
])
def test_a_constant_that_is_refused_makes_it_not_available(arguments: list[str]) -> None:
    assert plain_formula(AMMONIA, arguments) == "NA()"


@each_function
def test_constants_alone_are_folded_into_the_value(function: WorksheetFunction) -> None:
    arguments = [typed(value) for value in function.example]
    folded, value = plain_form(function, arguments).final, call(function, function.example)
    if isinstance(value, str):
        assert folded == f'"{value}"'
    else:
        assert float(folded) == pytest.approx(value, rel=1e-13)


def test_constants_may_be_typed_in_many_ways() -> None:
    value = plain_formula(AMMONIA, ["8", "25"])
    for ph in ("8.0", " 8 ", "+8", "8.", "80e-1", "8E0", "0.8E+1"):
        assert plain_formula(AMMONIA, [ph, "25"]) == value
    assert plain_formula(AMMONIA, ["8", "77", "", '"US"']) == value
    assert plain_formula(AMMONIA, ["8", "25", "0"]) == value
    assert plain_formula(AMMONIA, ["8", "25", "", ""]) == value
    criterion = CATALOGUE["AMMONIA_CRITERION"]
    value = plain_formula(criterion, ["7", "10", '"acute"', "1"])
    assert plain_formula(criterion, ["7", "10", '"ACUTE"', "true"]) == value


def test_too_many_arguments_are_refused() -> None:
    with pytest.raises(NotTraceable, match="AMMONIA_FRACTION takes at most 4 arguments"):
        plain_formula(AMMONIA, ["B4", "C4", "", "", ""])


def test_a_constant_beside_a_cell_only_has_to_fit_where_it_is_used() -> None:
    """A product that lacks some nutrients is no reason to refuse a formula whose nutrient is a cell."""
    formula = plain_formula(CATALOGUE["NUTRIENT_DOSE"], ['"KCl"', "B1", "100", "0", "10"])
    for nutrient in ("K", "Cl"):
        expected = call(CATALOGUE["NUTRIENT_DOSE"], ["KCl", nutrient, 100.0, 0.0, 10.0])
        assert evaluate(formula, {"B1": nutrient}) == pytest.approx(expected, rel=1e-12)
    with pytest.raises(NotInTable):
        call(CATALOGUE["NUTRIENT_DOSE"], ["KCl", "N", 100.0, 0.0, 10.0])
    assert str(evaluate(formula, {"B1": "N"})) == "#N/A"
