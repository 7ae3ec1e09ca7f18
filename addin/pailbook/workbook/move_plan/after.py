"""Sheet "After the move": three weeks of watching: survival, when to call, what the deaths point to."""

from __future__ import annotations

from collections.abc import Callable

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import Quantity
from pailbook.rules import Sheet, clean
from pailbook.terms import ACT, NOT_KNOWN, WATCH
from pailbook.workbook import style
from pailbook.workbook.columns import Column, Table, quoted
from pailbook.workbook.form import Plan
from pailbook.workbook.front import MEDICINES
from pailbook.workbook.measures import DEAD_COUNT
from pailbook.workbook.move_plan import judged
from pailbook.workbook.sheets import put, section, write_table
from pailbook.workbook.texts import first_that_holds

SHEET = "After the move"
SIGNS = ("none", "gasping", "off feed", "flashing", "spots or fungus", "wounds", "lying still", "other")
EATEN = ("not fed", "none", "some", "all")
LAST_DAY = 21
_TYPED = ("dead", "signs", "with_sign", "feed_eaten")  # what rules ask of a day
EARLY = 2  # the last day whose deaths point to the move itself
_SUMMARY = 4  # first row of the summary
_HEADING = 20
COLUMNS = (
    Column("day", "Day", kind="result", width=8, format="0"),
    Column("date", "Date", kind="result", width=13, format=style.DATE_FORMAT),
    Column("dead", "New fish dead", DEAD_COUNT, width=9,
           help="0 if none died; leave blank if nobody looked. Day 0: dead on arrival and that evening"),
    Column("signs", "Signs", kind="choice", width=14, choices=SIGNS, help="What most of the affected fish show"),
    Column("with_sign", "Fish with that sign", DEAD_COUNT, width=9, help="How many fish show it"),
    Column("feed_eaten", "Feed eaten", kind="choice", width=9, choices=EATEN),
    Column("residents", "Other fish dead", DEAD_COUNT, width=10,
           help="Of the fish that were there before the move"),
    Column("what", "What to do", kind="result", width=52),
    Column("seen", "Last day entered until then", kind="result", width=9, format="0", hidden=True),
    *(Column(f"clean_{key}", f"{heading}: clean cell", kind="result", width=9, hidden=True) for key, heading in (
        ("dead", "New fish dead"), ("signs", "Signs"), ("with_sign", "Fish with that sign"),
        ("feed_eaten", "Feed eaten"))),
    Column("dead_before", "New fish dead on the day before", kind="result", width=9, hidden=True),
    Column("dead_in_week", "Fish dead in 7 days", kind="result", width=9, hidden=True),
    Column("word", "Word", kind="result", width=9, hidden=True),
)


def table() -> Table:
    """Where the rows stand, one per day."""
    return Table(SHEET, COLUMNS, LAST_DAY + 1, _HEADING)


def _column(key: str) -> Column:
    return next(column for column in COLUMNS if column.key == key)


def quantity_of(key: str) -> Quantity:
    """What may stand in that column."""
    column = _column(key)
    return column.quantity or Quantity(column.heading, choices=column.choices)


def heading_of(key: str) -> str:
    """The heading of that column."""
    return _column(key).heading


def _part(t: Table, key: str, first: int, last: int) -> str:
    return f"{t.cell(key, t.first_row + first)}:{t.cell(key, t.first_row + last)}"


def _counted(t: Table) -> dict[str, str]:
    """The hidden cells beside the summary that count the days by their words."""
    return {key: f"${t.letter('word')}${row}"
            for row, key in enumerate(("days_to_act", "days_unknown", "days_to_watch"), _SUMMARY)}


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

    rule = judged.rule_named(plan, "weeks_of_watching")
    cells = {key: f"{quoted(SHEET)}!{address}" for key, address in _counted(t).items()}
    text = judged.sheet_for(plan, rule, **cells, days_seen=last_seen).text(rule)
    verdict = f'IF(COUNTA({t.range("dead")})=0,"",{text})'
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

    rule = judged.rule_named(plan, "day_after_the_move")
    asked = {one.name: one for one in rule.questions}

    def clean_of(key: str) -> Callable[[int], str]:
        return lambda row: clean(asked[key], t.cell(key, row), book.units)

    def before(row: int) -> str:
        return t.cell("clean_dead", row - 1) if row > t.first_row else '""'

    def in_week(row: int) -> str:
        days = _part(t, "clean_dead", max(0, row - t.first_row - 6), row - t.first_row)
        wrong = f"? '{heading_of('dead')}' is not in order on one of the 7 days"
        return f'IF(SUMPRODUCT((LEFT({days},1)="?")*1)>0,"{wrong}",SUM({days}))'

    def judge(row: int) -> Sheet:
        cells = {key: f"{quoted(SHEET)}!{t.cell(f'clean_{key}', row)}" for key in _TYPED}
        cells |= {key: f"{quoted(SHEET)}!{t.cell(key, row)}" for key in ("day", "dead_before", "dead_in_week")}
        return judged.sheet_for(plan, rule, **cells)

    def seen(row: int) -> str:
        until_then = t.cell("seen", row - 1) if row > t.first_row else '""'
        return f"IF(ISNUMBER({t.cell('dead', row)}),{t.cell('day', row)},{until_then})"

    write_table(book, sheet, t, {
        "day": lambda row: str(row - t.first_row),
        "date": lambda row: f'IF({plan["move_date"]}="","",{plan["move_date"]}+{row - t.first_row})',
        "what": lambda row: judge(row).text(rule, unasked=""), "word": lambda row: judge(row).word(rule), "seen": seen,
        "dead_before": before, "dead_in_week": in_week, **{f"clean_{key}": clean_of(key) for key in _TYPED},
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
    words = t.range("word")
    unknown = f'IF(COUNTIF({words},"{NOT_KNOWN}")>0,"? an entry below cannot be used",0)'
    for (_, address), text in zip(_counted(t).items(), (
        f'COUNTIF({words},"{ACT}")', unknown, f'COUNTIF({words},"{WATCH}")',
    )):
        put(sheet, address.replace("$", ""), f"={text}", "note")
    section(sheet, row, "When to call", len(COLUMNS) - 1)
    for text in (
        f'="More than "&{plan["deaths_day"]}&" % die in a day, or more than "&{plan["deaths_week"]}&" % in 7 days: '
        'stop feeding, test the water and call"',
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
