"""The texts that every workbook of a kind has: a name that is one of them does not point to anybody."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from pailbook.files import scratch
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.parts import Package
from pailbook.workbook.privacy.scrub import all_text
from pailbook.workbook.privacy.words import together
from pailbook.workbook.templates import WORKBOOKS, build


@cache
def labels_of_log() -> str:
    """All texts and values in the parts of a blank farm log."""
    with scratch() as folder:
        return _texts(farm_log(rows=1).book.save(folder / "log.xlsx"))


@cache
def labels_of_plans() -> str:
    """The same of all other workbooks."""
    with scratch() as folder:
        return together(_texts(build(name, folder / f"{name}.xlsx"))
                         for name in WORKBOOKS if WORKBOOKS[name] is not farm_log)


def _texts(path: Path) -> str:
    book = Package(path)
    return together(all_text(book.xml(part)) for part in book.part_names if part.endswith((".xml", ".rels")))
