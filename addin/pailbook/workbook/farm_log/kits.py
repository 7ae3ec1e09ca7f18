"""Sheet "Kits": what each test kit can show, in which basis, and until when it can be trusted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pailbook import terms
from pailbook.quantity import Quantity
from pailbook.rules.comparison import DECIMALS
from pailbook.rules.words import reasoned
from pailbook.workbook import style
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log import limits
from pailbook.workbook.farm_log.log import AS_OF, Log, first_that_holds
from pailbook.workbook.farm_log.settings import BASES, factor
from pailbook.workbook.farm_log.usable import NO_DATE_TODAY, UNKNOWN, first_wrong, said_of
from pailbook.workbook.measures import KIT_READING, KIT_RESOLUTION
from pailbook.workbook.sheets import headings, put, section, write_table
from pailbook.workbook.texts import days, iso_date
from pailbook.workbook.validation import LATEST

SHEET = "Kits"
ROWS = 24
IN_USE = "yes"


@dataclass(frozen=True)
class Reads:
    """Something that a kit or meter reads."""

    key: str  # of the column of water tests
    label: str
    basis: str = ""  # the setting with the basis of its readings
    ends: tuple[str, ...] = ()  # "low", "high": the ends of its kit's range at which the true value matters

    def at_end(self, end: str) -> str:
        """What is said of a reading at that end of its kit's range; empty where it does not matter."""
        if end not in self.ends:
            return ""
        where, may = ("lower", "lower") if end == "low" else ("upper", "higher")
        return f"{self.label} at the {where} end of its kit, may be {may}"


# In the order of the columns of water tests.
READS = (
    Reads("ph", "pH", ends=("low", "high")), Reads("oxygen", "dissolved oxygen"),
    Reads("tan", "ammonia", "basis_ammonia", ("high",)), Reads("nitrite", "nitrite", "basis_nitrite", ("high",)),
    Reads("nitrate", "nitrate", "basis_nitrate", ("high",)),
    Reads("phosphate", "phosphate", "basis_phosphate", ("high",)),
    Reads("alkalinity", "alkalinity", "basis_alkalinity", ("low",)),
    Reads("hardness", "hardness", "basis_hardness"), Reads("conductivity", "conductivity"),
)
_LABELS = tuple(reads.label for reads in READS)
_BASES = tuple(dict.fromkeys(choice for basis in BASES for choice in basis.choices))
COLUMNS = (
    Column("kit", "Kit or meter", kind="text", width=26),
    Column("reads", "Reads", kind="choice", width=16, choices=_LABELS),
    Column("basis", "Basis on its label", kind="choice", width=11, choices=_BASES,
           help="As its leaflet says: PO4 or P, NO3 or N, NH3 or N. Leave blank for pH, oxygen and conductivity."),
    Column("resolution", terms.RESOLUTION, KIT_RESOLUTION, width=11,
           help="The smallest difference that it can show, in its own unit"),
    Column("low", "Lowest reading", KIT_READING, width=11, help="Below this it shows no difference"),
    Column("high", "Highest reading", KIT_READING, width=11, help="Above this it shows no difference"),
    Column("expiry", "Use by", kind="date", width=11),
    Column("in_use", "In use", kind="choice", width=11, choices=(IN_USE, "no"),
           help="One kit in use for each reading: its range and its date are what readings are judged by."),
    Column("note", "Note", kind="text", width=24),
    Column("state", "Verdict", kind="result", width=54),
    UNKNOWN,
    Column("use", "Place among the kits in use", kind="result", width=9, hidden=True),
)
_PARTS = {  # what is known of the kit in use for each reading, below the list
    "position": "Row in the list above", "kit": "Kit in use", "basis": "Its basis",
    "log_basis": "Basis set on Settings", "resolution": terms.RESOLUTION,
    "low": "Lowest reading", "high": "Highest reading", "expiry": "Use by",
    "usable": "Its entries", "good": "Use by, or never", "expired": "It and its use-by date",
    "good_until": "Good to the end of", "late": "Reason after that day",
    "low_end": "Lower end, in the log's basis", "high_end": "Upper end, in the log's basis",
    "low_reason": "Reason at the lower end", "high_reason": "Reason at the upper end",
}
_HIDDEN = (
    "position", "usable", "good", "expired", "good_until", "late", "low_end", "high_end", "low_reason", "high_reason")
