"""Every plain formula keeps to what spreadsheets of any age take, and never makes a number of a blank."""

from __future__ import annotations

import re
from functools import cache
from itertools import product

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from inputs import with_argument
from pailbook.formula.write import DEEPEST_FORMULA, LONGEST_FORMULA
from pailbook.function import WorksheetFunction
from plain import SINGLE, plain_form, value_of
from thorough import each

each_function = each("function", SINGLE, lambda function: function.name)


# Functions of Excel 2007 that `formulas` and LibreOffice calculate alike (measured; test_formula_properties proves it).
SAFE = {
    "ABS", "AND", "COUNT", "EXP", "FIND", "IF", "INDEX", "INT", "ISNUMBER", "ISTEXT", "LEFT", "LN", "LOG10", "MATCH",
    "MAX", "MID", "MIN", "NA", "NORMSINV", "NOT", "OR", "REPT", "ROUND", "SQRT", "SUBSTITUTE", "TRIM", "VALUE",
}


def _forms(function: WorksheetFunction) -> list[list[str]]:
    """All arguments as cells far down a sheet, and fewer and fewer of them; metric, US, and units as a cell."""
    cells = [f"{letter}500" for letter in "BCDEFGHIJKLMNOPQRSTUVWXYZ"[: len(function.arguments)]]
    required = sum(argument.required for argument in function.arguments)
    units = [[], ['"us"'], ["Z500"]] if function.has_units else [[]]
    return [
        [*cells[:given], *[""] * (len(cells) - given), *system]
        for given, system in product(range(required, len(cells) + 1), units)
    ]


@cache
def _texts(function: WorksheetFunction) -> list[tuple[str, list[str]]]:
    """Every formula of every form, and the addresses that may stand in it: arguments and earlier cells."""
    forms = [(arguments, plain_form(function, arguments)) for arguments in _forms(function)]
    return [(text, [*arguments, *form.steps]) for arguments, form in forms for text in form.texts]


@each_function
def test_formulas_keep_within_the_limits_of_spreadsheets(function: WorksheetFunction) -> None:
    for text, arguments in _texts(function):
        assert len(text) <= LONGEST_FORMULA, arguments
        assert _depth(text) <= DEEPEST_FORMULA
        assert max((len(quoted) for quoted in re.findall(r'"((?:[^"]|"")*)"', text)), default=0) <= 255


def _depth(text: str) -> int:
    """How deep parentheses stand within each other; functions within functions cannot be more."""
    deepest = depth = 0
    for mark in re.sub(r'"(?:[^"]|"")*"', "", text):
        depth += {"(": 1, ")": -1}.get(mark, 0)
        deepest = max(deepest, depth)
    assert depth == 0
    return deepest


@each_function
def test_formulas_use_safe_functions_alone(function: WorksheetFunction) -> None:
    for text, arguments in _texts(function):
        bare = re.sub(r'"(?:[^"]|"")*"', '""', text)
        assert set(re.findall(r"([A-Za-z][A-Za-z0-9_.]*)\(", bare)) <= SAFE
        without_calls = re.sub(r"[A-Z0-9]+\(", "(", re.sub(r"\dE[+-]\d+", "0", bare))
        assert set(re.findall(r"[A-Z]+\d+", without_calls)) <= set(arguments)
        assert not re.search(r"--|;|\s|[0-9.][eE][0-9(]|@|#|\[", bare), bare
        assert not re.search(r"(^|[(,=<>+*/^-])-[A-Z0-9.]+\^", bare), "a minus under a power needs parentheses"
        assert not re.search(r"\^-", bare), "a minus in an exponent needs parentheses"


@each_function
def test_every_argument_that_is_a_cell_is_in_the_formula(function: WorksheetFunction) -> None:
    arguments = _forms(function)[-1]
    texts = " ".join(plain_form(function, arguments).texts)
    for argument in arguments:
        assert re.search(rf"\b{argument}\b", texts)


@each_function
def test_a_blank_required_cell_never_yields_a_number(function: WorksheetFunction) -> None:
    cells = [f"{letter}1" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[: len(function.cell_arguments)]]
    required = [a.name for a in function.arguments if a.required]
    for arguments in (cells, cells[: len(required)]):
        formula = plain_form(function, arguments)
        good = dict(zip(cells, with_argument(function, "", None)))
        assert str(value_of(formula, good)) in function.result.choices or isinstance(value_of(formula, good), float)
        for name, address in zip(required, cells):
            assert name == function.arguments[cells.index(address)].name
            for blank in (None, ""):
                assert str(value_of(formula, good | {address: blank})) == "#N/A", f"{name} = {blank!r}"
