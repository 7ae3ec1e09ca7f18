"""A workbook's copy without calls of the add-in's functions: its parts rewritten, before any value is calculated."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pailbook.hosts.areas import address_of
from pailbook.hosts.cells import ErrorValue
from pailbook.outcomes import NA
from pailbook.workbook.contents import Workbook
from pailbook.workbook.share.about import TITLE, about_sheet
from pailbook.workbook.share.formulas import Found, Rewriter
from pailbook.workbook.share.links import Links
from pailbook.workbook.share.patches import Patches
from pailbook.workbook.share.programs import drop_programs
from pailbook.workbook.share.rules import Elsewhere, Rules
from pailbook.workbook.share.scratch import Scratch
from pailbook.workbook.share.sheet_xml import MAIN, Sheet
from pailbook.workbook.share.styles import Styles
from pailbook.workbook.splice import spliced
from pailbook.workbook.workings import SHEET as WORKINGS

_STRICT_MAIN = b"http://purl.oclc.org/ooxml/spreadsheetml/main"


@dataclass(frozen=True)
class Rewritten:
    """What was done to a file."""

    found: Found
    elsewhere: Elsewhere
    steps: int  # intermediate values on the sheet of workings
    notes: tuple[str, ...]  # about links and programs


def rewrite(
    book: Workbook, contents: Mapping[str, Mapping[str, Any]], values: Mapping[tuple[str, str], Any],
    target: str | os.PathLike[str], *, freeze: bool = False,
) -> Rewritten:
    """Write a copy whose formulas call none of the add-in's functions. Its cells keep the values that the file holds.

    Parameters
    ----------
    book : the workbook.
    contents : of its cells.
    values : of its formulas, for what must become a value.
    target : the file to write; it is replaced.
    freeze : whether every call becomes a value.

    Raises
    ------
    WorkbookError
        When the file is damaged, or holds something that no copy can carry.
    """
    patches = Patches(book)
    styles = Styles(patches)
    scratch = Scratch(patches.free_title(WORKINGS))
    rewriter = Rewriter(book, contents, scratch, styles, freeze=freeze)
    rules = Rules(rewriter.meaning)
    for title, part in book.sheets.items():
        data = rewriter.sheet(title)
        sheet = book.worksheets[title]
        # What follows the cells is as long as it was.
        cleaned = rules.sheet(title, sheet.data if data is None else data, _cells_end(sheet.data, data, sheet))
        if cleaned is not sheet.data:
            patches.changed[part] = cleaned
        for table in _tables(book, part):
            if (new := rules.table(title, old := book.read(table))) != old:
                patches.changed[table] = new
    names = patches.read(book.workbook_part)
    if (new := rules.names(names)) != names:
        patches.changed[book.workbook_part] = new
    notes = drop_programs(patches)
    gone, kept = Links(patches).clean()
    notes += [f"the link to {file} was taken out: nothing uses it now" for file in gone]
    notes += [f"the link to {file} stays: other formulas of the workbook use it" for file in kept]
    _drop_order(patches)
    _add_sheets(patches, styles, rewriter.found, rules.found, scratch, freeze)
    book.save(target, patches.changed, overwrite=True)
    if rewriter.found.frozen:
        _set_values(Path(target), rewriter.found, values)
    return Rewritten(rewriter.found, rules.found, len(scratch), tuple(notes))


def _cells_end(old: bytes, new: bytes | None, sheet: Any) -> int:
    return int(sheet.sheet_data.end) + (len(new) - len(old) if new is not None else 0)


def _tables(book: Workbook, part: str) -> list[str]:
    folder, _, name = part.rpartition("/")
    if f"{folder}/_rels/{name}.rels" not in book:
        return []
    return [target for kind, target in book.related(part).values() if kind == "table" and target in book]


def _drop_order(patches: Patches) -> None:
    """Takes out the list of formulas in the order of computing: it names cells, and programs make it anew."""
    for kind, part in patches.book.related(patches.book.workbook_part).values():
        if kind == "calcChain" and part in patches.book:
            patches.remove(part, patches.book.workbook_part)


def _add_sheets(
    patches: Patches, styles: Styles, found: Found, elsewhere: Elsewhere, scratch: Scratch, on_purpose: bool
) -> None:
    if not (found.replaced or found.frozen or elsewhere.replaced or elsewhere.dropped):
        return
    sheets: list[Sheet] = [scratch.sheet()] if len(scratch) else []
    workings = scratch.title if sheets else ""
    sheets.append(about_sheet(patches.free_title(TITLE), found, elsewhere, workings, on_purpose))
    numbers = styles.text_styles()
    for sheet in sheets:
        content = sheet.xml(numbers, _STRICT_MAIN if patches.strict else MAIN, _paper(patches.book))
        patches.add_sheet(sheet.title, content, sheet.print_area)


def _paper(book: Workbook) -> int | None:
    """The number of the paper size that the workbook's sheets are printed on."""
    sizes = (re.search(rb'<(?:[\w.-]+:)?pageSetup\b[^<>]*?\spaperSize\s*=\s*["\'](\d+)', sheet.data)
             for sheet in book.worksheets.values())
    return next((int(found[1]) for found in sizes if found), None)


def _set_values(path: Path, found: Found, values: Mapping[tuple[str, str], Any]) -> None:
    """Puts values into the cells that lose their formulas."""
    book = Workbook(path)
    changed = {}
    for title in dict.fromkeys(cell.sheet for cell in found.frozen):
        sheet = book.worksheets[title]
        places = [place for cell in found.frozen if cell.sheet == title for place in sheet.area(cell.cells).cells()]
        wanted = {place: values.get((title, address_of(place)), ErrorValue(NA)) for place in places}
        changed[sheet.part] = spliced(sheet, wanted)
    book.save(path, changed, overwrite=True)
