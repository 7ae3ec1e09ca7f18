"""Calls outside of cells: in conditional formats, in the rules for what may be typed, in tables and in names.

They have no cells for intermediate values: what has no plain form of one line is taken out and reported.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from pailbook.formula.call_names import may_call
from pailbook.workbook.parts import with_attributes
from pailbook.workbook.share.arguments import Cell
from pailbook.workbook.share.meaning import Meaning
from pailbook.workbook.share.patches import text_of_xml
from pailbook.workbook.share.rewrite import rewritten
from pailbook.workbook.splice import xml_text

LONGEST_VALIDATION = 255  # characters of a formula in a rule for what may be typed

_FORMULA = re.compile(
    rb"(<((?:[\w.-]+:)?(?:formula[12]?|f|calculatedColumnFormula|totalsRowFormula))\b[^<>]*>)([^<]*)(</\2\s*>)")
_RULE = re.compile(rb"<((?:[\w.-]+:)?(?:cfRule|dataValidation))\b[^<>]*>.*?</\1\s*>", re.DOTALL)
_EMPTY = re.compile(rb"<((?:[\w.-]+:)?conditionalFormatting)\b[^<>]*>(?:\s*<[\w.-]+:sqref>[^<]*</[\w.-]+:sqref>)?\s*"
                    rb"</\1\s*>")
_EMPTY_EXTENSION = re.compile(rb"<((?:[\w.-]+:)?ext)\b[^<>]*>"
                              rb"(?:\s*<([\w.-]+:conditionalFormattings)\b[^<>]*>\s*</\2\s*>)?\s*</\1\s*>")
_VALIDATIONS = re.compile(rb"(<((?:[\w.-]+:)?dataValidations)\b[^<>]*>)(.*?)(</\2\s*>)", re.DOTALL)
_DEFINED = re.compile(rb"(<((?:[\w.-]+:)?definedName)\b[^<>]*>)([^<]*)(</\2\s*>)")
_NAME = re.compile(rb"\sname\s*=\s*[\"']([^\"']*)")
_ONE_VALIDATION = re.compile(rb"<(?:[\w.-]+:)?dataValidation[\s>/]")


@dataclass
class Elsewhere:
    """What was done with calls outside of cells: how many were replaced, and in words what was taken out and why."""

    replaced: int = 0
    dropped: list[str] = field(default_factory=list)


class Rules:
    """Rewrites formulas that are not in cells."""

    def __init__(self, meaning: Meaning) -> None:
        self.meaning = meaning
        self.found = Elsewhere()

    def sheet(self, title: str, data: bytes, cells_end: int) -> bytes:
        """A sheet's part, whose cells end there, without calls in its rules."""
        rest = data[cells_end:]
        if not _calls(rest):
            return data
        rest = _RULE.sub(lambda match: self._rule(title, match), rest)
        return data[:cells_end] + _EMPTY_EXTENSION.sub(b"", _VALIDATIONS.sub(_counted, _EMPTY.sub(b"", rest)))

    def table(self, title: str, data: bytes) -> bytes:
        """A table's part without calls in the formulas that its columns fill in."""
        def replaced(match: re.Match[bytes]) -> bytes:
            new, reason = self._formula(title, match[3])
            if reason:
                self.found.dropped.append(f"{title}: a table's column is no longer filled in automatically: {reason}")
                return b""
            return match[0] if new is None else match[1] + new + match[4]

        return _FORMULA.sub(replaced, data) if _calls(data) else data

    def names(self, data: bytes) -> bytes:
        """The workbook's part without calls in what its names stand for."""
        def replaced(match: re.Match[bytes]) -> bytes:
            new, reason = self._formula("", match[3])
            if reason:
                name = _NAME.search(match[1])
                what = f"the name {name[1].decode()}" if name else "a defined name"
                self.found.dropped.append(f"{what} is #N/A now: {reason}")
                new = b"#N/A"
            return match[0] if new is None else match[1] + new + match[4]

        return _DEFINED.sub(replaced, data)

    def _rule(self, title: str, match: re.Match[bytes]) -> bytes:
        rule = match[0]
        is_validation = b"dataValidation" in match[1]
        reasons: list[str] = []

        def replaced(formula: re.Match[bytes]) -> bytes:
            new, reason = self._formula(title, formula[3])
            if new is not None and is_validation and len(text_of_xml(new)) > LONGEST_VALIDATION:
                reason = f"its plain formula would have more than {LONGEST_VALIDATION} characters"
            reasons.extend([reason] if reason else [])
            return formula[0] if new is None else formula[1] + new + formula[4]

        rule = _FORMULA.sub(replaced, rule)
        if not reasons:
            return rule
        what = "a rule for what may be typed" if is_validation else "a conditional format"
        self.found.dropped.append(f"{title}: {what} was taken out: {reasons[0]}")
        return b""

    def _formula(self, title: str, written: bytes) -> tuple[bytes | None, str]:
        """The plain formula, None if nothing is called or it has none; and the reason why it has none, else ""."""
        text = text_of_xml(written)
        if not may_call(text):
            return None, ""
        found = rewritten(text, Cell(title, movable=False), self.meaning)
        if found is None:
            return None, ""
        recipe = found[0]
        if recipe.frozen:
            return None, recipe.frozen
        self.found.replaced += len(recipe.calls)
        return xml_text(recipe.text), ""


def _calls(data: bytes) -> bool:
    return any(may_call(text_of_xml(match[3])) for match in _FORMULA.finditer(data))


def _counted(match: re.Match[bytes]) -> bytes:
    count = len(_ONE_VALIDATION.findall(match[3]))
    if not count:
        return b""
    return with_attributes(match[1], {b"count": str(count).encode()}) + match[3] + match[4]


