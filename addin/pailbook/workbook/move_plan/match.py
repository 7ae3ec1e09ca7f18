"""Sheet "Water match": both waters side by side, the gap, its limit, the verdict, and what the kit can show."""

from __future__ import annotations

from dataclasses import dataclass

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import (
    PH,
    Alkalinity,
    Conductivity,
    PHTolerance,
    Quantity,
    TemperatureDifference,
    WaterTemperature,
)
from pailbook.terms import ALKALINITY, ALKALINITY_ONCE, HARDNESS, HARDNESS_ONCE, NOT_ASKED, NOT_KNOWN, WATER_TEMPERATURE
from pailbook.workbook import style
from pailbook.workbook.columns import quoted
from pailbook.workbook.form import Plan
from pailbook.workbook.lines import lines_of, set_height
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import known, measures
from pailbook.workbook.move_plan.known import Rung
from pailbook.workbook.move_plan.trip import FROM, TO
from pailbook.workbook.sheets import headings, number_input, put, section, widths
from pailbook.workbook.texts import first_that_holds

SHEET = "Water match"
_FIRST = 5
_WIDTHS = (20, 16, 11, 11, 11, 11, 9, 9, 44, 46)
_FROM, _TO, _GIVEN, _USED, _GAP, _LIMIT, _VERDICT, _KIT = "C", "D", "E", "F", "G", "H", "I", "J"
USUAL_PH_RESOLUTION = 0.2


@dataclass(frozen=True)
class Pair:
    """A property of both waters: its key, the limit's key, the words for how far apart is too far.

    Where `needed` is not set, the verdict is "not asked" until both waters were tested for it.
    """

    key: str
    label: str
    quantity: Quantity
    limit: str
    difference: Quantity
    no_go: str = ""
    usual_resolution: float | None = None
    watch: str = "watch: far apart; use smaller and more exchanges of water"
    act: str = ""
    shown: str = "0.0"
    needed: bool = False
    heading: str = ""

    def side(self, where: str) -> str:
        """What the property is called for one of the two waters."""
        return f"{self.label} {where}"


PAIRS = (
    Pair("ph", "pH", quantity(PH), "ph_within", quantity(PHTolerance), "ph_no_go", USUAL_PH_RESOLUTION,
         "watch: not within the limit; adjust the pH of one system first, see pH calendar",
         "act: too far apart for one day; adjust the pH of one system first, see pH calendar", "0.00", True),
    Pair("temperature", WATER_TEMPERATURE, quantity(WaterTemperature), "temperature_watch",
         quantity(TemperatureDifference), "temperature_no_go", 0.5,
         "watch: too far apart for a single exchange and ten minutes; see Arrival",
         "act: too far apart; bring the two systems closer over several days", needed=True),
    Pair("alkalinity", ALKALINITY, quantity(Alkalinity), "alkalinity_gap", quantity(Alkalinity), "", 17.8,
         "watch: pH will swing as the waters mix; see Arrival", shown="0", needed=True, heading=ALKALINITY_ONCE),
    Pair("hardness", HARDNESS, measures.HARDNESS, "hardness_gap", measures.DIFFERENCE, "", 17.8, shown="0",
         heading=HARDNESS_ONCE),
    Pair("conductivity", "Conductivity (EC)", quantity(Conductivity), "conductivity_gap", quantity(Conductivity),
         "", 10, shown="0"),
)


def _row(key: str) -> int:
    return _FIRST + (len(PAIRS) if key == "light" else next(i for i, pair in enumerate(PAIRS) if pair.key == key))


def _cell(letter: str, key: str) -> str:
    return f"{quoted(SHEET)}!${letter}${_row(key)}"


def verdict(key: str) -> str:
    """The cell with the verdict on a property of both waters, or on the light."""
    return _cell(_VERDICT, key)


def gap(key: str) -> str:
    """The cell with the gap, without sign."""
    return _cell(_GAP, key)


def kit_resolution(key: str) -> str:
    """The cell with the resolution in which both waters were read."""
    return _cell(_USED, key)


def resolution_given(key: str) -> str:
    """The cell into which the user types the resolution of a kit."""
    return _cell(_GIVEN, key)


def resolution_label(pair: Pair) -> str:
    """What that cell is called."""
    return f"Resolution of your kit: {pair.label}"


