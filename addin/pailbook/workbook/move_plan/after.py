"""Sheet "After the move": three weeks of watching, fit for a phone: survival, when to call, what deaths point to."""

from __future__ import annotations

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.workbook import style
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.form import Plan
from pailbook.workbook.front import MEDICINES
from pailbook.workbook.measures import DEAD_COUNT
from pailbook.workbook.sheets import put, section, write_table
from pailbook.workbook.texts import first_that_holds

SHEET = "After the move"
SIGNS = ("none", "gasping", "off feed", "flashing", "spots or fungus", "wounds", "lying still", "other")
EATEN = ("not fed", "none", "some", "all")
LAST_DAY = 21
EARLY = 2  # the last day whose deaths point to the move itself
_SUMMARY = 4  # first row of the summary
_HEADING = 20
COLUMNS = (
    Column("day", "Day", kind="result", width=8, format="0"),
    Column("date", "Date", kind="result", width=13, format=style.DATE_FORMAT),
    Column("dead", "Dead, of the new fish", DEAD_COUNT, width=9,
           help="0 where none died; blank where nobody looked. Day 0: dead on arrival and that evening"),
    Column("signs", "Signs", kind="choice", width=14, choices=SIGNS, help="What the most fish show"),
    Column("alike", "Fish with that sign", DEAD_COUNT, width=9, help="How many fish show it"),
    Column("feed", "Feed eaten", kind="choice", width=9, choices=EATEN),
    Column("residents", "Dead, of those there before", DEAD_COUNT, width=10,
           help="Of the fish that lived there already"),
    Column("what", "What to do", kind="result", width=52),
)


def table() -> Table:
    """Where the row a day stands."""
    return Table(SHEET, COLUMNS, LAST_DAY + 1, _HEADING)


def _part(t: Table, key: str, first: int, last: int) -> str:
    return f"{t.cell(key, t.first_row + first)}:{t.cell(key, t.first_row + last)}"


