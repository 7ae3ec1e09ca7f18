"""Pictures of the workbooks' sheets, and how far one picture is from another."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
from PIL import Image

import render
from looks.books import BOOKS
from pailbook.hosts.calc import extension

APPROVED = Path(__file__).parent / "approved"
DOTS = 50  # an inch: enough for a moved column, a lost word or a changed colour, and small to keep
PAGES = 2  # of each sheet
BLOCK = 6  # pixels on a side; a letter that another release draws a little otherwise changes a block a little
FAR = 48  # of 255: a block that much lighter or darker shows something else
SHARE = 0.004  # of a page's blocks that may be far: some ten letters


def draw(book: str, folder: Path, dots: int = DOTS) -> list[Path]:
    """Pictures of the first pages of every sheet of a workbook, as LibreOffice with our functions prints them."""
    with tempfile.TemporaryDirectory(prefix="looks-") as scratch:
        path = BOOKS[book](Path(scratch) / f"{book}.xlsx")
        functions = extension.build(Path(scratch) / "functions.oxt")
        made = render.pictures(path, folder, pages=PAGES, dots=dots, extension=functions)
    return [_small(page, folder / f"{sheet.replace(' ', '_')}-{number}.png")
            for sheet, pages in made.items() for number, page in enumerate(pages, 1)]


def _small(page: Path, target: Path) -> Path:
    """The picture with a palette of 32 colours, a third of the size, by its number among its sheet's pages."""
    with Image.open(page) as picture:
        small = picture.convert("RGB").quantize(32)
    page.unlink()
    small.save(target, optimize=True)
    return target


def difference(one: Path, other: Path) -> float:
    """The share of a page's blocks that look different in the two pictures; 1 where they differ in size."""
    first, second = _blocks(one), _blocks(other)
    if first.shape != second.shape:
        return 1.0
    return float((np.abs(first - second) > FAR).mean())


def _blocks(path: Path) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    with Image.open(path) as picture:
        grey = np.asarray(picture.convert("L"), dtype=float)
    height, width = (side // BLOCK * BLOCK for side in grey.shape)
    parts = grey[:height, :width].reshape(height // BLOCK, BLOCK, width // BLOCK, BLOCK)
    blocks: np.ndarray[tuple[int, int], np.dtype[np.float64]] = parts.mean(axis=(1, 3))
    return blocks
