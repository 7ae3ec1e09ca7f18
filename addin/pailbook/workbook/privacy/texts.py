"""The texts that cells share: those that are still used, numbered anew."""

from __future__ import annotations

from collections.abc import Iterable

from pailbook.workbook.privacy.grid import Grid
from pailbook.workbook.privacy.parcel import Parcel, local


def keep_used_texts(parcel: Parcel, grids: Iterable[Grid]) -> None:
    """Take out the shared texts that no cell uses any more, and how texts are read aloud."""
    cells = [cell for grid in grids for cell in grid.cells.values()]
    for cell in cells:
        _without_phonetics(cell.find("{*}is"))
    values = [cell.find("{*}v") for cell in cells if cell.get("t") == "s"]
    values = [value for value in values if value is not None]
    for part in parcel.parts_of_kind("sharedStrings"):
        root = parcel.roots[part]
        items = list(root.iterfind("{*}si"))
        used = sorted({int(value.text) for value in values})
        number = {old: new for new, old in enumerate(used)}
        for value in values:
            value.text = str(number[int(value.text)])
        for old, item in enumerate(items):
            _without_phonetics(item)
            if old not in number:
                root.remove(item)
        root.set("count", str(len(values)))
        root.set("uniqueCount", str(len(used)))
        for element in list(root):
            if local(element) != "si":
                root.remove(element)
        if len(used) < len(items):
            parcel.removed.things["shared texts that no cell uses"] += len(items) - len(used)


def _without_phonetics(item: object) -> None:
    for element in list(item) if item is not None else []:  # type: ignore[call-overload]
        if local(element) in ("rPh", "phoneticPr"):
            item.remove(element)  # type: ignore[attr-defined]
