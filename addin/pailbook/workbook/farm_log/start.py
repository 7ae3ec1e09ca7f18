"""Sheet "Start": what the log is for, what to fill in first, the key results, cautions."""

from __future__ import annotations

from dataclasses import dataclass

from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import Biomass, FishCount, Oxygen, Quantity, UnionizedAmmonia
from pailbook.workbook import style
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log import kits, limits, overview, registers, systems, upkeep, water_tests
from pailbook.workbook.farm_log.advice import CALM
from pailbook.workbook.farm_log.log import Log, blank_or
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import column_input, put, section, widths

SHEET = "Start"
_FOR = (
    "Write down what you test, feed, dose, change, harvest and repair; weigh and count your fish.",
    "It works out what a kit cannot show (un-ionised ammonia, oxygen saturation, free CO2), and judges each test in "
    "words: fine, watch, act.",
    "Overview says what to do next in each system. The sheets are protected against slips, without a password.",
)
_FIRST_STEPS = (
    ("Settings", "elevation, and the basis of each kit (PO4 or P, NO3 or N, NH3 or N)"),
    ("Systems", "a row for each body of water: name, species, measured volume"),
    ("Kits", "what each kit reads, its range, its use-by date"),
    ("Water tests", "a row for each test, in boxes with a frame; grey cells work themselves out"),
)
_CAUTIONS = (
    "Acids and bases burn: gloves and goggles. Add acid to water, never water to acid. Never store or dose an acid "
    "beside a base or chlorine.",
    "Mains power near water kills: residual-current breaker, drip loops, unplug before hands go in.",
    "Chlorine and chloramine kill fish and filter: take them out before mains water goes in.",
    "Medicines, anaesthetics and sick fish: the label, a vet and the law. Food from treated fish has withdrawal times.",
    "Transport of live fish, possession of species and discharge of water are regulated: ask your local authority.",
    "The log informs; it does not replace licensed practice. The limits are starting points: see the sheet Limits.",
)


@dataclass(frozen=True)
class Result:
    """A key result: its defined name, what it says, its unit and its formula."""

    name: str
    label: str
    text: str
    quantity: Quantity | None = None
    unit: str = ""


def key_results(log: Log) -> tuple[Result, ...]:
    """The key results, in the order in which they are shown."""
    view, stock = log[overview.SHEET], log[overview.STOCK]
    none = f'SUMPRODUCT(({log[systems.SHEET].range("system")}<>"")*1)=0'
    verdicts = view.range("verdict")

    def count(test: str, guard: str = none) -> str:
        return f'IF({guard},"",{test})'

    def of_numbers(function: str, cells: str) -> str:
        return f'IF(COUNT({cells})=0,"",{function}({cells}))'

    def where(cells: str, name: str) -> str:
        return f'IF({name}="","",INDEX({view.range("system")},MATCH({name},{cells},0)))'

    def starts(name: str, key: str, word: str) -> str:
        cells = log[name].range(key)
        return f'SUMPRODUCT((LEFT({cells},{len(word)})="{word}")*1)'

    tests, nh3, oxygen = log[water_tests.SHEET], view.range("nh3"), view.range("oxygen")
    urgency = view.range("urgency")
    first = f"MATCH(MIN({urgency}),{urgency},0)"
    next_step = (f'IF(MIN({urgency})={CALM},"",INDEX({view.range("system")},{first})&": ")'
                 f'&INDEX({view.range("next")},{first})')
    kit_list, unset = log[kits.SHEET], 'as_of=""'
    return (
        Result("next_step", "Do this first", count(next_step)),
        Result("systems_to_act", "Systems that say act", count(f'COUNTIF({verdicts},"act")'), unit="systems"),
        Result("systems_to_watch", "Systems that say watch", count(f'COUNTIF({verdicts},"watch")'), unit="systems"),
        Result("tests_overdue", "Systems whose latest test is too old",
               count(f'COUNTIF({view.range("days")},">"&{limits.general("days_watch")})', f"OR({none},{unset})"),
               unit="systems"),
        Result("latest_nh3_highest", "Highest un-ionised ammonia in the latest tests", of_numbers("MAX", nh3),
               quantity(UnionizedAmmonia), "mg/L NH3-N"),
        Result("latest_nh3_system", "that is in", where(nh3, "latest_nh3_highest")),
        Result("latest_oxygen_lowest", "Lowest oxygen in the latest tests", of_numbers("MIN", oxygen),
               quantity(Oxygen)),
        Result("latest_oxygen_system", "that is in", where(oxygen, "latest_oxygen_lowest")),
        Result("fish_on_hand", "Fish on hand", of_numbers("SUM", stock.range("stock")), quantity(FishCount), "fish"),
        Result("biomass_on_hand", "Weight of all fish", of_numbers("SUM", stock.range("biomass")), quantity(Biomass)),
        Result("stock_to_act", "Systems whose stock says act", count(
            starts(overview.STOCK, "verdict", "act"), f'COUNT({stock.range("stock")})=0'), unit="systems"),
        Result("kits_to_replace", "Kits that say act", count(
            starts(kits.SHEET, "state", "act"), f'OR({unset},SUMPRODUCT(({kit_list.range("kit")}<>"")*1)=0)'),
            unit="kits"),
        Result("upkeep_overdue", "Upkeep overdue", count(
            starts(upkeep.SHEET, "state", "act"), f'OR({unset},COUNT({log[upkeep.SHEET].range("date")})=0)'),
            unit="tasks"),
        Result("incidents_open", "Incidents still open", count(
            starts(registers.INCIDENTS, "state", "watch"), f'COUNT({log[registers.INCIDENTS].range("date")})=0'),
            unit="incidents"),
        Result("tests_entered", "Water tests in the log", count(
            f'COUNT({tests.range("date")})', f'COUNT({tests.range("date")})=0'), unit="tests"),
        Result("date_check", "Is the date above right?", _date_check(log)),
    )


