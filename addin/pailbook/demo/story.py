"""`pailbook demo`: makes and fills the workbooks of the invented farm, and reports what they find."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from functools import partial
from pathlib import Path
from typing import Any

import pailbook
from pailbook import files
from pailbook.demo import plans, scenario
from pailbook.demo.fill import READINGS, REGISTERS, SETTINGS, cells, copy_inputs
from pailbook.outcomes import BadInput
from pailbook.visit_report.make import make_report
from pailbook.workbook.farm_log import overview as latest
from pailbook.workbook.farm_log import systems
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.function_guide.build import function_guide
from pailbook.workbook.package import set_cells
from pailbook.workbook.readings import import_readings
from pailbook.workbook.recalc import Recalculation, recalc
from pailbook.workbook.share.share import share

INPUTS = (SETTINGS, *REGISTERS, *READINGS, *plans.INPUTS)
LOG, DOSING, BEFORE, AFTER = "farm-log", "dosing-plan", "move-plan-first", "move-plan-two-days-later"
GUIDE, STOCKING, REPORT, COPY = "function-guide", "stocking-plan", "visit-report.xlsx", "clients-copy.xlsx"
_TWO_FORMS = (LOG, DOSING, BEFORE, AFTER, STOCKING, GUIDE)
FILES = (*(f"{name}{form}.xlsx" for name in _TWO_FORMS for form in ("", "-plain")), REPORT, COPY)
VISITED, SINCE, NEXT = scenario.COURTYARD, "2026-04-01", "2026-07-03"  # the client, the visits before and after
Progress = Callable[[str], AbstractContextManager[Callable[[int, int], None]]]


def tell(folder: Path, progress: Progress, overwrite: bool = False) -> Iterator[str]:
    """Lines of the story, while the files are made in the folder.

    Raises
    ------
    BadInput
        When one of the files exists and must not be replaced.
    """
    for name in (*FILES, *INPUTS):
        if (folder / name).exists() and not overwrite:
            raise BadInput(f"{folder / name} already exists; nothing was written; give another folder, or "
                           "--overwrite to replace the files")
    folder.mkdir(parents=True, exist_ok=True)
    copy_inputs(INPUTS, folder)

    def made(name: str, fill: Callable[[Path, bool], Path]) -> Recalculation:
        """Both forms of a workbook, recalculated; what the form with calls gives."""
        with files.scratch() as scratch:
            found = {}
            for plain, form in ((False, ""), (True, "-plain")):
                with progress(f"recalculating {name}{form}") as advance:
                    target = folder / f"{name}{form}.xlsx"
                    found[plain] = recalc(fill(scratch, plain), target, overwrite=True, progress=advance)
        return found[False]

    yield (f"A season of {scenario.FARM}, an invented farm with two systems of its own, which also looks after the "
           f"systems of two clients, {scenario.SCHOOL} and {scenario.COURTYARD}.")
    yield ""
    reports: list[str] = []
    result = made(LOG, lambda scratch, plain: _filled_log(folder, scratch, plain, reports))
    yield from reports[: len(READINGS)]
    yield f"{len(result.values)} formula cells were calculated without a spreadsheet program. The farm log says:"
    yield from _findings(result)
    yield ""
    yield f"The dosing plan of {scenario.NORTH_RAFT.name}, made from the season's readings and doses:"
    yield from plans.dosing_story(made(DOSING, partial(plans.filled_dosing, folder)).by_key)
    yield ""
    for name, when, mornings in ((BEFORE, "on the first day", False), (AFTER, "two mornings later", True)):
        move = scenario.MOVE
        yield (f"The plan for moving {move['fish_count']:.0f} {move['species']} from {scenario.SCHOOL} to "
               f"{scenario.COURTYARD}, {when}:")
        yield from plans.move_story(made(name, partial(plans.filled_move, folder, mornings)).by_key)
    yield ""
    yield f"The stocking and feed plan of {scenario.NORTH_RAFT.name} for the coming year:"
    yield from plans.stocking_story(made(STOCKING, partial(plans.filled_stocking, folder)).by_key)
    yield ""
    yield f"The visit report for {VISITED} since {SINCE}, which mentions no other client:"
    yield from _visit(folder)
    yield ""
    with progress(f"copying {LOG}") as advance:
        yield from _shared(folder, advance)
    yield ""
    yield from _calculations()
    guide = made(GUIDE, lambda scratch, plain: function_guide(plain=plain).book.save(scratch / f"guide-{plain}.xlsx"))
    yield (f"  {GUIDE}.xlsx describes them all, each with a live example; "
           f"{guide.by_key['examples_that_agree']:.0f} of {guide.by_key['functions_in_guide']:.0f} examples give the "
           "printed value here")
    yield ""
    yield (f"The workbooks are in {folder}. Open {LOG}-plain.xlsx first: the files with -plain in their names should "
           "work in any program with the functions of Excel 2007 (this was checked in LibreOffice), the others only "
           "where the functions are installed.")
    yield "To make your own log, run: pailbook new farm-log MY-LOG.xlsx (--units us for gallons, pounds and °F)."


def _filled_log(inputs: Path, scratch: Path, plain: bool, reports: list[str]) -> Path:
    """The log with the registers and the readings in it; the reports of the imports are added to the list."""
    log = farm_log(plain=plain)
    blank = log.book.save(scratch / f"blank-{plain}.xlsx")
    filled = scratch / f"registers-{plain}.xlsx"
    set_cells(blank, filled, cells(log, blank, inputs))
    for number, name in enumerate(READINGS):
        before, filled = filled, scratch / f"readings-{plain}-{number}.xlsx"
        report = import_readings(inputs / name, before, filled)
        report.account.columns.clear()  # the import command lists how it read every column
        report.log_units = ""
        text = str(report).replace(str(filled), "the log").replace(str(inputs / name), name)
        reports.append(f"Importing {name}:\n" + "\n".join(f"  {line}" for line in text.splitlines()))
    return filled


def _findings(result: Recalculation) -> Iterator[str]:
    found, overview = result.by_key, latest.table(systems.table().rows)

    def shown(key: str, row: int) -> Any:
        return result.values[overview.sheet, f"{overview.letter(key)}{row}"]

    for row in range(overview.first_row, overview.last_row + 1):
        if shown("system", row):
            whose = shown("client", row) or scenario.FARM
            why = shown("why", row)
            yield f"  {shown('system', row)} ({whose}): {shown('verdict', row)}{f': {why}' if why else ''}"
            yield f"      {shown('next', row)}"
    yield (f"  The highest un-ionised ammonia in the latest tests is {found['latest_nh3_highest']:.4f} mg/L NH3-N, in "
           f"{found['latest_nh3_system']}.")
    yield (f"  The lowest oxygen in the latest tests is {found['latest_oxygen_lowest']:.1f} mg/L, in "
           f"{found['latest_oxygen_system']}.")
    yield f"  Fish on hand: {found['fish_on_hand']:.0f}, which weigh {found['biomass_on_hand']:.1f} kg."


def _visit(folder: Path) -> Iterator[str]:
    """The report made from the recalculated log, in a few lines."""
    content = make_report(
        folder / f"{LOG}.xlsx", VISITED, SINCE, folder / REPORT, next_visit=NEXT, overwrite=True).content
    for found in content.found:
        survival = found.fish.survival
        if survival is not None:
            share, low, high = (100 * part for part in (survival.share, survival.low, survival.high))
            yield (f"  {found.name}: {survival.dead:.0f} of {survival.total:.0f} fish died; survival is {share:.1f} % "
                   f"(95 % interval {low:.1f} to {high:.1f} %)")
        for reading in found.readings:
            if reading.verdict not in ("", "fine"):
                yield f"  {reading.verdict} ({reading.value:.3g}; {reading.limits})"
    yield f"  {len(content.due)} things are due by {content.next_visit}; the first is: {content.due[0].text}"


def _shared(folder: Path, advance: Callable[[int, int], None]) -> Iterator[str]:
    """The client's own copy of the log, and how it was checked."""
    shared = share(folder / f"{LOG}.xlsx", folder / COPY, client=VISITED, overwrite=True, progress=advance)
    assert not shared.differences
    yield f"The copy of the log for {VISITED}, which needs no add-in: {COPY}"
    yield (f"  {shared.done.found.replaced} function calls became plain formulas; {shared.checked} formulas were "
           "compared with the original, and all are equal")


def _calculations() -> Iterator[str]:
    yield "Some of the functions on their own:"
    toxic = pailbook.ammonia_fraction(7.6, 20.0)
    yield f"  AMMONIA_FRACTION(7.6, 20): at pH 7.6 and 20 °C, {100 * toxic:.2f} % of the ammonia is in its toxic form"
    days = pailbook.ph_step_days(7.8, 7.2)
    yield f"  PH_STEP_DAYS(7.8, 7.2): at 0.2 pH a day, it takes {days:.0f} days until both waters match within 0.2"
    yield f"  BUCKET_LOAD(60): a vessel of 60 L, filled to 80 %, carries {pailbook.bucket_load(60.0):.1f} kg of fish"
    volume = scenario.NORTH_RAFT.volume
    dose = pailbook.phosphate_dose("KH2PO4", volume, 10.0, 14.0)
    yield (f'  PHOSPHATE_DOSE("KH2PO4", {volume:.0f}, 10, 14): {dose:.0f} g of monopotassium phosphate raise '
           f"phosphate in {scenario.NORTH_RAFT.name} from 10 to 14 mg/L")
