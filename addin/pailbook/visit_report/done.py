"""What was done in the period (doses, water, feed, plants, upkeep) and what went wrong, in few lines with dates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas

from pailbook.visit_report.season import Season, number
from pailbook.workbook.check import tasks
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log import fish, limits, registers, upkeep, water_moves
from pailbook.workbook.log.locate import folded
from pailbook.workbook.log.season import System
from pailbook.workbook.measures import WATER_VOLUME

_STORY = {"story": "", "done": "Done: ", "cause": "Cause: "}  # of an incident: which words, and what goes before them
_AIMS = {"raise pH": "to raise pH", "lower pH": "to lower pH", "dechlorinate": "to remove chlorine",
         water_moves.MEDICINE: "as a medicine", "other": "", "": ""}  # any other aim is what the dose is for
_CHLORINE = {"yes": "chlorine was taken out", "no": "chlorine was not taken out", "has none": "it has no chlorine"}


@dataclass(frozen=True)
class Line:
    """Something that was done or happened: when, where, what. If it was wrong, the text begins with the verdict."""

    when: str
    system: str
    text: str


def period(frame: pandas.DataFrame, names: set[str], since: date, until: date) -> pandas.DataFrame:
    """The rows of these systems (named in lower case) in the period, oldest first."""
    inside = (frame["date"] >= pandas.Timestamp(since)) & (frame["date"] <= pandas.Timestamp(until))
    found: pandas.DataFrame = frame[inside & frame["of"].isin(names)].sort_values(["date", "row"])
    return found


def doses(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """Doses, one line for each product and aim."""
    rows = period(season[water_moves.DOSES], names, since, until)
    for key in ("amount", "before", "after"):
        rows[key] = number(rows[key])
    for (_, aim, product, unit), group in _groups(rows, ["of", "aim", "product", "unit"]):
        purpose = _AIMS.get(aim, f"for {aim}")
        text = f"Dosed{f' {purpose}' if purpose else ''}: {_amount(group['amount'], unit or 'g or mL')} of "
        text += product or "a product without a name"
        text += f", in {len(group)} doses" if len(group) > 1 else ""
        moved = (group["after"] - group["before"]).round(2).dropna()
        if not moved.empty:
            most = max(moved, key=abs)
            text += f"; pH changed by {'at most ' if len(group) > 1 else ''}{most:+.2f}"
            step = season.limits.number(None, "ph_step")
            if season.limits.is_unknown(None, "ph_step"):
                text = f"{limits.said_unknown('ph_step')}. {text}"
            elif step is not None and abs(most) > step:
                harsh = water_moves.TWICE_TOO_FAST if abs(most) > 2 * step else water_moves.too_fast(f"{step:g}")
                text = f"{harsh}. {text}"
        if aim == water_moves.MEDICINE:
            text += ". Follow the label, the law and your vet's advice, and record when the fish are safe to eat again"
        yield Line(_span(group), _system(group), f"{text}{_notes(group)}.")


def water(season: Season, names: set[str], known: list[System], since: date, until: date) -> Iterator[Line]:
    """Water that went in, one line for each kind, with its largest share of the system."""
    rows = period(season[water_moves.CHANGES], names, since, until)
    rows["volume"] = number(rows["volume"])
    volumes = {system.row.of: system.volume for system in known}
    unit = WATER_VOLUME.unit_in(season.units)
    for (of, how, source, chlorine), group in _groups(rows, ["of", "how", "source", "chlorine"]):
        text = f"Water {how or 'added'}: {_total(group['volume'], unit)}"
        most, volume = group["volume"].max(), volumes[of]
        if most == most and volume is not None:
            share = most / volume * 100
            text += f", {'at most ' if len(group) > 1 else ''}{share:.0f} % of the system at once"
        text += "".join(f"; {part}" for part in (source and f"source: {source}", _CHLORINE.get(chlorine)) if part)
        if source == water_moves.HAUL:
            text = f"{water_moves.HAUL_IN}. {text}"
        elif chlorine == "no" or (source in water_moves.CHLORINATED and chlorine != "yes"):
            text = f"{water_moves.CHLORINE_IN}. {text}"
        yield Line(_span(group), _system(group), f"{text}{_notes(group)}.")


def plants(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """Plants that were picked, one line for each crop."""
    rows = period(season[registers.HARVEST], names, since, until)
    columns = {key: _column(registers.COLUMNS[registers.HARVEST], key) for key in ("plants", "mass")}
    typed = rows["plants"].notna()
    for key, column in columns.items():
        rows[key] = _possible(column, number(rows[key]), season.units)
    rows["doubt"] = typed & rows["plants"].isna()
    unit = columns["mass"].unit(season.units)
    for (_, crop), group in _groups(rows, ["of", "crop"]):
        count, doubt = group["plants"].sum(), bool(group["doubt"].any())
        text = f"Harvested {crop or 'plants'}: {_total(group['mass'], unit)}"
        if count:
            text += f", {'at least ' if doubt else ''}{count:.0f} plants"
        elif doubt:
            text += ", an unknown number of plants"
        yield Line(_span(group), _system(group), f"{text}.")


def feed(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """Feed of each system: how much on the days that were recorded, and on how many of them much was left."""
    rows = period(season[registers.FEED], names, since, until)
    rows["feed"] = number(rows["feed"])
    unit = _column(registers.COLUMNS[registers.FEED], "feed").unit(season.units)
    for _, group in _groups(rows, ["of"]):
        days, left = group["date"].nunique(), group["eaten"].isin(("some", "none")).sum()
        text = f"Fed {_amount(group['feed'], unit)} in total on {days} recorded day{'s' * (days != 1)}"
        text += f"; much was left {'once' if left == 1 else f'{left} times'}" if left else ""
        yield Line(_span(group), _system(group), f"{text}.")


def kept_up(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """Upkeep of these systems and of what serves all: the latest time of each in the period."""
    rows = period(season[upkeep.SHEET], {*names, ""}, since, until)
    for (_, item, which), group in _groups(rows, ["of", "item", "which"]):
        text = capital(tasks.done(item, which))
        yield Line(_span(group), _system(group) or "all systems", f"{'; '.join([text, *_latest_note(group)])}.")


def deaths(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """Fish that died or were missing at a count, each time with the cause."""
    rows = period(season[fish.SHEET], names, since, until)
    for _, row in rows[rows["event"].map(folded).isin((fish.DIED, "found fewer"))].iterrows():
        count = number(pandas.Series([row["count"]], dtype=object)).iloc[0]
        what = "died" if folded(row["event"]) == fish.DIED else "missing at a count"
        text = f"{f'{shown(count)} fish' if count == count else 'Fish (number not given)'} {what}"
        cause = f"Cause: {row['cause']}" if row["cause"] else "The cause is not recorded"
        note = f" ({row['note']})" if row["note"] else ""
        yield Line(_day(row["date"]), row["system"], f"{text}. {cause}{note}.")


def incidents(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """Incidents of the period, and earlier ones that are still open."""
    rows = season[registers.INCIDENTS]
    known = rows[rows["of"].isin(names) & (rows["date"] <= pandas.Timestamp(until))]
    wanted = known[(known["date"] >= pandas.Timestamp(since)) | known["closed"].isna()]
    for _, row in wanted.sort_values(["date", "row"]).iterrows():
        story = [f"{words}{row[key]}." for key, words in _STORY.items() if row[key]]
        end = "Still open." if pandas.isna(row["closed"]) else f"Closed on {_day(row['closed'])}."
        what = capital(row["what"] or "incident")
        yield Line(_day(row["date"]), row["system"], f"{what}: {' '.join([*story, end])}")


def _possible(column: Column, values: pandas.Series, units: str) -> pandas.Series:
    """The numbers without those that the column cannot hold."""
    kind = column.quantity
    assert kind is not None, column.key
    for beyond in (*kind.outside(values, units), *([values % 1 > 0] if kind.whole else [])):
        values = values.mask(beyond)
    return values


def _groups(rows: pandas.DataFrame, keys: list[str]) -> Iterator[tuple[list[str], pandas.DataFrame]]:
    """The rows that are the same in these columns, in the order of their first row."""
    for _, group in rows.groupby(keys, sort=False):
        yield [str(group[key].iloc[0]) for key in keys], group


def shown(value: Any) -> str:
    """A number with three digits, or as a whole one."""
    return f"{value:,.0f}" if abs(value) >= 100 or value % 1 == 0 else f"{value:.3g}"


def _amount(values: pandas.Series, unit: str) -> str:
    """The sum of the values; "at least" where one of them is not known."""
    known = values.dropna()
    if known.empty:
        return "an unknown amount"
    return f"{'at least ' if len(known) < len(values) else ''}{shown(known.sum())} {unit}"


def _total(values: pandas.Series, unit: str) -> str:
    """The same and, if there are several values, how many."""
    amount = _amount(values, unit)
    return amount if len(values) == 1 else f"{amount} in total, {len(values)} times"


def capital(text: str) -> str:
    """The text with a capital at its beginning, unless that is a sign such as pH."""
    return text[:1].upper() + text[1:] if text[1:2].islower() else text


def _span(group: pandas.DataFrame) -> str:
    first, last = _day(group["date"].min()), _day(group["date"].max())
    return first if first == last else f"{first} to {last}"


def _day(value: Any) -> str:
    return f"{value:%Y-%m-%d}"


def _system(group: pandas.DataFrame) -> str:
    return str(group["system"].iloc[-1])


def _notes(group: pandas.DataFrame) -> str:
    """The latest note, in brackets."""
    return "".join(f" ({note})" for note in _latest_note(group))


def _latest_note(group: pandas.DataFrame) -> list[str]:
    return [note for note in group["note"] if note][-1:]


def _column(columns: tuple[Column, ...], key: str) -> Column:
    return next(column for column in columns if column.key == key)
