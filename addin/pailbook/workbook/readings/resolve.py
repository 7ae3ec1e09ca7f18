"""In which unit and basis each column's values are: by an option, by the record, by its values, or by asking."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from pailbook.workbook.readings.answers import LEAVE_OUT, Question, ReadingsError, map_option
from pailbook.workbook.readings.columns import AMMONIA, CALCULATED, PERCENT_UNUSED, unit_of_text
from pailbook.workbook.readings.fields import MEASURED, Field
from pailbook.workbook.readings.records import Measure, Record
from pailbook.workbook.readings.units import (
    CELSIUS,
    FAHRENHEIT,
    HARDNESS_MG,
    MG_PER_LITRE,
    MICROSIEMENS,
    MILLISIEMENS,
    PH_UNIT,
    Unit,
    as_basis,
    unit_and_basis,
    words,
)
from pailbook.workbook.readings.values import Reading

ByMeasure = dict[int, dict[int, Reading]]  # by measure, then by the record's position
# No fish could live if these were percent of saturation; so numbers up to here are mg/L.
_OXYGEN_MG_UP_TO = 20.0
# As µS/cm this is less than in any water with fish in it; as mS/cm it is more than the log's limit.
_CONDUCTIVITY_MICRO_FROM = 20.0
# The unit that the values of a kind are kept in.
_KEPT = {"temperature": CELSIUS, "ph": PH_UNIT, "oxygen": MG_PER_LITRE, "concentration": MG_PER_LITRE,
         "hardness": HARDNESS_MG, "conductivity": MICROSIEMENS}


@dataclass(frozen=True)
class Use:
    """How the values of a measure are read, unless a value names its own unit."""

    field: Field
    unit: Unit
    basis: str
    known_by: str

    @property
    def unit_text(self) -> str:
        """Unit and basis, for people."""
        if self.field.kind == "hardness":
            return "mg/L as CaCO3" if self.basis == "CaCO3" else self.unit.label
        return f"{self.unit.label} as {self.basis}" if self.basis else self.unit.label


@dataclass
class Resolution:
    """The uses by measure, what is not used and why, the questions, and what else to report."""

    uses: dict[int, Use]
    unused: list[tuple[str, str]]
    questions: list[Question]
    remarks: list[str]


def resolve(
    measures: Sequence[Measure], records: Sequence[Record], readings: ByMeasure, units: Mapping[str, str]
) -> Resolution:
    """How each measure is used.

    Parameters
    ----------
    units : unit or basis by field, such as {"temperature": "F", "nitrate": "N"}; it overrides the headings.
    """
    result = Resolution({}, [], [], [])
    for key in units:
        if key not in MEASURED:
            raise ReadingsError(f'a unit is given for "{key}"; expected one of the fields {", ".join(MEASURED)}')
    candidates = []
    for position, measure in enumerate(measures):
        if not readings.get(position):
            result.unused.append((measure.name, "has no value in any row"))
        elif measure.meaning.role == AMMONIA:
            _uncertain_ammonia(position, measures, records, result)
        else:
            candidates.append(position)
    _several_columns(candidates, measures, readings, result)
    for position in candidates:
        _use(position, candidates, measures, readings[position], units, result)
    return result


def _uncertain_ammonia(
    position: int, measures: Sequence[Measure], records: Sequence[Record], result: Resolution
) -> None:
    """A column of "ammonia" or "NH3": with TAN beside each value it is un-ionised ammonia, else its owner is asked."""
    measure = measures[position]
    certain = [i for i, other in enumerate(measures) if other.meaning.role == "tan"]
    beside = [any(i in record.found for i in certain) for record in records if position in record.found]
    if certain and all(beside) and "NH4" not in measure.name.upper():
        names = " and ".join(f'"{measures[i].name}"' for i in certain)
        result.unused.append((measure.name, f"stands beside total ammonia ({names}) in every row, so it is un-ionised "
                                            f"ammonia (NH3-N), which {CALCULATED}"))
        return
    named = measure.meaning.basis
    choices = [(map_option(measure.name, f"tan:{basis}"), f"if it is total ammonia {as_basis(MEASURED['tan'], basis)}")
               for basis in ([named] if named in ("N", "NH4") else MEASURED["tan"].bases)]
    ammonium = "NH4" in measure.name.upper() and "NH3" not in measure.name.upper()
    other = ("ammonium (NH4) alone, which is less than total ammonia" if ammonium else
             f"un-ionised ammonia (NH3-N) alone, which {CALCULATED}")
    choices.append((map_option(measure.name, LEAVE_OUT), f"if it is {other}; leaves the column out"))
    result.questions.append(Question(
        str(measure), "this can be total ammonia in one of several bases, or only one of its two forms; the leaflet of "
        "the kit or laboratory says which", tuple(choices)))


def _several_columns(
    candidates: list[int], measures: Sequence[Measure], readings: ByMeasure, result: Resolution
) -> None:
    """Columns for one field fill each other's gaps; if two have values in one row, one is mapped or asked for."""
    for field in MEASURED.values():
        same = [i for i in candidates if measures[i].meaning.field is field]
        if len(same) < 2:
            continue
        both = any(set(readings[a]) & set(readings[b]) for a in same for b in same if a < b)
        names = " and ".join(f'"{measures[i].name}"' for i in same)
        preferred = [i for i in same if measures[i].meaning.mapped]
        if not both:
            if not all(measures[i].variable for i in same):
                result.remarks.append(f"{names} never have a value in the same row; together they fill {field.name}")
        elif len(preferred) == 1:
            for i in set(same) - set(preferred):
                result.unused.append((measures[i].name, f"is not needed: {field.name} is taken from "
                                                        f'"{measures[preferred[0]].name}", as the mapping says'))
                candidates.remove(i)
        else:
            them = "both" if len(same) == 2 else "all"
            result.questions.append(Question(
                f"columns {names}", f"{them} have values for {field.name} in the same rows; leave out all but one",
                tuple((map_option(measures[i].name, LEAVE_OUT), "") for i in same),
            ))


