"""The text of a formula taken apart: the cells it refers to, the names it uses, the functions it calls.

What is left of the text has a placeholder for each reference, so that a formula filled down a column is the same
text in every row and needs to be read once.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from openpyxl.formula.tokenizer import Token
from openpyxl.utils.cell import column_index_from_string

from pailbook.formula.call_names import function_name
from pailbook.formula.read import Unreadable as Unreadable
from pailbook.formula.read import tokens
from pailbook.hosts.areas import LAST_COLUMN, LAST_ROW, Reference, read_reference, unquoted

PLACEHOLDER, ADDRESS_MARK = "_IN", "\1"
_ON_SHEET = re.compile(r"('(?:[^']|'')*'|[^'!]*)!(.*)", re.DOTALL)
_NAME = re.compile(r"[^\W\d][\w.?\\]*|\\[\w.?\\]*")
_PASSED_OVER = r"""("(?:[^"]|"")*"|'(?:[^']|'')*'|\[[^]]*])"""  # in quotes or brackets nothing is an address
_FROM, _UNTIL = r"(?<![\w.$\\])", r"(?![\w.(!\\])"
_ADDRESS = re.compile(rf"{_PASSED_OVER}|{_FROM}(\$?)([A-Za-z]{{1,3}})(\$?)([1-9]\d{{0,6}}){_UNTIL}")
_WHOLE_ADDRESS = re.compile(rf"{_PASSED_OVER}|{_FROM}(\$?[A-Za-z]{{1,3}}\$?[1-9]\d{{0,6}}){_UNTIL}")
_WHOLE = re.compile(r"(?<![\w.\\])(?:[A-Za-z]{1,3}:\$?[A-Za-z]{1,3}|\d+:\$?\d+)(?![\w.(!\\])")
_NESTING = 20  # names within names


@dataclass(frozen=True)
class Names:
    """What the names in a workbook's formulas mean. Keys compare without case."""

    sheets: Mapping[str, str] = field(default_factory=dict)  # folded title -> title
    defined: Mapping[tuple[str, str], str] = field(default_factory=dict)  # (folded title or "", folded name) -> text

    @classmethod
    def of(cls, sheets: Iterable[str], names: Mapping[tuple[str | None, str], str] | None) -> Names:
        """Of a workbook's sheets, and the texts of its names by the sheet that they belong to (None: all) and name."""
        return cls(
            {title.casefold(): title for title in sheets},
            {((scope or "").casefold(), name.casefold()): text for (scope, name), text in (names or {}).items()},
        )


@dataclass
class Dissected:
    """A formula's text with placeholders `_IN0`, `_IN1` … for its references, and what was found in it."""

    text: str = ""
    references: list[Reference] = field(default_factory=list)
    functions: set[str] = field(default_factory=set)  # upper case, without the prefixes that programs add
    texts: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)  # what in it has no meaning here


def filled_form(formula: str, row: int, column: int) -> str | None:
    """The formula's text with its addresses as distances from its cell: the same wherever it was filled in.

    It is quick, which taking a formula apart is not. None where a whole column or row makes it too simple.
    """
    def distance(match: re.Match[str]) -> str:
        passed_over, fix_column, letters, fix_row, digits = match.groups()
        if passed_over:
            return match[0]
        left, top = column_index_from_string(letters), int(digits)
        if left > LAST_COLUMN or top > LAST_ROW:
            return match[0]  # a name
        return f"\1{fix_column}{left if fix_column else left - column}\1{fix_row}{top if fix_row else top - row}\1"

    return None if _WHOLE.search(formula) else _ADDRESS.sub(distance, formula)


def shape_of(formula: str) -> tuple[str, list[tuple[int, int]]] | None:
    """The formula's text with a mark in place of each address, and the row and column of each, in order.

    Formulas of one shape differ in nothing but the cells that they refer to. None as for `filled_form`.
    """
    found: list[tuple[int, int]] = []

    def take(match: re.Match[str]) -> str:
        if match[1]:
            return match[0]
        column, row = column_index_from_string(match[3]), int(match[5])
        if column > LAST_COLUMN or row > LAST_ROW:
            return match[0]  # a name
        found.append((row, column))
        return ADDRESS_MARK

    return None if _WHOLE.search(formula) else (_ADDRESS.sub(take, formula), found)


