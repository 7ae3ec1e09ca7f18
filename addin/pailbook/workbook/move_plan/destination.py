"""Sheet "Destination": whether there is room, a filter and clean water for the fish that come."""

from __future__ import annotations

from pailbook.quantities import METRES_PER_FOOT, BiomassOrNone, Feed, FishDensity, TotalAmmonia, Volume
from pailbook.terms import FEEDING_RATE, NITRITE, STOCKING_DENSITY, TOTAL_AMMONIA
from pailbook.workbook.form import Field, Form, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import judged, measures
from pailbook.workbook.move_plan.limits import constant
from pailbook.workbook.sheets import headings, put

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


def _feed(plan: Plan) -> str:
    grams = {"metric": 1000, "us": 16}[plan.book.units]  # kg to g, lb to oz
    return plan.blank_unless("biomass_after feeding_rate",
                             f'{plan["biomass_after"]}*{grams}*{plan["feeding_rate"]}/100')


def _feed_in_kg(plan: Plan, key: str) -> str:
    return f"{plan[key]}*{ {'metric': 0.001, 'us': 0.028349523125}[plan.book.units]:.12g}"


def _ammonia_of_feed(plan: Plan) -> str:
    return plan.blank_unless("feed_after tan_per_feed", f'{_feed_in_kg(plan, "feed_after")}*{plan["tan_per_feed"]}')


def _filter(plan: Plan) -> str:
    per = {"metric": 1.0, "us": METRES_PER_FOOT**2}[plan.book.units]  # m² in an area unit
    return plan.blank_unless("filter_area filter_rate", f'{plan["filter_area"]}*{per:.12g}*{plan["filter_rate"]}')


ITEMS: tuple[Item, ...] = (
    Heading("Fish"),
    Field("to_volume", "Volume of the destination system", quantity(Volume),
          help="All its water: tanks, sumps, beds and pipes"),
    Field("resident_weight", "Weight of the fish already there", quantity(BiomassOrNone),
          help="0 where there are none"),
    Field("biomass_after", "Weight of all fish after the move", quantity(BiomassOrNone), result=_after, format="0.00"),
    Field("density_before", f"{STOCKING_DENSITY} before the move", quantity(FishDensity), result=_density_before),
    Field("density_after", f"{STOCKING_DENSITY} after the move", quantity(FishDensity), result=_density_after),
    Field("room_verdict", "Is there room?", result=judged.text("room"), verdict=True, wide=True),
    Heading("Water today"),
    Field("to_tan", f"{TOTAL_AMMONIA} at the destination", quantity(TotalAmmonia), unit="mg/L as N",
          help="Test on the day of the move; it should read zero"),
    Field("to_nitrite", f"{NITRITE} at the destination", measures.NITRITE,
          help="Test on the day of the move; it should read zero"),
    Field("clean_verdict", "Is the filter ready?", result=judged.text("filter_is_ready"), verdict=True, wide=True),
    Heading("Feed and filter"),
    Field("feeding_rate", f"{FEEDING_RATE} at full feed", measures.FEEDING_RATE, unit="% a day",
          assumed=constant(measures.FEEDING_RATE, 1.5), why="1.5 % of body weight a day"),
    Field("feed_now", "Daily feed of that system now", quantity(Feed), help="0 where there are no fish"),
    Field("feed_after", "Daily feed after the move, at full feed", quantity(Feed), result=_feed, format="0"),
    Field("tan_load", "Ammonia from that feed", unit="g as N a day", format="0.0", result=_ammonia_of_feed),
    Field("filter_area", "Surface of the filter media", measures.MEDIA_AREA,
          help="Volume of media times its specific surface, from the maker"),
    Field("filter_takes", "Ammonia that the filter can take up", unit="g as N a day", format="0.0", result=_filter,
          why="at the rate on Limits; less in colder water"),
    Field("filter_verdict", "Can the filter take it?", result=judged.text("feed_and_filter"), verdict=True, wide=True),
    Heading("Bringing the feed back up"),
    Note("Give no feed on the first day. Go on to the next day's feed only while ammonia and nitrite read zero that "
         "morning; otherwise repeat the feed of the day before."),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Room, clean water and a working filter, before the fish come.", landscape=False)
    write_form(plan, sheet, plan.forms[SHEET])
    row = FORM.last_row + 1
    headings(sheet, row, ("Day after the move", "", "Feed, at most", "Unit",
                          "Ammonia and nitrite that morning"))
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
