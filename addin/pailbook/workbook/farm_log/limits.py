"""Sheet "Limits": where a reading becomes watch or act. Each has its source; each is the user's to change."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from pailbook import terms
from pailbook.functions.species import LIMITS as KNOWN
from pailbook.quantities import (
    PH,
    SPECIES,
    Alkalinity,
    CarbonDioxide,
    FishDensity,
    Oxygen,
    Percent,
    Phosphate,
    PHStep,
    Quantity,
    UnionizedAmmonia,
    WaterTemperature,
)
from pailbook.rules import Unusable, skips
from pailbook.rules.comparison import DECIMALS
from pailbook.rules.declaration import question
from pailbook.rules.row_entries import is_usable
from pailbook.rules.words import texted
from pailbook.sources import COMMON_PRACTICE, FAO_589, Citation
from pailbook.workbook import style
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.measures import CHANGE_SHARE, DAYS_BETWEEN, NITRATE, NITRITE, quantity
from pailbook.workbook.sheets import cited, headings, number_input, put, section, widths

SHEET = "Limits"
ON_THE_SHEET = f"on the sheet {SHEET}"
OTHER = "other"
KINDS = (*SPECIES, OTHER)  # the columns; "other" holds for any species that is not named
_PRACTICE = COMMON_PRACTICE.at("")


@dataclass(frozen=True)
class Limit:
    """A limit; its default is the user's to change.

    known : parameter and level in the table of species' limits, where there is one.
    default : metric, for species without a value of their own; if left out, what most species share.
    """

    key: str
    label: str
    quantity: Quantity
    known: tuple[str, str] | None = None
    default: float | None = None
    source: Citation = _PRACTICE

    @property
    def lower(self) -> bool:
        """Whether readings below it are what is wrong."""
        return "below" in self.label or "lower end" in self.label

    def preset(self) -> tuple[float | None, Citation | None]:
        """The default and its source: None where no value fits all species."""
        if self.default is not None:
            return self.default, self.source
        if self.known is None or self.known[0] == "temperature":
            return None, None
        found = Counter(KNOWN.get((species, *self.known)) for species in SPECIES)
        return max((limit for limit in found if limit), key=found.__getitem__)


_T, _PH, _NH3 = quantity(WaterTemperature), quantity(PH), quantity(UnionizedAmmonia)
BY_SPECIES = (
    Limit("oxygen_watch", "Oxygen: watch below", quantity(Oxygen), ("oxygen", "watch low")),
    Limit("oxygen_act", "Oxygen: act below", quantity(Oxygen), ("oxygen", "act low")),
    Limit("saturation_watch", "Oxygen saturation: watch below", quantity(Percent), None, 60),
    Limit("nh3_watch", f"{terms.UNIONISED_AMMONIA}: watch above", _NH3, ("NH3-N", "watch high")),
    Limit("nh3_act", f"{terms.UNIONISED_AMMONIA}: act above", _NH3, ("NH3-N", "act high")),
    Limit("nitrite_watch", "Nitrite (as NO2): watch above", NITRITE, ("nitrite", "watch high")),
    Limit("nitrite_act", "Nitrite (as NO2): act above", NITRITE, ("nitrite", "act high"), 5),
    Limit("ph_act_low", "pH: act below", _PH, ("pH", "act low")),
    Limit("ph_watch_low", "pH: watch below", _PH, ("pH", "watch low")),
    Limit("ph_watch_high", "pH: watch above", _PH, ("pH", "watch high")),
    Limit("ph_act_high", "pH: act above", _PH, ("pH", "act high")),
    Limit("temperature_act_low", "Temperature: act below", _T, ("temperature", "act low")),
    Limit("temperature_watch_low", "Temperature: watch below", _T, ("temperature", "watch low")),
    Limit("temperature_watch_high", "Temperature: watch above", _T, ("temperature", "watch high")),
    Limit("temperature_act_high", "Temperature: act above", _T, ("temperature", "act high")),
    Limit("alkalinity_watch", "Alkalinity: watch below", quantity(Alkalinity), None, 40),
    Limit("alkalinity_act", "Alkalinity: act below", quantity(Alkalinity), None, 20),
    Limit("co2_watch", f"{terms.CARBON_DIOXIDE}: watch above", quantity(CarbonDioxide), None, 20),
    Limit("co2_act", f"{terms.CARBON_DIOXIDE}: act above", quantity(CarbonDioxide), None, 40),
    Limit("nitrate_high", "Nitrate (as NO3): watch above", NITRATE, None, 400),
    Limit("phosphate_low", "Phosphate (as PO4): lower end of the target", quantity(Phosphate)),
    Limit("phosphate_high", "Phosphate (as PO4): upper end of the target", quantity(Phosphate)),
    Limit("density_watch", f"{terms.STOCKING_DENSITY}: watch above", quantity(FishDensity), None, 20,
          FAO_589.at("chapter 8, small units")),
    Limit("density_act", f"{terms.STOCKING_DENSITY}: act above", quantity(FishDensity), None, 40),
)
GENERAL = (
    Limit("days_watch", "Days without a test: watch above", DAYS_BETWEEN, None, 7),
    Limit("days_act", "Days without a test: act above", DAYS_BETWEEN, None, 14),
    Limit("kit_days", "Kit: watch this many days before it expires", DAYS_BETWEEN, None, 30),
    Limit("upkeep_days", "Upkeep: watch this many days before it is due", DAYS_BETWEEN, None, 7),
    Limit("new_fish_days", "New fish: watch for this many days", DAYS_BETWEEN, None, 21),
    Limit("ph_step", "Largest change of pH in a day", quantity(PHStep), None, 0.2),
    Limit("change_share", "Largest share of water changed at once", CHANGE_SHARE, None, 30),
    Limit("deaths_watch", "Fish lost in 7 days: watch above", CHANGE_SHARE, None, 1),
    Limit("deaths_act", "Fish lost in 7 days: act above", CHANGE_SHARE, None, 5),
)
OF_WATER = tuple(limit for limit in BY_SPECIES if limit.quantity.label != quantity(FishDensity).label)  # the first ones
_FIRST, _SPECIES_COLUMN = 6, 5
_UNKNOWN = _FIRST + len(BY_SPECIES)  # the row below, which names a limit that is not known
_BOUNDS_FIRST = _UNKNOWN + 1  # the limits of the water again, as rules compare them
_BOUNDS_LAST = _UNKNOWN + len(OF_WATER)
_NO_BOUND = 1_000_000_000  # far beyond any reading
_GENERAL_FIRST = _BOUNDS_LAST + 4
_OWN_FIRST = _GENERAL_FIRST + len(GENERAL) + 3
_SOURCES_FIRST = _OWN_FIRST + len(BY_SPECIES) + 3
_LAST_LETTER = get_column_letter(_SPECIES_COLUMN + len(KINDS) - 1)


def for_kind(key: str, column: str) -> str:
    """Formula text for a limit in use: a number, "" where it is blank, "not known" where what was typed is no number.

    column : the text or cell with the number of the species, counted from 1.
    """
    return _at(next(i for i, limit in enumerate(BY_SPECIES) if limit.key == key), column)


def bound(key: str, column: str) -> str:
    """Formula text for a limit of the water as a number; where it is blank or not known, one that no reading meets."""
    place = next(i for i, limit in enumerate(OF_WATER, 1) if limit.key == key)
    return f"INDEX({SHEET}!$E${_BOUNDS_FIRST}:${_LAST_LETTER}${_BOUNDS_LAST},{place},{column})"


def reason_at(key: str) -> str:
    """The cell with the reason of a row in which that limit of the water is passed."""
    place = next(i for i, limit in enumerate(OF_WATER) if limit.key == key)
    return f"{SHEET}!$A${_BOUNDS_FIRST + place}"


def fault_at(place: int, outside: bool) -> str:
    """The cell with what is said of a reading that cannot be used; the first one is number 0."""
    return f"{SHEET}!${'C' if outside else 'D'}${_BOUNDS_FIRST + place}"


def row_of(key: str) -> int:
    """The row of a limit in use, by species."""
    return _FIRST + next(i for i, limit in enumerate(BY_SPECIES) if limit.key == key)


def of_key(key: str) -> Limit:
    """The limit of that key."""
    return next(limit for limit in (*BY_SPECIES, *GENERAL) if limit.key == key)


def quoted_label(label: str) -> str:
    """What sentences call a limit."""
    return f"the limit '{label}'"


def asked(key: str) -> Any:
    """The hint of a limit in use, as rules ask it; a blank one is not judged."""
    limit = of_key(key)
    return Annotated[float, limit.quantity, quoted_label(limit.label), Unusable(ON_THE_SHEET), skips]


def usable(column: str) -> str:
    """Formula text for the cell that stands for all limits of the water of a species, as `rules.row_entries` has it."""
    return _at(_UNKNOWN - _FIRST, column)


def _at(row: int, column: str) -> str:
    # Always the same area: a formula that looks at many limits hangs on one area and not on many.
    return f"INDEX({SHEET}!$E${_FIRST}:${_LAST_LETTER}${_UNKNOWN},{row + 1},{column})"


def general(key: str) -> str:
    """The cell of a limit for all systems in use: a number, "" or "not known", as in `for_kind`."""
    return f"{SHEET}!$E${_GENERAL_FIRST + next(i for i, limit in enumerate(GENERAL) if limit.key == key)}"


def column_of(kind: str) -> str:
    """The letter of a species' column."""
    return get_column_letter(_SPECIES_COLUMN + KINDS.index(kind))


