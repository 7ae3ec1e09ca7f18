"""Sheet "Kits": what each test kit can show, in which basis, and until when it can be trusted."""

from __future__ import annotations

from dataclasses import dataclass

from pailbook.workbook import style
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log import limits
from pailbook.workbook.farm_log.log import AS_OF, Log, blank_or, first_that_holds
from pailbook.workbook.farm_log.settings import BASES
from pailbook.workbook.measures import KIT_READING, KIT_RESOLUTION
from pailbook.workbook.sheets import headings, put, section, write_table

SHEET = "Kits"
ROWS = 24
IN_USE = "yes"


@dataclass(frozen=True)
class Reads:
    """Something that a kit or meter reads."""

    key: str  # of the column of water tests
    label: str
    basis: str = ""  # the setting with the basis of its readings


# In the order of the columns of water tests.
READS = (
    Reads("ph", "pH"), Reads("oxygen", "dissolved oxygen"), Reads("tan", "ammonia", "basis_ammonia"),
    Reads("nitrite", "nitrite", "basis_nitrite"), Reads("nitrate", "nitrate", "basis_nitrate"),
    Reads("phosphate", "phosphate", "basis_phosphate"), Reads("alkalinity", "alkalinity", "basis_alkalinity"),
    Reads("hardness", "hardness", "basis_hardness"), Reads("conductivity", "conductivity"),
)
_LABELS = tuple(reads.label for reads in READS)
_BASES = tuple(dict.fromkeys(choice for basis in BASES for choice in basis.choices))
COLUMNS = (
    Column("kit", "Kit or meter", kind="text", width=26),
    Column("reads", "Reads", kind="choice", width=16, choices=_LABELS),
    Column("basis", "Basis on its label", kind="choice", width=11, choices=_BASES,
           help="As the leaflet says: PO4 or P, NO3 or N, NH3 or N. Blank for pH, oxygen, conductivity."),
    Column("resolution", "Step", KIT_RESOLUTION, width=11, help="Smallest difference it can show, in its own unit"),
    Column("low", "Lowest it shows", KIT_READING, width=11, help="Below this it shows no difference"),
    Column("high", "Highest it shows", KIT_READING, width=11, help="Above this it shows no difference"),
    Column("expiry", "Use by", kind="date", width=11),
    Column("in_use", "In use", kind="choice", width=11, choices=(IN_USE, "no"),
           help="One kit in use for each reading: its range and date are what readings are judged by."),
    Column("note", "Note", kind="text", width=24),
    Column("state", "Verdict", kind="result", width=54),
)
_MATRIX = ("position", "kit", "basis", "log_basis", "resolution", "low", "high", "expiry")
_MATRIX_LABELS = ("Row in the list above", "Kit in use", "Its basis", "Basis set on Settings", "Step",
                  "Lowest it shows", "Highest it shows", "Use by")


def table(rows: int = ROWS) -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, rows)


def _matrix_row(log: Log, what: str) -> int:
    return log[SHEET].last_row + 5 + _MATRIX.index(what)


def _matrix_letter(key: str) -> str:
    return "BCDEFGHIJ"[next(i for i, reads in enumerate(READS) if reads.key == key)]


def in_use(log: Log, what: str, key: str) -> str:
    """The cell with the step, low, high or expiry of the kit in use for a reading."""
    return f"{SHEET}!${_matrix_letter(key)}${_matrix_row(log, what)}"


def expiries(log: Log) -> str:
    """The row of dates until which the kits in use are good, in the order of the readings."""
    row = _matrix_row(log, "expiry")
    return f"{SHEET}!$B${row}:$J${row}"


