"""Sheet "Start": what the log is for, what to fill in first, the key results, cautions."""

from __future__ import annotations

from pailbook.quantities import Biomass, FishCount, Oxygen, UnionizedAmmonia
from pailbook.workbook import front
from pailbook.workbook.farm_log import kits, limits, overview, registers, systems, upkeep, water_tests
from pailbook.workbook.farm_log.advice import CALM
from pailbook.workbook.farm_log.log import AS_OF, Log, blank_or
from pailbook.workbook.front import SHEET, Result
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import put, widths

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
    ("Water tests", "a row for each test, in the boxes with a frame; the rest works itself out"),
)
_CAUTIONS = (
    front.ACIDS_AND_BASES,
    front.MAINS_POWER,
    front.CHLORINE,
    front.MEDICINES,
    front.REGULATED,
    "The log informs; it does not replace licensed practice. The limits are starting points: see the sheet Limits.",
)


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
    kit_list, unset = log[kits.SHEET], f'{AS_OF}=""'
    return (
        Result("next_step", "Do this first", count(next_step)),
        Result("systems_to_act", "Systems that say act", count(f'COUNTIF({verdicts},"act")'), unit="systems"),
        Result("systems_to_watch", "Systems that say watch", count(f'COUNTIF({verdicts},"watch")'), unit="systems"),
        Result("tests_overdue", "Systems whose latest test is too old",
               count(f'COUNTIF({view.range("days")},">"&{limits.general("days_watch")})', f"OR({none},{unset})"),
               unit="systems"),
        Result("latest_nh3_highest", "Highest un-ionised ammonia in the latest tests", of_numbers("MAX", nh3),
               quantity(UnionizedAmmonia), "mg/L NH3-N"),
        Result("latest_nh3_system", "System with the highest NH3-N", where(nh3, log.book.name("latest_nh3_highest"))),
        Result("latest_oxygen_lowest", "Lowest oxygen in the latest tests", of_numbers("MIN", oxygen),
               quantity(Oxygen)),
        Result("latest_oxygen_system", "System with the lowest oxygen", where(oxygen, log.book.name("latest_oxygen_lowest"))),
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
    return (f'IF(COUNT({dates})=0,"",IF({AS_OF}="","enter today\'s date above",'
            f'IF(MAX({dates})>={AS_OF}+1,"there are tests after that date: enter today\'s","yes")))')


def write(log: Log) -> None:
    """Writes the sheet."""
    book = log.book
    sheet = book.sheet(SHEET, "", landscape=False)
    sheet["A1"].value = "Farm log"
    put(sheet, "A2", f'={blank_or("Settings!$B$5")}', "note")
    widths(sheet, 5, 48, 20, 14, 48)
    row = front.purpose(sheet, 4, _FOR)
    row = front.first_steps(book, sheet, row + 2, _FIRST_STEPS)
    row = front.results(book, sheet, row + 2, key_results(log), wide={"next_step": 1})
    row = front.functions_answer(book, sheet, row + 2)
    row = front.cautions(sheet, row + 2, _CAUTIONS)
    sheet.print_area = f"A1:E{row}"
