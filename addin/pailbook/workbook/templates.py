"""The workbooks that can be made, by name, and the files of them that are ready to download."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Protocol

from pailbook.quantities import METRIC, UNIT_SYSTEMS
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.dosing_plan.build import build_dosing_plan
from pailbook.workbook.farm_log.build import build_farm_log
from pailbook.workbook.function_guide.build import build_function_guide
from pailbook.workbook.move_plan.build import build_move_plan
from pailbook.workbook.stocking_plan.build import build_stocking_plan


class Builder(Protocol):
    """Writes an empty workbook to a file."""

    def __call__(self, path: Path, units: str = METRIC, plain: bool = False, overwrite: bool = False) -> Path:
        """Writes the workbook; WorkbookError where the file exists and `overwrite` is not set."""


WORKBOOKS: dict[str, Builder] = {
    "farm-log": build_farm_log, "move-plan": build_move_plan, "dosing-plan": build_dosing_plan,
    "stocking-plan": build_stocking_plan,
    "function-guide": build_function_guide,
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
        raise WorkbookError(f"there is no workbook {workbook!r}; there is: {', '.join(WORKBOOKS)}")
    if units not in UNIT_SYSTEMS:
        raise WorkbookError(f"there is no unit system {units!r}; there is: {', '.join(UNIT_SYSTEMS)}")
    return WORKBOOKS[name](path, units=units, plain=plain, overwrite=overwrite)


def template_files() -> Iterator[tuple[str, str, str]]:
    """Each file of the folder of templates: the file's name, the workbook's and the unit system."""
    for name in WORKBOOKS:
        for units in UNIT_SYSTEMS:
            yield f"{name}-{units}.xlsx", name, units


def build_templates(folder: Path) -> list[Path]:
    """Writes all templates into the folder, in place of older ones; returns their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    return [build(name, folder / file, units, overwrite=True) for file, name, units in template_files()]
