"""The README's pictures: sheets of the demo's workbooks, cut to what is on the page."""

from __future__ import annotations

import tempfile
from pathlib import Path

from PIL import Image, ImageChops

import render
from pailbook.hosts.calc import extension

DEMO = Path(__file__).parents[2] / "demo_workbooks"
FOLDER = DEMO / "pictures"
DOTS = 96
EDGE = 12  # pixels of white that stay around
FOOTER = 0.08  # of the page's height, cut off
# The picture, the demo's workbook, the sheet, and how much of the page from the top is shown.
PICTURES: dict[str, tuple[str, str, float]] = {
    "overview": ("farm-log", "Overview", 1.0),
    "water-tests": ("farm-log", "Water tests", 0.6),
    "trends": ("farm-log", "Trends", 1.0),
    "move-start": ("move-plan-first", "Start", 1.0),
    "on-the-road": ("move-plan-first", "On the road", 1.0),
    "dosing-calendar": ("dosing-plan", "Calendar", 1.0),
    "dosing-chart": ("dosing-plan", "Chart", 1.0),
    "stocking-balance": ("stocking-plan", "Balance", 1.0),
    "stocking-chart": ("stocking-plan", "Chart", 1.0),
    "function-guide": ("function-guide", "Ammonia", 0.75),
    "visit-report": ("visit-report", "Visit report", 1.0),
}


def draw(folder: Path) -> dict[str, Path]:
    """Makes all pictures anew in a folder, by name."""
    folder.mkdir(parents=True, exist_ok=True)
    made = {}
    with tempfile.TemporaryDirectory(prefix="readme-") as scratch:
        functions = extension.build(Path(scratch) / "functions.oxt")
        for book in dict.fromkeys(book for book, _, _ in PICTURES.values()):
            wanted = {sheet: (name, share) for name, (of, sheet, share) in PICTURES.items() if of == book}
            pages = render.pictures(
                DEMO / f"{book}.xlsx", Path(scratch) / book, list(wanted), pages=1, dots=DOTS, extension=functions)
            for sheet, (name, share) in wanted.items():
                made[name] = folder / f"{name}.png"
                _cut(pages[sheet][0], made[name], share)
    return made


def _cut(page: Path, target: Path, share: float) -> None:
    """The page without its margins and footer."""
    with Image.open(page) as picture:
        shown = picture.convert("RGB")
    width, height = shown.size
    shown = shown.crop((0, 0, width, int(height * min(share, 1 - FOOTER))))
    box = ImageChops.difference(shown, Image.new("RGB", shown.size, "white")).getbbox()
    assert box, page
    left, top, right, bottom = box
    shown = shown.crop((max(0, left - EDGE), max(0, top - EDGE), min(width, right + EDGE),
                        min(shown.size[1], bottom + EDGE)))
    shown.quantize(64).save(target, optimize=True)
