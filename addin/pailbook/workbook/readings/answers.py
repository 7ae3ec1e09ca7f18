"""What a record leaves open and its owner answers, and how the answer is written: HEADING=FIELD[:UNIT or basis].

A mapping text names a column (or, in a record with one value per row, a variable) and what it is:
"Temp=temperature:F", "Ammonia drops=tan:NH3", "Lab nitrate=nitrate:ug/L:N", "Depth=-" for a column to leave out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from pailbook.nearest import there_are
from pailbook.outcomes import BadInput


class ReadingsError(BadInput):
    """A record, a log or an option that cannot be used; the message says which one, and what was expected."""


@dataclass(frozen=True)
class Question:
    """One thing to answer: what it is about, what was found, and the choices, each as its option text and meaning."""

    about: str
    found: str
    choices: tuple[tuple[str, str], ...]

    def __str__(self) -> str:
        width = max((len(text) for text, _ in self.choices), default=0)
        lines = [f"{self.about}: {self.found}"]
        lines += [f"    {text:<{width}}  {meaning}".rstrip() for text, meaning in self.choices]
        return "\n".join(lines)


class NeedsAnswer(ReadingsError):
    """The record leaves something open that only its owner knows; `questions` lists all of it at once."""

    def __init__(self, source: str, questions: Iterable[Question]) -> None:
        self.questions = tuple(dict.fromkeys(questions))
        many = "these questions" if len(self.questions) > 1 else "this question"
        super().__init__(f"{source}: nothing was written; first answer {many} with one of the options shown\n" +
                         "\n".join(str(question) for question in self.questions))


def open_columns(
    path: Path, headings: Sequence[str], *, measured: bool, dated: bool, placed: bool
) -> list[Question]:
    """What to ask about a record that has no column of dates, or none that names the system.

    Parameters
    ----------
    measured, dated, placed : whether a column of readings, of dates and of systems is known; a system that was given
        for all rows counts as one.

    Raises
    ------
    ReadingsError
        If no column of readings is known, since nothing is left to ask about then.
    """
    columns, questions = ", ".join(f'"{heading}"' for heading in headings), []
    if not measured:
        raise ReadingsError(f"{path}: no column of readings was recognised among {columns}; say which column is which, "
                            f'for instance {map_option(headings[-1], "ph")}')
    if not dated:
        questions.append(Question("date", f"no column of dates was recognised among {columns}", (
            (map_option(headings[0], "date"), "if this column holds the dates"),)))
    if not placed:
        questions.append(Question("system", "no column with the name of the system was recognised", (
            ("--system NAME", "if all readings are from one system"),
            (map_option(headings[0], "system"), "if this column names the system"))))
    return questions


@dataclass(frozen=True)
class Mapped:
    """One mapping text taken apart."""

    heading: str
    target: str
    details: tuple[str, ...]


LEAVE_OUT = "-"
DECIMAL_SIGNS = {"point": ".", "comma": ","}


def decimal_sign(given: str) -> str:
    """The decimal sign that was given, as a word or as the sign itself. ReadingsError if it is neither."""
    sign = DECIMAL_SIGNS.get(given, given)
    if sign not in DECIMAL_SIGNS.values():
        raise ReadingsError(f"the decimal sign is {given!r}; {there_are(given, DECIMAL_SIGNS)}")
    return sign


def mapping_texts(mapping: Iterable[str] | Mapping[str, str] | None) -> list[Mapped]:
    """The mapping as given: texts HEADING=FIELD[:DETAIL...], or a dictionary of heading to FIELD[:DETAIL...]."""
    if mapping is None:
        return []
    texts = [f"{k}={v}" for k, v in mapping.items()] if isinstance(mapping, Mapping) else list(mapping)
    result = []
    for text in texts:
        heading, equals, target = text.rpartition("=")
        name, *details = (part.strip() for part in target.split(":"))
        if not equals or not heading.strip() or not name:
            raise ReadingsError(f'the mapping "{text}" is not understood; expected "HEADING=FIELD" or '
                                '"HEADING=FIELD:UNIT", for instance "Temp=temperature:F"')
        result.append(Mapped(heading.strip(), name, tuple(detail for detail in details if detail)))
    return result


def map_option(heading: str, target: str) -> str:
    """The option text that says what a column is."""
    return f'--map "{heading}={target}"'
