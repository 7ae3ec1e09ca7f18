"""Draws every sheet of every workbook, or of the named ones, to look at; or makes the pictures the approved ones."""

from __future__ import annotations

import argparse
import shutil
import sys
from pathlib import Path

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS), str(TESTS / "workbook")]

from looks.books import BOOKS  # noqa: E402
from looks.pictures import APPROVED, DOTS, draw  # noqa: E402


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.looks", description=__doc__)
    parser.add_argument("book", nargs="*", help=f"names or beginnings of names (all): {', '.join(BOOKS)}")
    parser.add_argument("-o", "--output", type=Path, help="folder for the pictures")
    parser.add_argument("--dots", type=int, default=DOTS, help=f"dots an inch ({DOTS}); 80 to read them")
    parser.add_argument("--approve", action="store_true", help="keep these pictures as the approved ones")
    told = parser.parse_args()
    if (told.output is None) is not told.approve:
        parser.error("give a folder with -o, or --approve once you have looked at the pictures")
    if told.approve and told.dots != DOTS:
        parser.error(f"approved pictures have {DOTS} dots an inch")
    for book in [name for name in BOOKS if not told.book or name.startswith(tuple(told.book))]:
        folder = (APPROVED if told.approve else told.output) / book
        shutil.rmtree(folder, ignore_errors=True)
        print(book, len(draw(book, folder, told.dots)), "pages")


if __name__ == "__main__":
    main()
