"""What was done in the period: doses, water, feed, plants, upkeep; and what went wrong; in few lines with dates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas

from pailbook.visit_report.season import Season
from pailbook.visit_report.tables import number
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log import fish, registers, systems, upkeep, water_moves
from pailbook.workbook.measures import WATER_VOLUME
from pailbook.workbook.readings.log_rows import folded

_STORY = {"story": "", "done": "done: ", "cause": "cause: "}  # of an incident: which words, and what goes before them


@dataclass(frozen=True)
class Line:
    """Something that was done or happened: when, where, what. What was wrong with it goes first, as a verdict."""

    when: str
    system: str
    text: str


def period(frame: pandas.DataFrame, names: set[str], since: date, until: date) -> pandas.DataFrame:
    """The rows of these systems (named in lower case) in the period, oldest first."""
    inside = (frame["date"] >= pandas.Timestamp(since)) & (frame["date"] <= pandas.Timestamp(until))
    found: pandas.DataFrame = frame[inside & frame["of"].isin(names)].sort_values(["date", "row"])
    return found


def doses(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """Doses, those of one product for one aim on a line."""
    rows = period(season[water_moves.DOSES], names, since, until)
    for key in ("amount", "before", "after"):
        rows[key] = number(rows[key])
    for (_, aim, product, unit), group in _groups(rows, ["of", "aim", "product", "unit"]):
        text = f"{aim or 'dose'}: {product or 'product not named'}, {_total(group['amount'], unit or 'g or mL')}"
        moved = (group["after"] - group["before"]).round(2).dropna()
        if not moved.empty:
            most = max(moved, key=abs)
            text += f", pH moved by {most:+.2f}{' at most' if len(group) > 1 else ''}"
            step = season.bounds.general("ph_step")
            if step is not None and abs(most) > step:
                harsh = water_moves.TWICE_TOO_FAST if abs(most) > 2 * step else water_moves.too_fast(f"{step:g}")
                text = f"{harsh}; {text}"
        if aim == water_moves.MEDICINE:
            text += "; label, vet and law: note when food is safe again"
        yield Line(_span(group), _system(group), text + _notes(group))


def water(season: Season, names: set[str], known: pandas.DataFrame, since: date, until: date) -> Iterator[Line]:
    """Water that went in, that of one kind on a line, with its largest share of the system."""
    rows = period(season[water_moves.CHANGES], names, since, until)
    rows["volume"] = number(rows["volume"])
    volumes = known.set_index(known["system"].map(folded))["volume_used"]
    unit = WATER_VOLUME.unit_in(season.units)
    for (of, how, source, chlorine), group in _groups(rows, ["of", "how", "source", "chlorine"]):
        text = f"water {how or 'in'}{f' from {source}' if source else ''}, {_total(group['volume'], unit)}"
        share = group["volume"].max() / volumes[of] * 100
        if share == share:
            text += f", {share:.0f} % of the system{' at most' if len(group) > 1 else ''}"
        text += {"yes": ", chlorine taken out", "has none": ", without chlorine"}.get(chlorine, "")
        if source == water_moves.HAUL:
            text = f"{water_moves.HAUL_IN}; {text}"
        elif chlorine == "no" or (source in water_moves.CHLORINATED and chlorine != "yes"):
            text = f"{water_moves.CHLORINE_IN}; {text}"
        yield Line(_span(group), _system(group), text + _notes(group))


def plants(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """Plants that were picked, those of one crop on a line."""
    rows = period(season[registers.HARVEST], names, since, until)
    for key in ("plants", "mass"):
        rows[key] = number(rows[key])
    unit = _column(registers.COLUMNS[registers.HARVEST], "mass").unit(season.units)
    for (_, crop), group in _groups(rows, ["of", "crop"]):
        count = group["plants"].sum()
        text = f"harvested {crop or 'plants'}, {_total(group['mass'], unit)}"
        yield Line(_span(group), _system(group), text + (f", {count:.0f} plants" if count else ""))


def feed(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """Feed of each system: the days that were written down, and what was left."""
    rows = period(season[registers.FEED], names, since, until)
    rows["feed"] = number(rows["feed"])
    unit = _column(registers.COLUMNS[registers.FEED], "feed").unit(season.units)
    for _, group in _groups(rows, ["of"]):
        days = group["date"].nunique()
        text = f"fed {shown(group['feed'].sum())} {unit} on {days} day{'s' * (days != 1)} that were written down"
        left = group["eaten"].isin(("some", "none")).sum()
        yield Line(_span(group), _system(group), text + (f"; on {left} much was left" if left else ""))


def kept_up(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """Upkeep of these systems and of what serves all: the latest time of each in the period."""
    rows = period(season[upkeep.SHEET], {*names, ""}, since, until)
    for (_, item, which), group in _groups(rows, ["of", "item", "which"]):
        text = f"{item}{f' ({which})' if which else ''}"
        yield Line(_span(group), _system(group) or "all systems", text + _notes(group))


def deaths(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """Fish that died or were missing, each with its cause."""
    rows = period(season[fish.SHEET], names, since, until)
    for _, row in rows[rows["event"].map(folded).isin((fish.DIED, "found fewer"))].iterrows():
        count = number(pandas.Series([row["count"]], dtype=object)).iloc[0]
        what = "died" if folded(row["event"]) == fish.DIED else "found missing at a count"
        text = f"{'number not given' if count != count else shown(count)} {what}"
        said = [row[key] for key in ("cause", "note") if row[key]]
        yield Line(_day(row["date"]), row["system"], f"{text}: {'; '.join(said) or 'cause not written down'}")


def incidents(season: Season, names: set[str], since: date, until: date) -> Iterator[Line]:
    """What went wrong, and whether it is closed; also what is still open from before the period."""
    rows = season[registers.INCIDENTS]
    known = rows[rows["of"].isin(names) & (rows["date"] <= pandas.Timestamp(until))]
    wanted = known[(known["date"] >= pandas.Timestamp(since)) | known["closed"].isna()]
    for _, row in wanted.sort_values(["date", "row"]).iterrows():
        said = [f"{words}{row[key]}" for key, words in _STORY.items() if row[key]]
        end = "still open" if pandas.isna(row["closed"]) else f"closed on {_day(row['closed'])}"
        yield Line(_day(row["date"]), row["system"], f"{row['what'] or 'incident'}: {'; '.join([*said, end])}")


def registered(known: pandas.DataFrame) -> set[str]:
    """The names of the client's systems as rows are looked for by them."""
    return set(known[systems.COLUMNS[0].key].map(folded))


