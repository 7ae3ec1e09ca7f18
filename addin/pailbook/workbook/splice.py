"""A sheet's part with the elements of some cells exchanged, and every other byte as it was."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any
from xml.sax.saxutils import escape

from pailbook.hosts.areas import address_of
from pailbook.hosts.cells import ErrorValue, as_cell_value
from pailbook.workbook.parts import with_attributes
from pailbook.workbook.worksheet import Cell, Row, Worksheet

LONGEST_TEXT = 32_767  # characters in a cell

_NOT_IN_XML = re.compile("[\x00-\x08\x0b-\x1f\ufffe\uffff]")
_LOOKS_ESCAPED = re.compile("_(?=x[0-9A-Fa-f]{4}_)")

Place = tuple[int, int]  # row and column
Content = tuple[bytes | None, bytes]  # a cell's kind, and the element of its value
Change = tuple[int, int, bytes]  # from where to where, and what stands there instead


def spliced(sheet: Worksheet, values: Mapping[Place, Any], *, behind_formulas: bool = False) -> bytes:
    """The sheet's part with other values in its cells, whose styles stay; cells and rows that are not there are added.

    Parameters
    ----------
    sheet : the sheet.
    values : by row and column: anything that `as_cell_value` takes.
    behind_formulas : whether a formula stays, with the value as its result.

    Raises
    ------
    WorkbookError
        When a cell cannot hold its value.
    """
    contents: dict[int, dict[int, Content]] = defaultdict(dict)
    for place in sorted(values):
        contents[place[0]][place[1]] = _content(sheet, place, values[place], behind_formulas)
    present = {row.number: row for row in sheet.rows}
    changes: list[Change] = []
    new_rows: dict[int, list[bytes]] = defaultdict(list)  # by where they go
    starts = [row.number for row in sheet.rows]
    for number, cells in contents.items():
        if row := present.get(number):
            changes += _row_changes(sheet, row, cells, behind_formulas)
        elif added := b"".join(_added(sheet, None, (number, column), content) for column, content in cells.items()):
            following = bisect_left(starts, number)
            at = sheet.rows[following].start if following < len(starts) else sheet.sheet_data.close
            new_rows[at].append(_element(sheet.prefix + b"row", b' r="%d"' % number, added))
    for at, elements in new_rows.items():
        if at:
            changes.append((at, at, b"".join(elements)))
        else:  # sheetData is one empty tag
            data = sheet.sheet_data
            changes.append((data.start, data.end, _opened(sheet.data[data.start:data.end], b"".join(elements))))
    changes += _dimension(sheet, [place for place, value in values.items() if value is not None])
    parts, done = [], 0
    for start, end, new in sorted(changes, key=lambda change: change[:2]):
        parts += [sheet.data[done:start], new]
        done = end
    return b"".join([*parts, sheet.data[done:]])


def _row_changes(sheet: Worksheet, row: Row, cells: Mapping[int, Content], behind_formulas: bool) -> list[Change]:
    changes: list[Change] = []
    present = {cell.column: cell for cell in row.cells}
    columns = list(present)
    added = {column: _added(sheet, row, (row.number, column), content)
             for column, content in cells.items() if column not in present}
    added = {column: element for column, element in added.items() if element}
    for column, content in cells.items():
        if cell := present.get(column):
            changes.append((cell.start, cell.end, _exchanged(sheet, cell, content, behind_formulas)))
    tag = sheet.data[row.start:row.tag_end]
    if added and not _spans(row, added):
        tag = with_attributes(tag, {b"spans": None})  # a hint for readers, which would be wrong now
    if added and not row.close:
        return [(row.start, row.end, _opened(tag, b"".join(added.values())))]
    if tag != sheet.data[row.start:row.tag_end]:
        changes.append((row.start, row.tag_end, tag))
    for column, element in added.items():
        following = bisect_left(columns, column)
        at = row.cells[following].start if following < len(columns) else row.close
        changes.append((at, at, element))
    return changes


def _spans(row: Row, columns: Iterable[int]) -> bool:
    """Whether the hint from which to which column a row has cells holds for these; not where it cannot be read."""
    hint = re.fullmatch("([0-9]{1,7}):([0-9]{1,7})", row.attributes.get("spans", ""))
    return hint is not None and all(int(hint[1]) <= column <= int(hint[2]) for column in columns)


def _exchanged(sheet: Worksheet, cell: Cell, content: Content, behind_formulas: bool) -> bytes:
    kind, value = content
    wanted = {b"t": kind, b"vm": None}  # what described the old value
    formula = b""
    if behind_formulas:
        formula = sheet.data[slice(*cell.formula_span)]
    else:
        wanted[b"cm"] = None
    tag = with_attributes(sheet.data[cell.start:cell.tag_end], wanted)
    inner = formula + value + sheet.data[slice(*cell.tail_span)]
    if tag.endswith(b"/>"):
        return _opened(tag, inner) if inner else tag
    return tag + inner + b"</" + sheet.prefix + b"c>"


def _added(sheet: Worksheet, row: Row | None, place: Place, content: Content) -> bytes:
    """A cell that is not there yet, in its row's or column's style; nothing for a blank one."""
    kind, value = content
    if not value:
        return b""
    style = None
    if row and row.attributes.get("customFormat") in ("1", "true"):
        style = row.attributes.get("s")
    else:
        style = next((column.get("style") for column in sheet.columns
                      if int(column["min"]) <= place[1] <= int(column["max"])), None)
    attributes = b' r="%b"' % address_of(place).encode()
    attributes += b' s="%b"' % style.encode() if style else b""
    attributes += b' t="%b"' % kind if kind else b""
    return _element(sheet.prefix + b"c", attributes, value)


def _element(name: bytes, attributes: bytes, inner: bytes) -> bytes:
    return b"<%b%b>%b</%b>" % (name, attributes, inner, name)


def _opened(tag: bytes, inner: bytes) -> bytes:
    """An empty tag with something put into it."""
    name = re.match(rb"<([^\s/>]+)", tag)
    assert name is not None
    return tag[:-2].rstrip() + b">" + inner + b"</" + name[1] + b">"


def _dimension(sheet: Worksheet, places: list[Place]) -> list[Change]:
    """The sheet's used range, made to hold these cells."""
    if sheet.dimension is None or not places:
        return []
    start, end, text = sheet.dimension
    _, top, left, bottom, right = sheet.area(text)
    rows, columns = zip(*places)
    first = min(top, *rows), min(left, *columns)
    last = max(bottom, *rows), max(right, *columns)
    if (*first, *last) == (top, left, bottom, right):
        return []
    ref = f"{address_of(first)}:{address_of(last)}".encode()
    return [(start, end, with_attributes(sheet.data[start:end], {b"ref": ref}))]


