"""What was taken out of a client's copy, in plain words. The lines are for the practitioner, not for the client."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

_SHOWN = 40  # cells that a line names


@dataclass
class Removed:
    """What was taken out, by kind; iterating gives it line by line."""

    client: str
    systems: tuple[str, ...] = ()  # the client's, as the file spells them
    rows: Counter[str] = field(default_factory=Counter)  # of others, by sheet
    unnamed: Counter[str] = field(default_factory=Counter)  # of these, rows that name no system
    cells: list[str] = field(default_factory=list)  # emptied, because they named others or held their texts
    turned: list[str] = field(default_factory=list)  # formulas that became their value
    reset: list[str] = field(default_factory=list)  # cells that now hold the client's own system
    sheets: list[str] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    things: Counter[str] = field(default_factory=Counter)  # whatever else, by what it is
    notes: list[str] = field(default_factory=list)  # what the practitioner should know or check

    def __iter__(self) -> Iterator[str]:
        yield f"kept: {self.client} ({', '.join(self.systems) or 'the whole plan'})"
        for sheet, count in self.rows.items():
            unnamed = f", {self.unnamed[sheet]} of them without a system" if self.unnamed[sheet] else ""
            yield f"{sheet}: {_count(count, 'row')} about others taken out{unnamed}"
        for what, places in (
            ("emptied because of words about others", self.cells),
            ("turned from a formula into its value", self.turned),
            ("set to the client's own system", self.reset),
        ):
            if places:
                more = f" and {len(places) - _SHOWN} more" if len(places) > _SHOWN else ""
                yield f"{_count(len(places), 'cell')} {what}: {', '.join(places[:_SHOWN])}{more}"
        if self.sheets:
            yield f"{_count(len(self.sheets), 'sheet')} taken out: {', '.join(self.sheets)}"
        if self.names:
            yield f"{_count(len(self.names), 'defined name')} taken out: {', '.join(self.names)}"
        for what, count in sorted(self.things.items()):
            yield f"taken out: {what}" + (f" ({count})" if count > 1 else "")
        yield from self.notes

    def __str__(self) -> str:
        return "\n".join(self)


def _count(number: int, what: str) -> str:
    return f"{number} {what}" + ("" if number == 1 else "s")