END = Quantity("end of a kit")  # in the log's basis
_NO_END = {"low_end": -1_000_000_000, "high_end": 1_000_000_000}  # met by no reading, where a kit's are not known
_EVER = LATEST + 1  # good until then, where its use-by date is not known
EXPIRED = " expired "  # between a kit's name and its use-by date
UNUSABLE = "has an entry that cannot be used"
_NUMBERS = ("resolution", "low", "high", "expiry")
_SPAN = 1000  # more than there are rows of kits
Late = Callable[[Log, str], str]  # from the key of a reading


def table(rows: int = ROWS) -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, rows)


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
    log_basis = f"$B${_row_of(log, 'log_basis')}:$J${_row_of(log, 'log_basis')}"

    def state(row: int) -> str:
        kit, reads, basis, resolution, expiry, used, wrong = (
            t.cell(key, row) for key in ("kit", "reads", "basis", "resolution", "expiry", "in_use", "unknown"))
        wanted = f'IFERROR(INDEX({log_basis},1,MATCH({reads},{names},0)),"")'
        same = f'COUNTIFS({t.range("reads")},{reads},{t.range("in_use")},"{IN_USE}")'
        soon, finest = limits.general("kit_days"), limits.general("ph_step")
        of_ph = f'AND({reads}="pH",ISNUMBER({resolution}))'
        return first_that_holds((
            (f'COUNTA({t.span("kit", "in_use", row)})=0', '""'),
            (f'{wrong}<>""', said_of(wrong)),
            (f'{used}="no"', '"not asked: not in use"'),
            (f'{used}=""', '"not asked: not marked as in use"'),
            (f'{reads}=""', '"watch: enter what it reads"'),
            (f"{same}>1", '"act: two kits are in use for the same reading; set one to no"'),
            (f'AND({basis}<>"",{wanted}<>"",{basis}<>{wanted})',
             f'"act: reads "&{basis}&", Settings say "&{wanted}&"; convert, or set both alike"'),
            (f'IF({expiry}="",FALSE,{AS_OF}="")', NO_DATE_TODAY),
            (f'AND({expiry}<>"",{soon}="{terms.NOT_KNOWN}")', limits.said_unknown("kit_days")),
            (f'AND({reads}="pH",{finest}="{terms.NOT_KNOWN}")', limits.said_unknown("ph_step")),
            (f'{kit}=""', '"watch: enter its name"'),
            (f'AND({basis}="",{wanted}<>"")', '"watch: enter the basis on its label"'),
            (f'AND({expiry}="",{wanted}<>"")', '"watch: enter its use-by date"'),
            (f'IF({expiry}="",FALSE,{expiry}<{AS_OF})', f'"watch: expired "&{iso_date(expiry)}&"; replace it"'),
            (f'IF(AND({expiry}<>"",ISNUMBER({soon})),{expiry}-{AS_OF}<={soon},FALSE)',
             f'"watch: expires in "&{days(f"({expiry}-{AS_OF})")}'),
            (f"IF(AND({of_ph},ISNUMBER({finest})),{resolution}>{finest},FALSE)",
             f'"watch: with a resolution of "&{resolution}&" it cannot show a change of "&{finest}'),
        ), '"fine"')

    def use(row: int) -> str:
        place = f"MATCH({t.cell('reads', row)},{names},0)*{_SPAN}+ROW()-{t.heading_row}"
        return f'IFERROR(IF({t.cell("in_use", row)}="{IN_USE}",{place},""),"")'

    def wrong(row: int) -> str:
        keys = [column.key for column in t.inputs if column.key != "note"]
        return f'IF(COUNTA({t.span("kit", "in_use", row)})=0,"",{first_wrong(t, row, book.units, keys)})'

    write_table(book, sheet, t, {"state": state, "unknown": wrong, "use": use}, freeze="reads", verdicts=("state",))
    section(sheet, names_row - 1, "Kits in use, by reading", len([c for c in COLUMNS if not c.hidden]))
    headings(sheet, names_row, ("", *_LABELS), height=30)
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
        return f'IFERROR({log.book.name(reads.basis)}&"","")' if reads.basis else '""'
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
    if part == "expired":
        return f'IF(ISNUMBER({cell("expiry")}),{cell("kit")}&"{EXPIRED}"&{iso_date(cell("expiry"))},"")'
    if part == "usable":
        found = t.at("unknown", position)
        said = f'"? "&{found}&" ("&{cell("kit")}&")"'
        return f'IF({position}="",1,IFERROR(IF({found}="",1,{said}),"? {SHEET}"))'
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
