"""Sheet "Checklist": to print and tick, in the order of the work, from three weeks before to the last look.

The steps follow the works that the sheet Limits names under "Where the advice on handling comes from"; the words and
the order are our own.
"""

from __future__ import annotations

from pailbook.workbook.columns import Column
from pailbook.workbook.form import Plan
from pailbook.workbook.sheets import column_input, put, section, widths

SHEET = "Checklist"
DONE = ("done", "not needed")


def lines(plan: Plan) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The parts of the list, one step a line with its reason; a line that begins with = is a formula."""
    us = plan.book.units == "us"
    one, unit, long_fish = plan["vessel_weight"], "lb" if us else "kg", "8 in" if us else "20 cm"
    weight = (f'="Plan who lifts: a full vessel weighs "&IF(ISNUMBER({one}),ROUND({one},0)&" {unit}","what the '
              'road card says")&", so take two people or a trolley, and check the vehicle\'s permitted load"')
    hours = plan["fasting_hours"]
    fasting = (f'=IF(ISNUMBER({hours}),"Stop feeding "&{hours}&" hours before loading",'
               f'"Stop feeding two days before loading, three days for fish above {long_fish}")'
               '&", so that the fish foul the water less; fry need less time"')
    return (
        ("Three weeks before", (
            "Ask the authority about live transport, the species and the discharge of water, so that permits come "
            "in time",
            "Begin quarantine and look for signs of disease, so that none travels with the fish; ask a vet about "
            "any sign",
        )),
        ("One to two weeks before", (
            "Agree on day, hour, number of fish and a helper with whoever receives them, so that all is ready on "
            "arrival",
            "Compare the pH of both systems with one kit, so that the pH calendar starts early enough",
            "Raise the daily feed at the destination slowly, so that its filter can handle more fish",
            "Replace test kits that have expired, so that you can rely on the readings at the door",
            "Run the pump, the spare and the battery as long as trip and delay, so that a weak one fails at home",
        )),
        ("Two to three days before", (
            fasting,
            "Test ammonia and nitrite at the destination, so that you can still call the move off",
        )),
        ("The day before", (
            "Scrub, disinfect and rinse vessels, lids and nets, and let them dry, so that no disease is carried along",
            "Charge all batteries overnight, so that pump and spare start full",
            "Pack insulation and closed bottles of ice or warm water to suit the forecast, so that the water stays "
            "as warm",
            weight,
            "Pack kits, thermometer, nets, tubing, spare air stones and the road card, so that nothing is missing "
            "on site",
        )),
        ("Before the first fish is caught", (
            "Use mains electricity only with RCD protection, and unplug it before you reach in, so that no fault kills",
            "Take the haul water from the system that the fish live in, so that only the place changes for them",
            "Let the air run in every vessel for some minutes, so that CO2 leaves and oxygen is high at the start",
            "Write down oxygen, pH, temperature and ammonia of the haul water, to compare with at the door",
        )),
        ("Loading", (
            "Lower the water and close off a corner with a screen, so that no fish has to be chased",
            "Use a wide net of soft mesh without knots, so that skin, slime and fins stay whole",
            "Lift few fish at a time and only for seconds, so that none is crushed or left without breath",
            "Leave thin, wounded and sick fish behind, so that they do not die in the vessel and spoil its water",
            "One person counts, another writes the number for each vessel, so that a loss is noticed",
            "Close the lids but leave a vent, so that no fish jumps out and CO2 can escape",
            "Strap every vessel upright, so that none tips when the vehicle brakes",
            "Refill the system with water tested free of chlorine and chloramine, so that its filter and fish live",
        )),
        ("On the road", (
            "Check every vessel within the first quarter of an hour, because the fish use most oxygen in the first "
            "hour",
            "Then check at least twice an hour for bubbles, upright fish and oxygen, so that help comes in time",
            "Brake and turn slowly and keep the vessels shaded, so that the water neither surges nor warms",
            "If the pump stops, act within the minutes on the road card",
            "Add no feed, salt or medicine on the way, so that the water stays as planned; a vet decides about "
            "medicines",
        )),
        ("At the destination", (
            "Read vessel and tank and enter both on the sheet Arrival, so that its instruction fits what you found",
            "Turn the lights down before you open the lids, so that the fish do not startle",
            "Follow that instruction to the minute, so that the fish meet the new water step by step",
            "Move the fish with the net and keep the haul water out of the tank: it carries ammonia and perhaps "
            "disease",
            "Count the living and the dead, and enter the dead on the sheet After the move as day 0",
            "Pour the haul water where local rules allow it, and salted water never where plants grow",
        )),
        ("Before you drive off", (
            "Watch for a quarter of an hour, until the fish swim upright and breathe calmly",
            "Ask for dim light and no feed until tomorrow, so that the fish recover first",
            "Hand over the sheet After the move and your number, so that somebody looks every day and knows whom to "
            "call",
            "Disinfect whatever touched water, boots and hands too, before you go to the next system",
        )),
    )


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Print it, take it along and tick each step.", landscape=False)
    widths(sheet, 4, 12, 108)
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
