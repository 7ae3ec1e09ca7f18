"""The report's page: plain values, so that it reads the same in any program and on a phone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pailbook import terms
from pailbook.quantities import Biomass, FishDensity, FishMass, Quantity, Volume
from pailbook.visit_report.content import Content
from pailbook.visit_report.findings import Found, Reading
from pailbook.visit_report.layout import WIDTHS, Layout, say
from pailbook.visit_report.stock import Fish
from pailbook.workbook import front, style
from pailbook.workbook.builder import Book
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import put

SHEET = "Visit report"
_VERDICTS = tuple(f"{word}: " for word in (terms.ACT, terms.NOT_KNOWN, terms.WATCH))  # at the beginning of a text
MOST = 12  # lines of a list; a line above them says how many older ones there are


class Page(Layout):
    """Writes the report from the top down."""

    def __init__(self, book: Book, content: Content) -> None:
        super().__init__(book, SHEET)
        self.book, self.content = book, content
        self._named: set[str] = set()  # parameters that stand on the sheet already

    def head(self) -> None:
        """Who it is for, which period it covers, who wrote it; and a summary of what there is to do."""
        content = self.content
        put(self.sheet, "A1", "Visit report", "title")
        self.row = 1
        for text, name in (
            (content.client, "title"),
            (f"{content.since} to {content.until}. {_units(content.season.units)}.", "text"),
            (f"From: {content.season.farm}" if content.season.farm else "", "text"),
        ):
            if text:
                self.across(text, name)
        if content.empty:
            self.across(f"The log has no tests of these systems and no work on them from {content.since} to "
                        f"{content.until}. What follows was known before.", "strong")
        self.section("Summary")
        self.headings("System", "Verdict", "What was found, and what to do")
        for found in content.found:
            self.verdict(found.name, found.verdict, f"{' '.join(found.sentences)}\nWhat to do: {found.step}")
        if content.undated:
            self.across(f"Water tests that are left out because they have no proper date: {content.undated}.", "note")

    def found(self, found: Found) -> None:
        """A system's latest readings and its limits."""
        self.section(_title(found, self.book.units))
        if not found.readings:
            self.across("The log has no water test of this system.")
            return
        if found.tests.empty:
            self.across(f"There was no test from {self.content.since} on; these readings are older.", "strong")
        self.headings("Reading", "Latest", "Unit", "Date", "Lowest to highest", "Limits", "Verdict")
        for reading in found.readings:
            first = self._named.isdisjoint({reading.parameter.key})
            self._named.add(reading.parameter.key)
            self._reading(reading, first)
        for text in found.noted:
            self.across(text, "note")

    def _reading(self, reading: Reading, first: bool) -> None:
        parameter, units, row = reading.parameter, self.book.units, self.next_row()
        shape = parameter.number_format(units)
        say(self.sheet, f"A{row}", parameter.once if first and parameter.once else parameter.label, "strong")
        put(self.sheet, f"B{row}", reading.value, "key", shape, align="right")
        say(self.sheet, f"C{row}", parameter.unit_in(units))
        say(self.sheet, f"D{row}", f"{reading.when:%Y-%m-%d %H:%M}" if reading.timed else f"{reading.when:%Y-%m-%d}")
        say(self.sheet, f"E{row}", _range(reading, units))
        say(self.sheet, f"F{row}", reading.limits, wrap=True)
        say(self.sheet, f"G{row}", reading.verdict or "not judged", "result" if reading.verdict else "note", wrap=True)
        self.colour(f"G{row}")
        self.fit(row, (reading.limits, WIDTHS[5]), (reading.verdict, WIDTHS[6]))

    def fish(self) -> None:
        """Each system's fish: how many there are, what they weigh, how many survived."""
        units = self.book.units
        self.section("Fish")
        if not any(found.fish.verdict for found in self.content.found):
            self.across("The log has no entries about fish.")
            return
        self.headings(
            "System", "Number of fish", _with_unit(terms.MEAN_WEIGHT, quantity(FishMass), units),
            _with_unit(terms.TOTAL_WEIGHT, quantity(Biomass), units),
            _with_unit(terms.STOCKING_DENSITY, quantity(FishDensity), units), "Survival in this period", "Verdict",
            height=30)
        for found in self.content.found:
            self._stock(found.name, found.fish)
        weighed = "; ".join(
            f"{found.name} {found.fish.weighed}" for found in self.content.found if found.fish.weighed)
        self.across("Survival: of all fish that were there or arrived in this period, the share that did not die. The "
                    "true rate probably lies in the range in brackets (the 95 % interval); with few fish the range is "
                    f"wide. Latest weighing: {weighed or 'none yet'}.", "note")

    def _stock(self, name: str, fish: Fish) -> None:
        row, units, stock = self.next_row(), self.book.units, fish.stock
        say(self.sheet, f"A{row}", name, "strong", wrap=True)
        if not fish.verdict:
            self.merge(row, "B")
            say(self.sheet, f"B{row}", "no entries about fish", "note")
            return
        for letter, value, shape in (
            ("B", stock.count, "0"), ("C", stock.one, style.format_of(quantity(FishMass), units)),
            ("D", stock.biomass, style.format_of(quantity(Biomass), units)),
            ("E", stock.density, style.format_of(quantity(FishDensity), units)),
        ):
            put(self.sheet, f"{letter}{row}", "not known" if value is None else value,
                "key" if letter == "B" else "result", shape, align="right")
        survival = _survival(fish)
        say(self.sheet, f"F{row}", survival, wrap=True)
        say(self.sheet, f"G{row}", fish.verdict, "result", wrap=True)
        self.colour(f"G{row}")
        self.fit(row, (name, WIDTHS[0]), (survival, WIDTHS[5]), (fish.verdict, WIDTHS[6]))

    def lists(self) -> None:
        """What went wrong, what was done, what is due."""
        content = self.content
        self.section("What went wrong")
        self._list(content.wrong, "No deaths or incidents are recorded.")
        self.section("What was done")
        self._list(content.done, "Nothing is recorded.")
        self.section(f"Due before the next visit ({content.next_visit})")
        if not content.due:
            self.across("Nothing is due. Keep testing.")
        else:
            self.list_headings("Where", "By", "What")
        for due in content.due:
            late = due.late if due.day < content.until else ""
            self.entry(due.system, due.day.isoformat(), late + due.text, coloured=bool(late))

    def _list(self, lines: Sequence[Any], nothing: str) -> None:
        if not lines:
            self.across(nothing)
            return
        self.list_headings("Where", "When", "What")
        if len(lines) > MOST:
            self.across(f"{len(lines) - MOST} older entries are left out here; the log has them.", "note")
        for line in lines[-MOST:]:
            self.entry(line.system, line.when, line.text, coloured=line.text.startswith(_VERDICTS))

    def cautions(self) -> None:
        """Safety notes on what was done and is due, and the sources of the limits."""
        content = self.content
        self.section("Safety notes")
        self.across("This report is for information; it is not professional advice. Local laws and codes come first.")
        for text in (front.ACIDS_AND_BASES if content.dosed else "", front.MAINS_POWER, front.CHLORINE,
                     front.MEDICINES if content.medicine else "", front.REGULATED):
            if text:
                self.across(text)
        self.section("Where the limits come from")
        sources: dict[str, dict[str, list[str]]] = {}  # by source, what it limits, with the species for which it does
        for found in content.found:
            for reading in found.readings:
                unit = reading.parameter.unit_in(content.season.units)
                for source, limits in reading.sources.items():
                    text = f"{reading.parameter.named} ({' '.join(filter(None, (limits, unit)))})"
                    sources.setdefault(source, {}).setdefault(text, []).append(found.species)
        everywhere = {found.species for found in content.found}
        for source, limited in sources.items():
            parts = (text if everywhere == set(species) else f"{text} for {' and '.join(dict.fromkeys(species))}"
                     for text, species in limited.items())
            self.across(f"{source}: {'; '.join(parts)}", "note")
        if not sources:
            self.across("There were no readings to compare with limits.", "note")
        self.sheet.print_area = f"A1:G{self.row}"


def _title(found: Found, units: str) -> str:
    parts = [found.species or "species not given"]
    if found.volume is not None:
        parts.append(f"{found.volume:,.0f} {quantity(Volume).unit_in(units)}")
    return f"What was found: {found.name} ({', '.join(parts)})"


def _range(reading: Reading, units: str) -> str:
    if reading.lowest is None or reading.highest is None:
        return "not read since"
    low, high = (reading.parameter.shown(value, units) for value in (reading.lowest, reading.highest))
    return low if low == high else f"{low} to {high}"


def _survival(fish: Fish) -> str:
    missing = f"; {fish.missing:.0f} more were missing at a count" if fish.missing else ""
    if fish.survival is None:
        return f"not known: check the counts{missing}"
    survival = fish.survival
    share, low, high = (f"{100 * value:.1f}" for value in (survival.share, survival.low, survival.high))
    return f"{share} % ({low} to {high} %): {survival.dead:.0f} of {survival.total:.0f} fish died{missing}"


def _with_unit(text: str, kind: Quantity, units: str) -> str:
    return f"{text}\n{kind.unit_in(units)}"


def _units(units: str) -> str:
    return "US units" if units == "us" else "Metric units"
