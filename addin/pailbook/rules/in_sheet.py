"""A rule as formulas that every spreadsheet of Excel 2007's level understands: text, word, remedy, urgency."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pailbook.formula.arguments import read
from pailbook.formula.tree import Call, Node, NotTraceable
from pailbook.formula.write import LONGEST_FORMULA, write
from pailbook.quantity import METRIC
from pailbook.rules.binding import Binding, joined
from pailbook.rules.declaration import Rule, Step
from pailbook.rules.expression import SKIPS, UNASKED, BadRule, IfKnown, Needs, Question, Say
from pailbook.rules.record import can_fail, questions_in
from pailbook.rules.row_entries import Entries
from pailbook.rules.words import (
    BEFORE_REASON,
    FAULT,
    NO_URGENCY,
    NOT_KNOWN_URGENCY,
    PUT_RIGHT,
    UNCALCULATED,
    UNCALCULATED_ROW,
    reasoned,
    spelt,
)
from pailbook.terms import ACT, NOT_ASKED, NOT_KNOWN, WATCH

_LONGEST_COMPLAINT = 255


class Sheet:
    """The cells of a sheet that hold the clean cells of a rule's questions; rules read there become formulas.

    Each method gives formula text without the equals sign.

    Raises
    ------
    BadRule
        When a question has no cell, or the formula would be longer or deeper than spreadsheets allow.
    """

    def __init__(
        self, where: Mapping[str, str], units: str = METRIC, calls: bool = False, entries: Entries | None = None,
        named: frozenset[str] = frozenset(), trusted: frozenset[str] = frozenset(),
        rounded: frozenset[str] = frozenset(), sentences: Mapping[str, str] | None = None,
    ) -> None:
        """Parameters as for `binding.Binding`.

        entries : those of a row for which one cell stands. With `named`, `reasons` and `urgency` make sense.
        sentences : by reasons without numbers, the cells that hold them, so that many rows need not repeat them.
        """
        self._sentences = sentences or {}
        self._cells = Binding(where, units, calls, named, trusted, rounded)
        self._entries = entries or Entries("")

    def text(self, rule: Rule, unasked: str = NOT_ASKED) -> str:
        """Outcome and sentence: "act: oxygen falls to 2.9 mg/L".

        unasked : what is shown where the rule is not asked and has nothing to say of it.
        """
        def of(step: Step) -> Any:
            says, outcome = step.rung.says, step.rung.outcome
            if isinstance(says, str) and not says:
                return unasked if outcome == NOT_ASKED else outcome
            return self._cells.sentence(says, step.present, f"{outcome}: ")

        return self._written(rule, of, unasked, f"{NOT_KNOWN}: ")

    def word(self, rule: Rule) -> str:
        """The outcome alone; answers count these."""
        return self._written(rule, lambda step: step.rung.outcome, NOT_ASKED, None, NOT_KNOWN)

    def remedy(self, rule: Rule) -> str:
        """What to do; an empty text where there is nothing to do."""
        return self._written(rule, lambda step: self._cells.sentence(step.rung.remedy, step.present), "", PUT_RIGHT)

    def urgency(self, rule: Rule) -> str:
        """A number from 1, the most urgent, to 99."""
        return self._written(rule, lambda step: step.rung.urgency, NO_URGENCY, None, NOT_KNOWN_URGENCY)

    def reasons(self, rules: Sequence[Rule | str]) -> str:
        """Reasons of a row, such as "; oxygen low (act); pH high (watch)"; a rule that is fine or not asked adds none.

        Nor does one that needs something that is `named` and not in order.

        Parameters
        ----------
        rules : the rules, in their order; among them formula texts of reasons that are found elsewhere.
        """
        written = "&".join(one if isinstance(one, str) else self.reason(one) for one in rules)
        text = f'IFERROR({written},"{BEFORE_REASON}{NOT_KNOWN}: {UNCALCULATED_ROW}")'
        if len(text) > LONGEST_FORMULA:
            raise BadRule(f"the reasons of a row would have {len(text)} characters; {LONGEST_FORMULA} are allowed")
        return text

    def reason(self, rule: Rule) -> str:
        """One reason of a row, as `reasons` puts them together; an error where the rule has no answer."""
        def of(step: Step) -> Any:
            outcome = step.rung.outcome
            if outcome not in (ACT, WATCH):
                return ""
            says = step.rung.says
            constant = reasoned(outcome, spelt(says, self._cells.units)) if isinstance(says, str) else ""
            if constant in self._sentences:
                return read(self._sentences[constant])
            return self._cells.sentence(Say((says, f" ({outcome})")), step.present, BEFORE_REASON)

        return self._written(rule, of, "", f"{BEFORE_REASON}{NOT_KNOWN}: ", guarded=False)

    def _written(
        self, rule: Rule, of: Callable[[Step], Any], not_asked: Any, before: str | None, not_known: Any = None,
        guarded: bool = True,
    ) -> str:
        """The rungs as IF within IF; what is not known is `not_known`, or `before` and the complaint behind it."""
        def unknown(complaint: Any) -> Any:
            return not_known if before is None else joined([before, complaint])

        named = self._cells.named
        stood_for = [step for step in rule.steps if any(one.name in self._entries.names for one in step.new)]
        try:
            node: Any = None
            for step in reversed(rule.steps):
                node = self._chosen(step, of(step), node)
                asked = [one for one in step.new if one.name not in self._entries.names | self._cells.trusted]
                if own := [one for one in asked if one.name not in named]:
                    kept = self._only(step, self._in_order(own), True)
                    node = Call("IF", (kept, node, unknown(self._complaint(own))))
                elsewhere = [one for one in asked if one.name in named]
                if needed := [one for one in elsewhere if one.blank != SKIPS]:
                    node = Call("IF", (self._only(step, self._cells.all_there(needed), True), node, not_asked))
                skipping = [one for one in elsewhere if one.blank == SKIPS]
                if skipping and isinstance(step.rung.condition, Needs):
                    node = Call("IF", (self._only(step, self._in_order(skipping), True), node, not_asked))
                for one in reversed(step.new):
                    if one.blank == UNASKED and one.name not in named:
                        node = Call("IF", (self._cells.blank(one), not_asked, node))
                if stood_for and step is stood_for[0]:
                    at = read(self._entries.cell)
                    complaint = Call("MID", (at, len(FAULT) + 1, _LONGEST_COMPLAINT))
                    node = Call("IF", (Call("ISNUMBER", (at,)), node, unknown(complaint)))
            if isinstance(node, Call) and guarded:  # an error in a clean cell, or a condition that has no answer
                complaint = self._cells.value(f"{rule.subject} {UNCALCULATED}")
                node = Call("IFERROR", (node, not_known if before is None else before + complaint))
            return write(node)
        except (NotTraceable, BadRule) as reason:
            raise BadRule(f"{rule.subject}: {reason}") from None

    def _chosen(self, step: Step, here: Any, otherwise: Any) -> Any:
        if step.rung.condition is True:
            return here
        if isinstance(step.rung.condition, Needs):
            return otherwise
        constant = not any(isinstance(one, Node) for one in (here, otherwise))
        if constant and here == otherwise and not can_fail(step.rung.condition):
            return here
        return Call("IF", (self._only(step, self._truth(step.rung.condition), False), here, otherwise))

    def _truth(self, condition: Any) -> Any:
        if not isinstance(condition, IfKnown):
            return self._cells.truth(condition)
        compared = list(questions_in(condition.condition).values())
        return Call("IF", (self._cells.all_there(compared), self._cells.value(condition.condition), False))

    def _only(self, step: Step, here: Any, otherwise: bool) -> Any:
        """What holds of a step where it is asked, and what elsewhere."""
        return here if step.rung.only is True else Call("IF", (self._truth(step.rung.only), here, otherwise))

    def _in_order(self, questions: list[Question]) -> Any:
        cells = self._cells
        skipping = [one for one in questions if one.blank == SKIPS]
        needed = [one for one in questions if one.blank != SKIPS]
        tests = [cells.all_there(needed)] if needed else []
        tests += [Call("OR", (cells.there(one), cells.blank(one))) for one in skipping]
        return tests[0] if len(tests) == 1 else Call("AND", tuple(tests))

    def _complaint(self, questions: list[Question]) -> Any:
        """What the first clean cell says that is not in order."""
        said, behind = list(map(self._said_of, questions)), len(FAULT)
        ours = all(isinstance(one, str) for one in said)
        if ours:
            said = [one[behind:] for one in said]
        which = said[-1]
        for one, words in reversed(list(zip(questions[:-1], said))):
            which = Call("IF", (self._in_order([one]), which, words))
        return which if ours else Call("MID", (which, behind + 1, _LONGEST_COMPLAINT))

    def _said_of(self, question: Question) -> Any:
        """A clean cell that is not in order; of an `Unusable` one its words, whatever the cell holds."""
        if question.unusable:
            return spelt(f"{FAULT}{question.label} {question.unusable}", self._cells.units)
        return self._cells.at(question)
