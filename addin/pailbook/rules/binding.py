"""The record of a rule bound to the cells of a sheet, as nodes that `formula.write` turns into text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pailbook.formula.arguments import read
from pailbook.formula.trace import trace
from pailbook.formula.tree import Binary, Call, Negative, Node, NotTraceable, Reference
from pailbook.formula.write import write
from pailbook.quantity import METRIC, US
from pailbook.rules.comparison import DECIMALS, numbers_in_sheet
from pailbook.rules.expression import (
    COMPARISONS,
    SKIPS,
    TEXT,
    BadRule,
    ByUnits,
    Dated,
    IsBlank,
    Listed,
    Ours,
    Question,
    Say,
    Shown,
)
from pailbook.rules.faults import check_units
from pailbook.rules.record import can_fail, compared_in, sort_of, walk
from pailbook.rules.words import FAULT, UNSHOWN, spelt

_LONGEST_TEXT = 255  # characters of a text within a formula


class Binding:
    """Where the clean cells of questions stand in a sheet.

    A clean cell (see `clean_cell.clean`) holds a number or a choice, nothing where a blank is allowed, or "? " and what
    is wrong.
    """

    def __init__(
        self, where: Mapping[str, str], units: str = METRIC, calls: bool = False, named: frozenset[str] = frozenset(),
        trusted: frozenset[str] = frozenset(), rounded: frozenset[str] = frozenset(),
    ) -> None:
        """Bind.

        Parameters
        ----------
        where : formula text of each question's clean cell, by its name: an address, or INDEX(...) of one.
        units : the unit system of the sheet.
        calls : whether our functions are called; otherwise their plain forms are written out.
        named : questions of which something else says that they are not in order; here they count as blank then.
        trusted : questions whose cells the workbook calculates so that they are always in order: where nothing is
            known, they hold what no reading meets. They are not looked at before they are compared.
        rounded : questions whose cells hold numbers of at most DECIMALS decimals; two of them are compared as they are.
        """
        check_units(units)
        self._where, self.units, self._calls = where, units, calls
        self.named, self.trusted, self._rounded = named, trusted, rounded

    def at(self, question: Question) -> Any:
        """The question's clean cell."""
        text = self._where.get(question.name)
        if text is None:
            raise BadRule(f"the sheet has no cell for {question.name} ({question.label})")
        return read(text)

    def value(self, node: Any) -> Any:
        """The node on the sheet's cells."""
        if isinstance(node, Question):
            return self.at(node)
        if isinstance(node, Binary):
            left, right = self.value(node.left), self.value(node.right)
            sides = (node.left, node.right)
            are_rounded = all(isinstance(one, Question) and one.name in self._rounded for one in sides)
            if node.operator in COMPARISONS and sort_of(node.left) != TEXT and not are_rounded:
                return numbers_in_sheet(node.operator, left, right)
            return Binary(node.operator, left, right)
        if isinstance(node, Negative):
            return Negative(self.value(node.operand))
        if isinstance(node, Call):
            return self._call(node)
        if isinstance(node, ByUnits):
            return node.of(self.units)
        if isinstance(node, Listed):
            return Call("IFERROR", (self.value(node.condition), False))
        if isinstance(node, str):
            return spelt(node, self.units)
        if isinstance(node, IsBlank):
            one = node.question
            return Call("NOT", (self.there(one),)) if one.name in self.named else self.blank(one)
        return self._ours(node) if isinstance(node, Ours) else node

    def _call(self, node: Call) -> Any:
        if node.name == "IF":
            condition, then, otherwise = node.arguments
            return Call("IF", (self.truth(condition), self.value(then), self.value(otherwise)))
        arguments = tuple(map(self.value, node.arguments))
        if node.name == "INT":  # 2.9999999999999996 is 3 to one program and 2 to others
            arguments = (Call("ROUND", (*arguments, DECIMALS)),)
        return Call(node.name, arguments)

    def _ours(self, node: Ours) -> Any:
        values = [one if isinstance(one, str) else self.value(one) for one in node.arguments]
        names = [argument.name for argument in node.function.arguments]
        if node.function.has_units and self.units == US:
            values += [None] * (len(names) - len(values)) + [US]
        if self._calls:
            text = ",".join("" if value is None else write(value) for value in values)
            return Reference(f"{node.function.name}({text})")
        if node.function.in_steps:
            raise NotTraceable(f"{node.function.name} is calculated in steps, which no single formula holds")
        return trace(node.function, dict(zip((*names, "units"), values)))

    def truth(self, condition: Any) -> Any:
        """A condition on the sheet's cells, false where a cell that may be blank is blank."""
        truth = self.value(condition)
        if self._calls and any(isinstance(one, Ours) for one in walk(condition)):
            truth = Call("AND", (truth,))  # a call is an array to LibreOffice, in whose IF no other may stand
        for one in reversed(compared_in(condition).values()):
            if one.name in self.trusted:
                continue
            if one.blank == SKIPS and one.name in self.named:
                truth = Call("IF", (self.there(one), truth, False))
            elif one.blank == SKIPS:
                truth = Call("IF", (self.blank(one), False, truth))
        return truth

    def blank(self, question: Question) -> Any:
        """Whether the clean cell is blank."""
        return Binary("=", self.at(question), "")

    def there(self, question: Question) -> Any:
        """Whether the clean cell holds a number or one of the choices; one that somebody emptied holds none."""
        at = self.at(question)
        if question.takes_text:
            text = Call("AND", (Binary("<>", at, ""), Binary("<>", Call("LEFT", (at, len(FAULT))), FAULT)))
            return Call("IF", (Call("ISERROR", (at,)), False, text))
        if not question.takes_choice:
            return Call("ISNUMBER", (at,))
        return Call("OR", tuple(Binary("=", at, self.value(choice)) for choice in question.quantity.choices))

    def all_there(self, questions: list[Question]) -> Any:
        """Whether all these clean cells hold a number or a choice."""
        counted, others = [], []
        for one in questions:
            at = self.at(one)
            plain = isinstance(at, Reference) and at.atom  # engines disagree on COUNT of what is calculated
            if plain and not (one.takes_choice or one.takes_text):
                counted.append(at)
            else:
                others.append(self.there(one))
        if len(counted) == 1:
            others.append(Call("ISNUMBER", (counted[0],)))
        elif counted:
            others.insert(0, Binary("=", Call("COUNT", tuple(counted)), len(counted)))
        return conjunction(others)

    def sentence(self, node: Any, present: frozenset[str], before: str = "") -> Any:
        """A text on the sheet's cells; `present` names the questions that are sure to be in order."""
        return joined([before, *self._pieces(node, present)])

    def _pieces(self, node: Any, present: frozenset[str]) -> list[Any]:
        if isinstance(node, Say):
            return [piece for part in node.parts for piece in self._pieces(part, present)]
        if isinstance(node, (str, ByUnits)):
            return [self.value(node)]
        condition: Any = None
        if isinstance(node, Shown):
            text: Any = Call("ROUND", (self.value(node.value), node.digits_in(self.units)))
        elif isinstance(node, Dated):
            text = _as_date(self.value(node.value))
        elif isinstance(node, Call):
            condition, then, otherwise = node.arguments
            text = Call("IF", (self.truth(condition), self.sentence(then, present), self.sentence(otherwise, present)))
        else:
            text = self.value(node)
        asked = compared_in(node if condition is None else condition)
        if can_fail(node if condition is None else condition):
            text = Call("IFERROR", (text, UNSHOWN))
        if loose := [one for name, one in asked.items() if name not in present | self.trusted]:
            text = Call("IF", (self.all_there(loose), text, UNSHOWN))
        return [text]