def _use(
    position: int, candidates: Sequence[int], measures: Sequence[Measure], found: Mapping[int, Reading],
    units: Mapping[str, str], result: Resolution,
) -> None:
    measure = measures[position]
    meaning, field = measure.meaning, measure.meaning.field
    assert field is not None
    unit, basis, stated = meaning.unit, meaning.basis, meaning.stated
    known = ["as the mapping says"] if meaning.mapped and meaning.unit else []
    numbers = [reading for reading in found.values() if reading.number is not None]
    if field.key in units:
        given_unit, given_basis = unit_of_text(field, units[field.key].split(":"), f"the unit of {field.key}")
        unit, basis, stated, known = given_unit or unit, given_basis or basis, stated or bool(given_basis), ["as given"]
    if unit is None and field.kind == "hardness" and basis == "CaCO3":
        unit = HARDNESS_MG
    if unit is None and numbers and all(reading.unit for reading in numbers):
        unit, basis, known = _KEPT[field.kind], basis or field.basis, ["each value names its unit"]
    if unit is None:
        bare = [reading.number for reading in numbers if not reading.unit]
        unit, proof = _proven_unit(field, [number for number in bare if number is not None])
        known += [proof] if proof else []
    if unit is None and numbers:
        result.questions.append(_unit_question(measure, field, found))
        return
    unit = unit or _KEPT[field.kind]
    if field.kind == "hardness":
        basis = unit.basis
    elif field.bases and numbers:
        others = {measures[i].meaning.basis for i in candidates if measures[i].meaning.field is field and i != position}
        if not basis or (not stated and others - {"", basis}):
            result.questions.append(_basis_question(measure, field, basis))
            return
        if not stated:
            known.append(f"as {basis}, because the heading says so")
    result.uses[position] = Use(field, unit, basis or field.basis, "; ".join(known))


