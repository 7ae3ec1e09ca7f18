"""The check as a whole: which checks, in which order, of which workbooks."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from pailbook.hosts.results import Progress
from pailbook.terms import NOT_ASKED
from pailbook.workbook.check.averages import averages
from pailbook.workbook.check.calls import Calls
from pailbook.workbook.check.entries import entries
from pailbook.workbook.check.errors import errors
from pailbook.workbook.check.finding import SHOWN, Finding, shown
from pailbook.workbook.check.grounds import grounds
from pailbook.workbook.check.inputs import refused
from pailbook.workbook.check.jumps import jumps
from pailbook.workbook.check.kits import kit_findings
from pailbook.workbook.check.known import known_values
from pailbook.workbook.check.limits import impossible, outside
from pailbook.workbook.check.log import FarmLog
from pailbook.workbook.check.ours import FARM_LOG, blank_like, kind_of
from pailbook.workbook.check.overdue import alkalinity, overdue
from pailbook.workbook.check.overwritten import against_blank, against_neighbours
from pailbook.workbook.check.places import Places
from pailbook.workbook.check.stock import stock
from pailbook.workbook.check.subject import Subject
from pailbook.workbook.check.verdicts import verdicts
from pailbook.workbook.check.volumes import volumes

OTHER_WORKBOOK = "another workbook"
_OF_A_LOG = (grounds, outside, impossible, verdicts, stock, entries, jumps, volumes, kit_findings, overdue, alkalinity,
              averages)
_READ, _COMPUTED = 30, 80  # shares of the work, in hundredths


def check(
    path: str | os.PathLike[str], *, most: int | None = SHOWN, progress: Progress | None = None
) -> list[Finding]:
    """What is wrong or doubtful in a workbook, the most serious first; nothing is written.

    Parameters
    ----------
    path : the workbook's file.
    most : how many findings of a kind are shown one by one; None for all.
    progress : called with how much is done, and of how much.

    Raises
    ------
    WorkbookError
        If the file cannot be read.
    """
    advance: Progress = progress or (lambda done, total: None)
    advance(0, 100)
    subject = Subject(Path(path))
    advance(_READ, 100)
    kind = kind_of(subject)
    blank = blank_like(subject, kind) if kind else None
    places = Places(subject, blank) if blank else None
    log = FarmLog(places) if places and kind == FARM_LOG else None
    known, spare = known_values(log) if log else ({}, None)
    rests_on_formulas = subject.asked  # else it was read from what is typed alone, and stays as it is
    subject.compute(
        known, spare, lambda done, total: advance(_READ + (_COMPUTED - _READ) * done // max(1, total), 100))
    if log and places and rests_on_formulas:
        log = FarmLog(places)
    found = shown(_all(subject, places, log), most)
    advance(100, 100)
    return found


def _all(subject: Subject, places: Places | None, log: FarmLog | None) -> Iterator[Finding]:
    """The findings of all checks, the most dangerous things first."""
    own = [finding for look in _OF_A_LOG for finding in look(log)] if log else []
    yield from own
    yield from errors(subject)
    if places:
        yield from against_blank(places)
    ours = set(places.sheets.values()) if places else set()
    yield from against_neighbours(subject, [sheet for sheet in subject.contents if sheet not in ours])
    yield from Calls(subject).findings(places)
    # What a check of readings has shown with its reason is not shown again.
    there = {finding.place for finding in own}
    yield from (finding for finding in refused(subject) if finding.place not in there)
    if not places:
        yield Finding("", "", NOT_ASKED, OTHER_WORKBOOK, "this is not a log or plan of Pailbook, so only errors, "
                      "formulas typed over, refused inputs and links were checked", "Nothing to do.")
