"""Run by the Python that knows LibreOffice: reads the macros of a workbook, and runs them in front of a stand-in.

Arguments: a port, the workbook, a file with the texts of the stand-in, the cells and the formulas, and the file for
the answers.
"""

from __future__ import annotations

import importlib
import json
import sys
import time
from pathlib import Path
from typing import Any

uno: Any = importlib.import_module("uno")


def prop(name: str, value: Any) -> Any:
    made = uno.createUnoStruct("com.sun.star.beans.PropertyValue")
    made.Name, made.Value = name, value
    return made


def main(port: str, workbook: str, questions: str, answers: str) -> None:
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(240):
        try:
            context = resolver.resolve(f"uno:socket,host=localhost,port={port};urp;StarOffice.ComponentContext")
            break
        except Exception:  # it is still starting
            time.sleep(0.25)
    desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
    document = desktop.loadComponentFromURL(Path(workbook).as_uri(), "_blank", 0, (
        prop("Hidden", True), prop("MacroExecutionMode", 4), prop("FilterName", "Calc MS Excel 2007 VBA XML")))
    libraries = document.BasicLibraries
    name = next(one for one in libraries.ElementNames if "xlwings" in libraries.getByName(one).ElementNames)
    library = libraries.getByName(name)
    found: dict[str, Any] = {"modules": {one: library.getByName(one) for one in library.ElementNames}, "values": {}}
    asked = json.loads(Path(questions).read_text(encoding="utf-8"))
    # In a library of their own, away from the bridge's module, which no other program can compile.
    standard = libraries.getByName("Standard")
    for module, text in (asked["modules"] | {one: found["modules"][one] for one in asked["run"]}).items():
        standard.insertByName(module, text)
    sheet = document.Sheets.getByIndex(0)
    for address, formula in (asked["cells"] | asked["formulas"]).items():
        area = sheet.getCellRangeByName(address)
        if ":" in address:
            area.setArrayFormula(formula)
        else:
            area.setFormula(formula)
    for address in asked["formulas"]:
        area = sheet.getCellRangeByName(address)
        rows = [[area.getCellByPosition(c, r) for c in range(area.Columns.Count)] for r in range(area.Rows.Count)]
        found["values"][address] = [[shown(cell) for cell in row] for row in rows]
    document.close(False)
    Path(answers).write_text(json.dumps(found), encoding="utf-8")
    desktop.terminate()


def shown(cell: Any) -> Any:
    return cell.String if cell.getError() or cell.FormulaResultType2 == 2 else cell.Value


if __name__ == "__main__":
    main(*sys.argv[1:])
