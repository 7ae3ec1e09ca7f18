"""Measures and prints: single calls, columns of a million rows, headless recalculation by number of cells."""

from __future__ import annotations

import argparse
import sys

from .measure import table
from .suite import columns, recalculation, single_calls


def main(arguments: list[str] | None = None) -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--calls", type=int, default=20_000, help="single calls in a round (20000)")
    parser.add_argument("--rows", type=int, default=1_000_000, help="rows of a column (1000000)")
    parser.add_argument("--cells", type=int, nargs="+", default=[1000, 2000, 5000],
                        help="formula cells of the workbooks (1000 2000 5000)")
    parser.add_argument("--rounds", type=int, default=5, help="rounds, of which the best counts (5)")
    told = parser.parse_args(arguments)
    for title, measured in (
        ("Single calls", single_calls(told.calls, told.rounds)),
        (f"Columns of {told.rows} rows", columns(told.rows, told.rounds)),
        ("Headless recalculation of a file", recalculation(told.cells, min(told.rounds, 3))),
    ):
        sys.stdout.write(f"\n{title}\n{table(measured)}\n")


if __name__ == "__main__":
    main()
