"""Formulas rewritten for the fast engine, and the judgement whether it computes them as a sheet does.

It is known to go wrong in a few places. Each is either avoided here or makes a formula unsuited:
COUNT, ISNUMBER and their like stop at an error that a function of texts gives them; ISNUMBER, INT, ABS, LEFT and ROW do
not work on each cell of a range; LEFT and VALUE take a flag or a blank cell for something else than a sheet does; ROUND
gives -0; an argument that is left out arrives as 0.
What has not been compared with a sheet is unsuited.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from openpyxl.formula.tokenizer import Token

from pailbook.formula.read import tokens
from pailbook.function import CATALOGUE
from pailbook.hosts.areas import LAST_COLUMN, Area
from pailbook.hosts.fast_values import ABS, COUNT, INT, IS_NUMBER, LEFT, VALUE
from pailbook.hosts.references import ADDRESS_MARK, PLACEHOLDER, Dissected

# Compared with OpenFormula's rules and with `formulas`, on numbers, texts, flags, blanks and errors.
_ON_SINGLE_VALUES = frozenset({
    "IF", "IFERROR", "IFNA", "NOT", "NA", "ISNUMBER", "ISTEXT", "ISERROR", "ISERR", "ISNA", "ISBLANK",
    "ISLOGICAL", "ISNONTEXT", "CHOOSE", "ABS", "INT", "ROUND", "ROUNDUP", "ROUNDDOWN", "TRUNC", "CEILING",
    "FLOOR", "MOD", "SIGN", "EXP", "LN", "LOG", "LOG10", "SQRT", "PI", "SIN", "COS", "TAN", "ATAN", "RADIANS",
    "ROW", "DATE", "YEAR", "MONTH", "DAY", "NOW", "TODAY", "WEEKDAY", "EDATE", "EOMONTH", "HOUR", "MINUTE",
    "UPPER", "LOWER",
    "LEFT", "RIGHT", "MID", "LEN", "TRIM", "FIND", "SEARCH", "SUBSTITUTE", "REPLACE", "REPT", "EXACT",
    "CONCATENATE", "TEXT", "VALUE", "CHAR", "CODE", "TRUE", "FALSE", "NORMSINV", "NORMSDIST", "TINV",
})
_ON_RANGES = frozenset({
    "SUM", "AVERAGE", "MIN", "MAX", "COUNT", "COUNTA", "COUNTBLANK", "COUNTIF", "COUNTIFS", "SUMIF", "SUMIFS",
    "AVERAGEIF", "AVERAGEIFS", "MEDIAN", "STDEV", "STDEVP", "VAR", "LARGE", "SMALL", "PERCENTILE", "QUARTILE",
    "PRODUCT", "SUMSQ", "SLOPE", "INTERCEPT", "RSQ", "FORECAST", "CORREL", "INDEX", "MATCH", "VLOOKUP", "HLOOKUP",
    "AND", "OR", "ROWS", "COLUMNS", "SUMPRODUCT",
})
# Those that may stand within SUMPRODUCT, where a sheet works on each cell of a range.
_WITHIN_ARRAYS = frozenset({
    "SUMPRODUCT", "MAX", "MIN", "LARGE", "SMALL", "SUM", "ISNUMBER", "INT", "ABS", "LEFT", "ROW", "INDEX", "MATCH",
    "NA",
})
_ON_EACH_CELL = {"ISNUMBER": IS_NUMBER, "INT": INT, "ABS": ABS}  # replaced within arrays, which LEFT always is
_KINDS = frozenset({"ISNUMBER", "ISTEXT", "ISERROR", "ISLOGICAL"})
_ARRAY = "{=}"  # stands around all that is in an array formula
ROWS = "ROWS"
_OWN_ROW = "9999999"  # in place of a reference's number: the row of the formula itself
BLANK_SHEET = "pailbook left out"
LEFT_OUT = f"'{BLANK_SHEET}'!A1"
_SLOT = re.compile(f"({PLACEHOLDER}|{ROWS})" + r"(\d+)")

Slots = list[tuple[str, str, int]]  # the text before it, what kind, the number of the reference or -1 for none
Places = list[tuple[int, int]]  # rows and columns

# A shape is taken apart with addresses that no formula has, each another one, so that none is lost or merged.
STAND_IN_ROW = 1_000_000


class Unsuited(Exception):
    """The fast engine is not known to compute this as a sheet does."""


@dataclass(frozen=True)
class Form:
    """A formula that stands in many cells, which differ in what they refer to: its text with places for that."""

    found: Dissected
    slots: Slots
    rest: str

    def areas(self, places: Places, sheet: str, ends: Mapping[str, tuple[int, int]]) -> list[Area]:
        """What a formula on that sheet refers to whose addresses are these; `ends` tells what each sheet uses."""
        areas = []
        for reference in self.found.references:
            (_, top), (_, left), (_, bottom), _ = reference.ends
            if places and left == LAST_COLUMN and top > STAND_IN_ROW:
                row, column = places[top - STAND_IN_ROW - 1]
                if top == bottom:
                    areas.append(Area(reference.sheet or sheet, row, column, row, column))
                    continue
                last_row, last_column = places[bottom - STAND_IN_ROW - 1]
                areas.append(Area(reference.sheet or sheet, min(row, last_row), min(column, last_column),
                                  max(row, last_row), max(column, last_column)))
            elif area := reference.seen_from(sheet, 1, 1):
                areas.append(area.in_use(*ends[area.sheet]))
        return areas

    def text(self, areas: list[Area], row: int, name: Callable[[Area], str]) -> str:
        """The formula for the fast engine in a cell of that row, whose references are these areas."""
        parts: list[str] = []
        for before, kind, number in self.slots:
            if kind == ROWS:
                parts += before, _row_numbers(areas[number] if number >= 0 else None, row)
            else:
                parts += before, name(areas[number])
        return "=" + "".join(parts) + self.rest


def stood_in(shape: str) -> str:
    """A formula of that shape."""
    pieces = shape.split(ADDRESS_MARK)
    return pieces[0] + "".join(f"$XFD${STAND_IN_ROW + i}{piece}" for i, piece in enumerate(pieces[1:], start=1))


def form(found: Dissected, array: bool = False) -> Form:
    """A formula that was taken apart, made ready; `array`: it works on each cell of its ranges, as in SUMPRODUCT.

    Raises
    ------
    Unsuited
        When the fast engine is not known to compute it as a sheet does.
    """
    items = tokens(found.text)
    within = [_ARRAY] if array else []  # the functions around, "" for a parenthesis
    ends: list[str] = []  # what closes each of them
    parts: list[str] = []
    for i, token in enumerate(items):
        if len(within) == array and (token.type == Token.SEP or token.subtype == Token.CLOSE):
            raise Unsuited("a bracket or a comma that stands alone")
        if token.subtype == Token.TEXT and _SLOT.search(token.value):
            raise Unsuited("a text that looks like an internal mark")
        if token.type == Token.FUNC and token.subtype == Token.OPEN:
            name = token.value[:-1]
            _check(name, within)
            start, end = _call(name, items, i, within)
            parts.append(start)
            within.append(name)
            ends.append(end)
        elif token.type in (Token.PAREN, Token.ARRAY) and token.subtype == Token.OPEN:
            parts.append(token.value)
            ends.append("}" if token.type == Token.ARRAY else ")")
            within.append("{" if token.type == Token.ARRAY else "")
        elif token.subtype == Token.CLOSE:
            if within[-1] in CATALOGUE and items[i - 1].type == Token.SEP:
                parts.append(LEFT_OUT)
            within.pop()
            parts.append(ends.pop())
        elif token.type == Token.SEP and within and within[-1] == "SUMPRODUCT":
            raise Unsuited("SUMPRODUCT of several ranges counts a number that is text")
        else:
            if token.type == Token.SEP and within[-1] in CATALOGUE and items[i - 1].type in (Token.SEP, Token.FUNC):
                if items[i - 1].subtype != Token.CLOSE:
                    parts.append(LEFT_OUT)
            elif _is_range(token, found):
                _check_range(items, i, within)
            parts.append(token.value)
    text = "".join(parts)
    slots: Slots = []
    done = 0
    for match in _SLOT.finditer(text):
        slots.append((text[done:match.start()], match[1], int(match[2]) if match[2] != _OWN_ROW else -1))
        done = match.end()
    return Form(found, slots, text[done:])


def _check(name: str, within: list[str]) -> None:
    if name not in CATALOGUE and name not in _ON_SINGLE_VALUES and name not in _ON_RANGES:
        raise Unsuited(f"{name} was not compared")
    if _on_each_cell(within) and name not in CATALOGUE and name not in _WITHIN_ARRAYS and not (
        name == "IF" and _ARRAY in within
    ):
        raise Unsuited(f"{name} on each cell of a range was not compared")


def _call(name: str, items: list[Token], i: int, within: list[str]) -> tuple[str, str]:
    """How a call begins and ends; ROW is gone, since its answer is known beforehand."""
    if name == "ROW":
        if len(items) < i + 3:
            raise Unsuited("a bracket that is not closed")
        argument = items[i + 1]
        if argument.subtype == Token.CLOSE:
            return ROWS + _OWN_ROW, ""
        if not argument.value.startswith(PLACEHOLDER) or items[i + 2].subtype != Token.CLOSE:
            raise Unsuited("ROW of something that is computed")
        argument.value = ROWS + argument.value[len(PLACEHOLDER):]
        return "", ""
    if name == "ROUND":
        return "(0+ROUND(", "))"  # 0 in place of -0
    if name == "COUNT" and _computes(items, i):
        name = COUNT
    elif _on_each_cell(within) and name in _ON_EACH_CELL:
        name = _ON_EACH_CELL[name]
    elif name in _KINDS and _computes(items, i):
        return f"{name}(IFERROR(", ",#N/A))"  # only so does an error get there that a function of texts gives
    return {"LEFT": LEFT, "VALUE": VALUE}.get(name, name) + "(", ")"


def _on_each_cell(within: list[str]) -> bool:
    return "SUMPRODUCT" in within or _ARRAY in within


def _computes(items: list[Token], i: int) -> bool:
    """Whether an argument of the call that opens at i is more than a reference or a number."""
    depth = 0
    for token in items[i + 1:]:
        if token.subtype == Token.CLOSE:
            if depth == 0:
                return False
            depth -= 1
        elif token.subtype == Token.OPEN or token.type in (Token.OP_IN, Token.OP_PRE, Token.OP_POST):
            return True
    return True


def _is_range(token: Token, found: Dissected) -> bool:
    match = _SLOT.fullmatch(token.value) if token.type == Token.OPERAND else None
    if match is None or match[1] != PLACEHOLDER:
        return False
    (_, top), (_, left), (_, bottom), (_, right) = found.references[int(match[2])].ends
    return (top, left) != (bottom, right)


def _check_range(items: list[Token], i: int, within: list[str]) -> None:
    """A range must be an argument of a function that takes ranges; in arrays all functions work on its cells."""
    if _on_each_cell(within):
        return
    around = within[-1] if within else ""
    ours = CATALOGUE[around].arguments if around in CATALOGUE else ()
    takes = around in _ON_RANGES or any(argument.quantity.series for argument in ours)
    operators = (Token.OP_IN, Token.OP_PRE, Token.OP_POST)
    computed = items[i - 1].type in operators or (i + 1 < len(items) and items[i + 1].type in operators)
    if not takes or computed:
        raise Unsuited("it calculates with each cell of a range")


def _row_numbers(area: Area | None, row: int) -> str:
    if area is None:
        return str(row)
    if area.top == area.bottom:
        return str(area.top)
    return "{" + ";".join(map(str, range(area.top, area.bottom + 1))) + "}"
