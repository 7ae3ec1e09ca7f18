"""Sheet "Kits": what each test kit can show, in which basis, and until when it can be trusted."""

from __future__ import annotations

from collections.abc import Callable

from pailbook import terms
from pailbook.quantity import Quantity
from pailbook.rules.comparison import DECIMALS
from pailbook.rules.words import reasoned
from pailbook.workbook import style
from pailbook.workbook.columns import Table
from pailbook.workbook.farm_log import kit_rules, limits
from pailbook.workbook.farm_log.entries import ENTRIES, state_of_entries, verdict
from pailbook.workbook.farm_log.kit_columns import COLUMNS as COLUMNS
from pailbook.workbook.farm_log.kit_columns import IN_USE as IN_USE
from pailbook.workbook.farm_log.kit_columns import LABELS
from pailbook.workbook.farm_log.kit_columns import READS as READS
from pailbook.workbook.farm_log.kit_columns import SHEET as SHEET
from pailbook.workbook.farm_log.kit_columns import Reads as Reads
from pailbook.workbook.farm_log.log import AS_OF, Log
from pailbook.workbook.farm_log.settings import factor
from pailbook.workbook.sheets import headings, put, section, write_table
from pailbook.workbook.validation import LATEST

ROWS = 24
_IN_USE = "Kits in use, by reading"  # what stands below the list
_PARTS = {  # what is known of the kit in use for each reading, below the list
    "position": "Row in the list above", "kit": "Kit in use", "basis": "Its basis",
    "log_basis": "Basis set on Settings", "resolution": terms.RESOLUTION,
    "low": "Lowest reading", "high": "Highest reading", "expiry": "Use by",
    "usable": "Its entries", "good": "Use by, or never",
    "good_until": "Good to the end of", "late": "Reason after that day",
    "low_end": "Lower end, in the log's basis", "high_end": "Upper end, in the log's basis",
    "low_reason": "Reason at the lower end", "high_reason": "Reason at the upper end",
}
_HIDDEN = (
    "position", "usable", "good", "good_until", "late", "low_end", "high_end", "low_reason", "high_reason")
END = Quantity("end of a kit")  # in the log's basis
_NO_END = {"low_end": -1_000_000_000, "high_end": 1_000_000_000}  # met by no reading, where a kit's are not known
_EVER = LATEST + 1  # good until then, where its use-by date is not known
UNUSABLE = "has an entry that cannot be used"
_NUMBERS = ("resolution", "low", "high", "expiry")
_SPAN = 1000  # more than there are rows of kits
Late = Callable[[Log, str], str]  # from the key of a reading


def table(rows: int = ROWS) -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, rows, followed_by=_IN_USE)


def _row_of(log: Log, part: str) -> int:
    return log[SHEET].last_row + 5 + list(_PARTS).index(part)


def _letter_of(key: str) -> str:
    return "BCDEFGHIJ"[next(i for i, reads in enumerate(READS) if reads.key == key)]


def in_use(log: Log, part: str, key: str) -> str:
    """The cell with a part of what is known of the kit in use for a reading, such as "low", "high" or "expiry".

    "usable" stands for its entries: 1, or "? " and which cannot be used. "low_end" and "high_end" are always numbers,
    which no reading meets where nothing is known; "late" is the reason in the row of a test after "good_until".
    """
    return f"{SHEET}!${_letter_of(key)}${_row_of(log, part)}"


