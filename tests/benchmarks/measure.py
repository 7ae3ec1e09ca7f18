"""Timing of several things in turn, and the table of what came out."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Measured:
    """One line of a table.

    what : what was done.
    seconds : the best time of all rounds.
    each : how many times it was done in that time, or for how many rows or cells.
    base : the name of the line that it is compared with.
    """

    what: str
    seconds: float
    each: int
    base: str = ""


def race(runners: Mapping[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """The best time of each, in seconds; they run in turn, so that a busy moment hits them alike."""
    best = dict.fromkeys(runners, math.inf)
    for _ in range(max(rounds, 1)):
        for name, run in runners.items():
            start = time.perf_counter()
            run()
            best[name] = min(best[name], time.perf_counter() - start)
    return best


def table(lines: Sequence[Measured]) -> str:
    """The lines as text: the time of each, all together, and as a share of the line they are compared with."""
    seconds = {line.what: line.seconds / line.each for line in lines}
    rows = [("", "each", "together", "compared with")]
    for line in lines:
        ratio = f"{seconds[line.what] / seconds[line.base]:.2f} x {line.base}" if line.base else ""
        rows.append((line.what, _time(seconds[line.what]), _time(line.seconds), ratio))
    widths = [max(len(row[i]) for row in rows) for i in range(3)]
    return "\n".join(
        f"  {row[0]:<{widths[0]}}  {row[1]:>{widths[1]}}  {row[2]:>{widths[2]}}  {row[3]}".rstrip() for row in rows
    )


def _time(seconds: float) -> str:
    for unit, size in (("s ", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-9:.3g} ns"
