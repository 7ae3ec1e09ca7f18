"""Sheet "Start": what the log is for, what to fill in first, the key results, safety notes."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import Biomass, FishCount, Oxygen, UnionizedAmmonia
from pailbook.rules.words import NO_URGENCY
from pailbook.workbook import front
from pailbook.workbook.farm_log import (
    fish,
    kits,
    limits,
    overview,
    registers,
    stock,
    systems,
    upkeep,
    water_moves,
    water_tests,
)
from pailbook.workbook.farm_log.log import AS_OF, Log, blank_or
from pailbook.workbook.front import SHEET, Result
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import put, widths
from pailbook.workbook.texts import counted

_FOR = (
    "Write down what you test, feed, dose, change, harvest and repair; weigh and count your fish.",
    "The log calculates what a kit cannot show (un-ionised ammonia, oxygen saturation, carbon dioxide) and gives each "
    "test a verdict: act, not known, watch or fine.",
    "Overview says what to do next in each system. The sheets are protected against accidental changes; there "
    "is no password.",
)
_FIRST_STEPS = (
    ("Settings", "the elevation, and the basis of each kit (PO4 or P, NO3 or N, NH3 or N)"),
    ("Systems", "one row for each body of water: its name, species and measured volume"),
    ("Kits", "what each kit reads, its range and its use-by date"),
    ("Water tests", "one row for each test, in the framed boxes; the rest is calculated"),
)
_CAUTIONS = (
    front.ACIDS_AND_BASES,
    front.MAINS_POWER,
    front.CHLORINE,
    front.MEDICINES,
    front.REGULATED,
    "The log informs; it is not professional advice. Its limits are starting points: see the sheet Limits.",
)


# Where a verdict can say that something is not known, besides Water tests.
_VERDICTS = (
    (fish.SHEET, "state"), (water_moves.DOSES, "state"), (water_moves.CHANGES, "state"),
    (upkeep.SHEET, "state"), (registers.INCIDENTS, "state"), (systems.SHEET, "check"), (kits.SHEET, "state"),
)


def key_results(log: Log) -> tuple[Result, ...]:
    """The key results, in the order in which they are shown."""
    view, held = log[overview.SHEET], log[stock.SHEET]
    none = f'COUNTA({log[systems.SHEET].range("system")})=0'
    verdicts = view.range("verdict")

    def count(test: str, guard: str = none) -> str:
        return f'IF({guard},"",{test})'

    def of_numbers(function: str, cells: str) -> str:
        return f'IF(COUNT({cells})=0,"",{function}({cells}))'

    def total(key: str) -> str:
        """The sum over all systems, which is not known where that of one with fish is not."""
        stocks, cells = held.range("stock"), held.range(key)
        lacking = f'COUNTIF({stocks},"{terms.NOT_KNOWN}")+COUNTIF({stocks},">0")-COUNTIF({cells},">0")'
        return f'IF({lacking}>0,"{terms.NOT_KNOWN}",{of_numbers("SUM", cells)})'

    def where(cells: str, name: str) -> str:
        return f'IF({name}="","",INDEX({view.range("system")},MATCH({name},{cells},0)))'

    def of_word(sheet: str, key: str, word: str) -> str:
        return counted(word, log[sheet].range(key))

    tests, nh3, oxygen = log[water_tests.SHEET], view.range("nh3"), view.range("oxygen")
    urgency, oldest = view.range("urgency"), limits.general("days_watch")
    first = f"MATCH(MIN({urgency}),{urgency},0)"
    next_step = (f'IF(MIN({urgency})={NO_URGENCY},"",INDEX({view.range("system")},{first})&": ")'
                 f'&INDEX({view.range("next")},{first})')
    kit_list, unset = log[kits.SHEET], f'{AS_OF}=""'
    no_kits = f'OR({unset},COUNTA({kit_list.range("kit")})=0)'
    unknown = "+".join((f'COUNTIF({tests.range("verdict")},"{terms.NOT_KNOWN}")',
                        *(of_word(name, key, terms.NOT_KNOWN) for name, key in _VERDICTS)))
    return (
        Result("next_step", "Do this first", count(next_step)),
        Result("systems_to_act", "Systems that need action now", count(f'COUNTIF({verdicts},"{terms.ACT}")'),
               unit="systems"),
        Result("systems_not_known", "Systems whose verdict is not known",
               count(f'COUNTIF({verdicts},"{terms.NOT_KNOWN}")'), unit="systems"),
        Result("systems_to_watch", "Systems to watch", count(f'COUNTIF({verdicts},"{terms.WATCH}")'), unit="systems"),
        Result("tests_overdue", "Systems whose latest test is too old",
               count(f'COUNTIF({view.range("days")},">"&{oldest})', f"OR({none},{unset},NOT(ISNUMBER({oldest})))"),
               unit="systems"),
        Result("latest_nh3_highest", "Highest un-ionised ammonia (NH3-N) in the latest tests", of_numbers("MAX", nh3),
               quantity(UnionizedAmmonia)),
        Result("latest_nh3_system", "System with the highest un-ionised ammonia",
               where(nh3, log.book.name("latest_nh3_highest"))),
        Result("latest_oxygen_lowest", "Lowest oxygen in the latest tests", of_numbers("MIN", oxygen),
               quantity(Oxygen)),
        Result("latest_oxygen_system", "System with the lowest oxygen",
               where(oxygen, log.book.name("latest_oxygen_lowest"))),
        Result("fish_on_hand", "Fish on hand", total("stock"), quantity(FishCount), "fish"),
        Result("biomass_on_hand", "Total weight of all fish", total("biomass"), quantity(Biomass)),
        Result("stock_to_act", "Systems whose fish need action now", count(
            of_word(stock.SHEET, "verdict", terms.ACT), f'COUNT({held.range("stock")})=0'), unit="systems"),
        Result("kits_to_replace", "Kits to replace", count(
            f'COUNTIFS({kit_list.range("in_use")},"{kits.IN_USE}",{kit_list.range("expiry")},"<"&{AS_OF})', no_kits),
            unit="kits"),
        Result("kits_to_act", "Kits that need action now", count(of_word(kits.SHEET, "state", terms.ACT), no_kits),
               unit="kits"),
        Result("upkeep_overdue", "Upkeep tasks that are overdue", count(
            of_word(upkeep.SHEET, "state", terms.ACT), f'OR({unset},COUNT({log[upkeep.SHEET].range("date")})=0)'),
            unit="tasks"),
        Result("incidents_open", "Incidents still open", count(
            of_word(registers.INCIDENTS, "state", terms.WATCH), f'COUNT({log[registers.INCIDENTS].range("date")})=0'),
            unit="incidents"),
        Result("tests_entered", "Water tests in the log", count(
            f'COUNT({tests.range("date")})', f'COUNT({tests.range("date")})=0'), unit="tests"),
        Result("rows_not_known", "Rows with an entry that cannot be used, on all sheets", count(
            unknown, f'COUNTA({log[systems.SHEET].range("system")},{tests.range("date")})=0'), unit="rows"),
        Result("date_check", "Is the date above right?", _date_check(log)),
    )


def _date_check(log: Log) -> str:
    stamps = log[water_tests.SHEET].range("when")
    return (f'IF(MAX({stamps})=0,"",IF({AS_OF}="","enter today\'s date above",'
            f'IF(MAX({stamps})>={AS_OF}+1,"some tests have a later date: enter today\'s date","yes")))')


def write(log: Log) -> None:
    """Writes the sheet."""
    book = log.book
    sheet = book.sheet(SHEET, "", landscape=False)
    sheet["A1"].value = "Farm log"
    put(sheet, "A2", f'={blank_or("Settings!$B$5")}', "note")
    widths(sheet, 5, 56, 20, 14, 48)
    row = front.purpose(sheet, 4, _FOR)
    row = front.first_steps(book, sheet, row + 2, _FIRST_STEPS)
    row = front.results(book, sheet, row + 2, key_results(log), wide={"next_step": 2})
    row = front.functions_answer(book, sheet, row + 2)
    row = front.cautions(sheet, row + 2, _CAUTIONS)
    sheet.print_area = f"A1:E{row}"
