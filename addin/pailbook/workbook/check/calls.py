"""What ties a workbook to an add-in: calls left in a plain copy, names with an add-in's file in front, links."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator
from functools import cached_property
from pathlib import PurePosixPath, PureWindowsPath
from string import ascii_uppercase
from typing import NamedTuple
from urllib.parse import unquote

from pailbook.formula.call_names import may_call
from pailbook.hosts.cells import FormulaCell
from pailbook.terms import ACT, NOT_KNOWN, WATCH
from pailbook.workbook import workings
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.places import Places
from pailbook.workbook.check.subject import Subject
from pailbook.workbook.share import about

CALL_LEFT, ADD_IN, OTHER_FILE = "call left in a plain copy", "tied to an add-in", "reads another file"
_NEW_COPY = "Make a new plain copy of the original with: pailbook share."
_PLAIN_COPY = "For others, make a plain copy with: pailbook share."
_ADD_INS = (".xlam", ".xla", ".xll")
_PREFIX = re.compile(r"\b_xll\.|\b_xldudf_|\[\d+]!|\.(?:xlam|xla|xll)'?!", re.IGNORECASE)
_OTHER = re.compile(r"\[[^\]'!]+][^'!\[\]]*'?![$A-Z]", re.IGNORECASE)


class _Ties(NamedTuple):
    """What ties a formula to an add-in or to other files."""

    calls: bool
    prefix: bool
    other: bool


class Calls:
    """The formulas of a workbook by what ties them."""

    def __init__(self, subject: Subject) -> None:
        known: dict[str, _Ties] = {}
        self.subject = subject
        self.calling: dict[tuple[str, str], str] = {}
        self.prefixed: list[tuple[str, str]] = []
        self.elsewhere: list[tuple[str, str]] = []
        for sheet, cells in subject.contents.items():
            for address, content in cells.items():
                if not isinstance(content, FormulaCell):
                    continue
                # Formulas filled down differ in their row's number alone: each is looked at once.
                rough = content.text.replace(address.lstrip(ascii_uppercase), "#")
                ties = known.get(rough)
                if ties is None:
                    ties = known[rough] = _ties(content.text)
                if ties.calls:
                    self.calling[sheet, address] = content.text
                if ties.prefix:
                    self.prefixed.append((sheet, address))
                elif ties.other:
                    self.elsewhere.append((sheet, address))

    def findings(self, places: Places | None) -> Iterator[Finding]:
        """The findings; `places` are given for a workbook of ours."""
        if self._made_plain or (places is not None and self._mostly_plain(places)):
            for sheet, address in self.calling:
                yield Finding(sheet, address, ACT, CALL_LEFT,
                              "calls a function of the add-in, although the rest of this workbook needs none; without "
                              "the add-in this cell shows #NAME?", _NEW_COPY)
            for name in self.subject.book.names:
                if may_call(name.text):
                    yield Finding("", name.name, ACT, CALL_LEFT, "this name stands for a call of the add-in, although "
                                  "the rest of this workbook needs no add-in", _NEW_COPY)
        for sheet, address in self.prefixed:
            yield Finding(sheet, address, WATCH, ADD_IN, "this formula is tied to an add-in's file on one computer; on "
                          "other computers it shows #NAME?", _PLAIN_COPY)
        yield from self._links()
        for sheet, address in self.elsewhere:
            yield Finding(sheet, address, NOT_KNOWN, OTHER_FILE, "this formula uses cells of another file, which was "
                          "not checked and which others may not have", "Copy the values into this workbook.")

    @cached_property
    def _made_plain(self) -> bool:
        """Whether it has a sheet that only plain copies have, by its title and its first words."""
        return any(title.startswith(mark) and any(
            isinstance(text, str) and text.startswith(mark) for text in (cells.get("A1"), cells.get("A2")))
            for title, cells in self.subject.contents.items() for mark in (about.TITLE, workings.SHEET))

    def _mostly_plain(self, places: Places) -> bool:
        """Whether most of the formulas that are calls in the blank workbook are plain ones here."""
        calls = plain = 0
        for sheet, address in _where_blank_calls(places):
            calls += (sheet, address) in self.calling
            plain += (sheet, address) not in self.calling and places.subject.formula(sheet, address) is not None
        return plain > calls

    def _links(self) -> Iterator[Finding]:
        book = self.subject.book
        for kind, part in book.related(book.workbook_part).values():
            folder, name = posixpath.split(part)
            relations = posixpath.join(folder, "_rels", f"{name}.rels")
            if kind != "externalLink" or relations not in book:
                continue
            for relation in book.xml(relations):
                file = _file(relation.get("Target", ""))
                if file.lower().endswith(_ADD_INS):
                    yield Finding("", "", WATCH, ADD_IN, f"this workbook is linked to the add-in's file {file}, which "
                                  "others do not have", _PLAIN_COPY)
                elif file:
                    yield Finding("", "", NOT_KNOWN, OTHER_FILE, f"this workbook is linked to the file {file}, which "
                                  "was not checked", "Break the link, or send that file too.")


def _where_blank_calls(places: Places) -> Iterator[tuple[str, str]]:
    blank = places.blank
    for title, placed in places.tables.items():
        for number, column in enumerate(placed.table.columns, 1):
            if column.key in placed.letters and blank.calls(title, placed.table.first_row, number):
                for row in range(placed.heading_row + 1, placed.last_row + 1):
                    yield placed.sheet, placed.cell(column.key, row)
    for title, sheet in places.sheets.items():
        for row, number, address in places.formulas(title):
            if blank.calls(title, row, number):
                yield sheet, address


def _ties(text: str) -> _Ties:
    prefix = bool(_PREFIX.search(text))
    return _Ties(may_call(text), prefix, not prefix and "[" in text and bool(_OTHER.search(text)))


def _file(target: str) -> str:
    path = unquote(target)
    return PureWindowsPath(path).name if "\\" in path else PurePosixPath(path).name
