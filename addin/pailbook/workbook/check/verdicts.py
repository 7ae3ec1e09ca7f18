"""What the log's rules say about doses, added water, upkeep and the fish, each at its cell.

They judge what was typed, so a formula that somebody typed over hides nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from pailbook.rules import Judged
from pailbook.terms import ACT, FINE, NOT_KNOWN, WATCH
from pailbook.workbook.check import tasks
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.limits import NO_VERDICT
from pailbook.workbook.check.log import FarmLog, on
from pailbook.workbook.farm_log import stock, systems, upkeep, water_moves
from pailbook.workbook.log import registers
from pailbook.workbook.log.fish import stock_of
from pailbook.workbook.log.locate import folded
from pailbook.workbook.log.registers import JudgedRow

DOSE, MEDICINE, WATER = "harsh dose", "medicine given", "water added or changed"
UPKEEP, FISH = "upkeep overdue", "too many fish or deaths"
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
    """The rules' verdicts that say act, not known or watch; of what was added long ago, those that said act."""
    latest = log.as_of if log.as_of is not None else max(
        (tests[-1].when for tests in log.tests.values()), default=0.0)
    for sheet, judged, kind in ((water_moves.DOSES, registers.doses, DOSE),
                                (water_moves.CHANGES, registers.water_in, WATER)):
        for one in judged(log.season):
            if (day := log.day(one.row["date"])) is not None:
                yield from _of_row(log, sheet, one, kind, on(day), old=latest - day > LATELY)
    for one in registers.kept_up(log.season):
        task = tasks.to_do(*(str(one.row[key] or "").strip() for key in ("item", "which"))) or "upkeep"
        yield from _of_row(log, upkeep.SHEET, one, UPKEEP, task, watch=False)
    yield from _stock(log)


def _stock(log: FarmLog) -> Iterator[Finding]:
    """Each system's fish, at its row of the sheet of stock; at the system's own where that sheet has none."""
    placed, known = log.table(stock.SHEET), log.table(systems.SHEET)
    rows = {} if placed is None or not {"system", "verdict"} <= placed.letters.keys() else {
        folded(log.subject.value(placed.sheet, placed.cell("system", row))): placed.cell("verdict", row)
        for row in range(placed.heading_row + 1, placed.last_row + 1)}
    for name, system in log.systems.items():
        if placed is not None and name in rows:
            where = placed.sheet, rows[name]
        elif known is not None:
            where = known.sheet, known.cell("system", system.row.number)
        else:
            continue
        yield from _finding(stock_of(log.season, system).judged, where, FISH, f"fish in {system.name}")


def _of_row(
    log: FarmLog, sheet: str, one: JudgedRow, kind: str, of: str, *, old: bool = False, watch: bool = True
) -> Iterator[Finding]:
    """The finding of a row's verdict, if it is one."""
    placed = log.table(sheet)
    key = next((key for key in ("state", "date") if placed and key in placed.letters), "")
    if placed is None or not key or (one.judged.outcome == WATCH and not watch):
        return
    of_where = f"{of} in {one.row['system'] or 'all systems'}"
    kind = MEDICINE if one.judged.text == water_moves.GIVEN_MEDICINE else kind
    yield from _finding(one.judged, (placed.sheet, placed.cell(key, one.row.number)), kind, of_where, old)


def _finding(judged: Judged, where: tuple[str, str], kind: str, of_where: str, old: bool = False) -> Iterator[Finding]:
    word, what = judged.outcome, f"{of_where}: {judged.says}"
    if word not in (ACT, NOT_KNOWN, WATCH) or (old and word != ACT):
        return
    if word == NOT_KNOWN:
        yield Finding(*where, word, NO_VERDICT,
                      f"the log has no verdict on {of_where}, because this is not known: {judged.says}",
                      "Fill in or correct what is named here.")
    elif old:
        yield Finding(*where, FINE, WAS.get(kind, kind), what, "This has passed. Remember it if fish or plants do "
                                                               "badly.")
    else:
        yield Finding(*where, word, kind, what, _REMEDIES[kind])
