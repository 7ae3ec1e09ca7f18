"""The words of the trade: which field a heading (or a variable's name) means, in which unit and basis."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from pailbook.nearest import nearest
from pailbook.workbook.readings.answers import LEAVE_OUT, Mapped, ReadingsError, map_option
from pailbook.workbook.readings.fields import MEASURED, Field
from pailbook.workbook.readings.units import Unit, known_units, unit_and_basis, words

# Roles that are no measured field. "ammonia" is a column that may be TAN in some basis, or un-ionised ammonia.
AMMONIA, UNUSED = "ammonia", "unused"
CLOCK_ROLES = ("date", "time", "datetime", "zone")
PLACE_ROLES = (*CLOCK_ROLES, "system", "tester", "note", "depth", "replicate")
LONG_ROLES = ("variable", "value", "unit")

_NAMES: dict[str, str] = {
    "date": "date, day, sample date, sampling date, test date, date sampled, date tested, date of test",
    "time": "time, time of day, hour, clock, clock time, sample time, sampling time, test time",
    "datetime": "datetime, date time, date and time, timestamp, time stamp, date timestamp, sampled at, recorded at, "
                "logged at, measured at",
    "zone": "time zone, timezone, tz, utc offset, zone",
    "system": "system, tank, pond, basin, raceway, pool, location, site, station, waterbody, water body, "
              "sampling location, sampling site, sample site, sample location",
    "tester": "tester, by, tested by, measured by, sampled by, recorded by, operator, technician, sampler, initials, "
              "staff, observer, person",
    "note": "note, notes, remark, remarks, comment, comments, observation, observations, memo",
    "depth": "depth, sample depth, sampling depth, depth m, depth cm, depth ft",
    "replicate": "replicate, replicates, rep, reps, dup, dups, duplicate, field dup, field dups, field duplicate, "
                 "lab rep, lab reps, lab replicate, replicate no",
    "variable": "variable, parameter, analyte, characteristic, characteristic name, determinand, determinant, "
                "parameter name, variable name, test, test name, measurement",
    "value": "value, result, reading, measured value, result value, test result, measurement value",
    "unit": "unit, units, uom, unit of measure, result unit, measure unit, units of measure, result units",
    "temperature": "temperature, temp, t, wtemp, water temp, water temperature, temp water, tank temp, "
                   "tank temperature, pond temp, pond temperature, system temp",
    "ph": "ph, p h, ph level, water ph",
    "oxygen": "do, d o, oxygen, dissolved oxygen, oxygen dissolved, diss oxygen, dissolved o2, o2, odo, ldo, do2",
    "tan": "tan, total ammonia nitrogen, total ammonia, ammonia total, ammonia tan, tan ammonia, t a n, "
           "total ammoniacal nitrogen, total nh3 nh4, total ammonia tan",
    AMMONIA: "ammonia, nh3, nh4, nh3 nh4, nh4 nh3, ammonium, ammonia ammonium, ammonium ammonia, amm, ammoniacal",
    "nitrite": "nitrite, nitrites, no2, nitrite no2, no2 nitrite",
    "nitrate": "nitrate, nitrates, no3, nitrate no3, no3 nitrate",
    "phosphate": "phosphate, phosphates, po4, phosphate po4, orthophosphate, ortho phosphate, reactive phosphate, "
                 "reactive phosphorus, soluble reactive phosphorus, srp",
    "alkalinity": "alkalinity, alk, total alkalinity, total alk, kh, carbonate hardness, carb hardness, "
                  "alkalinity kh, kh alkalinity, m alkalinity",
    "hardness": "hardness, gh, general hardness, total hardness, hardness gh, gh hardness, tot hardness",
    "conductivity": "conductivity, ec, e c, conductance, electrical conductivity, electric conductivity, "
                    "specific conductance, specific conductivity, sp cond, spec cond, spc, cond, ec25, "
                    "conductivity ec, water conductivity",
}
# Why a column of what the log calculates itself is not used.
CALCULATED = "the log calculates from total ammonia (TAN), pH and temperature"
PERCENT_UNUSED = "is percent of saturation, which the log calculates from mg/L"
_REASONS = {
    "is dissolved solids, not conductivity; meters convert one into the other by different factors":
        "tds, total dissolved solids, dissolved solids",
    f"is un-ionised ammonia (NH3-N), which {CALCULATED}":
        "unionized ammonia, unionised ammonia, un ionized ammonia, un ionised ammonia, free ammonia, toxic ammonia, "
        "uia, nh3 unionized, nh3 unionised, nh3 free, free nh3, unionized nh3, unionised nh3, ammonia unionized, "
        "ammonia unionised",
    PERCENT_UNUSED:
        "do sat, do saturation, oxygen sat, oxygen saturation, dissolved oxygen sat, dissolved oxygen saturation, "
        "o2 sat, o2 saturation, saturation",
}
# A name that brings its unit along.
_WITH_UNIT = {"dkh": ("alkalinity", "dh"), "dgh": ("hardness", "dh"), "degc": ("temperature", "c"),
              "degf": ("temperature", "f")}
_FILLERS = frozenset(("water", "reading", "readings", "level", "levels", "conc", "concentration", "measured", "kit",
                      "meter", "probe", "of", "the", "in"))
_MORE_FILLERS = _FILLERS | {"value", "result", "test"}
_IDENTIFIERS = frozenset(("id", "no", "nr", "number", "name", "code"))
# What a formula in a heading says: NO3 names the ion itself, nitrate does not say which.
_FORMULA_BASIS = {"no2": "NO2", "no3": "NO3", "po4": "PO4"}


def _bare(found: Iterable[str], fillers: frozenset[str]) -> tuple[str, ...]:
    found = tuple(found)
    return tuple(word for word in found if word not in fillers) or found


_LOOKUP: dict[tuple[str, ...], str] = {}
for _role, _names in _NAMES.items():
    for _name in _names.split(","):
        _LOOKUP.setdefault(tuple(words(_name)), _role)
        _LOOKUP.setdefault(_bare(words(_name), _FILLERS), _role)
_LIKE_A_UNIT = re.compile(r"/|%|°|mol|l-1|[^\x00-\x7f]", re.IGNORECASE)  # what a heading has in brackets
_REPEATED = re.compile(r" \([0-9]+\)$")  # how a repeated heading is numbered
_WHY = {tuple(words(name)): why for why, names in _REASONS.items() for name in names.split(",")}


@dataclass(frozen=True)
class Meaning:
    """What a heading means: a field or another role, and the unit and basis that it names."""

    role: str
    unit: Unit | None = None
    basis: str = ""
    why: str = ""  # of an unused column
    zone: str = ""  # of the clock, as the mapping or the heading names it
    stated: bool = False  # whether the basis stands in words or in a mapping, rather than in the field's own name
    mapped: bool = False  # whether a mapping names the column

    @property
    def field(self) -> Field | None:
        """The measured field, TAN for an uncertain ammonia, or None."""
        return MEASURED.get("tan" if self.role == AMMONIA else self.role)


def recognise(heading: str, unit_text: str = "") -> Meaning:
    """The meaning of a heading, with the text of a unit column or unit row if there is one."""
    found = words(_REPEATED.sub("", heading))
    for fillers in (_FILLERS, _MORE_FILLERS):
        bare = _bare(found, fillers)
        for size in range(len(bare), 0, -1):
            meaning = _as_name(bare[:size], bare[size:], unit_text)
            if meaning is not None:
                return meaning
    return Meaning(UNUSED, why=_no_field(found))


def _as_name(name: tuple[str, ...], rest: tuple[str, ...], unit_text: str) -> Meaning | None:
    if name in _WHY and len(rest) <= 2:
        return Meaning(UNUSED, why=_WHY[name])
    if len(name) == 1 and name[0] in _WITH_UNIT:
        role, unit_word = _WITH_UNIT[name[0]]
        name, rest = (role,), (unit_word, *rest)
    role = _LOOKUP.get(name, "")
    if role == "system" or (not role and _LOOKUP.get(name[:-1]) == "system" and name[-1] in _IDENTIFIERS):
        return Meaning("system") if not rest or (len(rest) == 1 and rest[0] in _IDENTIFIERS) else None
    if role in CLOCK_ROLES and rest in (("utc",), ("gmt",)):
        return Meaning(role, zone="UTC")
    meaning = Meaning(role)
    if not role or meaning.field is None:
        return meaning if role and not rest else None
    named = unit_and_basis(meaning.field, rest)
    from_column = unit_and_basis(meaning.field, words(unit_text))
    if named is None:
        return None
    unit, basis = named
    stated = bool(basis)
    if unit_text.strip() and from_column is not None:
        unit = from_column[0] or unit
        basis, stated = from_column[1] or basis, bool(from_column[1]) or stated
    elif unit_text.strip():
        return Meaning(UNUSED, why=_unknown_unit(meaning.field, unit_text))
    if unit is not None and unit.percent:
        return Meaning(UNUSED, why=PERCENT_UNUSED)
    if not basis:
        basis = next((_FORMULA_BASIS[word] for word in name if word in _FORMULA_BASIS), "")
        if role == "tan" and {"tan", "nitrogen", "n"} & set(name):
            basis = "N"  # TAN is total ammonia *nitrogen*
    return Meaning(role, unit, basis, stated=stated)


def meaning_of(name: str, unit_text: str, mapped: Mapped | None) -> Meaning:
    """What a column or variable means: what its mapping says, and what its heading and unit say besides."""
    says = recognise(name, unit_text)
    if mapped is None:
        return says
    meaning = of_mapping(mapped)
    if meaning.field is None:
        return meaning
    unit, basis, stated = says.unit, says.basis, says.stated
    if says.field is not meaning.field:
        bracketed = " ".join(re.findall(r"[(\[]([^)\]]*)[)\]]", name))
        named = unit_and_basis(meaning.field, words(unit_text or bracketed))
        if unit_text.strip() and named is None and meaning.unit is None:
            return Meaning(UNUSED, why=_unknown_unit(meaning.field, unit_text))
        if named is None and meaning.unit is None and meaning.field.kind != "ph" and _LIKE_A_UNIT.search(bracketed):
            first = known_units(meaning.field).split(",")[0]
            raise ReadingsError(f'the column "{name}" {_unknown_unit(meaning.field, bracketed)}; give its unit, for '
                                f'instance {map_option(name, f"{meaning.role}:{first}")}')
        unit, basis = named or (None, "")
        stated = bool(basis)
    if meaning.unit is not None and meaning.unit.basis:
        return meaning  # a hardness unit is a basis too
    return replace(meaning, unit=meaning.unit or unit, basis=meaning.basis or basis, stated=meaning.stated or stated)


def _unknown_unit(field: Field, unit_text: str) -> str:
    return (f'has the unit "{unit_text}", which is not a known unit of {field.name}; expected one of: '
            f"{known_units(field)}")


def _no_field(found: Sequence[str]) -> str:
    near = difflib.get_close_matches(" ".join(found), [" ".join(name) for name in _LOOKUP if len(name[0]) > 3], 1, 0.85)
    hint = f'; if "{near[0]}" is meant, map it' if near else ""
    return f"is no field of the log{hint}"


def of_mapping(mapped: Mapped) -> Meaning:
    """The meaning that a mapping text gives a column.

    Raises
    ------
    ReadingsError
        Names the text, and the fields or units that are known.
    """
    text = f'"{mapped.heading}={":".join((mapped.target, *mapped.details))}"'
    if mapped.target in (LEAVE_OUT, "not used"):
        return Meaning(UNUSED, why="is left out, as the mapping says", mapped=True)
    role = mapped.target if mapped.target in MEASURED or mapped.target in PLACE_ROLES + LONG_ROLES else (
        _LOOKUP.get(tuple(words(mapped.target)), ""))
    if role == AMMONIA:
        raise ReadingsError(f'the mapping {text} leaves open which ammonia it is; give tan:N, tan:NH3 or tan:NH4 for '
                            'total ammonia, or "-" to leave un-ionised ammonia out')
    meaning = Meaning(role, mapped=True)
    if not role:
        fields = (*PLACE_ROLES, *MEASURED, *LONG_ROLES)
        raise ReadingsError(f'the mapping {text} names no known field; expected one of: {", ".join(fields)}; or "-" to '
                            f"leave the column out; {nearest(mapped.target, fields)}".rstrip("; "))
    if meaning.field is None:
        if role in CLOCK_ROLES and len(mapped.details) == 1:
            return Meaning(role, zone=mapped.details[0], mapped=True)
        if mapped.details:
            raise ReadingsError(f"the mapping {text} gives a unit to {role}, which has none")
        return meaning
    unit, basis = unit_of_text(meaning.field, mapped.details, f"the mapping {text}")
    return Meaning(role, unit, basis, stated=bool(basis), mapped=True)


def unit_of_text(field: Field, details: Sequence[str], where: str) -> tuple[Unit | None, str]:
    """The unit and basis that were given for a field, or ReadingsError with those that are known."""
    named = unit_and_basis(field, [word for detail in details for word in words(detail)])
    if named is None or (named[0] is not None and named[0].percent):
        raise ReadingsError(f'{where} gives "{":".join(details)}" for {field.name}; expected one of: '
                            f"{known_units(field)}")
    return named
