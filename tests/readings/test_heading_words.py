"""Which field, unit and basis a heading means. The words are common practice of the trade, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pailbook.workbook.readings.answers import ReadingsError, mapping_texts
from pailbook.workbook.readings.columns import UNUSED, meaning_of, of_mapping, recognise
from pailbook.workbook.readings.fields import MEASURED
from pailbook.workbook.readings.units import to_kept, unit_and_basis, words


@pytest.mark.parametrize(("heading", "role", "unit", "basis"), [
    ("temp", "temperature", "", ""), ("Water Temp (°F)", "temperature", "°F", ""), ("t°", "temperature", "", ""),
    ("T [°C]", "temperature", "°C", ""), ("temperature_c", "temperature", "°C", ""), ("waterTempC", "temperature",
                                                                                      "°C", ""),
    ("pH", "ph", "", ""), ("PH value", "ph", "", ""), ("Water pH", "ph", "", ""),
    ("DO", "oxygen", "", ""), ("D.O. mg/l", "oxygen", "mg/L", ""), ("dissolved_oxygen_mg_l", "oxygen", "mg/L", ""),
    ("dissolved oxygen conc.", "oxygen", "", ""), ("O2 (ppm)", "oxygen", "mg/L", ""),
    ("TAN", "tan", "", "N"), ("TAN-N (mg/L)", "tan", "mg/L", "N"), ("ammonia_tan_as_nh3_mg_l", "tan", "mg/L", "NH3"),
    ("Total ammonia", "tan", "", ""), ("Total ammonia nitrogen µg/L", "tan", "µg/L", "N"),
    ("NO2", "nitrite", "", "NO2"), ("NO2-N", "nitrite", "", "N"), ("Nitrite", "nitrite", "", ""),
    ("NO3N", "nitrate", "", "N"), ("Nitrate as N", "nitrate", "", "N"), ("nitrate mg N/L", "nitrate", "mg/L", "N"),
    ("NO₃⁻ (mg/L)", "nitrate", "mg/L", "NO3"), ("Nitrate (mg/L NO3-N)", "nitrate", "mg/L", "N"),
    ("PO4-P", "phosphate", "", "P"), ("Phosphate (ppm P)", "phosphate", "mg/L", "P"), ("P2O5", UNUSED, "", ""),
    ("Orthophosphate as PO4", "phosphate", "", "PO4"), ("phosphate mg/L P2O5", "phosphate", "mg/L", "P2O5"),
    ("alk", "alkalinity", "", ""), ("dKH", "alkalinity", "°dH", "dH"), ("KH (°dH)", "alkalinity", "°dH", "dH"),
    ("Alkalinity mg/L CaCO3", "alkalinity", "mg/L", "CaCO3"), ("Total Alkalinity (meq/L)", "alkalinity", "meq/L",
                                                               "meq"),
    ("GH gpg", "hardness", "gpg", "gpg"), ("Hardness °fH", "hardness", "°fH", "fH"),
    ("EC", "conductivity", "", ""), ("EC (mS/cm)", "conductivity", "mS/cm", ""), ("EC [μS cm⁻¹]", "conductivity",
                                                                                  "µS/cm", ""),
    ("specific conductivity", "conductivity", "", ""),
    ("Date/Time", "datetime", "", ""), ("time_zone", "zone", "", ""), ("Day", "date", "", ""), ("Time", "time", "", ""),
    ("pond_id", "system", "", ""), ("Tank No.", "system", "", ""), ("System name", "system", "", ""), ("Location",
                                                                                                       "system", "",
                                                                                                       ""),
    ("tested by", "tester", "", ""), ("By", "tester", "", ""), ("Remarks", "note", "", ""), ("field_dups", "replicate",
                                                                                             "", ""),
])
def test_headings(heading: str, role: str, unit: str, basis: str) -> None:
    meaning = recognise(heading)
    assert (meaning.role, meaning.unit.label if meaning.unit else "", meaning.basis) == (role, unit, basis)


@pytest.mark.parametrize("heading",
                         ["ammonia", "NH3", "NH4", "NH3/NH4", "Ammonia-N", "NH3-N", "ammonium", "ammonia_nh3_mg_l"])
def test_ammonia_alone_is_uncertain(heading: str) -> None:
    assert recognise(heading).role == "ammonia"


@pytest.mark.parametrize(("heading", "reason"), [
    ("TDS", "dissolved solids"), ("tds_ppt", "dissolved solids"), ("un-ionized ammonia (mg/L)", "un-ionised"),
    ("DO %", "percent"), ("dissolved oxygen sat.", "percent"), ("Air temp", "no field"), ("pond_type", "no field"),
    ("turbidity_cm", "no field"), ("temp sensor 2", "no field"), ("Temprature", 'if "temperature" is meant'),
    ("measurement_type", "no field"), ("", "no field"), ("温度", "no field"), ("NO3 (мкг/л)", "no field"),
])
def test_headings_that_are_not_used(heading: str, reason: str) -> None:
    meaning = recognise(heading)
    assert meaning.role == UNUSED
    assert reason in meaning.why


def test_units_of_a_column_go_before_the_heading_and_unknown_ones_are_named() -> None:
    assert recognise("specific conductivity", "mS/cm").unit == recognise("EC mS/cm").unit
    assert recognise("nitrate", "mg/L as N").basis == "N"
    assert recognise("dissolved oxygen", "percent").role == UNUSED
    unknown = recognise("nitrate", "umol/L")
    assert unknown.role == UNUSED
    assert "umol/L" in unknown.why


# 68 and 32 °F by the definition of the scale; IUPAC 2021 atomic weights and exact definitions for the others:
# 1 mg/L NO3-N is 4.42664 as NO3, 1 mg/L PO4-P is 3.0661 as PO4, 1.21589 mg/L as NH3 is 1 as N, 1 °dH is 17.848 and
# 1 gpg 17.118 mg/L CaCO3, 1 meq 50.043; 1 °fH is 10 by definition.
@pytest.mark.parametrize(("key", "written", "value", "kept"), [
    ("temperature", "F", 68.0, 20.0), ("temperature", "°C", 20.0, 20.0), ("nitrate", "mg/L N", 1.0, 4.42664),
    ("nitrate", "ug/L as N", 1000.0, 4.42664), ("phosphate", "ppm P", 1.0, 3.0661), ("tan", "mg/L NH3", 1.21589, 1.0),
    ("tan", "mg/L as NH4", 1.28786, 1.0), ("nitrite", "mg/L NO2-N", 1.0, 3.28443), ("alkalinity", "dH", 1.0, 17.848),
    ("hardness", "gpg", 1.0, 17.118), ("alkalinity", "meq/L", 1.0, 50.043), ("hardness", "°fH", 1.0, 10.0),
    ("alkalinity", "ppm", 40.0, 40.0), ("conductivity", "mS/cm", 0.415, 415.0), ("conductivity", "dS/m", 0.415, 415.0),
    ("conductivity", "S/m", 0.0415, 415.0), ("conductivity", "µmhos/cm", 415.0, 415.0), ("oxygen", "mg/L", 8.6, 8.6),
])
def test_values_in_the_unit_kept(key: str, written: str, value: float, kept: float) -> None:
    field = MEASURED[key]
    named = unit_and_basis(field, words(written))
    assert named is not None
    unit, basis = named
    assert unit is not None
    assert to_kept(field, value, unit, basis) == pytest.approx(kept, rel=2e-5)


def test_what_a_mapping_says() -> None:
    drops, temp, lab, out = mapping_texts(
        ["Ammonia drops=tan:NH3", "Temp=temperature:F", "a=b=nitrate:ug/L:N", "Depth=-"])
    assert (of_mapping(drops).role, of_mapping(drops).basis) == ("tan", "NH3")
    assert of_mapping(temp).unit is not None
    assert (lab.heading, of_mapping(lab).role, of_mapping(lab).basis) == ("a=b", "nitrate", "N")
    assert of_mapping(out).role == UNUSED
    assert of_mapping(mapping_texts({"x": "DO"})[0]).role == "oxygen"  # a trade's word is as good as the field's key
    kept = meaning_of("My sonde (°F)", "", mapping_texts(["My sonde (°F)=temperature"])[0])
    assert kept.unit is not None
    assert kept.unit.label == "°F"


@pytest.mark.parametrize("heading", ["Lab (мкг/л)", "Lab (µmol/L)", "Lab [%]"])
def test_a_unit_in_brackets_that_is_not_known_is_not_overlooked(heading: str) -> None:
    with pytest.raises(ReadingsError, match="which is not a known unit of nitrate; expected one of: mg/L"):
        meaning_of(heading, "", mapping_texts({heading: "nitrate:NO3"})[0])
    mapped = meaning_of(heading, "", mapping_texts({heading: "nitrate:ug/L:NO3"})[0])
    assert mapped.unit is not None
    assert mapped.unit.label == "µg/L"
    assert meaning_of("Lab (north)", "", mapping_texts({"Lab (north)": "nitrate:NO3"})[0]).basis == "NO3"


@pytest.mark.parametrize("text",
                         ["Temp", "=temperature", "Temp=", "Temp=warmth", "Temp=temperature:K", "Temp=temperature:%",
                                  "NH3=ammonia", "Note=note:mg/L", "DO=oxygen:%", "NO3=nitrate:P"])
def test_mappings_that_are_refused(text: str) -> None:
    with pytest.raises(ReadingsError, match="mapping"):
        of_mapping(mapping_texts([text])[0])


@given(st.text(max_size=30), st.text(max_size=12))
def test_any_heading_has_a_meaning(heading: str, unit: str) -> None:
    meaning = recognise(heading, unit)
    assert meaning.role != UNUSED or meaning.why
