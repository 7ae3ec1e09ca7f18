"""The function guide as Markdown, for the documentation."""

from __future__ import annotations

from collections.abc import Iterator

from pailbook.function import WorksheetFunction
from pailbook.hosts.call import call
from pailbook.workbook.function_guide import words

_INTRODUCTION = (
    "# Functions",
    "`pailbook functions --markdown` writes this page from the declarations of the functions.",
    "Arguments in brackets may be left out; the order of the arguments must be kept. `units` is always the last one: "
    'if it is left out, the units are metric, even in a US workbook; type "us" for the US units, which this page gives '
    "in parentheses. If an input is missing, is not a number or is outside its limits, the answer is an error, never a "
    "number. Acids and bases, mains electricity near water, medicines and live animals can be dangerous: the "
    "functions give information, not professional advice. Follow local codes and laws, and ask licensed people.",
)


def markdown() -> str:
    """The text of the whole guide."""
    lines = list(_INTRODUCTION)
    subjects = words.by_category()
    lines.append("\n".join(
        f"- {title}: " + ", ".join(f"[{f.name}](#{f.name.lower()})" for f in functions)
        for title, functions in subjects.items()))
    for title, functions in subjects.items():
        lines.append(f"## {title}")
        for function in functions:
            lines.extend(_function(function))
    return "\n\n".join(lines) + "\n"


def _function(function: WorksheetFunction) -> Iterator[str]:
    yield f"### {function.name}"
    yield f"`{function.signature}`"
    yield _safe(function.summary)
    yield from map(_safe, words.paragraphs(function))
    yield "\n".join((
        "| Argument | What it is | Unit | Accepted values | Required? |", "| --- | --- | --- | --- | --- |",
        *("| " + " | ".join((f"`{argument.name}`", *map(_cell, (
            argument.quantity.help or argument.quantity.label, words.unit(argument.quantity),
            words.accepted(argument.quantity), words.need(argument))))) + " |" for argument in function.cell_arguments),
    ))
    unit = words.unit(function.result)
    yield f"Answer: {_safe(words.gives(function))}{', ' if unit else ''}{_safe(unit)}"
    yield f"Example: `{words.call_text(function)}` gives {words.shown(call(function, function.example))}"
    yield f"Source: {_safe(words.sources(function))}"


def _cell(text: str) -> str:
    return _safe(text).replace("|", r"\|")


def _safe(text: str) -> str:
    """The text with nothing in it taken for markup."""
    for mark in r"\`*_<[":
        text = text.replace(mark, f"\\{mark}")
    return text
