"""`pailbook demo`: builds the farm log of the invented season, fills it, recalculates it, and tells what it says."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from functools import partial
from pathlib import Path
from typing import Any

import pailbook
from pailbook import files
from pailbook.demo import plans
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
VISITED, SINCE, NEXT = "Quillon Court", "2026-04-01", "2026-07-03"  # whose report, and the visits before and after
Progress = Callable[[str], AbstractContextManager[Callable[[int, int], None]]]


def tell(folder: Path, progress: Progress, overwrite: bool = False) -> Iterator[str]:
    """Lines of the story, while the files are made in the folder.

    Raises
    ------
    BadInput
        When one of the files is there already and must not be replaced.
    """
    for name in (*FILES, *INPUTS):
        if (folder / name).exists() and not overwrite:
            raise BadInput(f"{folder / name} is there already; nothing was written; give another folder, or "
                           "--overwrite to replace it")
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

    yield "A season of an invented farm: two systems of its own, and one each of two clients, a school and a courtyard."
    yield ""
    reports: list[str] = []
    result = made(LOG, lambda scratch, plain: _filled_log(folder, scratch, plain, reports))
    yield from reports[: len(READINGS)]
    yield f"Recalculated {len(result.values)} formula cells without a spreadsheet program. What the log says:"
    yield from _findings(result)
    yield ""
    yield "The dosing plan of North raft, from the season's readings and doses:"
    yield from plans.dosing_story(made(DOSING, partial(plans.filled_dosing, folder)).by_key)
    yield ""
    for name, when, mornings in ((BEFORE, "on the first day", False), (AFTER, "two mornings later", True)):
        yield f"The move of 70 channel catfish from the school to the courtyard, {when}:"
        yield from plans.move_story(made(name, partial(plans.filled_move, folder, mornings)).by_key)
    yield ""
    yield "The stocking and feed plan of North raft, a year ahead:"
    yield from plans.stocking_story(made(STOCKING, partial(plans.filled_stocking, folder)).by_key)
    yield ""
    yield f"The visit report of {VISITED} since {SINCE}, without a word of the others:"
    yield from _visit(folder)
    yield ""
    with progress(f"sharing {LOG}") as advance:
        yield from _shared(folder, advance)
    yield ""
    yield from _calculations()
    guide = made(GUIDE, lambda scratch, plain: function_guide(plain=plain).book.save(scratch / f"guide-{plain}.xlsx"))
    yield (f"  {GUIDE}.xlsx has them all, each with a live example; "
           f"{guide.by_key['examples_that_agree']:.0f} of {guide.by_key['functions_in_guide']:.0f} give the printed "
           "value here")
    yield ""
    yield (f"Look at them in {folder}, {LOG}-plain.xlsx first: the files that end in -plain work in any spreadsheet "
           "program, the others where the functions are installed.")
    yield "Make a log of your own: pailbook new farm-log MY-LOG.xlsx (--units us for gallons, pounds and °F)."


def _filled_log(inputs: Path, scratch: Path, plain: bool, reports: list[str]) -> Path:
    """The log with the registers and the readings in it; what the import reports is put into the list."""
    log = farm_log(plain=plain)
    blank = log.book.save(scratch / f"blank-{plain}.xlsx")
    filled = scratch / f"registers-{plain}.xlsx"
    set_cells(blank, filled, cells(log, blank, inputs))
    for number, name in enumerate(READINGS):
        before, filled = filled, scratch / f"readings-{plain}-{number}.xlsx"
        report = import_readings(inputs / name, before, filled)
        report.account.columns.clear()  # the import command itself tells how it took every column
        report.log_units = ""
        text = str(report).replace(str(filled), "the log").replace(str(inputs / name), name)
        reports.append(f"Importing {name}:\n" + "\n".join(f"  {line}" for line in text.splitlines()))
    return filled


def _findings(result: Recalculation) -> Iterator[str]:
    found, overview = result.by_key, latest.table(systems.table().rows)

    def said(key: str, row: int) -> Any:
        return result.values[overview.sheet, f"{overview.letter(key)}{row}"]

    for row in range(overview.first_row, overview.last_row + 1):
        if said("system", row):
            whose = said("client", row) or "own"
            yield f"  {said('system', row)} ({whose}): {said('verdict', row)}. {said('why', row)}"
            yield f"      {said('next', row)}"
    yield f"  highest NH3-N in a latest test: {found['latest_nh3_highest']:.4f} mg/L, in {found['latest_nh3_system']}"
    yield f"  lowest oxygen in one: {found['latest_oxygen_lowest']:.1f} mg/L, in {found['latest_oxygen_system']}"
    yield f"  fish on hand: {found['fish_on_hand']:.0f}, {found['biomass_on_hand']:.1f} kg"


def _visit(folder: Path) -> Iterator[str]:
    """The report made from the recalculated log, and what it says in short."""
    content = make_report(
        folder / f"{LOG}.xlsx", VISITED, SINCE, folder / REPORT, next_visit=NEXT, overwrite=True).content
    for found in content.found:
        survival = found.stock.survival
        if survival is not None:
            yield (f"  {found.name}: {survival.dead:.0f} of {survival.total:.0f} fish died; survival "
                   f"{survival.share:.1%} ({survival.low:.1%} to {survival.high:.1%})")
        for reading in found.readings:
            if reading.verdict not in ("", "fine"):
                yield f"  {reading.verdict} ({reading.value:.3g}; {reading.limits})"
    yield f"  due by {content.next_visit}: {len(content.due)} things, the first: {content.due[0].text}"


def _shared(folder: Path, advance: Callable[[int, int], None]) -> Iterator[str]:
    """The client's own copy of the log, and what was proven of it."""
    shared = share(folder / f"{LOG}.xlsx", folder / COPY, client=VISITED, overwrite=True, progress=advance)
    assert not shared.differences
    yield f"{VISITED}'s own copy of the log, for any spreadsheet program: {COPY}"
    yield (f"  {shared.done.found.replaced} calls became plain formulas; {shared.checked} formulas compared with the "
           "original, all equal")


def _calculations() -> Iterator[str]:
    yield "A few of the functions by themselves:"
    share = pailbook.ammonia_fraction(7.3, 23.0)
    yield f"  AMMONIA_FRACTION(7.3, 23): {share:.2%} of the ammonia is the kind that harms fish"
    yield f"  PH_STEP_DAYS(7.3, 6.6): {pailbook.ph_step_days(7.3, 6.6):.0f} days at 0.2 a day until they match"
    yield f"  BUCKET_LOAD(20): a 20 L bucket, filled to 0.8, takes {pailbook.bucket_load(20.0):.2f} kg of fish"
    dose = pailbook.phosphate_dose("KH2PO4", 3100.0, 13.0, 20.0)
    yield f'  PHOSPHATE_DOSE("KH2PO4", 3100, 13, 20): {dose:.0f} g'

