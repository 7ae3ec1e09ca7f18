"""How many random cases there are, and what they are made of."""

from __future__ import annotations

import datetime
import os
from fractions import Fraction

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.function import CATALOGUE
from pailbook.outcomes import ERROR_CODES, ErrorInput
from thorough import examples

CASES = int(os.environ.get("PAILBOOK_FUZZ", "0"))
fuzz = settings(
    max_examples=CASES or examples(60), deadline=None, database=None, derandomize=not CASES,
    phases=[Phase.explicit, Phase.generate, Phase.shrink],
    suppress_health_check=list(HealthCheck),
)
few = settings(fuzz, max_examples=CASES // 4 or examples(20))
many = settings(fuzz, max_examples=5 * CASES or examples(200))
rare = settings(fuzz, max_examples=CASES // 20 or examples(10))  # where a case takes a second

texts = st.one_of(st.text(max_size=8), st.sampled_from(
    ["", " ", "7.5", "1e999", "nan", "metric", "us", "US", "salt", "15-5-30", "\0", "\ud800", "=1+1", "٣", "−7"]))
numbers = st.one_of(
    st.floats(), st.floats(-1e3, 1e3), st.integers(), st.sampled_from([10**400, -(10**400), True, False, -0.0]),
    st.fractions(), st.decimals(allow_nan=False))
options = st.sampled_from(sorted({choice for function in CATALOGUE.values() for argument in function.cell_arguments
                                  for choice in argument.quantity.choices}))
singles = st.one_of(
    numbers, texts, options, st.none(), st.sampled_from(ERROR_CODES).map(ErrorInput), st.binary(max_size=3),
    st.datetimes(), st.complex_numbers(), st.just(Fraction(1, 3)), st.just(datetime.time(6)))
columns = st.lists(singles, max_size=4)

XML_PIECES = [
    b"<", b">", b"/>", b"</c>", b"</row>", b"</sheetData>", b"<row>", b'<row r="2">', b'<c r="B2">', b"<c>", b"<v>",
    b"</v>", b"<f>", b"</f>", b"<f t=\"shared\" si=\"0\"/>", b'<f t="array" ref="A1:B2">', b' r="A1048577"', b' t="s"',
    b' t="b"', b' t="e"', b' t="d"', b' s="99"', b"9" * 30, b"-1", b"1e999", b"nan", b"&amp;", b"&#0;", b"&x;", b"<!--",
    b"-->", b"<![CDATA[", b"]]>", b"<?xml version=\"1.1\"?>", b"<!DOCTYPE x>", b"\0", b"\xff\xfe", b"\xef\xbb\xbf",
    b'"', b"'", b" ", b"=", b"xmlns=\"\"", b'ref="A1:Z9999999"', b"_x0041_", b"_xD800_", b"#REF!", b"Sheet1!",
    b'localSheetId="9"', b"rId1", b"../", b"calcPr", b'Target=""', b"A1:B2:C3", b"\xc3\xa9", "²".encode(), "٣".encode(),
]


def mutated(data: st.DataObject, seed: bytes, pieces: list[bytes]) -> bytes:
    """The bytes with a few places exchanged, cut, repeated, or filled with pieces that mean something."""
    found = bytearray(seed)
    for _ in range(data.draw(st.integers(1, 6))):
        start = data.draw(st.integers(0, len(found)))
        end = min(len(found), start + data.draw(st.sampled_from([0, 0, 1, 2, 5, 20, 300])))
        kind = data.draw(st.integers(0, 4))
        if kind == 0:
            found[start:end] = data.draw(st.binary(max_size=4))
        elif kind == 1:
            found[start:end] = found[start:end] * 2
        elif kind == 2 and data.draw(st.booleans()):
            del found[start:]
        else:
            found[start:end] = data.draw(st.sampled_from(pieces))
    return bytes(found)
