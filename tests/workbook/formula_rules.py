"""What every workbook's formulas have to keep to, so that each spreadsheet program and engine computes them alike."""

from __future__ import annotations

import re
from collections.abc import Mapping, Set

from openpyxl.formula import Tokenizer

from pailbook.formula.write import LONGEST_FORMULA
from pailbook.function import CATALOGUE

# Sheet functions of 2007 on which spreadsheets and the headless engine agree; no others may stand in a template. NOW
# stands in the one cell that is to be computed on opening.
ALLOWED = frozenset({
    "ABS", "AND", "CHAR", "CHOOSE", "COUNT", "COUNTA", "COUNTIF", "COUNTIFS", "DAY", "EXP", "FIND", "IF", "IFERROR",
    "INDEX", "INT", "ISBLANK", "ISERROR", "ISLOGICAL", "ISNUMBER", "ISTEXT", "LARGE", "LEFT", "LN", "LOG10", "MATCH",
    "MAX", "MID", "MIN", "MONTH", "NA", "NOT", "NOW", "OR", "RIGHT", "ROUND", "ROUNDUP", "ROW", "SMALL", "SQRT", "SUM",
    "SUMIFS", "SUMPRODUCT", "YEAR",
})
DEEPEST = 64  # levels of functions within functions, a limit of spreadsheets
Place = tuple[str, str]


def check_formula(place: Place, text: str, allowed: Set[str]) -> None:
    """One formula: its length and depth, the functions that it calls, what engines are known to read in two ways."""
    assert len(text) <= LONGEST_FORMULA, place
    depth = deepest = 0
    for token in Tokenizer(text).items:
        if token.type == "FUNC" and token.subtype == "OPEN":
            assert token.value[:-1] in allowed, (place, token.value)
            depth += 1
            deepest = max(deepest, depth)
        elif token.type == "FUNC":
            depth -= 1
        elif token.type == "OPERAND" and token.subtype == "RANGE":
            assert not re.search(r"\$?[A-Z]+:\$?[A-Z]+$|\[|#REF", token.value), (place, token.value)
    assert deepest <= DEEPEST, place
    assert not re.search(r'--|"<>"|\d[eE]\d', text), place


def check_us_units(formulas: Mapping[Place, str]) -> None:
    """Every call of a function that converts says that its numbers are in US units."""
    converting = [name for name, function in CATALOGUE.items() if function.has_units]
    for place, text in formulas.items():
        calls = sum(len(re.findall(rf"\b{name}\(", text)) for name in converting)
        assert text.count(',"us")') == calls, (place, text)
