"""Sheet "Systems": each body of water with its fish, its volume and where its water comes from."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.quantities import Elevation, Quantity, TankShape, TankSide, Volume
from pailbook.rules import Rungs, Wrong, act, fine, is_blank, needs, rule, skips, watch
from pailbook.rules.clean_cell import clean_number
from pailbook.rules.declaration import question
from pailbook.rules.row_entries import first_fault, is_usable
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log import limits, settings
from pailbook.workbook.farm_log.entries import ENTRIES, entered, state_of_entries, verdict
from pailbook.workbook.farm_log.log import ELEVATION, Log, blank_or
from pailbook.workbook.farm_log.questions import COUNT
from pailbook.workbook.measures import GROWING_AREA, quantity
from pailbook.workbook.sheets import write_table

SHEET = "Systems"
ROWS = 20
GUESS = "guessed"
VOLUME_FOUND = ("flow meter", "counted vessels", "salt and conductivity", "tape measure", GUESS)
SOURCES = (
    "rain", "well", "tap water with chlorine", "tap water with chloramine", "pond or river", "reverse osmosis", "mixed",
)
TANK_SIDE = quantity(TankSide)
# What judging the water of a system asks of it.
_NOT_LISTED = f"is not on the list (sheet {SHEET})"
_NO_HEIGHT = f"is not a possible number (sheet {SHEET} or {settings.SHEET})"
SPECIES_ASKED = Annotated[str, Quantity("species", choices=limits.KINDS), "Species", Wrong(_NOT_LISTED), skips]
ELEVATION_ASKED = Annotated[Elevation, "Elevation", Wrong(_NO_HEIGHT)]
DIFFERENCE = 0.1  # share by which two volumes may differ; a US gallon is 17 % smaller than an Imperial one

COLUMNS = (
    Column("system", "System", kind="text", width=15, help="A short name for each system; use no name twice"),
    Column("client", "Client", kind="text", width=14, help="Whose system it is; leave blank for your own"),
    Column("species", "Species", kind="choice", width=16, choices=limits.KINDS,
           help="Its limits are used. If there are several species, pick the most delicate one."),
    Column("volume", "Water volume, measured", quantity(Volume), width=14,
           help="All the water: tanks, sumps, beds and pipes. Every dose rests on it"),
    Column("found", "How the volume was measured", kind="choice", width=21, choices=VOLUME_FOUND),
    Column("shape", "Shape of the tank", kind="choice", width=12, choices=quantity(TankShape).choices,
           help="To check the volume. For a round tank, give the diameter as its length and as its width."),
    Column("length", "Length inside", TANK_SIDE, width=9),
    Column("width", "Width inside", TANK_SIDE, width=9),
    Column("depth", "Water depth", TANK_SIDE, width=9),
    Column("elevation", "Own elevation", quantity(Elevation), width=10,
           help="Fill in only where it differs from the elevation on Settings"),
    Column("area", "Growing area", GROWING_AREA, width=10),
    Column("source", "Source water", kind="choice", width=25, choices=SOURCES),
    Column("note", "Note", kind="text", width=24),
    Column("worked", "Volume by tape measure", quantity(Volume), "result", 14),
    Column("in_use", "Volume in use", quantity(Volume), "result", 14),
    Column("check", "Volume check", kind="result", width=34),
    Column("elevation_used", "Elevation in use", quantity(Elevation), "result", 10, hidden=True),
    Column("kind", "Column of limits", kind="result", width=9, hidden=True),
    Column("usable", "What judging the water asks of it", kind="result", width=9, hidden=True),
    ENTRIES,
)
_ENTERED = (
    "system", "species", "volume", "found", "shape", "length", "width", "depth", "elevation", "area", "source")
_ASKED = entered(COLUMNS, _ENTERED, needed=("system",)) | {
    "same_name": Annotated[float, COUNT, "systems of this name"],
    "in_use": Annotated[Volume, "Volume in use", skips],
    "worked": Annotated[Volume, "Volume by tape measure", skips],
}


@rule("Volume", asks=_ASKED)
def volume_check(
    volume: Any, found: Any, species: Any, same_name: Any, in_use: Any, worked: Any, **typed: Any
) -> Rungs:
    """Whether a system's volume can be relied on, and which limits hold for it."""
    by_tape = ~is_blank(volume) & ~is_blank(worked)
    return (
        needs(*(typed | {"volume": volume, "found": found, "species": species}).values()),
        act(same_name > 1, "another system has this name", "Give each system a name of its own"),
        watch(is_blank(in_use), "without a volume there is no density and no dose"),
        watch(ops.absolute(volume - worked) > DIFFERENCE * worked,
              "measured and tape differ by over 10 %; US or Imperial gallons, or litres?"),
        watch((found == GUESS) & ~by_tape, "guessed; measure it before you dose"),
        watch(is_blank(species), "no species, so the general limits are used"),
        fine(),
    )


_QUESTIONS = {one.name: one for one in volume_check.questions}


def table(rows: int = ROWS) -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, rows)


def write(log: Log) -> None:
    """Writes the sheet."""
    book, t = log.book, log[SHEET]
    sheet = book.sheet(SHEET, "One row for each body of water that mixes. The other sheets pick systems from here.")
    species = ",".join(f'"{kind}"' for kind in limits.KINDS)

    def named(row: int, text: str) -> str:
        system = t.cell("system", row)
        return f'IF(ISERROR({system}),"",IF({system}="","",{text}))'

    def worked(row: int) -> str:
        cells = [t.cell(key, row) for key in ("shape", "length", "width", "depth")]
        call = book.call("TANK_VOLUME", *cells)
        return f'IFERROR(IF(OR({cells[0]}="",COUNT({",".join(cells[1:])})<3),"",{call}),"")'

    def in_use(row: int) -> str:
        volume = t.cell("volume", row)
        measured = is_usable(_QUESTIONS["volume"], volume, book.units)
        return f'IFERROR(IF({volume}="",{t.cell("worked", row)},IF({measured},{volume},"")),"")'

    def elevation(row: int) -> str:
        own = t.cell("elevation", row)
        return named(row, clean_number(question("elevation", ELEVATION_ASKED), own, book.units, assumed=ELEVATION))

    def entries(row: int) -> str:
        return state_of_entries(book, t, volume_check, row, "system", "source")

    def check(row: int) -> str:
        where = {key: t.cell(key, row) for key in ("in_use", "worked")}
        where["same_name"] = f"COUNTIF({t.range('system')},{t.cell('system', row)})"
        return verdict(book, t, volume_check, row, where, trusted=frozenset({"same_name"}))

    asked = (question("species", SPECIES_ASKED), question("elevation", ELEVATION_ASKED))

    def usable(row: int) -> str:
        where = {"species": t.cell("species", row), "elevation": t.cell("elevation_used", row)}
        return named(row, first_fault(asked, where, book.units))

    write_table(
        book, sheet, t,
        {
            "worked": worked, "in_use": in_use, "check": check, "elevation_used": elevation,
            "kind": lambda row: named(row, f"IFERROR(MATCH({t.cell('species', row)},{{{species}}},0),"
                                           f"{len(limits.KINDS)})"),
            "usable": usable, ENTRIES.key: entries,
        },
        freeze="client", verdicts=("check",),
    )


def of_system(log: Log, key: str, system: str, otherwise: str = '""') -> str:
    """Formula text for a column of Systems at the named system's row; `otherwise` where it is not on the list."""
    t = log[SHEET]
    found = t.at(key, f"MATCH({system},{t.range('system')},0)")
    return f"IFERROR({found},{otherwise})" if otherwise != '""' else f'IFERROR({blank_or(found)},"")'
