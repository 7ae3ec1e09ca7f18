"""Sheets "Doses" and "Water added and changed": what went into the water, and whether it was gentle enough."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook.quantities import PH, Quantity
from pailbook.rules import Rungs, Unusable, act, act_if_known, fine, is_blank, needs, not_asked, rule, say, shown, watch
from pailbook.rules.words import texted
from pailbook.terms import ACT, WATCH
from pailbook.workbook.columns import Column, Table, picking
from pailbook.workbook.farm_log import limits, systems
from pailbook.workbook.farm_log.entries import ENTRIES, entered, state_of_entries, verdict
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.measures import CHANGE_SHARE, DOSE_AMOUNT, WATER_VOLUME, quantity
from pailbook.workbook.sheets import write_table

DOSES, CHANGES = "Doses", "Water added and changed"
ROWS = 120
_DATE = Column("date", "Date", kind="date", width=11)
_SYSTEM = Column("system", "System", kind="choice", width=14)
_NOTE = Column("note", "Note", kind="text", width=30)
MEDICINE, HAUL, MIXED = "medicine", "haul water", "mixed"
CHLORINATED = ("tap water with chlorine", "tap water with chloramine")
_MEDICINE = "follow the label, the law and your vet's advice; note when the fish may be eaten again"
_WHERE_FROM = "where is the water from, and is it free of chlorine?"
_TWICE, _HAUL, _CHLORINE = (
    "the pH moved by over twice the limit; give smaller doses",
    "haul water does not belong here (salt, ammonia, disease)", "remove the chlorine before tap water goes in")
GIVEN_MEDICINE = texted(WATCH, _MEDICINE)
TWICE_TOO_FAST, HAUL_IN, CHLORINE_IN = (texted(ACT, says) for says in (_TWICE, _HAUL, _CHLORINE))
COLUMNS = {
    DOSES: (
        _DATE, _SYSTEM,
        Column("aim", "Purpose", kind="choice", width=14, choices=(
            "raise pH", "lower pH", "alkalinity", "phosphate", "potassium", "calcium", "magnesium", "iron", "salt",
            "dechlorinate", MEDICINE, "other")),
        Column("product", "Product and strength", kind="text", width=28,
               help="Such as: potassium bicarbonate, pure. One product per row."),
        Column("amount", "Amount", DOSE_AMOUNT, width=10, help="Grams of a solid, millilitres of a liquid"),
        Column("unit", "g or mL", kind="choice", width=7, choices=("g", "mL")),
        Column("before", "pH before", quantity(PH), width=9),
        Column("after", "pH a day later", quantity(PH), width=9, help="The settled pH, a day after the dose"),
        _NOTE,
        Column("state", "Verdict", kind="result", width=58),
        Column("moved", "pH moved by", kind="result", width=9, format="+0.00;-0.00;0.00"),
        ENTRIES,
    ),
    CHANGES: (
        _DATE, _SYSTEM,
        Column("how", "How", kind="choice", width=21, choices=("topped up", "changed", "refilled after a move"),
               help="topped up: it replaces what evaporated. changed: the same amount was drained."),
        Column("volume", "Water in", WATER_VOLUME, width=12),
        Column("source", "Source of the water", kind="choice", width=25, choices=(*systems.SOURCES, HAUL)),
        Column("chlorine", "Chlorine removed", kind="choice", width=11, choices=("yes", "no", "has none"),
               help="Tap water kills fish and the filter's bacteria until its chlorine or chloramine is removed."),
        _NOTE,
        Column("state", "Verdict", kind="result", width=62),
        Column("share", "Share of the system", CHANGE_SHARE, "result", 11),
        ENTRIES,
    ),
}
_NOTES = {
    DOSES: "Acids and bases burn: wear gloves and goggles, add acid to water, never store an acid beside a base or "
           "chlorine. Give small doses and test again a day later.",
    CHANGES: "All water that goes in. Haul water never goes into a tank; where salt was used, not onto plants either.",
}


# What is to be done where the rules say act.
SMALLER_DOSES = "Test pH now. Give smaller doses, one a day."
LOOK_AT_FISH = "Look at the fish, test the water, and enter what was done about it."


@rule("Dose", asks={
    **entered(COLUMNS[DOSES], ("date", "system", "aim", "amount", "before", "after"), needed=("date", "system")),
    "moved": Annotated[float, Quantity("change of pH", low=-14, high=14), "pH moved by"],
    "step": limits.asked("ph_step")})
def dose(date: Any, system: Any, aim: Any, amount: Any, before: Any, after: Any, moved: Any, step: Any) -> Rungs:
    """Whether a dose was gentle enough; not asked where the pH was not read before and after it."""
    return (
        needs(date, system, aim, amount, before, after),
        act_if_known(abs(moved) > 2 * step, _TWICE, SMALLER_DOSES),
        watch(aim == MEDICINE, _MEDICINE),
        not_asked(is_blank(before) | is_blank(after)),
        watch(abs(moved) > step, say("the pH moved by more than ", shown(step, 4), " in a day")),
        fine(),
    )


@rule("Water added and changed", asks={
    **entered(COLUMNS[CHANGES], ("date", "system", "how", "volume", "source", "chlorine"),
              needed=("date", "system", "volume")),
    "most": limits.asked("change_share"),
    "share": Annotated[float, Quantity("share", low=0), "the share of the system,",
                       Unusable("as the system has no volume")]})
def water_in(
    date: Any, system: Any, how: Any, volume: Any, source: Any, chlorine: Any, most: Any, share: Any
) -> Rungs:
    """Whether the water that went in was harmless, and not too much at once."""
    chlorinated = (source == CHLORINATED[0]) | (source == CHLORINATED[1])
    return (
        needs(date, system, how, volume, source, chlorine),
        act(source == HAUL, _HAUL, LOOK_AT_FISH),
        act(chlorine == "no", _CHLORINE, LOOK_AT_FISH),
        act(chlorinated & is_blank(chlorine), _CHLORINE, LOOK_AT_FISH),
        act(chlorinated & (chlorine != "yes"), _CHLORINE, LOOK_AT_FISH),
        needs(most, share),
        watch(is_blank(source), _WHERE_FROM),
        watch((source == MIXED) & is_blank(chlorine), _WHERE_FROM),
        watch(share > most, say("over ", shown(most, 4), " % at once; match temperature and pH")),
        fine(),
    )


def table(name: str, rows: int = ROWS, systems_list: str = "") -> Table:
    """Where a sheet's table is; systems are picked from that range."""
    return Table(name, picking(COLUMNS[name], "system", systems_list), rows)


