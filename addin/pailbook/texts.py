"""Operations on texts that serve single texts, columns and traced cells alike; part of `pailbook.ops`."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any

from pailbook.outcomes import NotInTable
from pailbook.values import Value, like, numpy_module, plain, traced

_GRADE = re.compile(r"[0-9]+(\.[0-9]+)?(-[0-9]+(\.[0-9]+)?){2}")


def pick(keys: Value | tuple[Value, ...], table: Mapping[Any, float], what: str) -> Value:
    """The table's entry for a text, or for several texts together; `what` names the table's subject in the error.

    Where the table has none, texts raise NotInTable, an array holds NaN and a sheet #N/A. Keys are compared with case
    here and without it in a sheet: hosts spell options as declared. Texts that are known while a formula is traced
    narrow the table that is written into it.
    """
    if not isinstance(keys, tuple):
        keys, table = (keys,), {(key,): value for key, value in table.items()}
    if plain(*keys):
        try:
            return table[keys]
        except KeyError:
            near = ", ".join(dict.fromkeys(" / ".join(key) for key in _narrowed(keys, table) or table))
            raise NotInTable(f"there is no {what} for {' / '.join(keys)}; there is one for: {near}") from None
    if traced(*keys) is not None:
        open_at = [i for i, key in enumerate(keys) if not isinstance(key, str)]
        rest = {
            "|".join(entry[i] for i in open_at): value for entry, value in table.items()
            if all(i in open_at or entry[i] == key for i, key in enumerate(keys))
        }
        if not rest:
            raise NotInTable(f"there is no {what} for any of these")
        cell = keys[open_at[0]]
        for i in open_at[1:]:
            cell = cell.concatenate(cell, "|", keys[i])
        return cell.lookup(rest)
    numpy = numpy_module()
    columns = numpy.broadcast_arrays(*(numpy.asarray(key, dtype=object) for key in keys))
    picked = [table.get(row, math.nan) for row in zip(*columns)]
    return like(next(key for key in keys if not isinstance(key, str)), numpy.array(picked, dtype=float))


def _narrowed(keys: tuple[str, ...], table: Mapping[Any, float]) -> dict[Any, float]:
    """The entries that agree with the longest run of first keys that any entry has."""
    runs = ({e: v for e, v in table.items() if e[:n] == keys[:n]} for n in range(len(keys) - 1, 0, -1))
    return next(filter(None, runs), {})


def is_grade(text: Value) -> Value:
    """Whether a text is a fertiliser's label grade: three numbers with dashes, such as 15-5-30.

    A sheet looks at the first character alone, which is a digit in no other name; grade_part judges the rest.
    """
    if (cell := traced(text)) is not None:
        return cell.sheet_function("ISNUMBER", cell.sheet_function("VALUE", cell.sheet_function("LEFT", cell, 1)))
    if plain(text):
        return isinstance(text, str) and _GRADE.fullmatch(text) is not None
    return like(text, numpy_module().array([is_grade(one) for one in text], dtype=bool))


def grade_part(text: Value, index: int) -> Value:
    """The number at a place (0, 1 or 2) of a label grade; NaN where an element of an array is not one."""
    if (cell := traced(text)) is not None:
        call = cell.sheet_function
        spaced = call("SUBSTITUTE", cell, "-", call("REPT", " ", 99))  # the parts, far apart
        part = call("TRIM", call("MID", spaced, 1 + 99 * index, 999 if index == 2 else 99))
        # VALUE reads by the sheet's own language: the dot becomes its decimal sign, and the exponent keeps
        # what is left over of a fourth part (5-2) from being read as a date.
        decimal = call("MID", 0.5, 2, 1)
        return call("VALUE", cell.concatenate(call("SUBSTITUTE", part, ".", decimal), "E0"))
    if plain(text):
        return float(text.split("-")[index])
    return like(text, numpy_module().array([grade_part(one, index) if is_grade(one) else math.nan for one in text]))


def is_text(value: Value) -> Value:
    """Whether the value is text; for arguments that take an option's name or a number."""
    if (cell := traced(value)) is not None:
        return cell.sheet_function("ISTEXT", value)
    return isinstance(value, str)