def resolution_quantity() -> Quantity:
    """What that cell takes."""
    return measures.KIT_RESOLUTION


def can_show(key: str) -> str:
    """The cell that says whether the kit can show a match."""
    return _cell(_KIT, key)


def gap_rungs(plan: Plan, pair: Pair) -> list[Rung]:
    """Whether the two waters are apart, as read: "not known" and "not asked", act, watch."""
    sides = [_cell(_FROM, pair.key), _cell(_TO, pair.key)]
    limits = [key for key in (pair.no_go, pair.limit) if key]
    rungs = []
    if not pair.needed:
        blank = ",".join(f'{cell}=""' for cell in sides)
        name = known.in_a_sentence(pair.label)
        rungs.append((f"OR({blank})", f'"{NOT_ASKED}: {name} was not entered for both waters"'))
    rungs += [known.number(cell, pair.side(where), pair.quantity, plan.book.units)
              for cell, where in zip(sides, (FROM, TO))]
    rungs += known.numbers(plan, " ".join(limits))
    apart = gap(pair.key)
    if pair.no_go:
        rungs.append((f"{apart}>ROUND({plan[pair.no_go]},6)", f'"{pair.act}"'))
    return [*rungs, (f"{apart}>ROUND({plan[pair.limit]},6)", f'"{pair.watch}"')]


def kit_rungs(plan: Plan) -> list[Rung]:
    """Whether the kit can show that the two pH match, where they do as read."""
    pair = PAIRS[0]
    limit = plan[pair.limit]
    return [
        *known.numbers(plan, "kit_lowest_ph kit_highest_ph"),
        known.number(kit_resolution(pair.key), resolution_label(pair), resolution_quantity(), plan.book.units),
        (_at_end(plan), '"watch: a reading is at the end of the kit\'s range; the true pH may lie beyond it"'),
        (f"ROUND({gap(pair.key)}+{kit_resolution(pair.key)},6)>ROUND({limit},6)",
         f'"watch: within "&ROUND({limit},2)&" as read, but the kit is too coarse to confirm it"'),
    ]


def _at_end(plan: Plan) -> str:
    both = f"{_cell(_FROM, 'ph')},{_cell(_TO, 'ph')}"
    return f'OR(MIN({both})<={plan["kit_lowest_ph"]},MAX({both})>={plan["kit_highest_ph"]})'


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Two readings that look the same can differ by the resolution of the kit: enter the "
                              "resolution of your kit or meter.")
    widths(sheet, *_WIDTHS)
    headings(sheet, _FIRST - 1, ("Property", "Unit", "Where the fish are now", "At the destination",
                                 "Resolution of your kit", "Resolution in use", "Gap", "Limit", "Verdict",
                                 "Can the kit show a match?"), height=44)
    for row, pair in enumerate(PAIRS, _FIRST):
        _write_pair(plan, sheet, row, pair)
    row = _row("light")
    first, second = plan["from_light"], plan["to_light"]
    put(sheet, f"A{row}", "Light", "strong")
    for letter, cell in ((_FROM, first), (_TO, second)):
        put(sheet, f"{letter}{row}", f'=IF({cell}="","",{cell})', "result", align="right")
    light = first_that_holds((
        (f'OR({first}="",{second}="")', f'"{NOT_ASKED}: light was not entered for both places"'),
        known.choice(plan, "from_light"), known.choice(plan, "to_light"),
        (f"{first}={second}", '"fine"'),
    ), '"watch: the light differs; shade the brighter tank for a day"')
    put(sheet, f"{_VERDICT}{row}", f"={light}", "result", wrap=True, align="left")
    set_height(sheet, row, 2)
    style.verdict_colours(sheet, [f"{_VERDICT}{_FIRST}:{_VERDICT}{row}"])
    book.define("ph_gap", SHEET, f"${_GAP}${_FIRST}")
    book.define("ph_kit_shows", SHEET, f"${_KIT}${_FIRST}")
    book.define("ph_match", SHEET, f"${_VERDICT}${_FIRST}")
    section(sheet, row + 2, "What to know", len(_WIDTHS))
    notes = (
        "A pH within 0.2, and no more than 0.2 of change per day, is common practice. A change of 0.3 within a day can "
        "already harm (FAO 589, section 7.3); a difference above 0.5 takes a day or more.",
        "Healthy fish at the destination prove nothing: they have followed their water slowly. New fish meet it all at "
        "once and can die within two days while the others stay well. Go by the readings.",
        "Test both waters with the same kit, on the same day and in the same light. At the end of its range a kit "
        "shows its last colour, not the pH.",
        "Do not average two pH values to predict a mixture, because alkalinity decides it. The sheet Arrival "
        "calculates it.",
    )
    for number, text in enumerate(notes, row + 3):
        sheet.merge_cells(f"A{number}:J{number}")
        put(sheet, f"A{number}", text, wrap=True)
        set_height(sheet, number, lines_of(text, sum(_WIDTHS)))
    sheet.freeze_panes = f"A{_FIRST}"
    sheet.print_area = f"A1:J{row + 2 + len(notes)}"