def _summary(plan: Plan, t: Table) -> tuple[tuple[str, str, str, str], ...]:
    """Defined name, label, formula and number format of each line of the summary."""
    book, total = plan.book, plan["fish_count"]
    so_far, last_seen = book.name("deaths_so_far"), book.name("days_seen")
    dead = f"SUM({t.range('dead')})"
    seen = f"COUNT({t.range('dead')})=0"
    whole = f'OR({seen},NOT(ISNUMBER({total})))'
    early, late = f"SUM({_part(t, 'dead', 0, EARLY)})", f"SUM({_part(t, 'dead', EARLY + 1, LAST_DAY)})"
    here = f"SUM({t.range('residents')})"

    def interval(function: str) -> str:
        return f'IF({whole},"",100*{book.call(function, so_far, total, "0.95")})'

    states = [f'LEFT({t.range("what")},{len(word)})="{word}"' for word in ("act", "watch")]
    last = f"SUMPRODUCT(MAX(({t.range('dead')}<>\"\")*({t.range('day')}+1)))-1"
    verdict = first_that_holds((
        (whole, '""'),
        (f"SUMPRODUCT(({states[0]})*1)>0", '"act: see the days below that say act"'),
        (f"{last_seen}<{plan['watch_days']}", f'"watch: day "&{last_seen}&" of "&{plan["watch_days"]}'
         '&"; losses of a disease carried in can show in the third week"'),
        (f"SUMPRODUCT(({states[1]})*1)>0", '"watch: through the weeks, but not without loss; write down why"'),
    ), '"fine: through the weeks of watching"')
    points = first_that_holds((
        (whole, '""'), (f"{so_far}=0", '"no deaths so far"'),
        (f"AND({early}>={late},{here}=0)",
         '"days 0 to 2, residents well: injury or shock in the move: handling, oxygen, pH, temperature, ammonia"'),
        (f"{early}>={late}", '"days 0 to 2, residents too: the water itself; test it now"'),
    ), '"later days: stress or disease; isolate, call a vet"')
    return (
        ("deaths_so_far", "Dead so far", f'IF({whole},"",{dead})', "0"),
        ("days_seen", "Last day written down", f'IF({seen},"",{last})', "0"),
        ("survival", "Survived, %", f'IF({whole},"",100*(1-{dead}/{total}))', "0.0"),
        ("survival_from", "With so few fish, at the lowest, %", interval("SURVIVAL_LOW"), "0.0"),
        ("survival_to", "and at the highest, %", interval("SURVIVAL_HIGH"), "0.0"),
        ("deaths_point_to", "Deaths point to", points, "General"),
        ("after_verdict", "Verdict", verdict, "General"),
    )


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book, t = plan.book, table()
    sheet = book.sheet(SHEET, "A line a day: on paper or on the phone. Look at them every morning, before feeding.",
                       landscape=False)

    def what(row: int) -> str:
        number, total = row - t.first_row, plan["fish_count"]
        dead = t.cell("dead", row)
        week = f"SUM({_part(t, 'dead', max(0, number - 6), number)})"

        def above(count: str, limit: str) -> str:
            return f"ROUND(100*{count}/{total},6)>{plan[limit]}"

        twice = "FALSE"
        if number:
            twice = f"AND({above(t.cell('dead', row - 1), 'deaths_vet')},{above(dead, 'deaths_vet')})"
        alike = f"{t.cell('alike', row)}>={plan['alike']}"
        ladder = [(f'OR(NOT(ISNUMBER({dead})),NOT(ISNUMBER({total})))', '""')]
        if not number:
            ladder.append((above(dead, "deaths_arrival"),
                           '"act: more dead on arrival than the trade allows; stop feed, test, call"'))
        ladder += [
            (twice, '"act: deaths two days running; call a vet"'),
            (above(dead, "deaths_day"), '"act: stop feed, test the water, call"'),
            (above(week, "deaths_week"), '"act: too many in 7 days; stop feed, test, call"'),
            (f'AND(ISNUMBER({t.cell("alike", row)}),{t.cell("signs", row)}<>"",{t.cell("signs", row)}<>"none",{alike})',
             '"act: isolate the fish with that sign; call a vet"'),
            (f"{dead}>0", '"watch: take the dead out; test ammonia, nitrite, pH"'),
            (f'AND({t.cell("signs", row)}<>"",{t.cell("signs", row)}<>"none")', '"watch: look again this evening"'),
            (f'{t.cell("feed", row)}="none"' if number > 1 else "FALSE",
             '"watch: not eating; take the feed out, test"'),
        ]
        return first_that_holds(ladder, '"fine"')

    write_table(book, sheet, t, {
        "day": lambda row: str(row - t.first_row),
        "date": lambda row: f'IF({plan["move_date"]}="","",{plan["move_date"]}+{row - t.first_row})',
        "what": what,
    }, freeze="dead", verdicts=("what",), heading_height=44)
    sheet.auto_filter.ref = None
    sheet.freeze_panes = None
    _write_summary(plan, sheet, t)
    sheet.print_area = f"A1:H{t.last_row}"


def _write_summary(plan: Plan, sheet: Worksheet, t: Table) -> None:
    book = plan.book
    section(sheet, _SUMMARY - 1, "How they do", len(COLUMNS))
    row = _SUMMARY
    for name, label, text, number_format in _summary(plan, t):
        put(sheet, f"A{row}", label, "strong")
        put(sheet, f"D{row}", f"={text}", "key", number_format, align="left")
        if number_format == "General":
            for letter in "EFGH":
                style.look(sheet[f"{letter}{row}"], "key")
            sheet.merge_cells(f"D{row}:H{row}")
        book.define(name, SHEET, f"D{row}")
        row += 1
    style.verdict_colours(sheet, [f"D{row - 1}"])
    section(sheet, row, "Call when", len(COLUMNS))
    for text in (
        f'="more than "&{plan["deaths_day"]}&" % die in a day, or more than "&{plan["deaths_week"]}&" % in 7 days: '
        'stop feed, test the water, call"',
        f'="more than "&{plan["deaths_vet"]}&" % die on two days running: call a vet"',
        f'={plan["alike"]}&" fish show like signs: isolate them, call a vet"',
        "fish gasp at the surface: more air at once, no feed, then call",
        MEDICINES,
        f'="Lowest to highest: where the true share lies, 95 times in 100. "&{plan["watch_days"]}&" days without a '
        'death are no proof."',
    ):
        row += 1
        put(sheet, f"A{row}", text)
    assert row < _HEADING - 1