def _proven_unit(field: Field, values: Sequence[float]) -> tuple[Unit | None, str]:
    """The only unit possible, or the one that all the values prove, and how that is known; else None."""
    if field.kind == "ph":
        return PH_UNIT, ""
    if field.kind == "concentration":
        return MG_PER_LITRE, "no unit is named; mg/L and ppm are the same here"
    if field.kind == "hardness" or not values:
        return None, ""
    low, high = min(values), max(values)
    span = f"all values, {low:g} to {high:g},"
    if field.kind == "temperature":
        for unit, other in ((CELSIUS, FAHRENHEIT), (FAHRENHEIT, CELSIUS)):
            outside = [any(field.quantity.outside(value, other.system)) for value in values]
            inside = not any(any(field.quantity.outside(value, unit.system)) for value in values)
            if inside and sum(outside) * 2 >= len(values):
                limits = field.quantity.expected(other.system).removeprefix("a number ")
                return unit, f"no unit is named, but {span} cannot all be {other.label}, which range {limits}"
    if field.kind == "oxygen" and low >= 0 and high <= _OXYGEN_MG_UP_TO:
        return MG_PER_LITRE, f"no unit is named, but fish could not live if {span} were percent of saturation"
    if field.kind == "conductivity" and low > _CONDUCTIVITY_MICRO_FROM:
        return MICROSIEMENS, f"no unit is named, but {span} would be outside the limits as mS/cm"
    return None, ""


def _span(found: Mapping[int, Reading]) -> str:
    numbers = [reading.number for reading in found.values() if reading.number is not None]
    if not numbers:
        return "with no number in it"
    low, high = min(numbers), max(numbers)
    return f"{low:g} in every row" if low == high else f"from {low:g} to {high:g}"


def _unit_question(measure: Measure, field: Field, found: Mapping[int, Reading]) -> Question:
    options = {
        "temperature": ((CELSIUS, "C"), (FAHRENHEIT, "F")),
        "oxygen": ((MG_PER_LITRE, "mg/L"),),
        "conductivity": ((MICROSIEMENS, "uS/cm"), (MILLISIEMENS, "mS/cm")),
    }
    choices = [(map_option(measure.name, f"{field.key}:{text}"), f"if it is in {unit.label}")
               for unit, text in options.get(field.kind, ())]
    if field.kind == "hardness":
        choices = [(map_option(measure.name, f"{field.key}:{text}"), f"if it is in {unit}") for text, unit in (
            ("mg/L", "mg/L or ppm as CaCO3"), ("dH", "German degrees"), ("gpg", "grains per US gallon"),
            ("meq/L", "meq/L"), ("fH", "French degrees"))]
    if field.kind == "oxygen":
        choices.append((map_option(measure.name, LEAVE_OUT), f"if it {PERCENT_UNUSED}; leaves the column out"))
    return Question(str(measure), f"this is {field.name}, {_span(found)}, but its unit is not given", tuple(choices))


def _basis_question(measure: Measure, field: Field, guess: str) -> Question:
    bases = sorted(field.bases, key=lambda basis: basis != guess)
    choices = tuple((map_option(measure.name, f"{field.key}:{basis}"), f"if it is given {as_basis(field, basis)}")
                    for basis in bases)
    why = ("but its basis is not given" if not guess else
           f"as {guess} by its heading, but another column for {field.name} is in another basis")
    return Question(str(measure), f"this is {field.name}, {why}", choices)


def use_for(use: Use, reading: Reading) -> Use | None:
    """The use for one value, with the unit that stands after the number, or None if that is not a known unit."""
    if not reading.unit:
        return use
    named = unit_and_basis(use.field, words(reading.unit))
    if named is None or (named[0] is not None and named[0].percent):
        return None
    unit, basis = named
    if use.field.kind == "hardness" and unit is not None:
        return replace(use, unit=unit, basis=basis)
    return replace(use, unit=unit or use.unit, basis=basis or use.basis)