def write(log: Log, late: Late) -> None:
    """Writes the sheet; `late` gives formula text for what is said of a test after a kit's last day."""
    book, t = log.book, log[SHEET]
    sheet = book.sheet(SHEET, "One row for each kit or meter. The log says so where a reading is at the end of its "
                              "kit's range. Kits call alkalinity KH and hardness GH.")
    names_row = t.last_row + 4
    names = f"$B${names_row}:$J${names_row}"
    bases = f"$B${_row_of(log, 'log_basis')}:$J${_row_of(log, 'log_basis')}"

    def state(row: int) -> str:
        return verdict(book, t, kit_rules.kit, row, {
            "kits_in_use": f'COUNTIFS({t.range("reads")},{t.cell("reads", row)},{t.range("in_use")},"{IN_USE}")',
            "log_basis": t.cell("log_basis", row), "today": AS_OF, "kit_days": limits.general("kit_days"),
            "ph_step": limits.general("ph_step"),
        }, trusted=frozenset({"kits_in_use"}))

    def log_basis(row: int) -> str:
        found = f"INDEX({bases},1,MATCH({t.cell('reads', row)},{names},0))"
        return f'IFERROR(IF({found}="","{kit_rules.NO_BASIS}",{found}),"")'

    def use(row: int) -> str:
        place = f"MATCH({t.cell('reads', row)},{names},0)*{_SPAN}+ROW()-{t.heading_row}"
        return f'IFERROR(IF({t.cell("in_use", row)}="{IN_USE}",{place},""),"")'

    def entries(row: int) -> str:
        return state_of_entries(book, t, kit_rules.kit, row, "kit", "in_use")

    write_table(
        book, sheet, t, {"state": state, ENTRIES.key: entries, "log_basis": log_basis, "use": use},
        freeze="reads", verdicts=("state",))
    section(sheet, names_row - 1, _IN_USE, len([c for c in COLUMNS if not c.hidden]))
    headings(sheet, names_row, ("", *LABELS), height=30)
    for part, label in _PARTS.items():
        row = _row_of(log, part)
        put(sheet, f"A{row}", label, "strong")
        sheet.row_dimensions[row].hidden = part in _HIDDEN
        for number, reads in enumerate(READS, 1):
            align = "center" if part == "expiry" else "right" if part in ("position", *_NUMBERS) else "left"
            put(sheet, f"{_letter_of(reads.key)}{row}", f"={_known(log, part, number, reads, late)}", "result",
                style.DATE_FORMAT if part == "expiry" else "General", wrap=part == "kit", align=align)
    sheet.row_dimensions[_row_of(log, "kit")].height = 40
    sheet.print_area = f"A1:{t.letter('state')}{_row_of(log, 'expiry')}"


def _known(log: Log, part: str, number: int, reads: Reads, late: Late) -> str:
    """Formula text for a part of what is known of the kit in use for a reading, which is the number-th."""
    t = log[SHEET]

    def cell(other: str) -> str:
        return f"{_letter_of(reads.key)}{_row_of(log, other)}"

    places, position = t.range("use"), cell("position")
    if part == "position":  # the last one, where there are several
        first, following = number * _SPAN, (number + 1) * _SPAN
        return (f'IF(COUNTIFS({places},">={first}",{places},"<{following}")=0,"",'
                f'LARGE({places},COUNTIF({places},">={following}")+1)-{first})')
    if part == "log_basis":
        typed = log.book.name(reads.basis)
        return f'IFERROR(IF({typed}="","{terms.NOT_KNOWN}",{typed}),"{terms.NOT_KNOWN}")' if reads.basis else '""'
    if part in _NO_END:
        end, none = cell(part.removesuffix("_end")), _NO_END[part]
        if not reads.basis:
            return f"IF(ISNUMBER({end}),ROUND({end},{DECIMALS}),{none})"
        return f"IF(COUNT({end},{factor(reads.basis)})=2,ROUND({end}*{factor(reads.basis)},{DECIMALS}),{none})"
    if part in ("low_reason", "high_reason"):
        said = reads.at_end(part.removesuffix("_reason"))
        return f'"{reasoned(terms.WATCH, said)}"' if said else '""'
    if part == "good":
        return f'IF(ISNUMBER({cell("expiry")}),{cell("expiry")},{_EVER})'
    if part == "good_until":  # a kit with an entry that cannot be used is never good
        return f'IF(ISNUMBER({cell("usable")}),{cell("good")},0)'
    if part == "late":
        return late(log, reads.key)
    if part == "usable":
        found = t.at(ENTRIES.key, position)
        said = f'{found}&" ("&{cell("kit")}&")"'
        return f'IF({position}="",1,IFERROR(IF(ISNUMBER({found}),1,{said}),"? {SHEET}"))'
    found = t.at(part, position)
    if part == "kit":
        found = f'IF({found}="","the kit for {reads.label}",{found})'
    elif part == "basis":
        found = f'{found}&""'
    else:
        found = f'IF(ISNUMBER({found}),{found},"")'
        if part in ("low", "high") and reads.basis:  # a range in another basis says nothing about the readings
            found = f'IF(AND({cell("basis")}<>"",{cell("basis")}<>{cell("log_basis")}),"",{found})'
    return f'IF({position}="","",IFERROR({found},""))'
