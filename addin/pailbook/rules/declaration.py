"""@rule: what is fine, to be watched or to be acted on, declared once.

    @rule("Oxygen on the road", rank=1, essential="oxygen")
    def oxygen_on_the_road(
        lowest: Annotated[Oxygen, "Lowest oxygen on the road"],
        act_below: Annotated[Oxygen, "Limit 'Oxygen: act below'"],
    ) -> Rungs:
        '''Whether oxygen falls too low on the road.'''
        says = say("oxygen falls to ", shown(lowest, 1), " mg/L")
        return act(lowest < act_below, says, "More air in each vessel", urgency=1), fine()

Rungs are asked in their order; the first that holds decides. Before a rung, every question in its condition that was
not asked before must be in order; otherwise the outcome is "not known", with the question's label and what is wrong.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, get_args, get_type_hints

from pailbook.formula.tree import NotTraceable
from pailbook.quantity import Quantity
from pailbook.rules.checks import check, check_quantity
from pailbook.rules.expression import SKIPS, TEXT, TRUTH, UNASKED, UNKNOWN, BadRule, IfKnown, Needs, Question
from pailbook.rules.record import can_fail, compared_in, questions_in
from pailbook.rules.words import NO_URGENCY
from pailbook.terms import ACT, FINE, NOT_ASKED, WATCH


@dataclass(frozen=True)
class Blank:
    """In a type hint: what a blank cell means to the rule."""

    means: str


@dataclass(frozen=True)
class Unusable:
    """In a type hint: what is wrong with a cell that is not in order, in place of the usual words."""

    says: str


@dataclass(frozen=True)
class Wrong:
    """In a type hint: what is wrong with a cell that holds something else, in place of the usual words.

    no_entry : where it is no number, none of the choices or an error.
    outside : where its number is outside its limits; the same if left out.
    """

    no_entry: str
    outside: str = ""


skips, not_asked_if_blank = Blank(SKIPS), Blank(UNASKED)


@dataclass(frozen=True, eq=False)
class Rung:
    """A condition (True: always), the outcome where it holds, what is said then, and what to do."""

    outcome: str
    condition: Any
    says: Any = ""
    remedy: Any = ""
    urgency: int = NO_URGENCY  # 1 is the most urgent
    only: Any = True  # elsewhere it is passed over, and what it asks is not asked


Rungs = tuple[Rung, ...]


def act(condition: Any, says: Any, remedy: Any, urgency: int = 10) -> Rung:
    """Something must be done: what is said, what to do, and how urgent it is, 1 being the most urgent."""
    return Rung(ACT, condition, says, remedy, urgency)


def act_if_known(condition: Any, says: Any, remedy: Any, urgency: int = 10) -> Rung:
    """As `act`, but passed over where something that it compares is not known; rungs behind it ask for that again.

    So one reading beyond its limit decides, although another reading is missing.
    """
    return Rung(ACT, IfKnown(condition), says, remedy, urgency)


def watch(condition: Any, says: Any, remedy: Any = "", urgency: int = 50) -> Rung:
    """Something is to be watched."""
    return Rung(WATCH, condition, says, remedy, urgency)


def fine(condition: Any = True, says: Any = "", remedy: Any = "") -> Rung:
    """Nothing is wrong; `remedy` is what to do next all the same."""
    return Rung(FINE, condition, says, remedy)


def not_asked(condition: Any, says: Any = "") -> Rung:
    """The question does not apply, or nothing was tested."""
    return Rung(NOT_ASKED, condition, says)


def needs(*questions: Any) -> Rung:
    """What must be in order before the rungs behind it are asked, though none of them compares it."""
    if not questions or not all(isinstance(one, Question) for one in questions):
        raise BadRule("needs(...) takes questions")
    return Rung(NOT_ASKED, Needs(questions))


def only_where(condition: Any, *rungs: Rung) -> Rungs:
    """Rungs that are passed over where the condition does not hold; what they alone ask need not be in order there.

    Rungs before them must have asked for what the condition compares. Rungs behind them ask again for what these ask.
    """
    return tuple(replace(one, only=condition) for one in rungs)


@dataclass(frozen=True, eq=False)
class Step:
    """A rung, with what is asked before it."""

    rung: Rung
    new: tuple[Question, ...]  # must be in order before it
    present: frozenset[str]  # names of what is sure to hold a number or a choice where the rung holds


@dataclass(frozen=True, eq=False, repr=False)
class Rule:
    """A rule as its declaration left it."""

    subject: str
    questions: tuple[Question, ...]
    rungs: Rungs
    rank: int
    essential: str  # the matter on which an answer waits for this rule's word; empty for none
    name: str
    doc: str

    def __repr__(self) -> str:
        return f"<rule {self.name}>"

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """The rungs with their guards."""
        steps = []
        always: dict[str, Question] = {}
        within: dict[int, dict[str, Question]] = {}  # by the condition under which rungs are asked at all
        for rung in self.rungs:
            own = always if rung.only is True else within.setdefault(id(rung.only), {})
            here, asked = questions_in(rung.condition), always | own
            new = tuple(one for one in self.questions if one.name in here and one.name not in asked)
            own |= {one.name: one for one in new}
            asked |= own
            present = {name for name, one in asked.items() if one.blank != SKIPS}
            present |= set(compared_in(rung.condition, rung.only))
            steps.append(Step(rung, new, frozenset(present)))
        return tuple(steps)


def rule(
    subject: str, *, rank: int = 50, essential: str | bool = "", asks: Mapping[str, Any] | None = None
) -> Callable[[Callable[..., Rungs]], Rule]:
    """Declare a rule.

    Parameters
    ----------
    subject : what it judges, as people read it: "Oxygen on the road".
    rank : 1 to 999; the place among reasons that are equally urgent.
    essential : the matter on which an answer needs a "fine" or a "watch", such as "oxygen"; several rules may stand
        for one matter. True: the subject itself.
    asks : the type hints of the body's arguments, where the body is made in a loop and cannot name them; a body that
        takes **questions gets all of them.

    Raises
    ------
    BadRule
        At import, when a formula could not say it, when it does not end in fine() or not_asked(True), when a question
        is not used, or when a condition compares what cannot be compared.
    """
    def declare(body: Callable[..., Rungs]) -> Rule:
        try:
            if not subject or not 1 <= rank <= 999:
                raise BadRule("a rule needs a subject, and a rank from 1 to 999")
            questions = _questions(body, asks)
            rungs = body(**{question.name: question for question in questions})
            _check_rungs(rungs, questions)
        except (BadRule, NotTraceable) as reason:
            raise BadRule(f"{subject or body.__name__}: {reason}") from None
        matter = essential if isinstance(essential, str) else subject if essential else ""
        return Rule(subject, questions, rungs, rank, matter, body.__name__, inspect.cleandoc(body.__doc__ or ""))

    return declare


def _questions(body: Callable[..., Any], asks: Mapping[str, Any] | None) -> tuple[Question, ...]:
    hints = asks if asks is not None else get_type_hints(body, include_extras=True)
    parameters = inspect.signature(body).parameters.values()
    takes_all = any(one.kind is inspect.Parameter.VAR_KEYWORD for one in parameters)
    names = hints if takes_all else [one.name for one in parameters]
    return tuple(question(name, hints.get(name)) for name in names)


def question(name: str, hint: Any) -> Question:
    """The question of a hint such as Annotated[Oxygen, "Lowest oxygen on the road", skips]."""
    marks = get_args(hint)[1:]
    quantities = [mark for mark in marks if isinstance(mark, Quantity)]
    labels = [mark for mark in marks if isinstance(mark, str)]
    if len(quantities) != 1 or not labels or not labels[-1]:
        raise BadRule(f"{name} needs a hint with a quantity and a label: Annotated[Oxygen, \"Oxygen at loading\"]")
    check_quantity(labels[-1], quantities[0])
    blank = next((mark.means for mark in marks if isinstance(mark, Blank)), UNKNOWN)
    unusable = next((mark.says for mark in marks if isinstance(mark, Unusable)), "")
    wrong = next((mark for mark in marks if isinstance(mark, Wrong)), Wrong(""))
    return Question(name, labels[-1], quantities[0], blank, unusable, wrong.no_entry, wrong.outside or wrong.no_entry)


_OF_A_QUESTION = ("label", "quantity", "blank", "unusable", "no_entry", "outside")


def same_question(questions: Iterable[Question]) -> dict[str, Question]:
    """The questions of several rules by name: those of one name share one clean cell, so they must be the same.

    Raises
    ------
    BadRule
        When two of one name have another label, quantity or meaning of a blank.
    """
    found: dict[str, Question] = {}
    for one in questions:
        first = found.setdefault(one.name, one)
        if any(getattr(first, part) != getattr(one, part) for part in _OF_A_QUESTION):
            raise BadRule(f"two rules ask for {one.name} in different ways: {first.label!r} and {one.label!r}; "
                          f"declare its hint once")
    return found


def _check_rungs(rungs: Any, questions: tuple[Question, ...]) -> None:
    if not isinstance(rungs, tuple) or not rungs or not all(isinstance(rung, Rung) for rung in rungs):
        raise BadRule("the body must return its rungs: act(...), watch(...), fine()")
    last = rungs[-1]
    if last.condition is not True or last.only is not True or last.outcome not in (FINE, NOT_ASKED):
        raise BadRule("the last rung must be fine() or not_asked(True)")
    asked: dict[str, Question] = {}
    for rung in rungs:
        if rung.only is True:
            asked |= questions_in(rung.condition)
        else:
            _check_only(rung, asked)
        if rung is not last and isinstance(rung.condition, bool):
            raise BadRule(f"a rung {rung.outcome!r} before the last holds always or never")
        if not 1 <= rung.urgency <= NO_URGENCY:
            raise BadRule(f"an urgency is 1 to {NO_URGENCY}, not {rung.urgency}")
        condition = rung.condition
        if isinstance(condition, IfKnown):
            condition = condition.condition
            if can_fail(condition):
                raise BadRule("a rung that is passed over where something is not known must always have an answer")
        check(condition, TRUTH)
        check(rung.says, TEXT)
        check(rung.remedy, TEXT)
    used = questions_in(*(part for rung in rungs for part in (rung.condition, rung.only, rung.says, rung.remedy)))
    if unused := [one.label for one in questions if one.name not in used]:
        raise BadRule(f"nothing uses what it asks for: {', '.join(unused)}")


def _check_only(rung: Rung, asked: Mapping[str, Question]) -> None:
    """BadRule where a reader could not tell whether the rung is asked."""
    check(rung.only, TRUTH)
    if can_fail(rung.only):
        raise BadRule("the condition of only_where(...) must always have an answer")
    for name, one in compared_in(rung.only).items():
        if name not in asked:
            raise BadRule(f"{one.label}: only_where(...) compares it before it is asked")
    for one in questions_in(rung.condition).values():
        if one.blank == UNASKED:
            raise BadRule(f"{one.label}: a rung of only_where(...) cannot ask for what makes a rule not asked")