def _content(sheet: Worksheet, place: Place, value: Any, computed: bool) -> Content:
    p = sheet.prefix
    try:
        value = as_cell_value(value, sheet.package.from_1904)
        if isinstance(value, str) and len(value) > LONGEST_TEXT:
            raise ValueError(f"a text of {len(value)} characters is too long; a cell holds {LONGEST_TEXT}")
        text = xml_text(value) if isinstance(value, str) else b""
    except ValueError as reason:
        raise sheet.error(f"cannot hold this: {reason}", address_of(place)) from None
    if value is None:
        return None, b""
    if isinstance(value, str) and not computed:
        return b"inlineStr", b'<%bis><%bt xml:space="preserve">%b</%bt></%bis>' % (p, p, text, p, p)
    kind = None
    if isinstance(value, str):
        kind = b"str"
    elif isinstance(value, bool):
        kind, text = b"b", b"1" if value else b"0"
    elif isinstance(value, ErrorValue):
        kind, text = b"e", xml_text(value.code)
    else:
        text = repr(value + 0.0).removesuffix(".0").encode()  # never -0
    return kind, b"<%bv>%b</%bv>" % (p, text, p)


def xml_text(text: str) -> bytes:
    """A text as it stands in the file. ValueError where it holds half a character."""
    text = _NOT_IN_XML.sub(lambda match: f"_x{ord(match[0]):04X}_", _LOOKS_ESCAPED.sub("_x005F_", text))
    try:
        return escape(text).encode()
    except UnicodeEncodeError:
        raise ValueError(f"{text!r} cannot be written as text") from None
