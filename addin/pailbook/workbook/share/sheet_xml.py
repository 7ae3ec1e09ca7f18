"""A sheet that is added to somebody else's file: texts and formulas, protected, with a few styles."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from openpyxl.utils import get_column_letter

from pailbook.workbook.splice import xml_text

MAIN = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_MARGINS = b'<pageMargins left="0.4" right="0.4" top="0.5" bottom="0.8" header="0.3" footer="0.4"/>'
_FOOTER = b"<headerFooter><oddFooter>&amp;L&amp;F: &amp;A&amp;Rpage &amp;P of &amp;N</oddFooter></headerFooter>"


@dataclass
class Sheet:
    """A sheet in the making."""

    title: str
    widths: tuple[float, ...] = ()
    print_area: str = ""
    _rows: list[tuple[int, Sequence[tuple[str, str]], Sequence[str]]] = field(default_factory=list)

    def row(self, number: int, texts: Sequence[tuple[str, str]], formulas: Sequence[str] = ()) -> None:
        """A row, below those that are there: texts with the names of their styles, and formulas right of them."""
        self._rows.append((number, texts, formulas))

    def xml(self, styles: Mapping[str, int], namespace: bytes = MAIN, paper: int | None = None) -> bytes:
        """The sheet's part; `styles` are the numbers of the styles by name, `paper` the size's number, if known."""
        columns = b"".join(b'<col min="%d" max="%d" width="%g" customWidth="1"/>' % (i, i, width)
                           for i, width in enumerate(self.widths, 1))
        rows = b"".join(_row(number, texts, formulas, styles) for number, texts, formulas in self._rows)
        return (
            b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<worksheet xmlns="%b">'
            b'<sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>'
            b'<sheetViews><sheetView showGridLines="0" workbookViewId="0"/></sheetViews>'
            b'%b<sheetData>%b</sheetData>'
            b'<sheetProtection sheet="1" formatColumns="0" formatRows="0"/>'
            b'%b<pageSetup%b orientation="portrait" fitToWidth="1" fitToHeight="0"/>%b</worksheet>'
        ) % (namespace, b"<cols>%b</cols>" % columns if columns else b"", rows, _MARGINS,
             b"" if paper is None else b' paperSize="%d"' % paper, _FOOTER)


def _row(number: int, texts: Sequence[tuple[str, str]], formulas: Sequence[str], styles: Mapping[str, int]) -> bytes:
    cells = [
        b'<c r="%b%d"%b t="inlineStr"><is><t xml:space="preserve">%b</t></is></c>'
        % (get_column_letter(column).encode(), number, _style(styles, style), xml_text(text))
        for column, (text, style) in enumerate(texts, 1) if text
    ]
    cells += [b'<c r="%b%d"%b><f>%b</f></c>'
              % (get_column_letter(column).encode(), number, _style(styles, "text"), xml_text(text))
              for column, text in enumerate(formulas, len(texts) + 1)]
    return b'<row r="%d">%b</row>' % (number, b"".join(cells))


def _style(styles: Mapping[str, int], name: str) -> bytes:
    return b' s="%d"' % styles[name] if styles.get(name) else b""
