"""The component that LibreOffice loads: one object whose methods are the functions of the catalogue.

It runs in LibreOffice's own Python, where `uno` gives the classes of its interfaces.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

import pailbook.functions  # noqa: F401 - fills the catalogue
from pailbook.function import CATALOGUE, Argument, WorksheetFunction
from pailbook.hosts.calc.adapter import CellFunction
from pailbook.hosts.calc.interface import INTERFACE, SERVICE
from pailbook.hosts.calc.wizard import argument_help, function_help

_uno: Any = import_module("uno")
_unohelper: Any = import_module("unohelper")
_SERVICES = (SERVICE, "com.sun.star.sheet.AddIn")
_INTERFACES = ("com.sun.star.sheet.XAddIn", "com.sun.star.sheet.XCompatibilityNames", "com.sun.star.lang.XServiceName",
               "com.sun.star.lang.XServiceInfo", INTERFACE)


class _Information:
    """What LibreOffice asks about the functions. The spelling of the methods is that of its interfaces."""

    def __init__(self, context: Any) -> None:
        self._locale: Any = _uno.createUnoStruct("com.sun.star.lang.Locale", "en", "US", "")

    # XServiceName, XServiceInfo
    def getServiceName(self) -> str:
        return SERVICE

    def getImplementationName(self) -> str:
        return SERVICE

    def supportsService(self, name: str) -> bool:
        return name in _SERVICES

    def getSupportedServiceNames(self) -> tuple[str, ...]:
        return _SERVICES

    # XLocalizable; all texts are English
    def setLocale(self, locale: Any) -> None:
        self._locale = locale

    def getLocale(self) -> Any:
        return self._locale

    # XCompatibilityNames: under which name files hold a function
    def getCompatibilityNames(self, name: str) -> tuple[Any, ...]:
        english = _uno.createUnoStruct("com.sun.star.lang.Locale", "en", "US", "")
        return (_uno.createUnoStruct("com.sun.star.sheet.LocalizedName", english, name),)

    # XAddIn
    def getProgrammaticFuntionName(self, name: str) -> str:
        return name

    def getDisplayFunctionName(self, name: str) -> str:
        return name

    def getFunctionDescription(self, name: str) -> str:
        return function_help(CATALOGUE[name]) if name in CATALOGUE else ""

    def getDisplayArgumentName(self, name: str, number: int) -> str:
        argument = _argument(name, number)
        return argument.name if argument else ""

    def getArgumentDescription(self, name: str, number: int) -> str:
        argument = _argument(name, number)
        return argument_help(argument) if argument else ""

    def getProgrammaticCategoryName(self, name: str) -> str:
        return "Add-In"

    def getDisplayCategoryName(self, name: str) -> str:
        return CATALOGUE[name].category if name in CATALOGUE else "Add-In"


def _argument(name: str, number: int) -> Argument | None:
    arguments = CATALOGUE[name].cell_arguments if name in CATALOGUE else ()
    return arguments[number] if 0 <= number < len(arguments) else None


def _method(function: WorksheetFunction) -> Any:
    in_cells = CellFunction(function)

    def method(self: Any, *arguments: Any) -> Any:
        return in_cells(arguments)

    return method


_Functions = type(
    "Functions", (_unohelper.Base, _Information, *map(_uno.getClass, _INTERFACES)),
    {name: _method(function) for name, function in CATALOGUE.items()},
)
g_ImplementationHelper = _unohelper.ImplementationHelper()  # the name that LibreOffice looks for
g_ImplementationHelper.addImplementation(_Functions, SERVICE, _SERVICES)
