"""A few styles added to a workbook's own: for the sheets that a copy gets, and to mark cells that became values."""

from __future__ import annotations

import re

from pailbook.workbook.parts import with_attributes
from pailbook.workbook.share.patches import Patches

FROZEN_FILL = "FFFFE08A"  # of cells that hold a value in place of a formula

_XF = re.compile(rb"<(?:[\w.-]+:)?xf\b[^<>]*?(?:/>|>.*?</(?:[\w.-]+:)?xf\s*>)", re.DOTALL)
_FONT_NAME = re.compile(rb'<name\b[^<>]*/>')  # of the font that cells have by default


class Styles:
    """The numbers of styles, each added when it is first asked for. Without a part of styles all are the plain one."""

    def __init__(self, patches: Patches) -> None:
        book = patches.book
        self._patches = patches
        self._part = next((part for kind, part in book.related(book.workbook_part).values() if kind == "styles"), "")
        self._frozen: dict[int, int] = {}
        self._fill: int | None = None

    def text_styles(self) -> dict[str, int]:
        """The styles of the sheets that are added: "title", "heading"."""
        fonts = self._list(b"fonts")
        name = fonts and _FONT_NAME.search(fonts[2])
        font = b'<font><b/><sz val="%d"/>' + (name[0] if name else b"") + b"</font>"
        bold, large = self._added(b"fonts", font % 11), self._added(b"fonts", font % 16)
        if bold is None or large is None:
            return {}
        xf = b'<xf numFmtId="0" fontId="%d" fillId="0" borderId="0" xfId="0" applyFont="1"/>'
        return {"title": self._added(b"cellXfs", xf % large) or 0, "heading": self._added(b"cellXfs", xf % bold) or 0}

    def frozen(self, style: int) -> int:
        """The style with the fill that marks a value in place of a formula."""
        if style not in self._frozen:
            self._frozen[style] = self._with_fill(style)
        return self._frozen[style]

    def _with_fill(self, style: int) -> int:
        if self._fill is None:
            self._fill = self._added(b"fills", b'<fill><patternFill patternType="solid"><fgColor rgb="%b"/>'
                                               b'<bgColor indexed="64"/></patternFill></fill>' % FROZEN_FILL.encode())
        list_ = self._list(b"cellXfs")
        if self._fill is None or list_ is None:
            return style
        every = _XF.findall(list_[2])
        if style >= len(every):
            return style
        tag, end, rest = every[style].partition(b">")
        tag = with_attributes(tag + end, {b"fillId": str(self._fill).encode(), b"applyFill": b"1"})
        added = self._added(b"cellXfs", tag + rest)
        return style if added is None else added

    def _list(self, element: bytes) -> re.Match[bytes] | None:
        if not self._part or self._part not in self._patches.book:
            return None
        return re.search(rb"(<%b\b[^<>]*>)(.*?)(</%b\s*>)" % (element, element), self._patches.read(self._part),
                         re.DOTALL)

    def _added(self, element: bytes, new: bytes) -> int | None:
        """The number of a new entry at the end of a list of styles."""
        found = self._list(element)
        count = found and re.search(rb'\bcount\s*=\s*["\'](\d+)', found[1])
        if not found or not count:
            return None
        number = int(count[1])
        data = self._patches.read(self._part)
        opened = with_attributes(found[1], {b"count": str(number + 1).encode()})
        added = opened + found[2] + new + found[3]
        self._patches.changed[self._part] = data[:found.start()] + added + data[found.end():]
        return number
