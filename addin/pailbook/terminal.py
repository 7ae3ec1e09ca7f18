"""What the command line shows: lists, and progress bars on a terminal."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from rich.console import Console
from rich.progress import BarColumn, Progress, ProgressColumn, Task, TextColumn, TimeRemainingColumn
from rich.text import Text

import pailbook.functions  # noqa: F401 - fills the catalogue
from pailbook.formula.trace import plain_formula
from pailbook.formula.tree import NotTraceable
from pailbook.function import CATALOGUE, Argument
from pailbook.hosts.call import call
from pailbook.nearest import nearest
from pailbook.outcomes import BadInput, Outcome
from pailbook.workbook.check.finding import VERDICTS, Finding
from pailbook.workbook.function_guide import words

PATIENCE = 2  # seconds before a bar is shown

console = Console(highlight=False, soft_wrap=True)


@contextmanager
def progress(title: str) -> Iterator[Callable[[int, int | None], None]]:
    """A bar on standard error, on a terminal only and after two seconds; gives a callable(done, total or None)."""
    bar = Progress(
        TextColumn("{task.description}"), BarColumn(), _Share(), TimeRemainingColumn(),
        console=Console(stderr=True), transient=True, redirect_stdout=False, redirect_stderr=False,
    )
    task = bar.add_task(title, total=None)
    later = threading.Timer(PATIENCE, bar.start)  # by the clock, since some work takes long before it first reports
    later.daemon = True

    def advance(done: int, total: int | None) -> None:
        bar.update(task, completed=done, total=total)

    if bar.console.is_terminal:
        later.start()
    try:
        yield advance
    finally:
        later.cancel()
        if later.ident is not None:
            later.join()  # so that the bar does not start after its end
        if bar.live.is_started:  # otherwise it would write an empty line
            bar.stop()


class _Share(ProgressColumn):
    """How much is done: as a percentage if the whole is known, otherwise as a count."""

    def render(self, task: Task) -> Text:
        if task.total:
            return Text(f"{task.percentage:3.0f} %")
        return Text(f"{task.completed:,.0f}" if task.completed else "")


def show_catalogue() -> None:
    """Every function by subject, with what it gives."""
    for category in dict.fromkeys(function.category for function in CATALOGUE.values()):
        console.print(f"\n[bold]{category}[/bold]")
        for function in CATALOGUE.values():
            if function.category == category:
                console.print(f"  {_plain(function.signature)}")
                console.print(f"      {_plain(function.summary)}")
    console.print("\nFor one function with its limits, source and an example: pailbook functions NAME")


def show_function(name: str) -> None:
    """One function: arguments, units, limits, source, an example and its plain formula."""
    function = CATALOGUE.get(name.upper())
    if function is None:
        question = nearest(name, CATALOGUE)
        raise BadInput(f"there is no function {name!r}; {question or '`pailbook functions` lists them all'}")
    console.print(f"[bold]{_plain(function.signature)}[/bold]\n\n{_plain(function.summary)}")
    if function.details:
        console.print(_plain(function.details))
    console.print()
    for argument in function.cell_arguments:
        _describe(argument)
    unit = words.unit(function.result)
    console.print(_plain(f"\nGives: {words.gives(function)}{', ' if unit else ''}{unit}"))
    for citation in function.source:
        console.print(f"Source: {_plain(str(citation))}")
        if citation.work.errata:
            console.print(f"        {_plain(citation.work.errata)}")
    gives = words.shown(call(function, function.example))
    console.print(f"\nExample: {_plain(words.call_text(function))} gives {gives}")
    references = [f"{chr(ord('A') + i)}2" for i in range(len(function.example))]
    try:
        console.print(f"Plain formula for {', '.join(references)}:\n={_plain(plain_formula(function, references))}")
    except NotTraceable:
        console.print("Plain formula: it takes several steps, which a plain workbook has on its sheet Workings")


def _describe(argument: Argument) -> None:
    quantity = argument.quantity
    console.print(f"  [bold]{argument.name}[/bold]: {_plain(quantity.help or quantity.label)}")
    console.print(f"      {_plain(words.accepted(quantity))}; {_plain(words.need(argument))}")


def show_recalculation(result: Any, everything: bool = False) -> None:
    """The key results by name, or all named results; then what could not be calculated."""
    shown = result.results if everything else result.key_results
    width = max(map(len, shown), default=0)
    for name, value in shown.items():
        console.print(_plain(f"{name.ljust(width)}  {result.moments.get(name) or _value(value)}"))
    if more := len(result.results) - len(shown):
        console.print(f"--all shows {more} more named results")
    console.print(f"{len(result.values)} formula cells calculated")
    for problem in result.problems:
        console.print(_plain(str(problem)))


def show_findings(findings: Sequence[Finding]) -> None:
    """What the check of a workbook found, the most serious first, then the number of each."""
    for verdict in VERDICTS:
        of_it = [finding for finding in findings if finding.verdict == verdict]
        if of_it:
            console.print(f"[bold]{verdict}[/bold]")
        for finding in of_it:
            console.print(_plain(f"  {f'{finding.place}: ' if finding.place else ''}{finding.what}"))
            console.print(_plain(f"      {finding.remedy}"))
            if finding.more:
                console.print(_plain(f"      and {finding.more} more: {finding.kind}"))
    counts = [f"{sum(1 + f.more for f in findings if f.verdict == one)} {one}" for one in VERDICTS
              if any(f.verdict == one for f in findings)]
    console.print(", ".join(counts) or "nothing found")


def _value(value: Any) -> str:
    if value is None or value == "":
        return "-"
    if isinstance(value, Outcome):
        return value.code
    if isinstance(value, bool):
        return str(value).upper()
    if not isinstance(value, float):
        return str(value)
    return f"{value:.0f}" if 1e3 <= abs(value) < 1e12 else f"{value:.4g}"


def _plain(text: str) -> str:
    """The text, in which nothing is taken for markup."""
    return text.replace("[", r"\[")
