"""Pictures of a workbook's sheets: printed to PDF by LibreOffice, a PNG for each page.

Run it on a file to look at it: python tests/render.py WORKBOOK.xlsx FOLDER [SHEET ...]
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

import openpyxl

from calc import convert

_COMMON = "/org.openoffice.Office.Common/Font/Substitution"
_PAIR = """<item oor:path="{place}/FontPairs"><node oor:name="_{number}" oor:op="replace">
<prop oor:name="ReplaceFont" oor:op="fuse"><value>{font}</value></prop>
<prop oor:name="SubstituteFont" oor:op="fuse"><value>DejaVu Sans</value></prop>
<prop oor:name="Always" oor:op="fuse"><value>true</value></prop>
<prop oor:name="OnScreenOnly" oor:op="fuse"><value>false</value></prop></node></item>
"""
# A font that every machine of ours has, and a wide one, so that pictures are alike whatever else is installed.
_ONE_FONT = f"""<item oor:path="{_COMMON}"><prop oor:name="Replacement" oor:op="fuse"><value>true</value></prop></item>
""" + "".join(_PAIR.format(place=_COMMON, number=number, font=font)
              for number, font in enumerate(("Arial", "Calibri", "Liberation Sans", "Carlito")))


def pictures(
    path: Path, folder: Path, sheets: Sequence[str] = (), pages: int = 2, dots: int = 80, extension: Path | None = None
) -> dict[str, list[Path]]:
    """PNG files of the first pages of each sheet (or of the named ones), by sheet.

    A workbook that calls our functions needs the extension that has them.
    """
    names = list(sheets) or openpyxl.load_workbook(path, read_only=True).sheetnames
    folder.mkdir(parents=True, exist_ok=True)
    made = {}
    with tempfile.TemporaryDirectory(prefix="render-") as scratch:
        printed = convert(path, "pdf", Path(scratch), extension, _ONE_FONT)
        first = _first_pages(path, printed)
        for name in names:
            begin, end = first[name]
            stem = folder / name.replace(" ", "_")
            subprocess.run(
                ["pdftoppm", "-png", "-r", str(dots), "-f", str(begin), "-l", str(min(end, begin + pages - 1)),
                 str(printed), str(stem)], check=True,
            )
            made[name] = sorted(folder.glob(f"{stem.name}-*.png"))
    return made


def _first_pages(workbook: Path, printed: Path) -> dict[str, tuple[int, int]]:
    """The first and last page of each sheet, by the footer that carries the sheet's name."""
    sheets = openpyxl.load_workbook(workbook, read_only=True).sheetnames
    pages: dict[str, list[int]] = {}
    for number, page in enumerate(text_of(printed).split("\f"), 1):
        lines = [line for line in page.splitlines() if line.strip()]
        footer = lines[-1] if lines else ""
        for name in sheets:
            if f"{workbook.name}: {name}  " in f"{footer}  ":
                pages.setdefault(name, []).append(number)
    return {name: (min(numbers), max(numbers)) for name, numbers in pages.items()}


def text_of(printed: Path) -> str:
    """The text of a PDF, its pages parted by form feeds."""
    command = ["pdftotext", "-layout", str(printed), "-"]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


if __name__ == "__main__":
    for sheet, files in pictures(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3:]).items():
        print(sheet, *files)
