"""From a table to readings of one moment and place.

A wide record has one column per field, a long one has one row per value.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from pailbook.workbook.readings.answers import Mapped, Question, ReadingsError, map_option
from pailbook.workbook.readings.columns import (
    CLOCK_ROLES,
    LONG_ROLES,
    PLACE_ROLES,
    UNUSED,
    Meaning,
    meaning_of,
)
from pailbook.workbook.readings.dates import read_stamp
from pailbook.workbook.readings.records import Arrangement, Found, Measure, Record
from pailbook.workbook.readings.table import Row, Table
from pailbook.workbook.readings.units import unit_and_basis, words

_JOINED = {"note": "; ", "tester": ", ", "system": " ", "depth": ", ", "replicate": ", "}
_TOGETHER = ("date", "time", "zone", "system", "depth", "replicate")  # values with these in common are one reading
_ASKED_WHEN_SEVERAL = frozenset(("date", "time", "zone", "system", *LONG_ROLES))


def arrange(table: Table, mapping: Sequence[Mapped]) -> Arrangement:
    """The table's readings; its columns are known by the usual words of the trade, or as the mapping says."""
    mapped = _Mapping(mapping, table.headings)
    rows, units = _unit_row(table, mapped)
    meanings = [meaning_of(h, u, mapped(h)) for h, u in zip(table.headings, units)]
    _take_time_for_date(meanings, rows)
    result = Arrangement()
    if len(rows) < len(table.rows):
        result.remarks.append(f"row {table.rows[0][0]} holds the units")
    places = {role: _columns_for(role, table, rows, meanings, result)
              for role in (*PLACE_ROLES, *LONG_ROLES) if role != "datetime"}
    result.columns = {role: " and ".join(table.headings[i] for i in at) for role, at in places.items() if at}
    result.zone = next((meanings[i].zone for role in CLOCK_ROLES for i in places.get(role, ()) if meanings[i].zone), "")
    result.long = bool(places["variable"] and places["value"])
    result.rows, result.repeated = _without_repeats(rows)
    if result.long:
        _collect_long(table, meanings, places, mapped, result)
    else:
        for role in LONG_ROLES:
            result.unused += [(table.headings[i], "would need one column with the variable and one with its value")
                              for i in places[role]]
        _collect_wide(table, meanings, places, result)
    _check_mapping(mapping, table, result)
    for role in ("depth", "replicate"):
        if role in result.columns:
            if len({record.places[role] for record in result.records}) > 1:
                result.telling.append(role)
            else:
                result.unused.append((result.columns.pop(role), "has the same text in all rows"))
    result.unused += [(table.headings[i], meaning.why) for i, meaning in enumerate(meanings) if meaning.role == UNUSED]
    return result


class _Mapping:
    """The mapping by the name of a column or variable: as it is spelt, else without case and punctuation."""

    def __init__(self, mapping: Sequence[Mapped], headings: Iterable[str]) -> None:
        self._exact = {mapped.heading: mapped for mapped in mapping}
        headings = set(headings)
        self._plain = {_plain(mapped.heading): mapped for mapped in mapping if mapped.heading not in headings}
        if len(self._exact) < len(mapping):
            twice = next(m.heading for i, m in enumerate(mapping) if m.heading in {n.heading for n in mapping[:i]})
            raise ReadingsError(f'"{twice}" is mapped twice; give one mapping for it')

    def __call__(self, name: str) -> Mapped | None:
        return self._exact.get(name) or self._plain.get(_plain(name))


def _plain(name: str) -> str:
    return " ".join(re.findall(r"\w+|%", name.casefold()))


def _check_mapping(mapping: Sequence[Mapped], table: Table, result: Arrangement) -> None:
    names = {_plain(h) for h in table.headings} | {_plain(m.name) for m in result.measures}
    names |= {_plain(name) for name, _ in result.unused}
    for mapped in mapping:
        if _plain(mapped.heading) not in names:
            known = ", ".join(f'"{name}"' for name in table.headings)
            raise ReadingsError(f'the mapping names "{mapped.heading}", but there is no such column; the columns '
                                f"are: {known}")


def _unit_row(table: Table, mapped: _Mapping) -> tuple[list[Row], list[str]]:
    """The rows without a row of units below the headings, and the units, or blanks."""
    blanks = [""] * len(table.headings)
    if not table.rows:
        return [], blanks
    cells, some = table.rows[0][1], False
    for heading, cell in zip(table.headings, cells):
        meaning = meaning_of(heading, "", mapped(heading))
        if cell and meaning.role == "date":
            return table.rows, blanks
        if cell and meaning.field is not None:
            named = unit_and_basis(meaning.field, words(cell))
            if named is None or named == (None, ""):
                return table.rows, blanks
            some = True
    return (table.rows[1:], list(cells)) if some else (table.rows, blanks)


