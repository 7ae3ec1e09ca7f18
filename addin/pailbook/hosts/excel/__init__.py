"""The functions in Excel: all of the catalogue by their names, for xlwings on Windows and in the browser.

In the file main.py of xlwings Lite this line is enough:

    from pailbook.hosts.excel import *

It can be imported anywhere; the functions are defined even if xlwings is missing or cannot be loaded.
"""

from __future__ import annotations

from importlib import import_module as _import_module
from typing import TYPE_CHECKING as _TYPE_CHECKING
from typing import Any as _Any

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.function import CATALOGUE as _CATALOGUE
from pailbook.hosts.excel.functions import worksheet as _worksheet

try:
    _xlwings: _Any = _import_module("xlwings")
except Exception:  # it may be missing, or refuse, for example for want of a licence
    _xlwings = None

__all__ = tuple(_CATALOGUE)
for _function in _CATALOGUE.values():
    globals()[_function.name] = _worksheet(_function, _xlwings)
    globals()[_function.name].__module__ = __name__

if _TYPE_CHECKING:
    def __getattr__(name: str) -> _Any:
        """Every function of the catalogue."""