def label(key: str) -> str:
    """What a limit is called."""
    return of_key(key).label


def named_unknown(label: str) -> str:
    """What is not known where a limit of that label is no number."""
    return f"{quoted_label(label)} {ON_THE_SHEET}"


def said_unknown(key: str) -> str:
    """A verdict that rests on a limit that is not known."""
    return texted(terms.NOT_KNOWN, named_unknown(label(key)))


def write(log: Log, reasons: Mapping[str, str], faults: Sequence[tuple[str, str]]) -> None:
    """Writes the sheet.

    reasons : what is said in the row of a test in which a limit of the water is passed, by its key.
    faults : what is said there of each reading that is impossible, or no number.
    """
    book = log.book
    sheet = book.sheet(SHEET, "Where a reading becomes watch or act. Change the numbers in the boxes to suit your farm "
                              "and your fish. A blank limit is not judged.")
    widths(sheet, 44, 16, 10, 30, *[10.5] * len(KINDS))
    columns = _SPECIES_COLUMN + len(KINDS) - 1
    section(sheet, _FIRST - 2, "Limits in use, by species (* is the species value; otherwise the general limit; your "
                               "own limits, further down, are used instead)", columns)
    names = tuple(kind.capitalize() for kind in KINDS)
    headings(sheet, _FIRST - 1, ("Limit", "Unit", "For all", "Where it comes from", *names), height=30)
    for row, (limit, own) in enumerate(zip(BY_SPECIES, range(_OWN_FIRST, _OWN_FIRST + len(BY_SPECIES))), _FIRST):
        _default(log, sheet, row, limit)
        for number, kind in enumerate(KINDS, _SPECIES_COLUMN):
            letter = get_column_letter(number)
            own_source = special(kind, limit)
            value = _in_use(limit, book.units, f"$C{row}")
            if own_source:
                value = book.call("SPECIES_LIMIT", f'"{kind}"', *(f'"{text}"' for text in limit.known or ()))
            decimals = style.format_of(limit.quantity, book.units)
            put(sheet, f"{letter}{row}", f"={_in_use(limit, book.units, f'{letter}{own}', value)}", "result",
                decimals + ('"*"' if own_source else ""), align="right")
    put(sheet, f"A{_UNKNOWN}", "Limit of the water that is not known", "strong")
    for number in range(_SPECIES_COLUMN, _SPECIES_COLUMN + len(KINDS)):
        letter = get_column_letter(number)
        cells = f"{letter}{_FIRST}:{letter}{_FIRST + len(OF_WATER) - 1}"
        bounds = f"{letter}{_BOUNDS_FIRST}:{letter}{_BOUNDS_LAST}"
        found = f'MATCH("{terms.NOT_KNOWN}",{cells},0)'
        named = f"IFERROR(INDEX($A${_FIRST}:$A${_UNKNOWN - 1},{found}),{letter}${_FIRST - 1})"
        said = named_unknown(f'"&{named}&"')
        put(sheet, f"{letter}{_UNKNOWN}",
            f'=IF(COUNT({bounds})-COUNTIF({cells},"{terms.NOT_KNOWN}")={len(OF_WATER)},1,"? {said}")', "result")
        for row, limit in enumerate(OF_WATER):
            cell, none = f"{letter}{_FIRST + row}", -_NO_BOUND if limit.lower else _NO_BOUND
            bound_text = f"=IF(ISNUMBER({cell}),ROUND({cell},{DECIMALS}),{none})"
            put(sheet, f"{letter}{_BOUNDS_FIRST + row}", bound_text, "result")
    for row, limit in enumerate(OF_WATER, _BOUNDS_FIRST):
        put(sheet, f"A{row}", reasons[limit.key])
    for row, pair in enumerate(faults, _BOUNDS_FIRST):
        for letter, text in zip("CD", pair):
            put(sheet, f"{letter}{row}", text)
    for row in range(_UNKNOWN, _BOUNDS_LAST + 1):
        sheet.row_dimensions[row].hidden = True
    section(sheet, _GENERAL_FIRST - 2, "Limits for all systems", columns)
    headings(sheet, _GENERAL_FIRST - 1, ("Limit", "Unit", "For all", "Where it comes from", "In use"))
    for row, limit in enumerate(GENERAL, _GENERAL_FIRST):
        _default(log, sheet, row, limit)
        put(sheet, f"E{row}", f"={_in_use(limit, book.units, f'$C{row}')}", "result",
            style.format_of(limit.quantity, book.units), align="right")
    sheet.row_breaks.append(Break(id=_OWN_FIRST - 3))
    section(sheet, _OWN_FIRST - 2, "Your own limits, by species: leave blank to use the limit above; your entry "
                                   "overrides it", columns)
    headings(sheet, _OWN_FIRST - 1, ("Limit", "Unit"), height=30)
    headings(sheet, _OWN_FIRST - 1, names, _SPECIES_COLUMN)
    for row, limit in enumerate(BY_SPECIES, _OWN_FIRST):
        put(sheet, f"A{row}", limit.label, "strong")
        put(sheet, f"B{row}", _unit(limit, book.units))
        for number, kind in enumerate(KINDS, _SPECIES_COLUMN):
            number_input(book, sheet, f"{get_column_letter(number)}{row}", limit.quantity,
                         f"{kind.capitalize()}, own limit", help=f"{limit.label}. Leave blank to use the limit above")
    last = _sources(sheet, columns)
    sheet.freeze_panes = "B4"
    sheet.print_area = f"A1:{_LAST_LETTER}{last}"


