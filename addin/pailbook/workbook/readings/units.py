"""Units and bases as records write them, and conversion into the unit and basis in which readings are kept."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from pailbook.functions.convert import hardness_convert, nutrient_convert
from pailbook.quantity import METRIC, US
from pailbook.workbook.readings.fields import Field


@dataclass(frozen=True)
class Unit:
    """A unit; a value times `factor` is in the unit kept here. A hardness unit is a basis of its own."""

    label: str
    factor: float = 1.0
    system: str = METRIC
    basis: str = ""

    @property
    def percent(self) -> bool:
        """Whether it is percent of saturation, which the log calculates itself."""
        return self.label == "%"


CELSIUS, FAHRENHEIT = Unit("°C"), Unit("°F", system=US)
MG_PER_LITRE, PERCENT = Unit("mg/L"), Unit("%")
MICROSIEMENS, MILLISIEMENS = Unit("µS/cm"), Unit("mS/cm", 1000.0)
HARDNESS_MG = Unit("mg/L", basis="CaCO3")
PH_UNIT = Unit("")

_CONCENTRATIONS = {
    MG_PER_LITRE: "mgl mgl1 ppm gm3",
    Unit("µg/L", 0.001): "ugl ugl1 ppb mgm3",
    Unit("g/L", 1000.0): "gl gl1",
}
_SPELT: dict[str, dict[Unit, str]] = {
    "temperature": {CELSIUS: "c oc degc celsius centigrade", FAHRENHEIT: "f of degf fahrenheit"},
    "ph": {PH_UNIT: "ph su units phunits stdunits standardunits phunit"},
    "oxygen": {**_CONCENTRATIONS, PERCENT: "% percent pct sat %sat percentsat percentsaturation %saturation"},
    "concentration": _CONCENTRATIONS,
    "hardness": {
        HARDNESS_MG: "mgl mgl1 ppm gm3",
        Unit("°dH", basis="dH"): "dh d dkh dgh degdh odh germandegrees",
        Unit("°fH", basis="fH"): "fh f degfh ofh frenchdegrees",
        Unit("gpg", basis="gpg"): "gpg grains grainspergallon grainpergallon",
        Unit("meq/L", basis="meq"): "meql meq meql1",
    },
    "conductivity": {
        MICROSIEMENS: "uscm uscm1 us microsiemens microsiemenscm umhocm umhoscm",
        MILLISIEMENS: "mscm mscm1 ms millisiemens millisiemenscm dsm dsm1 mmhocm mmhoscm",
        Unit("mS/m", 10.0): "msm msm1",
        Unit("S/m", 10000.0): "sm sm1",
    },
}
_UNITS = {kind: {spelling: unit for unit, spellings in spelt.items() for spelling in spellings.split()}
          for kind, spelt in _SPELT.items()}
_BASES = {basis.casefold(): basis for basis in ("N", "NH3", "NH4", "NO2", "NO3", "P", "PO4", "P2O5", "CaCO3")}
_BASES |= {"nitrogen": "N", "phosphorus": "P", "tan": "N"}
# How kits and laboratories also write a field in the basis of its element.
_ALSO_WRITTEN = {"tan": "TAN", "nitrite": "NO2-N", "nitrate": "NO3-N", "phosphate": "PO4-P"}
_SMALL_WORDS = frozenset(("as", "per", "deg", "degree", "degrees", "a", "in"))


def words(text: str) -> list[str]:
    """A heading or unit as lower-case words: "waterTemp (°F)" is water, temp, f."""
    text = unicodedata.normalize("NFKC", text).replace("μ", "u").replace("°", " ")
    text = re.sub(r"(?<=[a-z]{2})(?=[A-Z])", " ", text).casefold()
    found = re.findall(r"[^\W_]+|%", text)  # letters of any script: a unit that is not known must not be overlooked
    found = [part for word in found for part in _split_basis(word)]
    return ["l" if word in ("litre", "liter", "ltr") else word for word in found]


def _split_basis(word: str) -> list[str]:
    """NO3N, NH3N and PO4P without their hyphen, as two words."""
    match = re.fullmatch(r"(no2|no3|nh3|nh4|tan)(n)|(po4)(p)", word)
    return [part for part in match.groups() if part] if match else [word]


def unit_and_basis(field: Field, found: Sequence[str]) -> tuple[Unit | None, str] | None:
    """The unit and the basis ("" if there is none) that the words name for this field, or None if they do not.

    Words that are both, such as N in "mg N/L", are read as the basis.
    """
    rest = [word for word in found if word not in _SMALL_WORDS]
    named = {_BASES[word] for word in rest if word in _BASES and _BASES[word] in field.bases}
    if field.bases:
        rest = [word for word in rest if word not in _BASES or _BASES[word] not in field.bases]
    elements = named & {"N", "P"}  # NO3-N names both, and means the element
    basis = next(iter(elements)) if elements else next(iter(named)) if len(named) == 1 else ""
    if len(named) > 1 and not elements:
        return None
    if not rest:
        return None, basis
    unit = _UNITS[field.kind].get("".join(rest))
    if unit is None:
        return None
    if unit.basis and basis and unit.basis != basis:
        return None
    return unit, unit.basis or basis


def known_units(field: Field) -> str:
    """The units and bases of a field, for messages."""
    units = [unit.label for unit in _SPELT[field.kind] if unit.label]
    bases = [basis for basis in field.bases if basis not in {unit.basis for unit in _SPELT[field.kind]}]
    return ", ".join(units + bases)


def in_basis(basis: str) -> str:
    """The unit of a value typed in that basis, as the log's headings write it: mg/L as NO3, °dH, grains/US gal."""
    return {"dH": "°dH", "fH": "°fH", "gpg": "grains/US gal", "meq": "meq/L"}.get(basis, f"mg/L as {basis}")


def to_kept(field: Field, value: float, unit: Unit, basis: str) -> float:
    """A value as found, in the unit and basis in which readings of the field are kept."""
    if unit.system == US:
        return float(field.quantity.to_metric(value, US))
    return to_basis(field, value * unit.factor, basis, field.basis)


def to_basis(field: Field, value: float, basis: str, wanted: str) -> float:
    """A value converted between two bases of the field, with the factors of the catalogue's own functions.

    Their limits do not apply here: nonsense is judged afterwards, by the field's limits.
    """
    if basis == wanted or not field.bases:
        return value
    convert = hardness_convert if field.kind == "hardness" else nutrient_convert
    return float(convert(value, basis, wanted))


def as_basis(field: Field, basis: str) -> str:
    """A basis with an example: "as NH3 (1 mg/L as NH3 is 0.822 mg/L as N)"."""
    element = field.basis if field.basis in ("N", "P") else next(one for one in field.bases if one in ("N", "P"))
    other = element if basis != element else next(one for one in field.bases if one != element)
    also = f", also written {_ALSO_WRITTEN[field.key]}" if basis == element else ""
    return f"as {basis}{also} (1 mg/L as {basis} is {to_basis(field, 1.0, basis, other):.3g} mg/L as {other})"
