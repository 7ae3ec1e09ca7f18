"""What all findings on a log rest on: its units, the bases of its readings, its limits."""

from __future__ import annotations

from collections.abc import Iterator

from pailbook.quantity import UNIT_SYSTEMS
from pailbook.terms import NOT_KNOWN
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.log import FarmLog
from pailbook.workbook.farm_log import limits, settings, water_tests
from pailbook.workbook.log import schema

NO_UNITS, NO_BASIS, NO_LIMIT, NO_LIMITS = (
    "units not known", "basis not known", "limit not known", "limits not found")


def grounds(log: FarmLog) -> Iterator[Finding]:
    """Settings and limits that are not known, so that readings cannot be judged."""
    names = log.subject.names
    units = log.subject.named(schema.UNITS)
    if units not in UNIT_SYSTEMS:
        yield Finding(*names.get(schema.UNITS, ("", "")), NOT_KNOWN, NO_UNITS,
                      f"the unit system is {_shown(units)}, so all numbers were taken as {log.units} ones",
                      f"Set it to {' or '.join(UNIT_SYSTEMS)}, as in a blank log.")
    for basis in settings.BASES:
        columns = [column for column in water_tests.INPUTS if column.basis == basis.name]
        count = sum(row[column.key] is not None for row in log.season.rows(water_tests.SHEET) for column in columns)
        if log.bases[basis.name] is None and count:
            what = f"{count} {'reading was' if count == 1 else 'readings were'} not judged"
            yield Finding(*names.get(basis.name, ("", "")), NOT_KNOWN, NO_BASIS,
                          f"the basis of these readings is {_shown(log.subject.named(basis.name))}, so {what}",
                          f"Look at the kit's label and set it to one of: {', '.join(basis.choices)}.")
    for kind, key in _unusable(log):
        label = limits.quoted_label(limits.of_key(key).label)
        of_kind = "" if kind == limits.OTHER else f" for {kind}"
        yield Finding(log.places.sheets.get(limits.SHEET, ""), "", NOT_KNOWN, NO_LIMIT,
                      f"{label}{of_kind} cannot be used, so nothing is judged by it",
                      "Type a number there, or clear it: nothing is judged by a blank limit.")
    if log.season.found_limits is None:
        yield Finding("", "", NOT_KNOWN, NO_LIMITS,
                      f"no sheet has the headings of the sheet {limits.SHEET}, so it is not known which limits hold",
                      f"Take the sheet {limits.SHEET} from a blank log.")


def _unusable(log: FarmLog) -> Iterator[tuple[str, str]]:
    """The limits whose entry cannot be used, each with the species for which it was typed, or "other"."""
    found = log.season.limits
    for kind, key in (*((limits.OTHER, key) for key in found.for_all), *found.own):
        if found.is_unknown(kind, key):
            yield kind, key


def _shown(value: object) -> str:
    return "blank" if value is None else repr(value)