def _take_time_for_date(meanings: list[Meaning], rows: Sequence[Row]) -> None:
    """Columns of dates and times count as dates; if there are no others, so do columns of times with dates in them."""
    for i, meaning in enumerate(meanings):
        if meaning.role == "datetime":
            meanings[i] = Meaning("date", zone=meaning.zone, mapped=meaning.mapped)
    if all(meaning.role != "date" for meaning in meanings):
        for i, meaning in enumerate(meanings):
            if meaning.role == "time" and any(read_stamp(cells[i]).dates for _, cells in rows):
                meanings[i] = Meaning("date", zone=meaning.zone, mapped=meaning.mapped)


def _columns_for(
    role: str, table: Table, rows: Sequence[Row], meanings: list[Meaning], result: Arrangement
) -> list[int]:
    """The positions of a role's columns; of several that cannot be joined, a question or why one is left out."""
    at = [i for i, meaning in enumerate(meanings) if meaning.role == role]
    kept = [i for i in at if meanings[i].mapped] or at
    if role == "date" and len(kept) > 1:
        kept = [i for i in kept if any(read_stamp(cells[i]).dates for _, cells in rows)] or kept
    names = " and ".join(f'"{table.headings[i]}"' for i in kept)
    for i in at:
        if i not in kept:
            result.unused.append((table.headings[i], f"is not needed: the {role} is taken from {names}"))
    joined = role in _JOINED and (role != "system" or all(meanings[i].mapped for i in kept))
    if len(kept) > 1 and not joined and role in _ASKED_WHEN_SEVERAL:
        joining = ", or several to join their texts" if role == "system" else ""
        result.questions.append(Question(f"columns {names}", f"each may be the {role}; map one of them{joining}", tuple(
            (map_option(table.headings[i], role), "") for i in kept)))
    return kept


def _without_repeats(rows: Sequence[Row]) -> tuple[list[Row], list[tuple[int, int]]]:
    """The rows, each once, and for each repetition its row and the row that it repeats."""
    first: dict[tuple[str, ...], int] = {}
    repeated = []
    kept = []
    for number, cells in rows:
        if (earlier := first.setdefault(tuple(cells), number)) != number:
            repeated.append((number, earlier))
        else:
            kept.append((number, cells))
    return kept, repeated


def _text(cells: Sequence[str], at: Sequence[int], role: str) -> str:
    return _JOINED.get(role, " ").join(cells[i] for i in at if cells[i])


def _collect_wide(
    table: Table, meanings: Sequence[Meaning], places: dict[str, list[int]], result: Arrangement
) -> None:
    at = [i for i, meaning in enumerate(meanings) if meaning.field is not None]
    result.measures = [Measure(table.headings[i], meanings[i]) for i in at]
    for number, cells in result.rows:
        record = Record(number, {role: _text(cells, columns, role) for role, columns in places.items()})
        record.found = {k: Found(number, cells[i]) for k, i in enumerate(at) if cells[i]}
        result.records.append(record)


def _collect_long(
    table: Table, meanings: Sequence[Meaning], places: dict[str, list[int]], mapped: _Mapping, result: Arrangement
) -> None:
    """Put together the values of one moment and place; a second value of one field there makes a reading of its own."""
    _collect_wide(table, meanings, places, result)  # the columns that a long record may have besides
    wide, singles = len(result.measures), result.records
    result.records = []
    position: dict[tuple[str, str], int] = {}
    left_out: dict[tuple[str, str], list[str]] = {}  # why, for each value
    together: dict[tuple[str, ...], list[Record]] = {}
    for single in singles:
        of = single.places
        key = name, unit = of["variable"], of["unit"]
        if key in left_out:
            left_out[key].append(left_out[key][0])
        elif key not in position:
            meaning = meaning_of(name, unit, mapped(name))
            if meaning.field is None:
                left_out[key] = [meaning.why or f"is a {meaning.role}, not a reading"]
            else:
                position[key] = len(result.measures)
                result.measures.append(Measure(name, meaning, unit, True))
        found = dict(single.found)
        if key in position and of["value"]:
            found[position[key]] = Found(single.row, of["value"], of["note"])
        group = together.setdefault(tuple(of[role] for role in _TOGETHER), [])
        record = next((r for r in group if not _clash(r.found, found, result.measures, wide)), None)
        if record is None:
            record = Record(single.row, {**of, "note": ""})
            group.append(record)
            result.records.append(record)
        record.found.update(found)
        if of["tester"] not in record.places["tester"].split(", "):
            record.places["tester"] = ", ".join(filter(None, (record.places["tester"], of["tester"])))
    for (name, unit), whys in left_out.items():
        label = f"{name} in {unit}" if unit else name
        result.unused.append((label, f"{whys[0]} ({len(whys)} row{'' if len(whys) == 1 else 's'})"))


def _clash(kept: dict[int, Found], new: dict[int, Found], measures: Sequence[Measure], wide: int) -> bool:
    """Whether a new value is of a field that already has one, other than the same wide value repeated."""
    return any(
        measures[i].meaning.role == measures[j].meaning.role
        and not (i == j < wide and kept[i].text == new[j].text)
        for i in kept for j in new
    )
