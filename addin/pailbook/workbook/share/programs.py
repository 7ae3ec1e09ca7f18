"""Programs that a workbook carries: a copy has none."""

from __future__ import annotations

from pailbook.workbook.contents import Workbook
from pailbook.workbook.share.patches import Patches

_WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
_PROJECT = "application/vnd.ms-office.vbaProject"


def drop_programs(patches: Patches) -> list[str]:
    """Takes out macros and whatever starts them; returns what was taken out, in words.

    Raises
    ------
    WorkbookError
        When a sheet of the workbook is itself a program.
    """
    book, notes = patches.book, []
    for kind, part in book.related(book.workbook_part).values():
        if kind in ("xlMacrosheet", "xlIntlMacrosheet"):
            raise book.error("has a sheet of old macros, which a copy without macros cannot keep; "
                             "delete that sheet in the spreadsheet program first")
        if kind == "vbaProject" and part in book:
            for signature in _signatures(book, part):
                patches.remove(signature, part)
            patches.remove(part, book.workbook_part)
            patches.drop_default(_PROJECT)
            notes.append("macros were taken out: a copy carries no programs")
    for kind, part in book.related("").values():
        if kind == "extensibility" and part in book:
            patches.remove(part, "")
            notes.append("buttons in the program's window that start macros were taken out")
        if kind == "origin" and part in book:
            patches.remove(part, "")
            notes.append("the signature was taken out: it belongs to the original, not to a copy")
    patches.retype(book.workbook_part, _WORKBOOK)
    return notes


def _signatures(book: Workbook, project: str) -> list[str]:
    folder, _, name = project.rpartition("/")
    if f"{folder}/_rels/{name}.rels" not in book:
        return []
    return [part for kind, part in book.related(project).values()
            if kind.startswith("vbaProjectSignature") and part in book]
