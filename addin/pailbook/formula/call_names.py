"""Every way in which files spell the name of a function, and which of them name our functions.

A program writes the functions of an add-in with a prefix, with the path or the number of the add-in's file before
it, or under the long name of its service; and in any case. Whoever reads formulas asks here.
"""

from __future__ import annotations

import functools
import re

from pailbook.function import CATALOGUE, WorksheetFunction

_PREFIXES = ("_xlfn.", "_xlws.", "_xludf.", "_xldudf_", "_xll.")
_SERVICE = "PAILBOOK"  # a word of the long name under which an office program knows our functions
_CALL = re.compile(r"([\w.]+)\(")
_BOOK = re.compile(r"\[(\d+)]")


def function_name(text: str) -> str:
    """The bare name, in upper case, of a function as files spell it: without a path, a file or a prefix before it."""
    name = _without_prefixes(text)
    service, _, last = name.rpartition(".")
    return last if last in CATALOGUE and _SERVICE in service.split(".") else name


@functools.lru_cache(maxsize=4096)
def _without_prefixes(text: str) -> str:
    name = text.rsplit("!", 1)[-1].lstrip("@")
    while prefix := next((p for p in _PREFIXES if name.lower().startswith(p)), None):
        name = name[len(prefix):]
    return name.upper()


def our_function(text: str) -> WorksheetFunction | None:
    """Our function that the name stands for, however it is spelt; None for any other name."""
    return CATALOGUE.get(function_name(text))


def may_call(formula: str) -> bool:
    """Whether a formula's text could call one of our functions; quick, and true of a text that only names one."""
    return any(our_function(name) for name in _CALL.findall(formula))


def linked_book(text: str) -> int | None:
    """The number of the linked file that a function's name carries before it, as in [1]!NAME; None without one."""
    found = _BOOK.match(text.lstrip("'"))
    return int(found[1]) if found else None