def special(kind: str, limit: Limit) -> Citation | None:
    """The source of a species' own value, None where it has none that differs from the general limit."""
    if limit.known is None or KNOWN.get((kind, *limit.known), limit.preset()) == limit.preset():
        return None
    key = (kind, *limit.known)
    return KNOWN[key][1]


def _in_use(limit: Limit, units: str, typed: str, otherwise: str = '""') -> str:
    """Formula text for what is typed as a limit, "not known" where it is no number of that kind; else the other."""
    usable = is_usable(question(limit.key, asked(limit.key)), typed, units)
    return f'IF(ISBLANK({typed}),{otherwise},IF({usable},{typed},"{terms.NOT_KNOWN}"))'


def _default(log: Log, sheet: Worksheet, row: int, limit: Limit) -> None:
    value, source = limit.preset()
    put(sheet, f"A{row}", limit.label, "strong")
    put(sheet, f"B{row}", _unit(limit, log.book.units))
    number_input(log.book, sheet, f"C{row}", limit.quantity, "General limit",
                 None if value is None else log.book.show(limit.quantity, value), limit.label,
                 style.format_of(limit.quantity, log.book.units))
    unset = "by species only" if limit.known else "for you to set; not judged while blank"
    put(sheet, f"D{row}", unset if source is None else cited(source), "note", align="left")


def _unit(limit: Limit, units: str) -> str:
    return limit.quantity.unit_in(units) or "pH"  # the one quantity here whose numbers have no unit


def _sources(sheet: Worksheet, columns: int) -> int:
    """The literature behind the values marked *, one line for each; returns the last row."""
    section(sheet, _SOURCES_FIRST - 2, "Where the values marked * come from", columns)
    row = _SOURCES_FIRST - 1
    for species in SPECIES:
        for limit in BY_SPECIES:
            source = special(species, limit)
            if source is not None:
                put(sheet, f"A{row}", f"{species.capitalize()}. {limit.label}")
                put(sheet, f"D{row}", terms.COMMON_PRACTICE if source.work is COMMON_PRACTICE else str(source))
                row += 1
    return row - 1
