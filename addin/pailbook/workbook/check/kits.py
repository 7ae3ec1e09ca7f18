"""Kits: readings at the end of a range, steps too coarse to decide by, dates that ran out, bases that do not match."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from pailbook.workbook.check.finding import ACT, NOTE, WATCH, Finding
from pailbook.workbook.check.log import FarmLog, on
from pailbook.workbook.check.places import Placed, Record
from pailbook.workbook.check.worked import IN_BASIS, number
from pailbook.workbook.farm_log import kits, limits, verdict, water_tests
from pailbook.workbook.readings.fields import MEASURED
from pailbook.workbook.readings.log_rows import folded

AT_END, WAS_AT_END, COARSE = "kit at the end of its range", "kit was at the end of its range", "kit step too coarse"
OLD, BASIS, TWO = "kit past its date", "kit in another basis", "two kits for one reading"
_LABELS = {reads.key: reads.label for reads in kits.READS}
_RESULT_OF = {key: result for result, key in IN_BASIS.items()}  # what is judged, by what is read


def kit_findings(log: FarmLog) -> Iterator[Finding]:
    """All that is wrong with kits, and with the readings that they cannot give."""
    placed, tests = log.table(kits.SHEET), log.table(water_tests.SHEET)
    if placed is None or tests is None:
        return
    yield from _twice(placed)
    for key, (row, kit) in log.kits.items():
        name = str(kit.get("kit") or f"kit for {_LABELS[key]}").strip()
        yield from _basis(log, placed, key, row, kit, name)
        yield from _date(log, placed, tests, key, row, kit, name)
        yield from _step(log, placed, key, row, kit, name)
    yield from _ends(log, tests)


def _twice(placed: Placed) -> Iterator[Finding]:
    rows: dict[str, list[int]] = defaultdict(list)
    for row, record in placed.records.items():
        if folded(record.get("in_use")) == kits.IN_USE and folded(record.get("reads")):
            rows[folded(record.get("reads"))].append(row)
    for reads, found in rows.items():
        if len(found) > 1:
            yield Finding(placed.sheet, placed.cell("in_use", found[-1]), ACT, TWO,
                          f"{len(found)} kits for {reads} are in use at once, so no reading can be judged by its kit",
                          'Set all but one to "no".')


def _basis(log: FarmLog, placed: Placed, key: str, row: int, kit: Record, name: str) -> Iterator[Finding]:
    own, typed = kit.get("basis"), log.basis(key)
    if isinstance(own, str) and typed and own.strip() and own.strip() != typed and own.strip() in MEASURED[key].bases:
        times = log.factor_between(key, own.strip(), typed)
        yield Finding(placed.sheet, placed.cell("basis", row), ACT, BASIS,
                      f"{name} reads in {own.strip()}, but the log takes {_LABELS[key]} as {typed}: 1 in {own.strip()} "
                      f"is {times:.3g} in {typed}",
                      f"Convert before typing; or, if readings were typed as the kit shows them, set the basis on "
                      f"Settings to {own.strip()}.")


def _date(
    log: FarmLog, placed: Placed, tests: Placed, key: str, row: int, kit: Record, name: str
) -> Iterator[Finding]:
    expiry = log.day(kit.get("expiry"))
    if expiry is None:
        return
    since = sum(log.day(record.get("date")) is not None and record["date"] > kit["expiry"]
                and record.get(key) is not None for record in tests.records.values())
    if since or (log.as_of is not None and expiry < log.as_of):
        readings = f"; {since} readings since" if since > 1 else "; 1 reading since" if since else ""
        yield Finding(placed.sheet, placed.cell("expiry", row), ACT if since else WATCH, OLD,
                      f"{name} was good until {on(expiry)}{readings}", "Replace it, and test again with the new one.")


def _step(log: FarmLog, placed: Placed, key: str, row: int, kit: Record, name: str) -> Iterator[Finding]:
    step = number(kit.get("resolution"))
    if step is None or not _comparable(log, key, kit):
        return
    for finest, why in _needed(log, key):
        if step * log.factors[key] > finest * (1 + 1e-9):
            yield Finding(placed.sheet, placed.cell("resolution", row), WATCH, COARSE,
                          f"{name} steps by {step:.3g}, but {why}",
                          "Between two steps read the worse one, or use a finer kit or a meter for this decision.")
            return


def _needed(log: FarmLog, key: str) -> Iterator[tuple[float, str]]:
    """Differences that a decision hangs on, in the unit in which the log works, with the reason in words.

    Common practice, no source: a kit must tell fine from watch and watch from act.
    """
    kinds = sorted({system.kind for system in log.systems.values()}) or [limits.OTHER]
    step = log.limit("ph_step")
    if key == "ph" and step is not None:
        yield step, f"pH may move by {step:g} a day: it cannot show that"
        return
    if key == "tan":
        yield from _of_ammonia(log)
        return
    judged = _RESULT_OF.get(key, key)
    for rule in (*verdict.DEADLIEST, *verdict.OTHERS):
        if rule.key == judged:
            for kind in kinds:
                watch, act = (log.limit(name, kind) if name else None for name in (rule.watch, rule.act))
                if watch is not None and act is not None:
                    yield abs(watch - act), f"watch ({watch:.3g}) and act ({act:.3g}) are nearer than that"
                elif watch is not None and watch > 0 and rule.above:
                    yield watch, f"the limit is {watch:.3g}: one step is past it"
    if key == "phosphate":
        for kind in kinds:
            low, high = log.limit("phosphate_low", kind), log.limit("phosphate_high", kind)
            if low is not None and high is not None and high > low:
                yield (high - low) / 2, f"the band is {low:.3g} to {high:.3g}: it has less than two steps"


def _of_ammonia(log: FarmLog) -> Iterator[tuple[float, str]]:
    """Of each system, the total ammonia at which the un-ionised part is at its limit, at the latest pH."""
    for system, tests in log.tests.items():
        bound = log.limit("nh3_watch", log.kind_of(system))
        latest = next((test for test in reversed(tests) if test.record.get("nh3") and test.record.get("tan_n")), None)
        if bound is not None and latest is not None:
            most = bound * latest.record["tan_n"] / latest.record["nh3"]
            yield most, f"at the pH of {log.name(system)} {most:.2g} mg/L as N is already the limit"


def _ends(log: FarmLog, placed: Placed) -> Iterator[Finding]:
    """Readings at which the true value may lie beyond what the kit shows."""
    earlier = []
    for system, tests in log.tests.items():
        for key, end, words in verdict.KIT_ENDS:
            _, kit = log.kits.get(key, (0, {}))
            bound = number(kit.get(end))
            if bound is None or not _comparable(log, key, kit):
                continue
            latest = True
            for test in reversed(tests):
                value = number(test.record.get(key))
                if value is None:
                    continue
                if value <= bound if end == "low" else value >= bound:
                    which = "lower" if end == "low" else "higher"
                    what = (f"{words.split(',')[0]} ({bound:g}) in {log.name(system)} on {on(test.when)}: the true "
                            f"value may be {which}")
                    finding = Finding(
                        placed.sheet, placed.cell(key, test.row), WATCH if latest else NOTE,
                        AT_END if latest else WAS_AT_END, what,
                        "Test again with a kit or meter of a wider range"
                        + (", or thin the sample with distilled water." if end == "high" and key != "ph" else "."))
                    if latest:
                        yield finding
                    else:
                        earlier.append((-test.when, finding))
                latest = False
    yield from (finding for _, finding in sorted(earlier, key=lambda one: one[0]))


def _comparable(log: FarmLog, key: str, kit: Record) -> bool:
    """Whether the kit's numbers are in the basis in which its readings are typed."""
    basis = str(kit.get("basis") or "").strip()
    return not basis or not log.basis(key) or basis == log.basis(key)