def _date_check(log: Log) -> str:
    dates = log[water_tests.SHEET].range("date")
    return (f'IF(COUNT({dates})=0,"",IF(as_of="","enter today\'s date above",'
            f'IF(MAX({dates})>=as_of+1,"there are tests after that date: enter today\'s","yes")))')


def write(log: Log) -> None:
    """Writes the sheet."""
    book = log.book
    sheet = book.sheet(SHEET, "", landscape=False)
    sheet["A1"].value = "Farm log"
    put(sheet, "A2", f'={blank_or("Settings!$B$5")}', "note")
    widths(sheet, 5, 42, 20, 14, 48)
    row = 4
    section(sheet, row, "What it is for", 5)
    for text in _FOR:
        row += 1
        put(sheet, f"A{row}", text)
    row += 2
    section(sheet, row, "Fill in first", 5)
    row += 1
    put(sheet, f"A{row}", 1, "strong")
    put(sheet, f"B{row}", "Today's date (as of)", "strong")
    column_input(book, sheet, f"C{row}", Column(
        "as_of", "Today's date", kind="date",
        help="Type today's date, such as 2026-03-31. Ages and what is due count to it; it does not move by itself."))
    book.define("as_of", SHEET, f"C{row}")
    put(sheet, f"D{row}", "year-month-day", "note")
    for number, (name, what) in enumerate(_FIRST_STEPS, 2):
        row += 1
        put(sheet, f"A{row}", number, "strong")
        cell = put(sheet, f"B{row}", f"Sheet {name}", "strong")
        cell.hyperlink = Hyperlink(ref=cell.coordinate, location=f"'{name}'!A1")
        put(sheet, f"C{row}", what)
    row += 2
    section(sheet, row, "Key results", 5)
    for result in key_results(log):
        row += 1
        put(sheet, f"B{row}", result.label, "strong")
        number_format = style.format_of(result.quantity, book.units) if result.quantity else "General"
        put(sheet, f"C{row}", f"={result.text}", "key", number_format, align="left")
        unit = result.unit or (result.quantity.unit_in(book.units) if result.quantity else "")
        if result.name == "next_step":
            _wide(sheet, row)
        else:
            put(sheet, f"D{row}", unit, align="left")
        book.define(result.name, SHEET, f"C{row}")
    row += 2
    section(sheet, row, "Do the functions answer?", 5)
    row += 1
    put(sheet, f"B{row}", "In this program", "strong")
    if book.plain:
        put(sheet, f"C{row}", "plain formulas: no add-in needed", "key", align="left")
        _wide(sheet, row)
    else:
        answer = book.call("AMMONIA_FRACTION", "7", *(("77", "0") if book.units == "us" else ("25", "0")))
        put(sheet, f"C{row}", f'=IFERROR(IF(ISNUMBER({answer}),"yes","no"),"no")', "key", align="left")
        put(sheet, f"D{row}", "If no: install the add-in, or ask for the copy with plain formulas. What you typed is "
                              "safe.", "note", align="left")
    book.define("functions_answer", SHEET, f"C{row}")
    row += 2
    section(sheet, row, "Cautions, and who to ask", 5)
    for text in _CAUTIONS:
        row += 1
        sheet.merge_cells(f"A{row}:E{row}")
        put(sheet, f"A{row}", text, "text", wrap=True)
        sheet.row_dimensions[row].height = 14 * (1 + len(text) // 130)
    sheet.print_area = f"A1:E{row}"


def _wide(sheet: Worksheet, row: int) -> None:
    """Gives a long text the columns to the right of it."""
    for letter in "DE":
        style.look(sheet[f"{letter}{row}"], "key")
    sheet.merge_cells(f"C{row}:E{row}")
