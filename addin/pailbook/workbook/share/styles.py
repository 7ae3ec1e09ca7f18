"""A few styles added to those of a workbook: for the sheets that a copy gets, and to mark cells that became values."""

from __future__ import annotations

import re
from collections import Counter

from pailbook.workbook.parts import with_attributes
from pailbook.workbook.share.patches import Patches

FROZEN_FILL = "FFFFE08A"  # of cells that hold a value in place of a formula

_XF = re.compile(rb"<(?:[\w.-]+:)?xf\b[^<>]*?(?:/>|>.*?</(?:[\w.-]+:)?xf\s*>)", re.DOTALL)
_FONT = re.compile(rb"<font>.*?</font>|<font/>", re.DOTALL)
_FONT_NAME, _FONT_ID = re.compile(rb"<name\b[^<>]*/>"), re.compile(rb'\bfontId\s*=\s*["\'](\d+)')


class Styles:
    """The numbers of styles, each added when it is first asked for. Without a part of styles all are the plain one."""

    def __init__(self, patches: Patches) -> None:
        book = patches.book
        self._patches = patches
        self._part = next((part for kind, part in book.related(book.workbook_part).values() if kind == "styles"), "")
        self._frozen: dict[int, int] = {}
        self._fill: int | None = None

    def text_styles(self) -> dict[str, int]:
        """The styles of the sheets that are added: "title", "heading", "text", "wrapped"."""
        name = self._usual_font()
        numbers: dict[str, int] = {}
        for style, bold, size, wrap in (("title", b"<b/>", 16, b""), ("heading", b"<b/>", 10, b""),
                                        ("text", b"", 10, b""), ("wrapped", b"", 10, b' wrapText="1"')):
            font = self._added(b"fonts", b'<font>%b<sz val="%d"/>%b</font>' % (bold, size, name))
            xf = None if font is None else self._added(
                b"cellXfs", b'<xf numFmtId="0" fontId="%d" fillId="0" borderId="0" xfId="0" applyFont="1" '
                            b'applyAlignment="1"><alignment vertical="top"%b/></xf>' % (font, wrap))
            numbers[style] = xf or 0
        return numbers

    def _usual_font(self) -> bytes:
        """The name of the font that most of the workbook's styles have."""
        fonts, styles = self._list(b"fonts"), self._list(b"cellXfs")
        if not fonts or not styles:
            return b""
        names = [name[0] if (name := _FONT_NAME.search(font)) else b"" for font in _FONT.findall(fonts[2])]
        numbers = map(int, _FONT_ID.findall(styles[2]))
        used = Counter(names[number] for number in numbers if number < len(names))
        return max(used, key=used.__getitem__, default=b"")

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
