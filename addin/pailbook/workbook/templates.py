"""The workbooks that can be made, by name, and the files of them that are ready to download."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

from pailbook.nearest import there_are
from pailbook.quantities import METRIC, UNIT_SYSTEMS
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.builder import Book, check_target
from pailbook.workbook.dosing_plan.build import dosing_plan
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.function_guide.build import function_guide
from pailbook.workbook.move_plan.build import move_plan
from pailbook.workbook.stocking_plan.build import stocking_plan


class Made(Protocol):
    """An empty workbook in memory, with what its package knows of it."""

    @property
    def book(self) -> Book:
        """The workbook."""


WORKBOOKS: dict[str, Callable[[str, bool], Made]] = {  # by name; of the units, and whether with plain formulas
    "farm-log": farm_log, "move-plan": move_plan, "dosing-plan": dosing_plan, "stocking-plan": stocking_plan,
    "function-guide": function_guide,
}


def build(workbook: str, path: Path, units: str = METRIC, plain: bool = False, overwrite: bool = False) -> Path:
    """An empty workbook, written to a file.

    Parameters
    ----------
    workbook : its name, such as "farm-log".
    path : the file to write.
    units : "metric" or "us"; fixed for the life of the workbook.
    plain : plain formulas, which need no add-in, in place of calls of our functions.
    overwrite : whether a file that is there may be replaced.

    Raises
    ------
    WorkbookError
        When there is no such workbook or unit system, or the file is there and must not be replaced.
    """
    name = workbook.strip().casefold().replace(" ", "-")
    if name not in WORKBOOKS:
        raise WorkbookError(f"there is no workbook {workbook!r}; {there_are(name, WORKBOOKS)}")
    if units not in UNIT_SYSTEMS:
        raise WorkbookError(f"there are no units {units!r}; {there_are(units, UNIT_SYSTEMS)}")
    check_target(Path(path), overwrite)
    return WORKBOOKS[name](units, plain).book.save(path, overwrite)


def template_files() -> Iterator[tuple[str, str, str]]:
    """Each file of the folder of templates: the file's name, the workbook's and the unit system."""
    for name in WORKBOOKS:
        for units in UNIT_SYSTEMS:
            yield f"{name}-{units}.xlsx", name, units


def build_templates(folder: Path) -> list[Path]:
    """Writes all templates into the folder, in place of older ones; returns their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    return [build(name, folder / file, units, overwrite=True) for file, name, units in template_files()]
