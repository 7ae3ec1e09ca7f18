"""One value as people and meters write it. What the texts mean is common practice, no source."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pailbook.workbook.readings.values import COMMA, POINT, decimal_signs, read_value


@pytest.mark.parametrize(("text", "number", "sign", "unit"), [
    ("7.4", 7.4, "", ""), ("7,4", 7.4, "", ""), (" 7.4 ", 7.4, "", ""), (".5", 0.5, "", ""), ("5.", 5.0, "", ""),
    ("0,25 ppm", 0.25, "", "ppm"), ("24.5°C", 24.5, "", "°C"), ("75 F", 75.0, "", "F"),
    ("<0.25", 0.25, "<", ""), ("< 0,25 mg/l", 0.25, "<", "mg/l"), ("≤0.25", 0.25, "<", ""), (">8.8", 8.8, ">", ""),
    ("160+", 160.0, ">", ""), ("~7.4", 7.4, "~", ""), ("-127", -127.0, "", ""), ("−999", -999.0, "", ""),
    ("0,250", 0.25, "", ""), ("1,234.5", 1234.5, "", ""), ("1.234,5", 1234.5, "", ""), ("1,234,567", 1234567.0, "", ""),
    ("1 234", 1234.0, "", ""), ("1\u202f234,5", 1234.5, "", ""), ("1'234.5", 1234.5, "", ""),
    ("1.5E+03", 1500.0, "", ""),
])
@pytest.mark.parametrize("decimal", [POINT, COMMA])
def test_numbers_that_read_in_one_way_only(text: str, number: float, sign: str, unit: str, decimal: str) -> None:
    reading = read_value(text, decimal)
    assert (reading.number, reading.sign, reading.unit, reading.problem) == (number, sign, unit, "")


def test_a_mark_before_three_digits_is_read_as_the_record_has_it() -> None:
    assert read_value("1,234", COMMA).number == 1.234
    assert read_value("1,234", POINT).number == 1234
    assert read_value("1.234", COMMA).number == 1234
    assert read_value("1.234", POINT).number == 1.234


@pytest.mark.parametrize("text", ["", " ", "-", "--", "n/a", "N/A", "NA", "nan", "NaN", "null", "None", "?",
                                  "not tested"])
def test_blanks(text: str) -> None:
    assert read_value(text).blank


@pytest.mark.parametrize("text", ["trace", "Trace", "ND", "n.d.", "not detected", "BDL", "<LOD", "5-10", "7.0 - 7.4",
                                  "5 to 10", "10-20 ppm"])
def test_texts_that_say_something_without_a_number(text: str) -> None:
    reading = read_value(text)
    assert reading.number is None
    assert reading.problem
    assert reading.noteworthy


@pytest.mark.parametrize("text", ["inf", "-inf", "Infinity", "∞", "1e999", "nil", "ok", "=7.4", "@x", "#DIV/0!", "7..4",
                                  "7,4,5", "1,23,456", "7. 4", "<", "١٢"])
def test_what_is_no_number(text: str) -> None:
    reading = read_value(text)
    assert reading.number is None
    assert reading.problem
    assert not reading.noteworthy


@pytest.mark.parametrize(("texts", "proven", "ambiguous"), [
    (["7.4", "8"], {POINT}, []), (["7,4", "8"], {COMMA}, []), (["7,4", "7.4"], {POINT, COMMA}, []),
    (["1,234"], set(), ["1,234"]), (["1.234,5"], {COMMA}, []), (["1,234,567"], {POINT}, []), (["0,250"], {COMMA}, []),
    (["8", "text", "", "7..4"], set(), []), (["1.234E3"], {POINT}, []),
])
def test_which_decimal_sign_a_record_proves(texts: list[str], proven: set[str], ambiguous: list[str]) -> None:
    assert decimal_signs(texts) == (proven, ambiguous)


@given(st.text(max_size=40) | st.text(alphabet="0123456789.,+-<>~eE' µ°CFmg/L%=@#−\u00a0", max_size=20))
def test_any_text_gives_a_number_a_problem_or_a_blank(text: str) -> None:
    for decimal in (POINT, COMMA):
        reading = read_value(text, decimal)
        assert reading.number is None or math.isfinite(reading.number)
        assert reading.blank + (reading.number is not None) + bool(reading.problem) == 1
    decimal_signs([text])


@given(st.decimals(min_value=-100000, max_value=100000, places=3), st.sampled_from([POINT, COMMA]), st.booleans(),
       st.sampled_from(["", "<", ">"]), st.sampled_from(["", " mg/L", "°C"]))
def test_a_written_number_reads_back(number: object, decimal: str, grouped: bool, sign: str, unit: str) -> None:
    text = f"{number:,}" if grouped else str(number)
    text = text.translate(str.maketrans(",.", ".,")) if decimal == COMMA else text
    reading = read_value(f"{sign}{text}{unit}", decimal)
    assert reading.number == float(str(number))
    assert (reading.sign, reading.unit) == (sign, unit.strip())
