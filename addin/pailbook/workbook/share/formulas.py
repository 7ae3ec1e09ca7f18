"""The calls in a workbook's cells: found, rewritten, and put into the sheets' parts in their place."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from pailbook.formula.call_names import may_call
from pailbook.hosts.cells import FormulaCell
from pailbook.hosts.references import filled_form
from pailbook.workbook.contents import Workbook
from pailbook.workbook.parts import with_attributes
from pailbook.workbook.share.arguments import Cell
from pailbook.workbook.share.meaning import Meaning
from pailbook.workbook.share.recipe import Recipe, in_form
from pailbook.workbook.share.rewrite import rewritten
from pailbook.workbook.share.scratch import Scratch
from pailbook.workbook.share.styles import Styles
from pailbook.workbook.splice import xml_text
from pailbook.workbook.worksheet import Cell as CellElement
from pailbook.workbook.worksheet import Worksheet

_STYLE = re.compile(rb"\ss\s*=\s*[\"'](\d+)")


@dataclass(frozen=True)
class FrozenCell:
    """A cell that holds a fixed value now, and why."""

    sheet: str
    cells: str
    reason: str


@dataclass
class Found:
    """What was done with the calls in cells."""

    replaced: int = 0  # calls
    cells: int = 0  # with formulas that were rewritten
    frozen: list[FrozenCell] = field(default_factory=list)
    frozen_calls: int = 0


class Rewriter:
    """Rewrites the cells of a workbook, one sheet after the other."""

    def __init__(
        self, book: Workbook, contents: Mapping[str, Mapping[str, Any]], scratch: Scratch, styles: Styles, *,
        freeze: bool = False,
    ) -> None:
        """`contents` is what the cells hold; with `freeze` every call becomes a fixed value."""
        self.book, self.meaning, self.scratch = book, Meaning(book, contents), scratch
        self.found = Found()
        self._contents, self._styles, self._on_purpose = contents, styles, freeze
        self._recipes: dict[tuple[str, str], Recipe] = {}

    def sheet(self, title: str) -> bytes | None:
        """The sheet's part without calls, but for the cells that become values; None where it has no calls."""
        sheet = self.book.worksheets[title]
        changes: list[tuple[int, int, bytes]] = []
        for cell in sheet.cells():
            content = self._contents[title].get(cell.address) if cell.formula is not None else None
            if not isinstance(content, FormulaCell) or not may_call(content.text):
                continue
            recipe, in_form = self._recipe(content.text, Cell(title, cell.row, cell.column, content.array is not None))
            if recipe is None:
                continue
            if self._on_purpose or recipe.frozen:
                self._freeze(title, content.array or cell.address, recipe)
                if not self._on_purpose:
                    changes.append((cell.start, cell.tag_end, self._marked(sheet, cell)))
                continue
            formula = self.scratch.place(recipe, title, cell.row, cell.column, in_form)
            self.found.replaced += len(recipe.calls)
            self.found.cells += 1
            changes.append((*cell.formula_span, _element(sheet, formula, content.array)))
        return _exchanged(sheet.data, changes) if changes else None

    def _freeze(self, title: str, cells: str, recipe: Recipe) -> None:
        self.found.frozen_calls += max(1, len(recipe.calls))
        reason = "as asked" if self._on_purpose else recipe.frozen
        self.found.frozen.append(FrozenCell(title, cells, reason))

    def _marked(self, sheet: Worksheet, cell: CellElement) -> bytes:
        tag = sheet.data[cell.start:cell.tag_end]
        style = _STYLE.search(tag)
        number = self._styles.frozen(int(style[1]) if style else 0)
        return with_attributes(tag, {b"s": str(number).encode()})

    def _recipe(self, text: str, cell: Cell) -> tuple[Recipe | None, bool]:
        """The recipe, None if nothing of the add-in is called; and whether it has distances in place of addresses."""
        form = None if cell.array else filled_form(text, cell.row, cell.column)
        if form is not None and (known := self._recipes.get((cell.sheet, form))):
            return known, True
        found = rewritten(text, cell, self.meaning)
        if found is None:
            return None, False
        recipe, fillable = found
        if fillable and form is not None and (general := in_form(recipe, cell.row, cell.column)):
            self._recipes[cell.sheet, form] = general
            return general, True
        return recipe, False


def _element(sheet: Worksheet, formula: str, array: str | None) -> bytes:
    p = sheet.prefix
    kind = b' t="array" ref="%b"' % array.encode() if array else b""
    return b"<%bf%b>%b</%bf>" % (p, kind, xml_text(formula), p)


def _exchanged(data: bytes, changes: list[tuple[int, int, bytes]]) -> bytes:
    parts, done = [], 0
    for start, end, new in changes:  # in the order in which they stand
        parts += [data[done:start], new]
        done = end
    return b"".join([*parts, data[done:]])