def write(log: Log) -> None:
    """Writes the sheet."""
    book, t = log.book, log[SHEET]
    sheet = book.sheet(SHEET, "One row for each kit or meter. A reading at the end of its kit's range may be far "
                              "from the truth: the log says so.")
    names_row = t.last_row + 4
    names = f"$B${names_row}:$J${names_row}"
    log_basis = f"$B${_matrix_row(log, 'log_basis')}:$J${_matrix_row(log, 'log_basis')}"

    def state(row: int) -> str:
        kit, reads, basis, step, expiry, used = (
            t.cell(key, row) for key in ("kit", "reads", "basis", "resolution", "expiry", "in_use"))
        wanted = f'IFERROR(INDEX({log_basis},1,MATCH({reads},{names},0)),"")'
        same = f'COUNTIFS({t.range("reads")},{reads},{t.range("in_use")},"{IN_USE}")'
        ladder = (
            (f'OR({kit}="",{used}="")', '""'),
            (f'{used}="no"', '"not in use"'),
            (f'{reads}=""', '"watch: say what it reads"'),
            (f"{same}>1", '"act: two kits in use for the same reading; set one to no"'),
            (f'AND({basis}<>"",{wanted}<>"",{basis}<>{wanted})',
             f'"act: reads "&{basis}&", Settings say "&{wanted}&"; convert, or set both alike"'),
            (f'AND({basis}="",{wanted}<>"")', '"watch: enter the basis on its label"'),
            (f'AND({expiry}="",{wanted}<>"")', '"watch: enter its use-by date"'),
            (f'AND({expiry}<>"",{AS_OF}<>"",{expiry}<{AS_OF})', '"act: past its use-by date; readings may be wrong"'),
            (f'AND({expiry}<>"",{AS_OF}<>"",{expiry}-{AS_OF}<={limits.general("kit_days")})',
             f'"watch: good for "&({expiry}-{AS_OF})&" more days"'),
            (f'AND({reads}="pH",ISNUMBER({step}),{step}>{limits.general("ph_step")})',
             f'"watch: with steps of "&{step}&" it cannot show a change of "&{limits.general("ph_step")}'),
        )
        return first_that_holds(ladder, '"fine"')

    write_table(book, sheet, t, {"state": state}, freeze="reads", verdicts=("state",))
    section(sheet, names_row - 1, "Kits in use, by reading", len(COLUMNS))
    headings(sheet, names_row, ("", *_LABELS), height=30)
    for what, label in zip(_MATRIX, _MATRIX_LABELS):
        row = _matrix_row(log, what)
        put(sheet, f"A{row}", label, "strong")
        for reads in READS:
            letter = _matrix_letter(reads.key)
            position = f"{letter}{_matrix_row(log, 'position')}"
            if what == "position":
                used = f'({t.range("reads")}="{reads.label}")*({t.range("in_use")}="{IN_USE}")'
                found = f"SUMPRODUCT(MAX({used}*ROW({t.range('reads')})))-{t.heading_row}"
                text = f'IF(COUNTIFS({t.range("reads")},"{reads.label}",{t.range("in_use")},"{IN_USE}")=0,"",{found})'
            elif what == "log_basis":
                text = log.book.name(reads.basis) if reads.basis else '""'
            else:
                text = f'IF({position}="","",{blank_or(t.at(what, position))})'
            if what in ("low", "high") and reads.basis:  # a range in another basis says nothing about the readings
                own, wanted = (f"{letter}{_matrix_row(log, key)}" for key in ("basis", "log_basis"))
                text = f'IF(AND({own}<>"",{own}<>{wanted}),"",{text})'
            align = "center" if what == "expiry" else "left" if what in ("kit", "basis", "log_basis") else "right"
            put(sheet, f"{letter}{row}", f"={text}", "result", style.DATE_FORMAT if what == "expiry" else "General",
                wrap=what == "kit", align=align)
    sheet.row_dimensions[_matrix_row(log, "kit")].height = 40
    sheet.row_dimensions[_matrix_row(log, "position")].hidden = True
    sheet.print_area = f"A1:{t.letter('state')}{_matrix_row(log, 'expiry')}"
