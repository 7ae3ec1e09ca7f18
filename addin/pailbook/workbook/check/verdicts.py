"""What the log itself says about doses, added water, upkeep and the fish, each at its cell.

Water tests are judged again (`limits`). These verdicts are the log's own; slips in its formulas are found separately.
"""

from __future__ import annotations

from collections.abc import Iterator

from pailbook.terms import ACT, FINE, NOT_KNOWN, WATCH
from pailbook.workbook.check import tasks
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.log import FarmLog, on
from pailbook.workbook.check.places import Placed
from pailbook.workbook.farm_log import stock, upkeep, water_moves
from pailbook.workbook.readings.log_rows import folded

DOSE, MEDICINE, WATER = "harsh dose", "medicine given", "water added or changed"
UPKEEP, FISH, NO_VERDICT = "upkeep overdue", "too many fish or deaths", "no verdict"
WAS = {DOSE: "was a harsh dose", WATER: "was harmful water"}
LATELY = 7.0  # days for which what was added to the water may still harm; common practice, no source
_REMEDIES = {
    DOSE: water_moves.SMALLER_DOSES,
    MEDICINE: "Follow the label, your vet and local law. Eat no fish or plants from this system before the withdrawal "
              "period has ended.",
    WATER: water_moves.LOOK_AT_FISH,
    UPKEEP: upkeep.DO_IT,
    FISH: "Look at the fish and test the water today.",
}


def verdicts(log: FarmLog) -> Iterator[Finding]:
    """The log's verdicts that say act, not known or watch; of what was added long ago, those that said act."""
    latest = log.as_of if log.as_of is not None else max(
        (tests[-1].when for tests in log.tests.values()), default=0.0)
    for sheet, kind in ((water_moves.DOSES, DOSE), (water_moves.CHANGES, WATER)):
        placed = log.table(sheet)
        for row, record in placed.records.items() if placed else ():
            day = log.day(record.get("date"))
            if placed is not None and day is not None:
                yield from _of_row(log, placed, row, "state", kind, on(day), old=latest - day > LATELY)
    placed = log.table(upkeep.SHEET)
    for row, record in placed.records.items() if placed else ():
        if placed is not None:
            task = tasks.to_do(*(str(record.get(key) or "").strip() for key in ("item", "which"))) or "upkeep"
            yield from _of_row(log, placed, row, "state", UPKEEP, task, watch=False)
    yield from _stock(log)


def _stock(log: FarmLog) -> Iterator[Finding]:
    """Each system's fish: the sheet has no inputs, so its rows are those of the register of systems."""
    placed = log.table(stock.SHEET)
    for row in range(placed.heading_row + 1, placed.last_row + 1) if placed else ():
        if placed is not None and "system" in placed.letters and folded(
                log.subject.value(placed.sheet, placed.cell("system", row))) in log.systems:
            yield from _of_row(log, placed, row, "verdict", FISH, "fish")


def _of_row(
    log: FarmLog, placed: Placed, row: int, key: str, kind: str, of: str, *, old: bool = False, watch: bool = True
) -> Iterator[Finding]:
    """The finding of a row's verdict, if it is one."""
    if key not in placed.letters:
        return
    text = log.subject.value(placed.sheet, placed.cell(key, row))
    word, _, why = text.partition(": ") if isinstance(text, str) else ("", "", "")
    if word not in (ACT, NOT_KNOWN, WATCH) or (word != ACT and old) or (word == WATCH and not watch):
        return
    kind = MEDICINE if text == water_moves.GIVEN_MEDICINE else kind
    where = "" if "system" not in placed.letters else str(
        log.subject.value(placed.sheet, placed.cell("system", row)) or "all systems")
    of_where = f"{of}{f' in {where}' if where else ''}"
    what = f"{of_where}: {why}"
    if word == NOT_KNOWN:
        yield Finding(placed.sheet, placed.cell(key, row), word, NO_VERDICT,
                      f"the log has no verdict on {of_where}, because this is not known: {why}",
                      "Fill in or correct what is named here.")
    elif old:
        yield Finding(placed.sheet, placed.cell(key, row), FINE, WAS.get(kind, kind), what,
                      "This has passed. Remember it if fish or plants do badly.")
    else:
        yield Finding(placed.sheet, placed.cell(key, row), word, kind, what, _REMEDIES[kind])
