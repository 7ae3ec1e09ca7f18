"""Links to other files: those that served only the add-in's functions go, others stay and are listed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import PurePosixPath, PureWindowsPath
from urllib.parse import unquote
from xml.sax.saxutils import unescape

from openpyxl.formula.tokenizer import Token

from pailbook.formula.call_names import linked_book, our_function
from pailbook.formula.read import Group, Pieces, Unreadable, groups, pieces_of, text_of
from pailbook.workbook.share.patches import Patches, text_of_xml
from pailbook.workbook.splice import xml_text

_ID = re.compile(rb"[\s:]id\s*=\s*[\"']([^\"']*)")
_LINK = re.compile(rb"<(?:[\w.-]+:)?externalReference\b[^<>]*>")
_NO_LINKS = re.compile(rb"<((?:[\w.-]+:)?externalReferences)\b[^<>]*>\s*</\1\s*>")
_FILE = re.compile(rb"\sTarget\s*=\s*[\"']([^\"']*)")
_FUNCTION = re.compile(rb"<(?:[\w.-]+:)?definedName\b[^<>]*\sname\s*=\s*[\"']([^\"']*)")
_FORMULA = re.compile(rb"(<((?:[\w.-]+:)?(?:f|formula[12]?|definedName))\b[^<>]*>)([^<]*\[\d+][^<]*)(</\2\s*>)")
_WITH_FORMULAS = re.compile(r"/(?:worksheets|charts|tables)/[^/]*\.xml$|workbook\.xml$")
_IN_TEXT = re.compile(r"\[(\d+)]")


class Links:
    """The links of a workbook to other files, by the number that formulas give them."""

    def __init__(self, patches: Patches) -> None:
        self._patches, self._book = patches, patches.book
        self._workbook = self._book.workbook_part
        related = self._book.related(self._workbook)
        tags = map(_ID.search, _LINK.findall(self._book.read(self._workbook)))
        ids = [found[1].decode() for found in tags if found]
        self._links = {n: (relation, related.get(relation, ("", ""))[1]) for n, relation in enumerate(ids, 1)}

    def clean(self) -> tuple[list[str], list[str]]:
        """Takes out the links that only calls of the add-in's functions used, once all calls are rewritten.

        Returns
        -------
        gone, kept
            The names of the files.
        """
        if not self._links:
            return [], []
        used = {number for part in self._formula_parts() for found in _FORMULA.finditer(self._patches.read(part))
                for number in _numbers(text_of_xml(found[3]))}
        gone = {number for number, (_, part) in self._links.items() if number not in used and self._is_add_in(part)}
        if gone:
            self._take_out(gone)
        names = {number: self._file(part) for number, (_, part) in self._links.items()}
        return [names[n] for n in names if n in gone], [names[n] for n in names if n not in gone]

    def _formula_parts(self) -> Iterator[str]:
        for part in self._book.part_names:
            removed = part in self._patches.changed and self._patches.changed[part] is None
            if _WITH_FORMULAS.search(part) and not removed:
                yield part

    def _is_add_in(self, part: str) -> bool:
        """Whether the linked file holds the project's functions, or is an add-in whose functions nothing calls now."""
        names = _FUNCTION.findall(self._book.read(part)) if part in self._book else []
        return any(our_function(name.decode()) for name in names) or (
            self._file(part).lower().endswith((".xlam", ".xla", ".xll")))

    def _file(self, part: str) -> str:
        folder, _, name = part.rpartition("/")
        relations = f"{folder}/_rels/{name}.rels"
        found = _FILE.search(self._book.read(relations)) if relations in self._book else None
        path = unescape(unquote(found[1].decode())) if found else ""
        return PureWindowsPath(path).name if "\\" in path else PurePosixPath(path).name

    def _take_out(self, numbers: set[int]) -> None:
        for number in numbers:
            relation, part = self._links[number]
            if part:
                self._patches.remove(part, self._workbook)
            self._patches.drop_from_workbook(rb"externalReference", rb"id", relation.encode())
        self._patches.changed[self._workbook] = _NO_LINKS.sub(b"", self._patches.read(self._workbook))
        kept = [number for number in self._links if number not in numbers]
        renamed = {old: new for new, old in enumerate(kept, 1) if old != new}
        for part in list(self._formula_parts()) if renamed else []:
            old = self._patches.read(part)
            new = _FORMULA.sub(lambda found: b"".join((
                found[1], xml_text(_renumbered(text_of_xml(found[3]), renamed)), found[4])), old)
            if new != old:
                self._patches.changed[part] = new


def _numbers(formula: str) -> set[int]:
    """The numbers of all links that a formula goes through."""
    try:
        pieces = pieces_of(formula)
    except Unreadable:
        return {int(number) for number in _IN_TEXT.findall(formula)}
    names = [group.head for group in groups(pieces)] + list(_operands(pieces))
    return {number for name in names if (number := linked_book(name))}


def _operands(pieces: Pieces) -> Iterator[str]:
    for piece in pieces:
        if isinstance(piece, Group):
            for argument in piece.arguments:
                yield from _operands(argument)
        elif piece.type == Token.OPERAND:
            yield piece.value


def _renumbered(formula: str, numbers: Mapping[int, int]) -> str:
    def name(text: str) -> str:
        number = linked_book(text) or 0
        return text.replace(f"[{number}]", f"[{numbers[number]}]", 1) if number in numbers else text

    def within(pieces: Pieces) -> Pieces:
        return tuple(
            Group(name(piece.head), tuple(map(within, piece.arguments))) if isinstance(piece, Group)
            else Token(name(piece.value), piece.type, piece.subtype) if piece.type == Token.OPERAND else piece
            for piece in pieces
        )

    try:
        return text_of(within(pieces_of(formula)))
    except Unreadable:
        return formula
