"""A sheet's own settings without words about others: views, filters, rules, headers, links, notes on ranges."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from openpyxl.utils import get_column_letter

from pailbook.workbook.privacy.grid import Grid
from pailbook.workbook.privacy.parcel import drop, local
from pailbook.workbook.privacy.registers import Register
from pailbook.workbook.privacy.removed import Removed
from pailbook.workbook.privacy.scrub import header_text, scrub_tree
from pailbook.workbook.privacy.words import Words, together

_DROPPED = {  # elements of a sheet that are of no use to the client and may name others
    "scenarios": "scenarios", "customSheetViews": "views of people who shared it", "dataConsolidate": "consolidations",
    "webPublishItems": "web publishing settings", "smartTags": "smart tags", "cellWatches": "watched cells",
}


def scrub_surface(
    grid: Grid, registers: Iterable[Register], is_dropped: Callable[[str], bool], words: Words, removed: Removed
) -> None:
    """Clean all of a sheet's part but its cells; `is_dropped` tells whether a formula names a sheet that is gone."""
    root = grid.root
    for element in list(root):
        if isinstance(element.tag, str) and local(element) in _DROPPED:
            removed.things[_DROPPED[local(element)]] += 1
            root.remove(element)
    for element in root.iterfind("{*}sheetPr"):
        element.attrib.pop("codeName", None)
    for element in root.iter("{*}protectedRange"):
        element.attrib.pop("securityDescriptor", None)
    _reset_views(root)
    _drop_filters(grid, root.find("{*}autoFilter"), removed)
    _scrub_links(grid, registers, is_dropped, words, removed)
    _scrub_rules(root, words, removed)
    _scrub_headers(root, words, removed)
    if count := scrub_tree(root, words, "sheetData"):
        removed.things[f"texts in the settings of the sheet {grid.title}"] += count


def _reset_views(root: Any) -> None:
    """Show the sheet from its top, with nothing selected."""
    for view in root.iterfind("{*}sheetViews/{*}sheetView"):
        view.attrib.pop("topLeftCell", None)
        view.attrib.pop("tabSelected", None)
        for element in list(view):
            if local(element) in ("selection", "pivotSelection"):
                view.remove(element)
        pane = view.find("{*}pane")
        if pane is not None and pane.get("state", "").startswith("frozen"):
            row, column = (int(float(pane.get(name, 0))) + 1 for name in ("ySplit", "xSplit"))
            pane.set("topLeftCell", f"{get_column_letter(column)}{row}")


def _drop_filters(grid: Grid, auto_filter: Any, removed: Removed) -> None:
    """A filter without what it was set to, and the rows that it hid."""
    if auto_filter is None or not len(auto_filter):
        return
    area = grid.sheet.area(auto_filter.get("ref", "A1"))
    for element in list(auto_filter):
        auto_filter.remove(element)
    for row, element in grid.rows.items():
        if area.top <= row <= area.bottom:
            element.attrib.pop("hidden", None)
    removed.things["what filters were set to"] += 1


def _scrub_links(
    grid: Grid, registers: Iterable[Register], is_dropped: Callable[[str], bool], words: Words, removed: Removed
) -> None:
    moved = [register for register in registers if register.grid is grid and register.moves]
    for link in list(grid.root.iterfind("{*}hyperlinks/{*}hyperlink")):
        area = grid.sheet.area(link.get("ref", "A1"))
        in_rows = any(area.top in register.rows for register in moved)
        if in_rows or is_dropped(link.get("location", "")) or words.found(together(link.attrib.values())):
            removed.things["links within the workbook"] += 1
            drop(link)


def _scrub_rules(root: Any, words: Words, removed: Removed) -> None:
    for rule in [*root.iter("{*}dataValidation"), *root.iter("{*}cfRule")]:
        for formula in [*rule.iter("{*}formula1"), *rule.iter("{*}formula"), *rule.iter("{*}f")]:
            text = formula.text or ""
            if rule.get("type") == "list" and text.startswith('"') and words.found(text):
                kept = [item for item in text[1:-1].split(",") if not words.found(item)]
                formula.text = '"' + ",".join(kept) + '"' if kept else ""
                removed.things["words in drop-down lists"] += 1
        texts = [element.text or "" for element in rule.iter() if isinstance(element.tag, str)]
        emptied = rule.get("type") == "list" and not any(text.strip() for text in texts)
        if emptied or words.found(together([*texts, rule.get("text", "")])):
            removed.things["rules for cells"] += 1
            drop(rule)


def _scrub_headers(root: Any, words: Words, removed: Removed) -> None:
    for header in list(root.iterfind("{*}headerFooter/*")):
        header.text = (header.text or "").replace("&G", "")  # a picture, which is gone
        if words.found(header_text(header.text)):
            removed.things["headers and footers"] += 1
            header.getparent().remove(header)