def _groups(rows: pandas.DataFrame, keys: list[str]) -> Iterator[tuple[list[str], pandas.DataFrame]]:
    """The rows that are alike in these columns, in the order in which they first come."""
    for _, group in rows.groupby(keys, sort=False):
        yield [str(group[key].iloc[0]) for key in keys], group


def shown(value: Any) -> str:
    """A number with as many digits as it deserves."""
    return f"{value:,.0f}" if abs(value) >= 100 or value % 1 == 0 else f"{value:.3g}"


def _total(values: pandas.Series, unit: str) -> str:
    times, known = len(values), values.dropna()
    amount = f"{shown(known.sum())} {unit}" if not known.empty else "amount not given"
    return amount if times == 1 else f"{times} times, {amount} in all"


def _span(group: pandas.DataFrame) -> str:
    first, last = _day(group["date"].min()), _day(group["date"].max())
    return first if first == last else f"{first} to {last}"


def _day(value: Any) -> str:
    return f"{value:%Y-%m-%d}"


def _system(group: pandas.DataFrame) -> str:
    return str(group["system"].iloc[-1])


def _notes(group: pandas.DataFrame) -> str:
    """The latest note."""
    notes = [note for note in group["note"] if note]
    return f" ({notes[-1]})" if notes else ""


def _column(columns: tuple[Column, ...], key: str) -> Column:
    return next(column for column in columns if column.key == key)
