"""A workbook's file, calculated by the headless engine without any spreadsheet program."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from pailbook.files import check_free
from pailbook.hosts.areas import read_reference, unquoted
from pailbook.hosts.engines import ENGINES, FAST, Formulas
from pailbook.hosts.results import Problem, Progress
from pailbook.nearest import there_are
from pailbook.workbook import office
from pailbook.workbook.formats import GENERAL, moment, number_formats
from pailbook.workbook.names import key_of
from pailbook.workbook.package import Workbook, WorkbookError, inject_values

CALC = "calc"  # the engine that is LibreOffice
ALL_ENGINES = (*ENGINES, CALC)


@dataclass(frozen=True)
class Recalculation:
    """What a workbook's formulas give, and what went wrong."""

    values: Mapping[tuple[str, str], Any]  # of every formula's cell, by sheet and address
    problems: tuple[Problem, ...]
    results: Mapping[str, Any]  # of every defined name of a single cell that holds a formula
    key_results: Mapping[str, Any]  # those of them that are on the first sheet; all if none is
    moments: Mapping[str, str]  # those of them whose cells show a date or a time: as text, such as 2026-06-06

    @property
    def by_key(self) -> dict[str, Any]:
        """The results by the keys of our own workbooks' names, without their prefix."""
        return {key_of(name): value for name, value in self.results.items()}


def load_model(source: str | os.PathLike[str] | Workbook, engine: str = FAST) -> Formulas:
    """The workbook's formulas, read and ready to be computed with its inputs or with others.

    Parameters
    ----------
    source : the workbook's file.
    engine : "fast", or "reference" for the reference alone.

    Raises
    ------
    WorkbookError
        When the file cannot be read, or there is no such engine.
    """
    if engine not in ENGINES:
        raise WorkbookError(f"there is no engine {engine!r}; {there_are(engine, ALL_ENGINES)}")
    book = source if isinstance(source, Workbook) else Workbook(source)
    return Formulas(book.contents(), {(name.sheet, name.name): name.text for name in book.names}, engine)


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """Reading a workbook makes many objects that stay; to look for garbage among them takes a tenth of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@_nothing_collected()
def recalc(
    source: str | os.PathLike[str], target: str | os.PathLike[str] | None = None, *,
    overwrite: bool = False, progress: Progress | None = None, engine: str = FAST,
) -> Recalculation:
    """Compute all formulas of a workbook.

    Parameters
    ----------
    source : the workbook's file.
    target : where to write a copy that carries the values, if anywhere; the source itself if it may be replaced.
    overwrite : whether an existing file may be replaced.
    progress : called with the number of formulas done and of all.
    engine : "fast", "reference" for the reference alone, or "calc" for LibreOffice.

    Raises
    ------
    WorkbookError
        When the file cannot be read, there is no such engine, or the target cannot be written.
    OfficeError
        When LibreOffice is asked for and missing, or fails.
    """
    if target is not None:
        check_free(target, overwrite=overwrite, error=WorkbookError)
    book = Workbook(source)
    calculation = office.calculate(book) if engine == CALC else load_model(book, engine).calculate(progress=progress)
    problems = calculation.problems + tuple(
        Problem(title, cell.address, "", "only the program that made a what-if table can calculate it; "
                                         "its values stay as they are")
        for title, sheet in book.worksheets.items() for cell in sheet.cells()
        if cell.formula and cell.formula.get("t") == "dataTable"
    )
    if target is not None:
        inject_values(book, target, calculation.values, overwrite=overwrite)
    named = {name: place for name, place in key_cells(book).items() if place in calculation.values}
    results = {name: calculation.values[place] for name, place in named.items()}
    front = next(iter(book.sheets), "")
    key_results = {name: results[name] for name, (sheet, _) in named.items() if sheet == front} or results
    return Recalculation(calculation.values, problems, results, key_results, _moments(book, named, results))


def _moments(book: Workbook, named: Mapping[str, tuple[str, str]], results: Mapping[str, Any]) -> dict[str, str]:
    """The results, by name, whose cells show a date or a time."""
    formats = dict(enumerate(number_formats(book)))
    styles = {(title, cell.address): cell.style for title in {title for title, _ in named.values()}
              for cell in book.worksheets[title].cells()}
    found = {name: moment(results[name], formats.get(styles.get(place, 0), GENERAL), book.from_1904)
             for name, place in named.items()}
    return {name: text for name, text in found.items() if text}


def own_cells(book: Workbook) -> dict[str, tuple[str, str]]:
    """The same as `key_cells`, with the names of our own workbooks without their prefix too."""
    cells = key_cells(book)
    return cells | {key_of(name): cells[name] for name in cells if key_of(name) != name}


def key_cells(book: Workbook) -> dict[str, tuple[str, str]]:
    """The sheet and address of each of the workbook's own names that stands for a single cell.

    Names that begin with an underscore are for internal use and left out, as are hidden and built-in ones.
    """
    titles = {title.casefold(): title for title in book.sheets}
    found = {}
    for name in book.names:
        if name.sheet is not None or name.hidden or name.name.startswith("_"):
            continue
        sheet, _, cell = name.text.rpartition("!")
        title = titles.get(unquoted(sheet).casefold())
        area = (reference := read_reference(cell, title, 1, 1)) and reference.seen_from("", 1, 1)
        if title and area and area.single:
            found[name.name] = title, area.address
    return found
