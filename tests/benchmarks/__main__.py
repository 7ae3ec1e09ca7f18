"""Measures and prints: single calls, columns of a million rows, recalculation and sharing by cells, LibreOffice."""

from __future__ import annotations

import argparse
import sys

from pailbook.hosts.calc.driver import find

from .calc import cells_in_calc, start_in_calc
from .log import whole_log
from .measure import table
from .suite import columns, recalculation, sharing, single_calls


def main(arguments: list[str] | None = None) -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--calls", type=int, default=20_000, help="single calls in a round (20000)")
    parser.add_argument("--rows", type=int, default=1_000_000, help="rows of a column (1000000)")
    parser.add_argument("--cells", type=int, nargs="+", default=[1000, 2000, 5000],
                        help="formula cells of the workbooks (1000 2000 5000)")
    parser.add_argument("--rounds", type=int, default=5, help="rounds, of which the best counts (5)")
    parser.add_argument("--office-cells", type=int, default=10_000,
                        help="formula cells in LibreOffice, and five times as many rows of an array; 0: none (10000)")
    parser.add_argument("--log-rows", type=int, nargs="*", default=[530, 1060],
                        help="rows of water tests of the logs; `formulas` alone takes most of a minute (530 1060)")
    given = parser.parse_args(arguments)
    for title, measured in (
        ("Single calls", single_calls(given.calls, given.rounds)),
        (f"Columns of {given.rows} rows; checked ones are to take at most half of gsw's time",
         columns(given.rows, given.rounds)),
        ("Headless recalculation of a file", recalculation(given.cells, min(given.rounds, 3))),
        ("A copy without calls", sharing(given.cells, min(given.rounds, 3))),
    ):
        sys.stdout.write(f"\n{title}\n{table(measured)}\n")
    if given.log_rows:
        measured, memory = whole_log(given.log_rows, min(given.rounds, 2))
        sys.stdout.write(f"\nA log, start-up included\n{table(measured)}\n")
        sys.stdout.write(f"  most memory of the first: {memory // 1024} MB\n")
    if given.office_cells and (office := find()) and office.is_new_enough:
        cells, rounds = given.office_cells, given.rounds
        sys.stdout.write(f"\nIn LibreOffice\n{table(cells_in_calc(cells, 5 * cells, rounds))}\n")
        sys.stdout.write(f"\nStart of LibreOffice with a new sheet\n{table(start_in_calc(rounds))}\n")


if __name__ == "__main__":
    main()
