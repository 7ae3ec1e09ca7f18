"""`pailbook report`: a client's visit report made from a farm log's file, as a workbook and, if wanted, as a PDF."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pailbook.files import scratch
from pailbook.hosts.calc.driver import convert, needed
from pailbook.terms import american
from pailbook.visit_report.content import Content, read_content
from pailbook.visit_report.done import capital
from pailbook.visit_report.page import Page
from pailbook.visit_report.season import ReportError
from pailbook.visit_report.trends import SHEET as READINGS
from pailbook.visit_report.trends import Readings
from pailbook.workbook.builder import Book, check_target
from pailbook.workbook.log import schema

_PRIVATE = 0xE000  # the first of 6,400 characters that stand for no letter


@dataclass(frozen=True)
class Report:
    """A report that was made: its files, its content, and what the practitioner should know about it."""

    files: tuple[Path, ...]
    content: Content
    notes: tuple[str, ...]


def make_report(
    log: Path, client: str, since: str, target: Path, *, next_visit: str | None = None, pdf: bool = False,
    overwrite: bool = False,
) -> Report:
    """A client's visit report, written to a workbook's file and, if wanted, to a PDF beside it.

    Parameters
    ----------
    log : the farm log; it is not changed.
    client : the client's name as on the sheet Systems; case and blanks do not matter.
    since : the first day of the report, year-month-day. The last day is the log's "as of" date, or that of a later row.
    target : the .xlsx file to write.
    next_visit : the day of the next visit; the report lists what is due until then. Default: 30 days later.
    pdf : whether LibreOffice prints the page to a .pdf beside the target.
    overwrite : whether existing files may be replaced.

    Raises
    ------
    BadInput
        When the log cannot be read or has no such client, a date cannot be read, a file must not be replaced or cannot
        be written, or a PDF is wanted and LibreOffice is missing: nothing is written then. If LibreOffice is there but
        fails to print, the workbook is written all the same.
    """
    target = Path(target)
    if target.suffix.lower() != ".xlsx":
        raise ReportError(f"{target}: a report is an .xlsx file; give it a name that ends in .xlsx")
    printed = target.with_suffix(".pdf")
    for file in (target, printed) if pdf else (target,):
        check_target(file, overwrite)
    if pdf:
        needed()
    content = read_content(Path(log), client, since, next_visit)
    report_book(content).save(target, overwrite)
    if pdf:
        with scratch() as folder:
            page = report_book(content)
            readings = page.workbook[READINGS]  # not to be printed; with a print area it would be
            readings.sheet_state, readings.print_area = "hidden", None
            convert(page.save(folder / target.name), printed, recalculate=False)
    notes = []
    if content.empty:
        notes.append(f"the log has no entries about {content.client} from {content.since} to {content.until}; the "
                     "report says so")
    if content.undated:
        notes.append(f"water tests without a proper date, which the report leaves out: {content.undated}")
    if content.changed:
        notes.append(f"texts from which the names of other clients and sites were taken out: {content.changed}")
    return Report((target, printed) if pdf else (target,), content, tuple(notes))


class ReportBook(Book):
    """The report's workbook, whose US English leaves alone what the log's users typed."""

    def __init__(self, content: Content) -> None:
        super().__init__("Visit report", content.season.units)
        texts = {content.client, content.season.farm, *(
            text for table in schema.TABLES for _, column in content.season[table.sheet].items()
            for text in column if isinstance(text, str))}
        texts |= {capital(text) for text in texts}
        self._typed = sorted((text for text in texts if american(text) != text), key=len, reverse=True)

    def speak(self) -> None:
        """Puts the report's own words into the English of the unit system."""
        signs = {chr(_PRIVATE + number): text for number, text in enumerate(self._typed)}
        self._exchange({text: sign for sign, text in signs.items()})
        super().speak()
        self._exchange(signs)

    def _exchange(self, texts: dict[str, str]) -> None:
        cells = (cell for sheet in self.workbook.worksheets for row in sheet.iter_rows() for cell in row)
        for cell in cells if texts else ():
            if isinstance(cell.value, str):
                for old, new in texts.items():
                    cell.value = cell.value.replace(old, new)


def report_book(content: Content) -> Book:
    """The report as a workbook in memory."""
    book = ReportBook(content)
    page, readings = Page(book, content), Readings(book, content)
    page.head()
    for found in content.found:
        page.found(found)
    page.fish()
    page.lists()
    readings.draw(page)
    page.cautions()
    return book
