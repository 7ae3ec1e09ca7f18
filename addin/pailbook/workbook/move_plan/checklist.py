"""Sheet "Checklist": to print and tick, from the week before to the tank."""

from __future__ import annotations

from pailbook.workbook.columns import Column
from pailbook.workbook.form import Plan
from pailbook.workbook.sheets import column_input, put, section, widths

SHEET = "Checklist"
DONE = ("done", "not needed")


def lines(plan: Plan) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The parts of the list; a line that begins with = is a formula."""
    drum = "about 460 lb" if plan.book.units == "us" else "about 210 kg"
    one = plan["vessel_weight"]
    unit = "lb" if plan.book.units == "us" else "kg"
    weight = (f'=IF({one}="","Work out what a full vessel weighs (a full drum {drum})",'
              f'"A full vessel weighs "&ROUND({one},0)&" {unit} (a full drum {drum})")&": two people or a pump, '
              'straps, nothing loose"')
    fasting = (f'=IF({plan["fasting_hours"]}="","Stop the feed in time: two days for a long haul, less for fry",'
               f'"Stop the feed "&{plan["fasting_hours"]}&" hours before a long haul")'
               '&"; for a trip under two hours it is advice"')
    return (
        ("The week before", (
            "Read pH of both systems with one kit, the same day; start the pH calendar in time",
            "Ask which rules hold: transport of live fish, possession of the species, discharge of water",
            "Look at the fish: no signs of disease; kept apart for three weeks where it can be done",
            "Order test kits within their use-by dates, dechlorinator, spare stones and tubing",
            "Ask the client: ammonia and nitrite zero, filter running, room, a covered tank",
            "Try pump, spare pump and battery for as long as trip and delay together",
        )),
        ("The day before", (
            fasting,
            "Charge batteries; put the spare pump where a hand finds it",
            "Wash buckets, lids, nets and hands without soap; disinfect nets and buckets between clients, rinse, dry",
            "Lid with a gasket and a hole for the airline, on each vessel",
            "Bottles of ice or warm water, sealed, if the weather asks for it",
            "Test the destination's ammonia, nitrite, pH and temperature",
        )),
        ("Loading", (
            "Air on in the vessels first; read oxygen, pH, temperature, ammonia of the water that travels",
            "Fill with the fish's own water; mark the level",
            "Take fittings, heaters and plants out of the tank; dim the light",
            "A sturdy soft net, swept from the bottom up to the wall; clean wet hands, no soap",
            "Count aloud, write down; the same number in each vessel",
            "Set down gently; lid on at once",
            weight,
            "Mains power: a socket with a residual-current breaker, drip loops, dry hands; nothing over water",
            "Refill the tank only with water free of chlorine and chloramine: test it",
        )),
        ("On the road", (
            "Shade, no sun, no wind; drive softly",
            "Stop after ten minutes and look: bubbles in every vessel, fish upright; then every half hour",
            "Pump stopped: see the minutes on the road card; change to the spare, or turn back",
            "No feed, no medicine on the way",
        )),
        ("Arrival", (
            "Read vessel and tank again before the fish go in; type it on the sheet Arrival",
            "Match the light: dim both, for an hour at least",
            "Exchange water as the sheet Arrival says; lid and air back on between exchanges",
            "A bag sealed for hours: float it closed, then open and release at once; no slow mixing, no air",
            "Net the fish over, gently; haul water never into the tank: it carries ammonia, salt and disease",
            "Haul water onto ground where it does no harm, as local rules say; salted: never to plants",
            "Count the dead; write it on the sheet After the move, day 0",
            "No feed on the first day; light low; look again before leaving, and in the evening",
            "Leave the sheet After the move with the client, and the number to call",
            "Nets, buckets, boots, hands: disinfect before the next client",
        )),
    )


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Print it, take it along, tick it off.", landscape=False)
    widths(sheet, 4, 12, 104)
    row = 4
    for heading, texts in lines(plan):
        section(sheet, row, heading, 3)
        for line in texts:
            row += 1
            put(sheet, f"A{row}", "☐")
            column_input(book, sheet, f"B{row}", Column("tick", "Done?", kind="choice", choices=DONE))
            put(sheet, f"C{row}", line, align="left")
        row += 2
    put(sheet, f"A{row}", "Name and date: ______________________________", "strong")
    sheet.print_area = f"A1:C{row}"
    sheet.page_setup.fitToHeight = 1
    sheet.freeze_panes = "A4"
