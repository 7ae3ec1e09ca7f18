"""Sheet "Checklist": to print and mark, in the order of the work, from three weeks before to the last look.

The steps follow the works that the sheet Limits names under "Where the advice on handling comes from"; the words and
the order are our own.
"""

from __future__ import annotations

from pailbook.workbook.columns import Column
from pailbook.workbook.form import Plan
from pailbook.workbook.lines import set_height
from pailbook.workbook.sheets import column_input, put, section, widths

SHEET = "Checklist"
DONE = ("done", "not needed")


def _fasting(plan: Plan) -> str:
    hours, long_fish = plan["fasting_hours"], "8 in" if plan.book.units == "us" else "20 cm"
    return (f'=IF(ISNUMBER({hours}),"Stop feeding "&{hours}&" hours before loading",'
            f'"Stop feeding two days before loading, three days for fish above {long_fish}")'
            '&" (on a trip under two hours, this is only advice), so that the fish foul the water less; fry need less '
            'time"')


def lines(plan: Plan) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The parts of the list, one step with its reason on each line; a line that begins with = is a formula."""
    one, unit = plan["vessel_weight"], "lb" if plan.book.units == "us" else "kg"
    weight = (f'="Plan who lifts: a full vessel weighs "&IF(ISNUMBER({one}),ROUND({one},0)&" {unit}","what the '
              'road card says")&", so take two people or a trolley, and check the vehicle\'s permitted load"')
    return (
        ("Three weeks before", (
            "Ask the authority about live transport, the species and the discharge of water, so that permits come "
            "in time",
            "Begin quarantine and look for signs of disease, so that none travels with the fish; ask a vet about "
            "any sign",
        )),
        ("One to two weeks before", (
            "Agree on the day, the hour, the number of fish and a helper with the person who receives them, so that "
            "all is ready",
            "Compare the pH of both systems with one kit, so that the pH calendar starts early enough",
            "Raise the daily feed at the destination slowly, so that its filter can handle more fish",
            "Replace test kits that have expired, so that you can rely on the readings at the door",
            "Run the pump, the spare and the battery for as long as the trip and the delay, so that you find a weak "
            "one at home",
        )),
        ("Two to three days before", (
            _fasting(plan),
            "Test ammonia and nitrite at the destination, so that you can still call the move off",
        )),
        ("The day before", (
            "Scrub, disinfect and rinse vessels, lids and nets, and let them dry, so that no disease is carried along",
            "Charge all batteries overnight, so that pump and spare start full",
            "Pack insulation and closed bottles of ice or warm water to suit the forecast, so that the "
            "temperature does not change",
            weight,
            "Pack kits, thermometer, nets, tubing, spare air stones and the road card, so that nothing is missing "
            "on site",
        )),
        ("Before the first fish is caught", (
            "Use mains electricity only with RCD protection, and unplug it before you reach in, so that a fault cannot "
            "kill anyone",
            "Take the water to travel in (haul water) from the system that the fish live in, so that only the place "
            "changes",
            "Let the air run in every vessel for some minutes, so that CO2 leaves and oxygen is high at the start",
            "Write down oxygen, pH, temperature and ammonia of the haul water, to compare with at the door",
        )),
        ("Loading", (
            "Lower the water and close off a corner with a screen, so that no fish has to be chased",
            "Use a wide net of soft mesh without knots, so that skin, slime and fins stay whole",
            "Lift a few fish at a time and only for seconds, so that none is crushed or out of the water too long",
            "Leave thin, wounded and sick fish behind, so that they do not die in the vessel and spoil its water",
            "One person counts, another writes the number for each vessel, so that a loss is noticed",
            "Close the lids but leave a vent, so that no fish jumps out and CO2 can escape",
            "Strap every vessel upright, so that none tips when the vehicle brakes",
            "Refill the system with water tested free of chlorine and chloramine, to protect its filter and fish",
        )),
        ("On the road", (
            "Check every vessel within the first quarter of an hour, because the fish use most oxygen in the first "
            "hour",
            "Then check at least twice an hour for bubbles, upright fish and oxygen, so that help comes in time",
            "Brake and turn slowly and keep the vessels shaded, so that the water does not surge or warm up",
            "If the pump stops, act within the minutes on the road card",
            "Add no feed, salt or medicine on the way, so that the water stays as planned; a vet decides about "
            "medicines",
        )),
        ("At the destination", (
            "Test the water in the vessel and in the tank and enter the readings on Arrival, so that its instruction "
            "fits them",
            "Turn the lights down before you open the lids, so that the fish do not startle",
            "Follow that instruction to the minute, so that the fish meet the new water step by step",
            "Move the fish with the net and keep the haul water out of the tank: it carries ammonia and perhaps "
            "disease",
            "Count the living and the dead, and enter the dead on the sheet After the move as day 0",
            "Pour the haul water only where local rules allow it, and never pour salted water where plants grow",
        )),
        ("Before you drive off", (
            "Watch for a quarter of an hour, until the fish swim upright and breathe calmly",
            "Ask for dim light and no feed until tomorrow, so that the fish recover first",
            "Hand over the sheet After the move and your number, so that somebody looks every day and knows whom to "
            "call",
            "Disinfect everything that touched the water, boots and hands too, before you go to the next system",
        )),
    )


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Print it, take it along and mark each step.", landscape=False)
    widths(sheet, 4, 12, 108)
    row, fasting = 4, _fasting(plan)
    for heading, texts in lines(plan):
        section(sheet, row, heading, 3)
        for line in texts:
            row += 1
            put(sheet, f"A{row}", "☐")
            column_input(book, sheet, f"B{row}", Column("tick", "Done?", kind="choice", choices=DONE))
            put(sheet, f"C{row}", line, wrap=True, align="left")
            set_height(sheet, row, 2 if line == fasting else 1)
        row += 2
    put(sheet, f"A{row}", "Name and date: ______________________________", "strong")
    sheet.print_area = f"A1:C{row}"
    sheet.page_setup.fitToHeight = 1
    sheet.freeze_panes = "A4"
