"""What breaks a cell's own rule: programs refuse it when it is typed, not when it is pasted or written by a script."""

from __future__ import annotations

import math
import re
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any, NamedTuple

from lxml import etree

from pailbook.hosts.areas import Area, address_of
from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.terms import WATCH
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.subject import Subject
from pailbook.workbook.parts import unescaped
from pailbook.workbook.readings.dates import EPOCH
from pailbook.workbook.worksheet import Worksheet

REFUSED = "refused input"
_ALLOWED: dict[str, Callable[[float, float, float], bool]] = {
    "between": lambda value, low, high: low <= value <= high,
    "notBetween": lambda value, low, high: not low <= value <= high,
    "equal": lambda value, low, high: value == low,
    "notEqual": lambda value, low, high: value != low,
    "lessThan": lambda value, low, high: value < low,
    "lessThanOrEqual": lambda value, low, high: value <= low,
    "greaterThan": lambda value, low, high: value > low,
    "greaterThanOrEqual": lambda value, low, high: value >= low,
}
_NUMBERS = {"whole": "a whole number", "decimal": "a number", "date": "a date", "time": "a time of day"}
_WORDS = {"between": "from {low} to {high}", "notBetween": "not from {low} to {high}", "equal": "{low}",
          "notEqual": "other than {low}", "lessThan": "below {low}", "lessThanOrEqual": "up to {low}",
          "greaterThan": "above {low}", "greaterThanOrEqual": "from {low}"}
_QUOTIENT = re.compile(r"\s*([^/]+?)\s*(?:/\s*([^/]+?)\s*)?")
_LAST_DAY = 2958465  # 9999-12-31
_HINT = "; perhaps it was pasted, which the cell's rule does not prevent"


class _Rule(NamedTuple):
    """A rule of a sheet, ready to judge values."""

    areas: list[Area]
    kind: str
    operator: str
    low: float | None
    high: float | None
    choices: frozenset[str] | None
    listed: str  # the choices in words
    written_out: bool = False  # not taken from cells

    def expected(self) -> str | None:
        """What it wants, in words; None if that is not known here."""
        if self.kind == "list":
            return None if self.choices is None else f"one of {self.listed}"
        if self.low is None or (self.high is None and "etween" in self.operator):
            return None
        show = _as_date if self.kind == "date" else _as_number
        words = _WORDS[self.operator].format(low=show(self.low), high=show(self.high or 0))
        return f"at most {words.removeprefix('up to ')} characters" if self.kind == "textLength" else (
            f"{_NUMBERS[self.kind]} {words}")

    def allows(self, value: Any) -> bool:
        """Whether it lets a value in."""
        if self.kind == "list":
            text = f"{value:.15g}" if isinstance(value, float) else str(value).upper() if value is True else str(value)
            # A list written out has commas between its texts and within them, and nothing says which is which.
            parts = [text, *(text.split(",") if self.written_out else ())]
            known = [part.strip().casefold() in self.choices for part in parts] if self.choices is not None else [True]
            return known[0] or (len(known) > 1 and all(known[1:]))
        if self.kind == "textLength":
            value = float(len(f"{value:.15g}" if isinstance(value, float) else str(value)))
        if not isinstance(value, float) or not math.isfinite(value):
            return False
        whole = self.kind != "whole" or value == int(value)
        return whole and self.low is not None and _ALLOWED[self.operator](value, self.low, self.high or 0)


def refused(subject: Subject) -> Iterator[Finding]:
    """Each typed value that its cell's rule does not allow."""
    for title, sheet in subject.book.worksheets.items():
        by_column: dict[int, list[tuple[int, int, _Rule]]] = defaultdict(list)
        for rule in _rules(subject, sheet):
            if rule.expected() is not None:
                for area in rule.areas:
                    for column in range(area.left, min(area.right, area.left + 200) + 1):
                        by_column[column].append((area.top, area.bottom, rule))
        for rules in by_column.values():
            rules.sort(key=lambda one: one[:2])
        contents = subject.contents[title]
        starts = {column: [top for top, _, _ in rules] for column, rules in by_column.items()}
        for row in sheet.rows if by_column else ():
            for cell in row.cells:
                if cell.column not in by_column:
                    continue
                at = bisect_right(starts[cell.column], cell.row) - 1
                if at < 0 or by_column[cell.column][at][1] < cell.row:
                    continue
                content = contents.get(address := address_of((cell.row, cell.column)))
                blank = content is None or (isinstance(content, str) and not content.strip())
                rule = by_column[cell.column][at][2]
                if blank or isinstance(content, (FormulaCell, ErrorValue)) or rule.allows(content):
                    continue
                shown = f"{content:.10g}" if isinstance(content, float) else repr(content)
                yield Finding(title, address, WATCH, REFUSED, f"{shown} does not belong in this cell{_HINT}",
                              f"Expected: {rule.expected()}.")


def _rules(subject: Subject, sheet: Worksheet) -> Iterator[_Rule]:
    data = sheet.data[:sheet.sheet_data.start] + sheet.data[sheet.sheet_data.end:]
    if b"dataValidation" not in data:
        return
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False)
    for element in etree.fromstring(data, parser).iter("{*}dataValidation"):
        kind, operator = element.get("type", "none"), element.get("operator", "between")
        texts = [_text(element, name) for name in ("formula1", "formula2")]
        places = element.get("sqref") or _text(element, "sqref")
        areas = [area for place in places.split() if (area := subject.area(sheet.title, place)) is not None]
        if kind == "list":
            choices = _choices(subject, sheet.title, texts[0])
            yield _Rule(areas, kind, operator, None, None, None if choices is None else
                        frozenset(choice.casefold() for choice in choices), _listed(choices or []),
                        texts[0].startswith('"'))
        elif kind in (*_NUMBERS, "textLength") and operator in _ALLOWED:
            low, high = (_number(subject, sheet.title, text) for text in texts)
            yield _Rule(areas, kind, operator, low, high, None, "")


def _text(element: Any, name: str) -> str:
    found = element.find(f"{{*}}{name}")
    return "" if found is None else unescaped("".join(found.itertext()).strip())


def _choices(subject: Subject, sheet: str, text: str) -> list[str] | None:
    """The texts of a list; None if it cannot be read here."""
    if text.startswith('"'):
        return [choice.strip() for choice in text.strip('"').replace('""', '"').split(",")]
    found = subject.area(sheet, text)
    if found is None:
        return None
    values = (subject.value(found.sheet, address_of(place)) for place in found.cells())
    return [f"{one:.15g}" if isinstance(one, float) else str(one).strip() for one in values if one is not None]


def _number(subject: Subject, sheet: str, text: str) -> float | None:
    """A bound: a number, a cell, or one divided by another, as our own rules are."""
    match = _QUOTIENT.fullmatch(text)
    if match is None:
        return None
    parts = [_plain_number(subject, sheet, part) for part in match.groups() if part]
    if not parts or any(part is None for part in parts):
        return None
    return parts[0] if len(parts) == 1 else parts[0] / parts[1] if parts[0] is not None and parts[1] else None


def _plain_number(subject: Subject, sheet: str, text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        area = subject.area(sheet, text)
    value = subject.value(area.sheet, address_of((area.top, area.left))) if area is not None and area.single else None
    return value if isinstance(value, float) else None


def _listed(choices: list[str]) -> str:
    return ", ".join(choices[:12]) + (f" and {len(choices) - 12} more" if len(choices) > 12 else "")


def _as_number(value: float) -> str:
    return f"{value:.6g}"


def _as_date(value: float) -> str:
    return str(EPOCH + timedelta(days=int(min(max(value, 0), _LAST_DAY))))