def _as_date(number: Any) -> Node:
    """Year-month-day, whatever the language of the program."""
    month, day = (Call("RIGHT", (Binary("&", "0", Call(part, (number,))), 2)) for part in ("MONTH", "DAY"))
    year = Binary("&", Call("YEAR", (number,)), "-")
    return Binary("&", Binary("&", Binary("&", year, month), "-"), day)


def conjunction(conditions: list[Any]) -> Any:
    """All of the conditions."""
    return conditions[0] if len(conditions) == 1 else Call("AND", tuple(conditions))


def joined(pieces: list[Any]) -> Any:
    """Pieces of text put one behind the other; no text within the formula is longer than spreadsheets allow."""
    merged: list[Any] = []
    for piece in pieces:
        if isinstance(piece, str) and merged and isinstance(merged[-1], str):
            merged[-1] += piece
        elif not isinstance(piece, str) or piece:
            merged.append(piece)
    cut: list[Any] = []
    for piece in merged:
        if isinstance(piece, str):
            cut += [piece[i:i + _LONGEST_TEXT] for i in range(0, len(piece), _LONGEST_TEXT)]
        else:
            cut.append(piece)
    if not cut:
        return ""
    text = cut[0] if isinstance(cut[0], str) or len(cut) > 1 else Binary("&", cut[0], "")
    for piece in cut[1:]:
        text = Binary("&", text, piece)
    return text