def cut_at_addresses(formula: str) -> tuple[tuple[str | None, ...], list[str]]:
    """The formula's shape, quicker than by `shape_of`, and its addresses as written, or names that look like some."""
    parts = _WHOLE_ADDRESS.split(formula)
    return (*parts[::3], *parts[1::3]), [address for address in parts[2::3] if address is not None]


def dissect(formula: str, names: Names, sheet: str = "", row: int = 1, column: int = 1) -> Dissected:
    """The formula of that cell, taken apart."""
    found = Dissected()
    found.text = "=" + _normal(formula, names, (sheet, row, column), found, 0)
    return found


def _normal(formula: str, names: Names, cell: tuple[str, int, int], found: Dissected, depth: int) -> str:
    if depth > _NESTING:
        raise Unreadable("a name stands for itself")
    items = tokens(formula)
    parts = []
    for i, token in enumerate(items):
        if token.type == Token.WSPACE:
            parts.append(" " if _intersects(items, i) else "")
        elif token.type == Token.FUNC and token.subtype == Token.OPEN:
            name = function_name(token.value[:-1])
            found.functions.add(name)
            parts.append(name + "(")
        elif token.type == Token.OPERAND:
            parts.append(_operand(token, names, cell, found, depth))
        else:
            parts.append(token.value)
    return "".join(parts)


def _intersects(items: list[Token], i: int) -> bool:
    """Whether the blank at i stands between two references and so asks for the cells they share."""
    if not 0 < i < len(items) - 1:
        return False
    before, after = items[i - 1], items[i + 1]
    return (before.type == Token.OPERAND or before.subtype == Token.CLOSE) and (
        after.type == Token.OPERAND or (after.subtype == Token.OPEN and after.type != Token.ARRAY)
    )


def _operand(token: Token, names: Names, cell: tuple[str, int, int], found: Dissected, depth: int) -> str:
    text: str = token.value
    if token.subtype == Token.TEXT:
        found.texts.append(text[1:-1].replace('""', '"'))
        return '("' + text[1:-1].replace("\n", '"&CHAR(10)&"') + '")' if "\n" in text else text
    if token.subtype == Token.NUMBER and text[0] in ".0123456789":
        return repr(float(text))
    if token.subtype == Token.ERROR or text.upper() in ("TRUE", "FALSE"):
        return text.upper()
    if text.endswith("#REF!"):
        return "#REF!"
    return _range(text, names, cell, found, depth)


def _range(text: str, names: Names, cell: tuple[str, int, int], found: Dissected, depth: int) -> str:
    own, row, column = cell
    title: str | None = None
    rest = text
    if match := _ON_SHEET.fullmatch(text):
        quoted, rest = match.groups()
        written = unquoted(quoted)
        if "[" in written or not written:
            return _complain(found, f"{text} is in another workbook", "#REF!")
        title = names.sheets.get(written.casefold())
        if title is None:
            what = "several sheets at once" if ":" in written else f"a sheet {written!r} that does not exist"
            return _complain(found, f"{text} refers to {what}", "#REF!")
    if reference := read_reference(rest, title, row, column):
        if reference not in found.references:
            found.references.append(reference)
        return f"{PLACEHOLDER}{found.references.index(reference)}"
    if "[" in rest:
        return _complain(found, f"{text} refers to a table's column by its heading", "#REF!")
    scopes = [title.casefold()] if title else [own.casefold(), ""]
    defined = next((d for scope in scopes if (d := names.defined.get((scope, rest.casefold()))) is not None), None)
    if defined is None:
        if not _NAME.fullmatch(rest):
            raise Unreadable(f"{text!r} in it cannot be read")
        return _complain(found, f"{text} is not a name of this workbook", "#NAME?")
    return "(" + _normal(defined, names, (title or own, 1, 1), found, depth + 1) + ")"


def _complain(found: Dissected, complaint: str, error: str) -> str:
    found.complaints.append(complaint)
    return error
