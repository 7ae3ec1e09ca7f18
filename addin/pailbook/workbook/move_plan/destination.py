"""Sheet "Destination": are there space, a filter and clean water for the fish that come?"""

from __future__ import annotations

from pailbook.quantities import METRES_PER_FOOT, BiomassOrNone, Feed, FishDensity, TotalAmmonia, Volume
from pailbook.workbook.form import Field, Form, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import measures
from pailbook.workbook.move_plan.limits import constant
from pailbook.workbook.sheets import headings, put
from pailbook.workbook.texts import first_that_holds

SHEET = "Destination"
FEED_DAYS = 10


def _after(plan: Plan) -> str:
    return plan.blank_unless("fish_weight resident_weight", f'{plan["fish_weight"]}+{plan["resident_weight"]}')



def _density_after(plan: Plan) -> str:
    return plan.blank_unless("biomass_after to_volume", plan.book.call("VESSEL_DENSITY", plan["biomass_after"],
                                                                      plan["to_volume"]))


def _density_before(plan: Plan) -> str:
    call = plan.book.call("VESSEL_DENSITY", plan["resident_weight"], plan["to_volume"])
    return plan.blank_unless("resident_weight to_volume", f'IF({plan["resident_weight"]}=0,0,{call})')


def _room(plan: Plan) -> str:
    density, volume = plan["density_after"], plan["to_volume"]
    small = f'AND({volume}<={plan["small_system"]},{density}>{plan["density_small"]})'
    return first_that_holds((
        (f'{density}=""', '""'),
        (f'{density}>{plan["density_act"]}', '"act: overstocked; bring fewer fish or harvest first"'),
        (small, '"watch: a small system; feed ratios do not scale down, bring fewer fish"'),
        (f'{density}>{plan["density_watch"]}', '"watch: densely stocked; spare air, test daily"'),
    ), '"fine"')


def _clean(plan: Plan) -> str:
    tan, nitrite = plan["to_tan"], plan["to_nitrite"]
    high = f'OR({tan}>{plan["tan_zero"]},{nitrite}>{plan["nitrite_zero"]})'
    return first_that_holds((
        (f"COUNT({tan},{nitrite})=0", '""'),
        (f"IF(COUNT({tan},{nitrite})=2,{high},MAX({tan},{nitrite})>MAX({plan['tan_zero']},{plan['nitrite_zero']}))",
         '"act: ammonia or nitrite in the water; the filter is not ready, do not bring fish"'),
        (f"COUNT({tan},{nitrite})<2", '"watch: test both ammonia and nitrite today"'),
    ), '"fine"')


def _feed(plan: Plan) -> str:
    grams = {"metric": 1000, "us": 16}[plan.book.units]  # kg to g, lb to oz
    return plan.blank_unless("biomass_after feed_share", f'{plan["biomass_after"]}*{grams}*{plan["feed_share"]}/100')


def _feed_in_kg(plan: Plan, key: str) -> str:
    return f"{plan[key]}*{ {'metric': 0.001, 'us': 0.028349523125}[plan.book.units]:.12g}"


def _load(plan: Plan) -> str:
    return plan.blank_unless("feed_after", f'{_feed_in_kg(plan, "feed_after")}*{plan["tan_per_feed"]}')


def _filter(plan: Plan) -> str:
    per = {"metric": 1.0, "us": METRES_PER_FOOT**2}[plan.book.units]  # m² in an area unit
    return plan.blank_unless("filter_area", f'{plan["filter_area"]}*{per:.12g}*{plan["filter_rate"]}')


def _carries(plan: Plan) -> str:
    load, most, now, after = (plan[k] for k in ("tan_load", "filter_takes", "feed_now", "feed_after"))
    return first_that_holds((
        (f"COUNT({load})=0", '""'),
        (f"AND(ISNUMBER({most}),{load}>{most})",
         '"act: the filter is too small for that feed; fewer fish or more media"'),
        (f"IF(ISNUMBER({now}),{now}<{after},FALSE)",
         '"watch: the filter is used to less feed; raise it day by day, as on Destination"'),
        (f"COUNT({most},{now})=0", '""'),
    ), '"fine"')


ITEMS: tuple[Item, ...] = (
    Heading("Fish"),
    Field("to_volume", "Volume of that system", quantity(Volume), help="All its water"),
    Field("resident_weight", "Weight of the fish that are there", quantity(BiomassOrNone),
          assumed=constant(quantity(BiomassOrNone), 0), why="none there"),
    Field("biomass_after", "Weight of all fish after the move", quantity(BiomassOrNone), result=_after, format="0.00"),
    Field("density_before", "Stocking density before", quantity(FishDensity), result=_density_before),
    Field("density_after", "Stocking density after", quantity(FishDensity), result=_density_after),
    Field("room_verdict", "Is there room?", result=_room, verdict=True, wide=True),
    Heading("Water today"),
    Field("to_tan", "Total ammonia, as N (TAN-N)", quantity(TotalAmmonia),
          help="Test on the day: zero, as the kit shows"),
    Field("to_nitrite", "Nitrite, as NO2", measures.NITRITE, help="Test on the day: zero, as the kit shows it"),
    Field("clean_verdict", "Is the filter ready?", result=_clean, verdict=True, wide=True),
    Heading("Feed and filter"),
    Field("feed_share", "Feed a day in the end, share of their weight", measures.FEED_SHARE,
          assumed=constant(measures.FEED_SHARE, 1.5), why="1.5 % of the fish's weight"),
    Field("feed_now", "Feed a day that system gets now", quantity(Feed), help="0 where there are no fish"),
    Field("feed_after", "Feed a day in the end", quantity(Feed), result=_feed, format="0"),
    Field("tan_load", "Ammonia that comes of it, as N", unit="g TAN-N a day", format="0.0", result=_load),
    Field("filter_area", "Surface of the filter's media", measures.MEDIA_AREA,
          help="Volume of media times its specific "
          "surface from the maker"),
    Field("filter_takes", "Ammonia that it takes up", unit="g TAN-N a day", format="0.0", result=_filter,
          why="at the rate on Limits; colder water takes less"),
    Field("filter_verdict", "Does the filter carry it?", result=_carries, verdict=True, wide=True),
    Heading("Bring the feed back up"),
    Note("No feed on the first day. Each row only while ammonia and nitrite stay zero that morning; otherwise stay at "
         "the day before."),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Space, clean water and a working filter, before the fish come.", landscape=False)
    write_form(plan, sheet, FORM)
    row = FORM.last_row + 1
    headings(sheet, row, ("Day after the move", "", "Feed, at most", "Unit",
                          "Ammonia and nitrite that morning: zero?"))
    unit = quantity(Feed).unit_in(book.units)
    for day in range(1, FEED_DAYS + 1):
        at = row + day
        put(sheet, f"A{at}", f"Day {day}", "strong")
        after, now = plan["feed_after"], f"MAX(0,{plan['feed_now']})"
        if day == 1:
            text = f'IF({after}="","",0)'
        elif day == 2:
            text = f'IF({after}="","",MIN({after},MAX({now},{after}*{plan["feed_rise"]}/100)))'
        else:
            text = f'IF({after}="","",MIN({after},C{at - 1}+{after}*{plan["feed_rise"]}/100))'
        put(sheet, f"C{at}", f"={text}", "result", "0")
        put(sheet, f"D{at}", unit, align="left")
        put(sheet, f"E{at}", "ammonia ________   nitrite ________")
    sheet.freeze_panes = "A5"
    sheet.print_area = f"A1:E{row + FEED_DAYS}"
