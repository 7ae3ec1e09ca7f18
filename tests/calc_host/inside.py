"""Runs in a Python that has `uno`: does in LibreOffice what it reads from standard input, a line of JSON each.

An error cell is handed over as {"error": number}, LibreOffice's own number; a blank cell as null.
"""

from __future__ import annotations

import importlib
import json
import math
import struct
import sys
import time
from typing import Any

_uno: Any = importlib.import_module("uno")
_FORMULA_ERRORS, _ERROR_RESULT = 16, 4  # com.sun.star.sheet.CellFlags.FORMULA, FormulaResult.ERROR


def _connected(pipe: str, seconds: float) -> Any:
    local = _uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    until = time.monotonic() + seconds
    while True:
        try:
            return resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except Exception:  # it is not listening yet
            if time.monotonic() > until:
                raise
            time.sleep(0.05)


class Office:
    """The running program."""

    def __init__(self, context: Any) -> None:
        create = context.ServiceManager.createInstanceWithContext
        self.context = context
        self.desktop = create("com.sun.star.frame.Desktop", context)
        self.functions = create("com.sun.star.sheet.FunctionAccess", context)
        self.documents: dict[str, Any] = {}

    def call(self, calls: list[Any]) -> list[Any]:
        """Calls without a document: [name, arguments] each."""
        return [self._one(name, arguments) for name, arguments in calls]

    def _one(self, name: str, arguments: list[Any]) -> Any:
        try:
            return _answer(self.functions.callFunction(name, tuple(map(_given, arguments))))
        except Exception as reason:
            return {"refused": type(reason).__name__}

    def new(self, name: str) -> None:
        """A new spreadsheet."""
        self.documents[name] = self._load("private:factory/scalc")

    def open(self, name: str, url: str) -> None:
        """A file."""
        self.documents[name] = self._load(url)
        if self.documents[name] is None:
            raise RuntimeError(f"{url} could not be opened")

    def _load(self, url: str) -> Any:
        return self.desktop.loadComponentFromURL(url, "_blank", 0, (_property("Hidden", True),))

    def fill(self, name: str, area: str, rows: list[list[Any]]) -> None:
        """Texts and formulas as they are typed, numbers as numbers, into an area of the first sheet."""
        sheet = self.documents[name].Sheets.getByIndex(0)
        sheet.getCellRangeByName(area).setFormulaArray(
            tuple(tuple("" if one is None else repr(one) if isinstance(one, float) else one for one in row)
                  for row in rows))

    def array_formula(self, name: str, area: str, formula: str) -> None:
        """An array formula over an area of the first sheet."""
        self.documents[name].Sheets.getByIndex(0).getCellRangeByName(area).setArrayFormula(formula)

    def calculate(self, name: str) -> float:
        """The seconds that a full calculation takes."""
        begin = time.perf_counter()
        self.documents[name].calculateAll()
        return time.perf_counter() - begin

    def read(self, name: str, area: str = "") -> list[list[Any]]:
        """The values of an area of the first sheet."""
        return _values(self.documents[name].Sheets.getByIndex(0).getCellRangeByName(area))

    def everything(self, name: str) -> dict[str, Any]:
        """The values of every sheet's used area, from A1 on, by sheet."""
        found = {}
        for sheet in self.documents[name].Sheets:
            cursor = sheet.createCursor()
            cursor.gotoEndOfUsedArea(False)
            last = cursor.RangeAddress
            found[sheet.Name] = _values(sheet.getCellRangeByPosition(0, 0, last.EndColumn, last.EndRow))
        return found

    def store(self, name: str, url: str, kind: str) -> None:
        """Saves a copy."""
        self.documents[name].storeToURL(url, (_property("FilterName", kind),))

    def close(self, name: str) -> None:
        """Closes a document without saving it."""
        self.documents.pop(name).close(True)

    def described(self, names: list[str]) -> dict[str, Any]:
        """What the function wizard knows of functions, by name."""
        create = self.context.ServiceManager.createInstanceWithContext
        every = create("com.sun.star.sheet.FunctionDescriptions", self.context)
        found = {}
        for i in range(every.Count):
            one = {entry.Name: entry.Value for entry in every.getByIndex(i)}
            if one["Name"] in names:
                found[one["Name"]] = {
                    "description": one["Description"], "category": one["Category"],
                    "arguments": [[a.Name, a.Description, a.IsOptional] for a in one["Arguments"]],
                }
        return found


def _values(area: Any) -> list[list[Any]]:
    rows = [[None if one == "" else one for one in row] for row in area.getDataArray()]
    place = area.RangeAddress
    for part in area.queryFormulaCells(_ERROR_RESULT).RangeAddresses:
        for row in range(part.StartRow, part.EndRow + 1):
            for column in range(part.StartColumn, part.EndColumn + 1):
                x, y = column - place.StartColumn, row - place.StartRow
                rows[y][x] = {"error": area.getCellByPosition(x, y).getError()}
    return rows


def _property(name: str, value: Any) -> Any:
    return _uno.createUnoStruct("com.sun.star.beans.PropertyValue", name, 0, value, 0)


def _given(value: Any) -> Any:
    return tuple(map(_given, value)) if isinstance(value, list) else value


def _answer(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_answer(one) for one in value]
    if isinstance(value, float) and math.isnan(value):
        return {"error": struct.unpack("<II", struct.pack("<d", value))[0]}
    return value


def main() -> None:
    """Serves until standard input ends."""
    office = Office(_connected(sys.argv[1], float(sys.argv[2])))
    for line in sys.stdin:
        what, given = json.loads(line)
        try:
            answer = {"done": getattr(office, what)(**given)}
        except Exception as reason:
            answer = {"failed": f"{type(reason).__name__}: {reason}"}
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
