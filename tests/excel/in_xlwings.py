"""Run in a process of its own: calls our functions through the code of xlwings, without Excel and without Windows.

Reads a pickled list of (form, function, arguments) from standard input and writes the pickled answers. The form
"classic" goes the way of a macro's call on Windows, with stand-ins for the modules of Windows; "lite" that of the
browser's: through xlwings' own code where a licence key for it is set, otherwise through its conversion with a
stand-in for the browser's engine, as the documentation of custom functions describes what comes and goes there;
"imported" gives what xlwings would import by hand.
"""

from __future__ import annotations

import asyncio
import ctypes
import datetime
import importlib
import io
import os
import pickle
import sys
import types
from typing import Any
from unittest.mock import MagicMock, patch

ERROR_TYPES = {
    "#DIV/0!": "Div0", "#N/A": "NotAvailable", "#NAME?": "Name", "#NULL!": "Null", "#NUM!": "Num", "#REF!": "Ref",
    "#VALUE!": "Value",
}


class Windows(types.ModuleType):
    """A module of Windows whose classes and functions are there by name alone."""


    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        made = type(name, (Exception,), {}) if name[0].isupper() or name.endswith("error") else MagicMock()
        setattr(self, name, made)
        return made


def with_windows() -> Any:
    """The modules of xlwings as they are on Windows: its server, and the decorators in place."""
    for name in ("pywintypes", "win32api", "win32con", "win32event", "win32gui", "win32process", "win32timezone",
                 "pythoncom", "win32com", "win32com.client", "win32com.server", "win32com.server.util",
                 "win32com.server.dispatcher", "win32com.server.policy"):
        sys.modules[name] = Windows(name)
        sys.modules[name].__path__ = []
        sys.modules[name].__file__ = ""
        parent, _, child = name.rpartition(".")
        if parent:
            setattr(sys.modules[parent], child, sys.modules[name])
    sys.modules["pywintypes"].TimeType = datetime.datetime  # type: ignore[attr-defined]
    sys.modules["pythoncom"].TypeIIDs = MagicMock()  # type: ignore[attr-defined]
    util = sys.modules["win32com.server.util"]
    util.unwrap = MagicMock(side_effect=TypeError)  # type: ignore[attr-defined]  # not one of its objects
    xlwings: Any = importlib.import_module("xlwings")
    ctypes.windll = ctypes.oledll = MagicMock()  # type: ignore[attr-defined]
    with patch("ctypes.PyDLL", MagicMock()):
        from xlwings import _xlwindows, udfs

    xlwings.engines.add(xlwings.Engine(impl=_xlwindows.engine))
    xlwings.func, xlwings.arg, xlwings.ret = udfs.xlfunc, udfs.xlarg, udfs.xlret
    return xlwings


class Browser:
    """The browser's engine: an empty text or nothing for a blank, records for errors, both ways."""

    name, type = "officejs", "remote"

    @staticmethod
    def clean_value_data(data: Any, dates: Any, empty: Any, numbers: Any, err_to_str: bool) -> Any:
        def clean(value: Any) -> Any:
            if value is None or value == "":
                return empty
            if isinstance(value, dict) and value["type"] == "Error":
                return value["basicValue"] if err_to_str else None
            return value["basicValue"] if isinstance(value, dict) else value

        return [[clean(value) for value in row] for row in data]

    @staticmethod
    def prepare_xl_data_element(value: Any, options: Any) -> Any:
        if isinstance(value, float) and value != value:
            value = "#NUM!"
        if isinstance(value, str) and value in ERROR_TYPES:
            return {"type": "Error", "errorType": ERROR_TYPES[value]}
        return "" if value is None else value


def classic(xlwings: Any, name: str, arguments: Any) -> Any:
    """The answer as a macro gets it: a value, a row, or rows."""
    server: Any = importlib.import_module("xlwings.com_server")
    return server.XLPython().CallUDF("pailbook.hosts.excel", name, arguments)


def lite(xlwings: Any, name: str, arguments: Any) -> Any:
    """The answer as the browser gets it: rows."""
    import pailbook.hosts.excel as module

    matrices = [one if one is None or isinstance(one, list) else [[one]] for one in arguments]
    if os.environ.get("XLWINGS_LICENSE_KEY"):
        from xlwings.pro import custom_functions_call

        data = {"func_name": name, "args": matrices, "version": xlwings.__version__, "client": "Office.js",
                "runtime": "1.4", "date_format": None, "caller_address": None, "culture_info_name": "en-US"}
        return asyncio.run(custom_functions_call(data, module))
    conversion: Any = importlib.import_module("xlwings.conversion")
    if "officejs" not in [engine.name for engine in xlwings.engines]:
        xlwings.engines.add(xlwings.Engine(impl=Browser()))
    function = getattr(module, name)
    given = []
    for matrix, info in zip(matrices, function.__xlfunc__["args"]):
        blank = matrix is None or (len(matrix) == 1 and len(matrix[0]) == 1 and matrix[0][0] in (None, ""))
        given.append(info.get("optional") if blank
                     else conversion.read(None, matrix, info["options"], engine_name="officejs"))
    options = {**function.__xlfunc__["ret"]["options"], "runtime": "1.4", "date_format": None}
    return conversion.write(function(*given), None, options, engine_name="officejs")


def imported(xlwings: Any, name: str, arguments: Any) -> Any:
    """What xlwings would import into a workbook by hand: its own macros, and each function as it sees it."""
    import pailbook.hosts.excel as module

    udfs: Any = importlib.import_module("xlwings.udfs")
    text = io.StringIO()
    workbook = MagicMock()
    workbook.Name = name
    udfs.generate_vba_wrapper("pailbook.hosts.excel", module, text, workbook)
    seen = {one: getattr(module, one).__xlfunc__ for one in module.__all__}
    return {
        "macros": text.getvalue(),
        "functions": {one: (info["category"], info["ret"]["doc"],
                            [(a["name"], a["doc"], "optional" in a, a["options"]) for a in info["args"]])
                      for one, info in seen.items()},
    }


def main() -> None:
    calls = pickle.load(sys.stdin.buffer)
    xlwings = with_windows()
    if os.environ.get("XLWINGS_LICENSE_KEY"):
        from xlwings.pro import arg, func, ret

        if any(form == "lite" for form, *_ in calls):
            xlwings.func, xlwings.arg, xlwings.ret = func, arg, ret
    ways = {"classic": classic, "lite": lite, "imported": imported}
    answers = [ways[form](xlwings, name, arguments) for form, name, arguments in calls]
    sys.stdout.buffer.write(pickle.dumps(answers))


if __name__ == "__main__":
    main()
