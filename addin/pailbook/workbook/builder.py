"""A workbook in the making: its unit system, its calls or plain formulas, its names, its sheets and its file."""

from __future__ import annotations

import io
import re
import tempfile
import zipfile
from datetime import datetime
from pathlib import Path

from lxml.etree import SerialisationError
from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.header_footer import HeaderFooterItem
from openpyxl.worksheet.header_footer import _HeaderFooterPart as _Part
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

import pailbook.functions as _fill_the_catalogue  # noqa: F401
from pailbook.files import check_free, replacing, scratch
from pailbook.formula.trace import plain_formula
from pailbook.formula.tree import NotTraceable
from pailbook.function import CATALOGUE
from pailbook.quantities import METRIC, UNIT_SYSTEMS, US, Quantity
from pailbook.workbook import style, workings
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.columns import quoted
from pailbook.workbook.english import speak_american
from pailbook.workbook.names import PREFIXES, key_of
from pailbook.workbook.workings import Workings

LONGEST_IN_LINE = 4500  # characters of a plain formula; longer ones are calculated in steps
_LETTER, _A4 = 1, 9  # paper sizes by their number in the file format
_MADE = datetime(2026, 1, 1)  # so that the same workbook is the same file each time
_ZIP_TIME = (2026, 1, 1, 0, 0, 0)


class Book:
    """A workbook that is being built.

    Parameters
    ----------
    title : what the workbook is, for its properties.
    units : "metric" or "us".
    plain : whether calls of our functions are written as plain formulas, which need no add-in.
    """

    def __init__(self, title: str, units: str = METRIC, plain: bool = False) -> None:
        if units not in UNIT_SYSTEMS:
            raise ValueError(f'units is {units!r}; expected "metric" or "us"')
        self.units, self.plain = units, plain
        self._workings = Workings()
        self._sheet = ""  # the one that formulas are being written for
        self.workbook = Workbook()
        self.workbook.remove(self.workbook.worksheets[0])
        properties = self.workbook.properties
        self._prefix = PREFIXES.get(title, "")
        properties.title, properties.creator, properties.lastModifiedBy = title, "Pailbook", "Pailbook"
        properties.created = properties.modified = _MADE

    def call(self, function: str, *arguments: str) -> str:
        """Formula text for a call of one of our functions on these argument texts, in the workbook's units.

        In US units every optional argument must be given, since the unit system is the last one.
        """
        record = CATALOGUE[function]
        texts = list(arguments)
        if record.has_units and self.units == US:
            if len(texts) != len(record.arguments):
                raise ValueError(f"{function} needs all its {len(record.arguments)} arguments before the units")
            texts.append(f'"{US}"')
        if not self.plain:
            return f"{function}({','.join(texts)})"
        try:
            text = plain_formula(record, texts)
        except NotTraceable:
            text = ""
        return text if 0 < len(text) <= LONGEST_IN_LINE else self._workings.place(record, texts, self._sheet)

    def show(self, quantity: Quantity, metric: float) -> float:
        """A metric value in the workbook's units."""
        return float(quantity.from_metric(metric, self.units))

    def sheet(self, title: str, note: str = "", *, landscape: bool = True, tab: str = style.HEADING) -> Worksheet:
        """A new sheet with its title and one line of what it is for, protected and set up for printing."""
        sheet: Worksheet = self.workbook.create_sheet(title)
        self._sheet = title
        style.look(sheet["A1"], "title").value = title
        style.look(sheet["A2"], "note").value = note
        sheet.row_dimensions[1].height = 24
        sheet.sheet_view.showGridLines = False
        sheet.sheet_properties.tabColor = tab
        protection = sheet.protection
        protection.sheet = True
        # What is False stays allowed although the sheet is protected.
        protection.insertRows = protection.sort = protection.autoFilter = False
        protection.formatColumns = protection.formatRows = False
        page = sheet.page_setup
        page.orientation = "landscape" if landscape else "portrait"
        page.paperSize = _LETTER if self.units == US else _A4
        page.fitToWidth, page.fitToHeight = 1, 0
        sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        margins = sheet.page_margins
        margins.left = margins.right = 0.4
        margins.top, margins.bottom, margins.header, margins.footer = 0.5, 0.8, 0.3, 0.4
        sheet.oddFooter = HeaderFooterItem(left=_Part("&F: &A"), right=_Part("page &P of &N"))
        return sheet

    def define(self, name: str, sheet: str, cell: str) -> None:
        """A name, known in the whole workbook, for one cell; it gets the prefix of the workbook."""
        column, row = re.fullmatch(r"\$?([A-Z]+)\$?(\d+)", cell).groups()  # type: ignore[union-attr]
        full = self.name(name)
        self.workbook.defined_names[full] = DefinedName(full, attr_text=f"{quoted(sheet)}!${column}${row}")

    def name(self, key: str) -> str:
        """The defined name of a key, with the prefix of the workbook."""
        return f"{self._prefix}{key}"

    @property
    def names(self) -> dict[str, str]:
        """The cell, with its sheet, that each name stands for, by the names' keys."""
        return {key_of(name): str(found.attr_text) for name, found in self.workbook.defined_names.items()}

    def named(self, key: str) -> str:
        """The cell, with its sheet, that a key's defined name stands for.

        Raises
        ------
        KeyError
            When no cell was given that name.
        """
        return self.names[key]

    def save(self, path: Path, overwrite: bool = False) -> Path:
        """Writes the file; an existing one is replaced only where `overwrite` is set.

        Raises
        ------
        WorkbookError
            When the file exists and `overwrite` is not set, or cannot be written.
        """
        self._write_workings()
        self.speak()
        check_target(Path(path), overwrite)
        content = io.BytesIO()
        try:
            with scratch(of_libraries=True):
                self.workbook.save(content)
        except (OSError, SerialisationError) as reason:
            raise WorkbookError(f"{path} cannot be written: no temporary file can be made in "
                                f"{tempfile.gettempdir()} ({reason})") from None
        with replacing(path, overwrite=overwrite, error=WorkbookError) as file:
            file.write(_reproducible(content.getvalue()))
        return Path(path)

    def speak(self) -> None:
        """Puts all texts into the English of the unit system; the sheets are written in the international one."""
        if self.units == US:
            speak_american(self.workbook)

    def _write_workings(self) -> None:
        """The sheet of intermediate values, once, where there are any."""
        if not self._workings.rows or workings.SHEET in self.workbook.sheetnames:
            return
        self._workings.write(self.sheet(workings.SHEET, workings.NOTE, tab="A9B7BA"))


def check_target(path: Path, overwrite: bool) -> None:
    """Refuses a file that must not be replaced, or whose folder is not there, with a WorkbookError."""
    check_free(path, overwrite=overwrite, error=WorkbookError)


def _reproducible(content: bytes) -> bytes:
    """The same workbook with fixed times, its parts in a fixed order."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for name in sorted(old.namelist(), key=lambda name: (name != "[Content_Types].xml", name)):
            part = old.read(name)
            if name == "docProps/core.xml":
                stamp = _MADE.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
                part = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + stamp, part)
            if name == "docProps/app.xml":  # openpyxl names another program here
                part = re.sub(rb"<Application>.*?</Application>", b"<Application>Pailbook</Application>", part)
                part = re.sub(rb"<AppVersion>.*?</AppVersion>", b"", part)
            entry = zipfile.ZipInfo(name, _ZIP_TIME)
            entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            new.writestr(entry, part)
    return made.getvalue()
