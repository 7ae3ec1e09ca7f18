"""One value as a person or a meter writes it: decimal commas, "<0.25", "trace", blanks, a unit after the number.

A comma before exactly three digits may be a decimal or a thousands sign; only the record as a whole shows which.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

POINT, COMMA = ".", ","

MISSING = frozenset(
    ("", "-", "--", "---", ".", "?", "x", "n/a", "na", "n.a.", "nan", "null", "none", "blank", "missing", "#n/a", "nt",
     "n.t.", "not tested", "not measured", "<na>")
)
_TRACES = {
    "trace": "was seen, but too little to read a number", "traces": "was seen, but too little to read a number",
    "tr": "was seen, but too little to read a number", "nd": "was not detected, and no limit of detection is given",
    "n.d.": "was not detected, and no limit of detection is given",
    "not detected": "was not detected, and no limit of detection is given",
    "bdl": "is below detection, and the limit is not given", "<dl": "is below detection, and the limit is not given",
    "<lod": "is below detection, and the limit is not given", "<mdl": "is below detection, and the limit is not given",
    "<loq": "is below detection, and the limit is not given", "udl": "is below detection, and the limit is not given",
}
_VALUE = re.compile(
    r"(?P<sign><=|>=|<|>|~)?(?P<number>[+-]?[0-9.,' ]*[0-9][.,]?(?:[eE][+-]?[0-9]+)?)(?P<unit>.*)", re.S)
_RANGE = re.compile(r"[0-9.,]+ ?(-|to|/) ?[0-9.,]+\D*")
_PLAIN = re.compile(r"[0-9]*\.?[0-9]*")


@dataclass(frozen=True)
class Reading:
    """A value taken apart. With neither number nor problem the cell was blank.

    `sign` is "<", ">" or "~", which stands for any doubt that was written down;
    `noteworthy` marks a text that is not a number but says something all the same, such as "trace".
    """

    number: float | None = None
    sign: str = ""
    unit: str = ""
    problem: str = ""
    noteworthy: bool = False

    @property
    def blank(self) -> bool:
        """Whether nothing was read."""
        return self.number is None and not self.problem


def read_value(text: str, decimal: str = POINT) -> Reading:
    """The value that a text says, with the decimal sign of its record; never an exception.

    A number whose commas and points can be read in one way only is read in that way.
    """
    text = _tidy(text)
    low = text.casefold()
    if low in MISSING:
        return Reading()
    if low in _TRACES:
        return Reading(problem=_TRACES[low], noteworthy=True)
    match = _VALUE.fullmatch(text)
    if match is None:
        infinite = low.lstrip("+-") in ("inf", "infinity", "∞")
        return Reading(problem="is not a finite number" if infinite else "is not a number")
    if _RANGE.fullmatch(text):
        return Reading(problem="is a range, not one number", noteworthy=True)
    sign, unit = (match["sign"] or "").rstrip("="), match["unit"].strip()
    if unit.startswith("+"):
        sign, unit = sign or ">", unit[1:].strip()
    if unit and not unit.strip("*?!#"):
        sign, unit = sign or "~", ""  # somebody marked a doubt, which goes into the note
    digits = _point_only(match["number"].strip(), decimal)
    if digits is None:
        return Reading(problem="is not a number with clear decimal and thousands signs")
    number = float(digits)
    if not math.isfinite(number):
        return Reading(problem="is not a finite number")
    return Reading(number, sign, unit)


def decimal_signs(texts: Iterable[str]) -> tuple[set[str], list[str]]:
    """The decimal signs that the texts prove, and those texts that can be read in two ways."""
    proven: set[str] = set()
    open_texts: list[str] = []
    for text in dict.fromkeys(texts):
        match = _VALUE.fullmatch(_tidy(text))
        if match is None:
            continue
        number = match["number"].strip()
        if _either(number):
            open_texts.append(text)
            continue
        marks = [mark for mark in number if mark in ".,"]
        if marks and _point_only(number, POINT) is not None:
            repeated = marks.count(marks[-1]) > 1
            proven.add({POINT: COMMA, COMMA: POINT}[marks[-1]] if repeated else marks[-1])
    return proven, open_texts


def _tidy(text: str) -> str:
    text = unicodedata.normalize("NFKC", text).replace("−", "-").replace("≤", "<=").replace("≥", ">=")
    text = text.replace("≈", "~").replace("’", "'")
    return " ".join(text.split()).replace("< ", "<").replace("> ", ">").replace("~ ", "~").replace("= ", "=")


def _bare(number: str) -> str:
    """The digits with points and commas, without sign, exponent and the thousands signs that are no decimal sign."""
    number = re.sub(r"[eE][+-]?[0-9]+$", "", number.strip().lstrip("+-"))
    return re.sub(r"(?<=[0-9])[' ](?=[0-9]{3}(?![0-9]))", "", number)


def _either(number: str) -> bool:
    """Whether a lone comma or point can be a decimal or a thousands sign: 1,234 can, 0,250 and 7,4 cannot."""
    return re.fullmatch(r"[+-]?[1-9][0-9]{0,2}[.,][0-9]{3}", number) is not None


def _point_only(number: str, decimal: str) -> str | None:
    """The number as Python writes it, or None if its points and commas make no sense."""
    sign = "-" if number.startswith("-") else ""
    exponent = re.search(r"[eE][+-]?[0-9]+$", number)
    bare = _bare(number)
    points, commas = bare.count(POINT), bare.count(COMMA)
    if points and commas:
        decimal = max(POINT, COMMA, key=bare.rindex)
    elif points > 1 or commas > 1:
        decimal = COMMA if points else POINT
    elif (points or commas) and not _either(number):
        decimal = POINT if points else COMMA
    thousands = COMMA if decimal == POINT else POINT
    whole, _, part = bare.partition(decimal)
    grouped = re.fullmatch(rf"[1-9][0-9]{{0,2}}(\{thousands}[0-9]{{3}})+", whole)
    if thousands in part or (thousands in whole and not grouped):
        return None
    plain = whole.replace(thousands, "") + POINT + part
    if not _PLAIN.fullmatch(plain):
        return None
    return sign + plain + (exponent[0] if exponent else "")
