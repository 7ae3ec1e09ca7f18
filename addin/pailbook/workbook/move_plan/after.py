"""Sheet "After the move": three weeks of watching: survival, when to call, what the deaths point to."""

from __future__ import annotations

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.terms import ACT, FINE, NOT_KNOWN, WATCH
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
    Column("dead", "New fish dead", DEAD_COUNT, width=9,
           help="0 if none died; leave blank if nobody looked. Day 0: dead on arrival and that evening"),
    Column("signs", "Signs", kind="choice", width=14, choices=SIGNS, help="What most of the affected fish show"),
    Column("alike", "Fish with that sign", DEAD_COUNT, width=9, help="How many fish show it"),
    Column("feed", "Feed eaten", kind="choice", width=9, choices=EATEN),
    Column("residents", "Other fish dead", DEAD_COUNT, width=10,
           help="Of the fish that were there before the move"),
    Column("what", "What to do", kind="result", width=52),
    Column("seen", "Last day entered until then", kind="result", width=9, format="0", hidden=True),
)


def table() -> Table:
    """Where the rows stand, one per day."""
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

    states = [f'LEFT({t.range("what")},{len(word)})="{word}"' for word in (ACT, NOT_KNOWN, WATCH)]
    verdict = first_that_holds((
        (whole, '""'),
        (f"SUMPRODUCT(({states[0]})*1)>0", '"act: see the days below that need action"'),
        (f"SUMPRODUCT(({states[1]})*1)>0", f'"{NOT_KNOWN}: an entry below cannot be used"'),
        (f"{last_seen}<{plan['watch_days']}", f'"watch: day "&{last_seen}&" of "&{plan["watch_days"]}'
         '&"; a disease that came along can still show in the third week"'),
        (f"SUMPRODUCT(({states[2]})*1)>0",
         '"watch: the weeks of watching are over, but fish were lost; write down why"'),
    ), '"fine: the weeks of watching are over"')
    points = first_that_holds((
        (whole, '""'), (f"{so_far}=0", '"no deaths so far"'),
        (f"AND({early}>={late},{here}=0)",
         '"the move itself (days 0 to 2, other fish well): injury, oxygen, pH, temperature or ammonia"'),
        (f"{early}>={late}", '"the water at the destination (days 0 to 2, other fish dead too): test it now"'),
    ), '"stress or disease (later days): isolate the fish and call a vet"')
    return (
        ("deaths_so_far", "Dead so far", f'IF({whole},"",{dead})', "0"),
        ("days_seen", "Last day entered", f'IF({seen},"",{t.cell("seen", t.last_row)})', "0"),
        ("survival", "Survived, %", f'IF({whole},"",100*(1-{dead}/{total}))', "0.0"),
        ("survival_from", "95 % interval: at least, %", interval("SURVIVAL_LOW"), "0.0"),
        ("survival_to", "95 % interval: at most, %", interval("SURVIVAL_HIGH"), "0.0"),
        ("deaths_point_to", "The deaths point to", points, "General"),
        ("after_verdict", "Verdict", verdict, "General"),
    )


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book, t = plan.book, table()
    sheet = book.sheet(SHEET, "One row per day. Look at the fish every morning, before you feed them.",
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
        limits = [plan[key] for key in ("deaths_arrival", "deaths_day", "deaths_week", "deaths_vet", "alike")]
        unusable = f'IF(ISERROR({dead}),TRUE,IF({dead}="",FALSE,NOT(ISNUMBER({dead}))))'
        ladder = [
            (unusable, f'"{NOT_KNOWN}: the number of dead fish is not a number"'),
            (f'OR(NOT(ISNUMBER({dead})),NOT(ISNUMBER({total})))', '""'),
            (f"COUNT({','.join(limits)})<{len(limits)}", f'"{NOT_KNOWN}: a limit on the sheet Limits is not a number"'),
        ]
        if not number:
            ladder.append((above(dead, "deaths_arrival"),
                           '"act: too many dead on arrival; stop feed, test the water, call"'))
        ladder += [
            (twice, '"act: deaths on two days running; call a vet"'),
            (above(dead, "deaths_day"), '"act: too many in a day; stop feed, test the water, call"'),
            (above(week, "deaths_week"), '"act: too many in 7 days; stop feed, test the water, call"'),
            (f'AND(ISNUMBER({t.cell("alike", row)}),{t.cell("signs", row)}<>"",{t.cell("signs", row)}<>"none",{alike})',
             '"act: several fish show one sign; isolate them and call a vet"'),
            (f"{dead}>0", '"watch: take the dead out; test ammonia, nitrite and pH"'),
            (f'AND({t.cell("signs", row)}<>"",{t.cell("signs", row)}<>"none")', '"watch: look again this evening"'),
            (f'{t.cell("feed", row)}="none"' if number > 1 else "FALSE",
             '"watch: they do not eat; take the feed out and test the water"'),
        ]
        return f'IFERROR({first_that_holds(ladder, chr(34) + FINE + chr(34))},"{NOT_KNOWN}: an entry cannot be used")'

    def seen(row: int) -> str:
        until_then = t.cell("seen", row - 1) if row > t.first_row else '""'
        return f"IF(ISNUMBER({t.cell('dead', row)}),{t.cell('day', row)},{until_then})"

    write_table(book, sheet, t, {
        "day": lambda row: str(row - t.first_row),
        "date": lambda row: f'IF({plan["move_date"]}="","",{plan["move_date"]}+{row - t.first_row})',
        "what": what, "seen": seen,
    }, freeze="dead", verdicts=("what",), heading_height=44)
    sheet.auto_filter.ref = None
    sheet.freeze_panes = None
    _write_summary(plan, sheet, t)
    sheet.print_area = f"A1:H{t.last_row}"


def _write_summary(plan: Plan, sheet: Worksheet, t: Table) -> None:
    book = plan.book
    section(sheet, _SUMMARY - 1, "How the fish are doing", len(COLUMNS) - 1)
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
    section(sheet, row, "When to call", len(COLUMNS) - 1)
    for text in (
        f'="More than "&{plan["deaths_day"]}&" % die in a day, or more than "&{plan["deaths_week"]}&" % in 7 days: '
        'stop feed, test the water, call"',
        f'="More than "&{plan["deaths_vet"]}&" % die on two days running: call a vet"',
        f'={plan["alike"]}&" fish show one sign: isolate them and call a vet"',
        "Fish gasp at the surface: give more air at once and no feed, then call",
        MEDICINES,
        f'="The 95 % interval is wide where the fish are few. "&{plan["watch_days"]}&" days without a death prove '
        'nothing yet."',
    ):
        row += 1
        put(sheet, f"A{row}", text)
    assert row < _HEADING - 1
