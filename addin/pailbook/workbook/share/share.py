"""The client's copy of a workbook: plain formulas, proven to give the original's values, and carrying these values."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pailbook.files import scratch
from pailbook.hosts.engines import REFERENCE
from pailbook.hosts.model import Model
from pailbook.hosts.results import Calculation, Problem, Progress
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.builder import check_target
from pailbook.workbook.contents import Workbook
from pailbook.workbook.package import inject_values
from pailbook.workbook.recalc import load_model
from pailbook.workbook.share.copy import Rewritten, rewrite
from pailbook.workbook.share.proof import Difference, agree, differences
from pailbook.workbook.share.question import without_question


@dataclass(frozen=True)
class Shared:
    """What was done with a workbook. If `differences` is not empty, no file was written."""

    done: Rewritten
    removed: tuple[str, ...]  # for a client: what was taken out, in words
    checked: int  # formulas whose values were found equal
    unchecked: tuple[Problem, ...]  # formulas that the engine cannot calculate, of the original and of the copy
    unknown: int  # these and all formulas that depend on them, which keep the values that the file holds
    changing: int  # formulas with another value at each calculation, such as random numbers
    differences: tuple[Difference, ...]


def share(
    source: str | os.PathLike[str], target: str | os.PathLike[str], *, client: str | None = None, freeze: bool = False,
    overwrite: bool = False, progress: Progress | None = None,
) -> Shared:
    """Write a copy of a workbook in which no formula needs the add-in.

    Parameters
    ----------
    source : the workbook's file; it is not changed.
    target : the .xlsx file to write.
    client : keep only this client's systems and rows.
    freeze : turn every call into its value instead of a plain formula.
    overwrite : whether an existing file may be replaced.
    progress : called with the number of formulas computed and of all, for the original and then for the copy.

    Raises
    ------
    WorkbookError
        When the file cannot be read, the target cannot be written, or the workbook holds what no copy can carry.
    """
    source, target = Path(source), Path(target)
    if target.suffix.lower() != ".xlsx":
        raise WorkbookError(f"{target}: a copy is an .xlsx file; give it a name that ends in .xlsx")
    check_target(target, overwrite)
    if target.exists() and source.exists() and target.samefile(source):
        raise WorkbookError(f"{target} is the original; give the copy another name")
    book = Workbook(source)
    with scratch() as folder:
        removed: tuple[str, ...] = ()
        if client is not None:
            from pailbook.workbook.privacy import keep_client

            own = folder / source.name
            removed = tuple(keep_client(source, own, client))
            book = Workbook(own)
        book = without_question(book, folder / f"{source.stem}-answered.xlsx")
        original = load_model(book).calculate(progress=progress)
        unknown = _unknown(book, original)
        plain = folder / f"{source.stem}-plain.xlsx"
        done = rewrite(book, book.contents(), _with_stored(book, original.values, unknown), plain, freeze=freeze)
        copy = Workbook(plain)
        computed = load_model(copy).calculate(progress=progress)
        not_in_copy = _unknown(copy, computed)
        unknown |= not_in_copy
        known = {place: value for place, value in original.values.items() if place not in unknown}
        wrong = differences(known, _with_values(copy, done, computed.values))
        wrong, changing = _confirmed(book, copy, done, wrong) if wrong else (wrong, 0)
        if not wrong:
            values = {place: value for place, value in computed.values.items() if place not in not_in_copy}
            inject_values(copy, target, values, overwrite=overwrite)
        checked = len(known) - changing - len(wrong)
        unchecked = tuple(problem for problem in (*original.problems, *computed.problems) if not problem.computed)
        return Shared(done, removed, checked, unchecked, len(unknown), changing, tuple(wrong))


def _with_stored(
    book: Workbook, values: Mapping[tuple[str, str], Any], unknown: set[tuple[str, str]]
) -> Mapping[tuple[str, str], Any]:
    """The values of all formulas; what the file holds where the engine does not know."""
    if not unknown:
        return values
    return {**values, **{place: value for place, value in book.stored_values().items() if place in unknown}}


def _with_values(copy: Workbook, done: Rewritten, values: Mapping[tuple[str, str], Any]) -> Mapping[Any, Any]:
    """The copy's values, with those of the cells that hold no formula any more."""
    return {**copy.stored_values(), **values} if done.found.frozen else values


def _confirmed(
    book: Workbook, copy: Workbook, done: Rewritten, wrong: list[Difference]
) -> tuple[list[Difference], int]:
    """Of the differences those that the reference engine finds too, and how many cells change at each calculation."""
    def computed(one: Workbook) -> Mapping[tuple[str, str], Any]:
        return load_model(one, REFERENCE).calculate().values

    places = [(difference.sheet, difference.cell) for difference in wrong]
    original, again = computed(book), computed(book)
    steady = {place: original[place] for place in places if agree(original[place], again.get(place))}
    return differences(steady, _with_values(copy, done, computed(copy))), len(places) - len(steady)


def _unknown(book: Workbook, done: Calculation) -> set[tuple[str, str]]:
    """The formulas that cannot be calculated here, and those that depend on them."""
    failed = {(problem.sheet, problem.cell) for problem in done.problems if not problem.computed}
    if not failed:
        return failed
    model = Model(book.contents(), {(name.sheet, name.name): name.text for name in book.names})
    return failed | model.dependents(failed)
