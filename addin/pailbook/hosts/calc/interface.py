"""Under which names LibreOffice knows the functions.

Files in the format .ods keep the service's name and the function's: these names never change.
"""

from __future__ import annotations

from collections.abc import Iterable

from pailbook.function import WorksheetFunction

MODULE = "pailbook.calc"
SERVICE = f"{MODULE}.Functions"
INTERFACE = f"{MODULE}.XFunctions"


def interface_text(functions: Iterable[WorksheetFunction]) -> str:
    """The interface, in the language that LibreOffice reads interfaces in.

    Every argument is `any`, so that it may be a number, a text, a range or left out.
    """
    outer, inner = MODULE.split(".")
    methods = "".join(
        f"  {_result(function)} {function.name}({_arguments(function)});\n" for function in functions
    )
    name = INTERFACE.rpartition(".")[2]
    return f"module {outer} {{ module {inner} {{\n interface {name} {{\n{methods} }};\n}}; }};\n"


def _arguments(function: WorksheetFunction) -> str:
    # The language knows no underscore in an argument's name; the wizard asks the component for the real names.
    return ", ".join(f"[in] any {argument.name.replace('_', '')}" for argument in function.cell_arguments)


def _result(function: WorksheetFunction) -> str:
    """The type of the result.

    Numbers come as an array: from Python a result that is declared `any` cannot carry one. So a call counts as an
    array of one cell, and an IF inside another IF whose condition is an array gives an error in LibreOffice;
    AND(...) around the condition makes it a single value. A text from an array would equal no text in a sheet
    (measured: ="a" gives FALSE), so a function that answers with a text gives a single value.
    """
    return "any" if gives_text(function) else "sequence< sequence< any > >"


def gives_text(function: WorksheetFunction) -> bool:
    """Whether it answers with a text, and therefore with one value, never an array."""
    return function.result.takes_text