def _write_pair(plan: Plan, sheet: Worksheet, row: int, pair: Pair) -> None:
    book, units = plan.book, plan.book.units
    difference, shown = pair.difference, "0" if pair.shown == "0" else style.format_of(pair.quantity, units)
    put(sheet, f"A{row}", pair.heading or pair.label, "strong")
    put(sheet, f"B{row}", pair.quantity.unit_in(units))
    for letter, side in ((_FROM, "from"), (_TO, "to")):
        cell = plan[f"{side}_ph_now" if pair.key == "ph" else f"{side}_{pair.key}"]
        put(sheet, f"{letter}{row}", f'=IF({cell}="","",{cell})', "result", shown)
    number_input(book, sheet, f"{_GIVEN}{row}", resolution_quantity(), f"Resolution: {pair.label}",
                 help="The smallest difference that your kit or meter shows, in the unit of this row")
    book.define(f"kit_resolution_{pair.key}", SHEET, f"${_GIVEN}${row}")
    usual = pair.usual_resolution or 0
    usual = usual if pair.quantity.us_factor == 1 else book.show(difference, usual)
    put(sheet, f"{_USED}{row}", f'=IF(${_GIVEN}{row}="",{usual:.12g},${_GIVEN}{row})', "result", "0.0##")
    put(sheet, f"{_GAP}{row}", f'=IF(COUNT($C{row}:$D{row})<2,"",ROUND(ABS($D{row}-$C{row}),6))', "result",
        pair.shown)
    limit = plan[pair.limit]
    put(sheet, f"{_LIMIT}{row}", f"={limit}", "result", pair.shown)
    rungs = gap_rungs(plan, pair) + (kit_rungs(plan) if pair.key == "ph" else [])
    put(sheet, f"{_VERDICT}{row}", "=" + first_that_holds(rungs, '"fine"'), "result", wrap=True, align="left")
    set_height(sheet, row, 2)
    put(sheet, f"{_KIT}{row}", f"={_can_show(plan, pair, row)}", "result", wrap=True, align="left")


def _can_show(plan: Plan, pair: Pair, row: int) -> str:
    """What the kit can show, in a sentence; blank until both waters were read."""
    units, limit = plan.book.units, plan[pair.limit]
    apart, finest = f"${_GAP}{row}", f"${_USED}{row}"
    unit = "" if pair.key == "ph" else f" {pair.difference.unit_in(units) or pair.quantity.unit_in(units)}"
    kit = f'IF(${_GIVEN}{row}="","assumed resolution ","resolution ")&{finest}&"{unit}: "'
    ends = f'"the kit\'s range ends here ("&{plan["kit_lowest_ph"]}&" to "&{plan["kit_highest_ph"]}'
    return first_that_holds((
        (f'{apart}=""', '""'),
        (f"NOT(ISNUMBER({finest}))", f'"{NOT_KNOWN}: the resolution is not a number"'),
        *([(_at_end(plan), f'{ends}&"); the true pH may lie beyond it"')] if pair.key == "ph" else []),
        (f"ROUND({finest},6)>ROUND({limit},6)", f'{kit}&"too coarse to show a match within "&ROUND({limit},2)'),
        (f"ROUND({apart}+{finest},6)>ROUND({limit},6)",
         f'{kit}&"the true gap may be up to "&ROUND({apart}+{finest},2)'),
    ), f'{kit}&"fine enough to show a match"')
