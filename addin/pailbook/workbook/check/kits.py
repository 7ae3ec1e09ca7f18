"""Kits: readings at the end of a range, resolutions too coarse to decide by, expired kits, bases that differ."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from pailbook.terms import ACT, FINE, WATCH
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.log import FarmLog, on
from pailbook.workbook.farm_log import kits, limits, settings, verdict, water_tests
from pailbook.workbook.farm_log.water_columns import IN_BASIS
from pailbook.workbook.log.kits_in_use import KitInUse
from pailbook.workbook.log.locate import Located, folded
from pailbook.workbook.log.season import Season
from pailbook.workbook.readings.fields import MEASURED
from pailbook.workbook.readings.units import in_basis, to_basis

AT_END, WAS_AT_END, COARSE = "kit at the end of its range", "kit was at the end of its range", "kit too coarse"
EXPIRED, BASIS, TWO = "kit expired", "kit in another basis", "two kits for one reading"
_LABELS = {reads.key: reads.label for reads in kits.READS}


def kit_findings(log: FarmLog) -> Iterator[Finding]:
    """Everything that is wrong with kits, and with the readings that they cannot show."""
    placed, tests = log.table(kits.SHEET), log.table(water_tests.SHEET)
    if placed is None or tests is None:
        return
    yield from _twice(placed, log.season)
    for key, kit in log.kits.items():
        name = _name(key, kit)
        yield from _basis(log, placed, key, kit, name)
        yield from _date(log, placed, key, kit, name)
        yield from _resolution(log, placed, key, kit, name)
    yield from _ends(log, tests)


def _name(key: str, kit: KitInUse) -> str:
    """The kit as a person calls it: phosphate drops; or drops for phosphate, if its own name does not say it."""
    name, reads = str(kit.row["kit"] or "kit").strip(), _LABELS[key]
    return name if any(word in name.casefold() for word in reads.casefold().split()) else f"{name} for {reads}"


def _twice(placed: Located, season: Season) -> Iterator[Finding]:
    rows: dict[str, list[int]] = defaultdict(list)
    for row in season.rows(kits.SHEET):
        if folded(row["in_use"]) == kits.IN_USE and folded(row["reads"]):
            rows[folded(row["reads"])].append(row.number)
    for reads, found in rows.items():
        if len(found) > 1:
            yield Finding(placed.sheet, placed.cell("in_use", found[-1]), ACT, TWO,
                          f"{len(found)} kits for {reads} are marked as in use, so it is not known which one was used",
                          f'Set all but one of them to "no", so that one "{kits.IN_USE}" is left.')


def _basis(log: FarmLog, placed: Located, key: str, kit: KitInUse, name: str) -> Iterator[Finding]:
    own, typed = kit.row["basis"], log.basis(key)
    if isinstance(own, str) and typed and own.strip() and own.strip() != typed and own.strip() in MEASURED[key].bases:
        times, here, there = to_basis(MEASURED[key], 1.0, own.strip(), typed), in_basis(own.strip()), in_basis(typed)
        yield Finding(placed.sheet, placed.cell("basis", kit.row.number), ACT, BASIS,
                      f"{name} reads {here}, but the log expects {there}; 1 {here} is {times:.3g} {there}",
                      f"Convert each reading before typing it. If readings were typed as the kit shows them, set the "
                      f"basis on {settings.SHEET} to {own.strip()}.")


def _date(log: FarmLog, placed: Located, key: str, kit: KitInUse, name: str) -> Iterator[Finding]:
    expiry = kit.expiry
    if expiry is None:
        return
    since = sum(test.row["date"] > expiry and test.row[key] is not None for test in log.all_tests
                if test.when is not None)
    if since or (log.as_of is not None and expiry < log.as_of):
        readings = "" if not since else ", and 1 reading was taken since" if since == 1 else (
            f", and {since} readings were taken since")
        yield Finding(placed.sheet, placed.cell("expiry", kit.row.number), WATCH, EXPIRED,
                      f"{name} expired on {on(expiry)}{readings}", "Replace the kit, and test again with the new one.")


def _resolution(log: FarmLog, placed: Located, key: str, kit: KitInUse, name: str) -> Iterator[Finding]:
    if kit.resolution is None:
        return
    typed = kit.row["resolution"]
    for finest, why in _needed(log, key):
        if kit.resolution > finest * (1 + 1e-9):
            yield Finding(placed.sheet, placed.cell("resolution", kit.row.number), WATCH, COARSE,
                          f"the resolution of {name} is {typed:.3g}, which is too coarse: {why}",
                          "Between two colours or marks, take the worse one; or use a finer kit or a meter.")
            return


def _needed(log: FarmLog, key: str) -> Iterator[tuple[float, str]]:
    """Differences on which a decision depends, in the unit in which the log calculates, with the reason in words.

    Common practice, no source: a kit must distinguish fine from watch and watch from act.
    """
    kinds = sorted({log.kind_of(system) for system in log.systems}) or [limits.OTHER]
    step = log.limit("ph_step")
    if key == "ph" and step is not None:
        yield step, f"pH may change by at most {step:g} a day"
        return
    if key == "tan":
        yield from _of_ammonia(log)
        return
    judged = IN_BASIS.get(key, key)
    for rule in (*verdict.DEADLIEST, *verdict.OTHERS):
        if rule.key == judged:
            for kind in kinds:
                watch, act = (log.limit(name, kind) if name else None for name in (rule.watch, rule.act))
                if watch is not None and act is not None:
                    yield abs(watch - act), f"the limits for watch, {watch:.3g}, and act, {act:.3g}, are closer"
                elif watch is not None and watch > 0 and rule.above:
                    yield watch, f"the limit is {watch:.3g}"
    if key == "phosphate":
        for kind in kinds:
            low, high = log.limit("phosphate_low", kind), log.limit("phosphate_high", kind)
            if low is not None and high is not None and high > low:
                yield (high - low) / 2, f"the target range, {low:.3g} to {high:.3g}, is less than twice as wide"


def _of_ammonia(log: FarmLog) -> Iterator[tuple[float, str]]:
    """For each system, the total ammonia at which the un-ionised part reaches its limit, at the latest pH."""
    for system, tests in log.tests.items():
        bound = log.limit("nh3_watch", log.kind_of(system))
        shares = (nh3 / tan for test in reversed(tests) if (nh3 := test.found("nh3")) and (tan := test.found("tan_n")))
        share = next(shares, None)
        if bound is not None and share is not None:
            most = bound / share
            yield most, f"at the latest pH of {log.name(system)} the limit is {most:.2g} mg/L as N"


def _ends(log: FarmLog, placed: Located) -> Iterator[Finding]:
    """Readings whose true value may lie beyond what the kit shows."""
    earlier = []
    for system, tests in log.tests.items():
        for key, end, words in verdict.KIT_ENDS:
            kit = log.kits.get(key)
            if kit is None or (at := kit.low if end == "low" else kit.high) is None:
                continue
            bound = kit.row[end]
            latest = True
            for test in reversed(tests):
                value = test.found(IN_BASIS.get(key, key))
                if value is None:
                    continue
                if value <= at if end == "low" else value >= at:
                    which = "lower" if end == "low" else "higher"
                    what = (f"{words.split(',')[0]} ({bound:g}) in {log.name(system)} on {on(test.when)}, so the true "
                            f"value may be {which}")
                    finding = Finding(
                        placed.sheet, placed.cell(key, test.row), WATCH if latest else FINE,
                        AT_END if latest else WAS_AT_END, what,
                        "Test again with a kit or meter of a wider range"
                        + (", or dilute the water and multiply the reading." if end == "high" and key != "ph" else "."))
                    if latest:
                        yield finding
                    else:
                        earlier.append((-test.when, finding))
                latest = False
    yield from (finding for _, finding in sorted(earlier, key=lambda one: one[0]))
