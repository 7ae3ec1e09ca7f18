"""Sheet "Systems": each body of water with its fish, its volume and where its water comes from."""

from __future__ import annotations

from pailbook.quantities import Elevation, TankShape, TankSide, Volume
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log import limits
from pailbook.workbook.farm_log.log import ELEVATION, Log, blank_or, first_that_holds
from pailbook.workbook.measures import GROWING_AREA, quantity
from pailbook.workbook.sheets import write_table

SHEET = "Systems"
ROWS = 20
GUESS = "guessed"
VOLUME_FOUND = ("flow meter", "counted buckets", "salt and conductivity", "tape measure", GUESS)
SOURCES = ("rain", "well", "tap water with chlorine", "tap water with chloramine", "pond or river", "reverse osmosis", "mixed")
TANK_SIDE = quantity(TankSide)
DIFFERENCE = 0.1  # share by which two volumes may differ; a US gallon is 17 % smaller than an Imperial one

COLUMNS = (
    Column("system", "System", kind="text", width=15, help="A short name of its own for each system; no name twice"),
    Column("client", "Client", kind="text", width=14, help="Whose system it is; blank for your own"),
    Column("species", "Species", kind="choice", width=16, choices=limits.KINDS,
           help="Its limits hold. Several species: pick the most delicate one."),
    Column("volume", "Water volume, measured", quantity(Volume), width=14,
           help="All the water: tanks, sumps, beds and pipes. Every dose rests on it"),
    Column("found", "How the volume was measured", kind="choice", width=21, choices=VOLUME_FOUND),
    Column("shape", "Shape of the tank", kind="choice", width=12, choices=quantity(TankShape).choices,
           help="To check the volume. For a round tank give the diameter as length and as width."),
    Column("length", "Length inside", TANK_SIDE, width=9),
    Column("width", "Width inside", TANK_SIDE, width=9),
    Column("depth", "Water depth", TANK_SIDE, width=9),
    Column("elevation", "Elevation, if its own", quantity(Elevation), width=10,
           help="Only where it differs from the one on Settings"),
    Column("area", "Growing area", GROWING_AREA, width=10),
    Column("source", "Source water", kind="choice", width=22, choices=SOURCES),
    Column("note", "Note", kind="text", width=24),
    Column("worked", "Volume by tape measure", quantity(Volume), "result", 14),
    Column("in_use", "Volume in use", quantity(Volume), "result", 14),
    Column("check", "Is the volume sound?", kind="result", width=34),
    Column("elevation_used", "Elevation in use", quantity(Elevation), "result", 10, hidden=True),
    Column("kind", "Column of limits", kind="result", width=9, hidden=True),
)


def table(rows: int = ROWS) -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, rows)


def write(log: Log) -> None:
    """Writes the sheet."""
    book, t = log.book, log[SHEET]
    sheet = book.sheet(SHEET, "One row for each body of water that mixes. The other sheets pick systems from here.")
    species = ",".join(f'"{kind}"' for kind in limits.KINDS)

    def worked(row: int) -> str:
        cells = [t.cell(key, row) for key in ("shape", "length", "width", "depth")]
        return f'IF(OR({cells[0]}="",COUNT({",".join(cells[1:])})<3),"",{book.call("TANK_VOLUME", *cells)})'

    def in_use(row: int) -> str:
        volume = t.cell("volume", row)
        return f"IF(ISNUMBER({volume}),{volume},{t.cell('worked', row)})"

    def check(row: int) -> str:
        volume, by_tape = t.cell("volume", row), t.cell("worked", row)
        return first_that_holds((
            (f'{t.cell("system", row)}=""', '""'),
            (f"COUNTIF({t.range('system')},{t.cell('system', row)})>1", '"act: another system has this name"'),
            (f'{t.cell("in_use", row)}=""', '"watch: no volume, so no density and no dose"'),
            (f"COUNT({volume},{by_tape})<2",
             f'IF({t.cell("found", row)}="{GUESS}","watch: a guess; measure it before you dose","fine")'),
            (f"ABS({volume}/{by_tape}-1)>{DIFFERENCE}",
             '"watch: measured and tape differ by over 10 %; US, Imperial gallons or litres?"'),
        ), '"fine"')

    write_table(
        book, sheet, t,
        {
            "worked": worked, "in_use": in_use, "check": check,
            "elevation_used": lambda row: f'IF({t.cell("system", row)}="","",IF(ISNUMBER({t.cell("elevation", row)}),'
                                          f'{t.cell("elevation", row)},{ELEVATION}+0))',
            "kind": lambda row: f'IF({t.cell("system", row)}="","",IFERROR(MATCH({t.cell("species", row)},'
                                f"{{{species}}},0),{len(limits.KINDS)}))",
        },
        freeze="client", verdicts=("check",),
    )


def of_system(log: Log, key: str, system: str, otherwise: str = '""') -> str:
    """Formula text for a column of Systems at the named system's row; `otherwise` where it is not on the list."""
    t = log[SHEET]
    found = t.at(key, f"MATCH({system},{t.range('system')},0)")
    return f"IFERROR({found},{otherwise})" if otherwise != '""' else f'IFERROR({blank_or(found)},"")'