def too_fast(limit: str) -> str:
    """The verdict on a dose that moved the pH by more than the limit, a text, in a day."""
    return texted(WATCH, f"the pH moved by more than {limit} in a day")


def write_doses(log: Log) -> None:
    """Writes the sheet of doses."""
    book, t = log.book, log[DOSES]
    sheet = book.sheet(DOSES, _NOTES[DOSES])

    def moved(row: int) -> str:
        before, after = t.cell("before", row), t.cell("after", row)
        return f'IF(COUNT({before},{after})<2,"",ROUND({after}-{before},2))'

    def state(row: int) -> str:
        return verdict(book, t, dose, row, {"moved": t.cell("moved", row), "step": limits.general("ph_step")})

    def entries(row: int) -> str:
        return state_of_entries(book, t, dose, row, "date", "after")

    write_table(
        book, sheet, t, {"state": state, "moved": moved, ENTRIES.key: entries}, freeze="aim", verdicts=("state",))


def write_changes(log: Log) -> None:
    """Writes the sheet of water added and changed."""
    book, t = log.book, log[CHANGES]
    sheet = book.sheet(CHANGES, _NOTES[CHANGES])

    def share(row: int) -> str:
        volume, whole = t.cell("volume", row), systems.of_system(log, "in_use", t.cell("system", row))
        return f'IF(ISNUMBER({volume}),IFERROR({volume}/{whole}*100,""),"")'

    def state(row: int) -> str:
        return verdict(
            book, t, water_in, row, {"share": t.cell("share", row), "most": limits.general("change_share")})

    def entries(row: int) -> str:
        return state_of_entries(book, t, water_in, row, "date", "chlorine")

    write_table(
        book, sheet, t, {"state": state, "share": share, ENTRIES.key: entries}, freeze="how", verdicts=("state",))
