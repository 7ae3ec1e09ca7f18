"""Copies of workbooks for the tests: made, and taken apart without any of our code."""

from __future__ import annotations

import math
import re
import tempfile
import zipfile
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import openpyxl
from lxml import etree
from openpyxl.utils.datetime import to_excel

import calc
import pailbook.functions as _fills_the_catalogue  # noqa: F401
from files import parts, rebuilt
from pailbook.function import CATALOGUE
from pailbook.hosts.cells import ErrorValue

Values = Mapping[tuple[str, str], Any]

FORMULAS = ("f", "formula", "formula1", "formula2", "definedName", "calculatedColumnFormula", "totalsRowFormula")
NAMES = re.compile(rf"\b(?:{'|'.join(CATALOGUE)})\b", re.IGNORECASE)
TEXT = re.compile(r'"(?:[^"]|"")*"')
SHEET = re.compile(r"'(?:[^']|'')*'!")


def formulas_in(path: Path) -> list[str]:
    """Every formula in the file, wherever it stands."""
    found = []
    with zipfile.ZipFile(path) as file:
        for name in file.namelist():
            if name.endswith(".xml"):
                found += [node.text or "" for node in etree.fromstring(file.read(name)).iter("{*}*")
                          if etree.QName(node).localname in FORMULAS]
    return found


def calls_in(path: Path) -> list[str]:
    """The formulas that name one of our functions, but for texts and sheets' names."""
    return [text for text in formulas_in(path) if NAMES.search(SHEET.sub("", TEXT.sub("", text)))]


def links_in(path: Path) -> list[str]:
    """Whatever in the file speaks of another file."""
    return [name for name in parts(path) if "externalLink" in name] + [
        text for text in formulas_in(path) if re.search(r"\[\d+\]|\.xla", SHEET.sub("", TEXT.sub("", text)))
    ]


def without_values(path: Path, target: Path) -> Path:
    """The file without the values that it holds for its formulas."""
    stripped = {
        name: re.sub(rb"(<f\b[^>]*>[^<]*</f>|<f\b[^>]*/>)<v>[^<]*</v>", rb"\1", content)
        for name, content in parts(path).items() if "/worksheets/sheet" in name
    }
    return rebuilt(path, target, stripped)


def in_office(path: Path) -> Values:
    """What LibreOffice, without our functions, makes of the file's formulas alone."""
    with tempfile.TemporaryDirectory() as folder:
        return calc.recalculated(without_values(path, Path(folder) / "bare.xlsx"))


def stored(path: Path) -> Values:
    """The values in the file, as a reader sees them that computes nothing."""
    return calc.values_in(path)


def defined(path: Path) -> dict[str, str]:
    """The workbook's own names and what they stand for."""
    return {name: entry.attr_text for name, entry in openpyxl.load_workbook(path).defined_names.items()}


def off(expected: Values, found: Values) -> list[tuple[tuple[str, str], Any, Any]]:
    """The cells whose value is not the expected one, within 1e-9; any error is one."""
    return [(place, value, found.get(place)) for place, value in expected.items() if not same(value, found.get(place))]


def same(one: Any, other: Any) -> bool:
    """Whether two readers mean the same by a cell's value."""
    one, other = _plain(one), _plain(other)
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)
    return bool(one == other)


def _plain(value: Any) -> Any:
    if isinstance(value, (date, datetime, time, timedelta)):
        value = to_excel(value)  # type: ignore[no-untyped-call]
    if isinstance(value, ErrorValue) or (isinstance(value, str) and value.startswith("#")):
        return "an error"
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return float(value)
    return None if value == "" else value
