"""The workbook's own part: which sheets and names stay, and nothing about who worked on it."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from pailbook.outcomes import BadInput
from pailbook.workbook.columns import quoted
from pailbook.workbook.contents import Workbook
from pailbook.workbook.parts import DefinedName
from pailbook.workbook.privacy.parcel import local
from pailbook.workbook.privacy.removed import Removed
from pailbook.workbook.privacy.words import Words, together
from pailbook.workbook.recalc import key_cells

_KEPT = ("workbookPr", "workbookProtection", "bookViews", "sheets", "definedNames", "calcPr")
_BUILT_IN = ("_xlnm.print_area", "_xlnm.print_titles", "_xlnm._filterdatabase")


def tabs(book: Workbook) -> list[tuple[str, bool]]:
    """Every sheet's title and whether it is hidden, in order."""
    root = book.xml(book.workbook_part)
    return [(tab.get("name", ""), tab.get("state", "visible") != "visible")
            for tab in root.iterfind("{*}sheets/{*}sheet")]


def names_sheet(formula: str, title: str) -> bool:
    """Whether a formula, or many, may refer to that sheet."""
    text = formula.casefold()
    return any(f"{name}!" in text for name in (title.casefold(), quoted(title).casefold()))


def dropped_sheets(
    book: Workbook, formulas: Callable[[str], str], words: Words, removed: Removed
) -> set[str]:
    """The titles of hidden sheets, and of those named after others, that nothing which stays needs.

    In a sheet that is named after somebody else every number is probably about them, so it is not merely renamed.

    Raises
    ------
    BadInput
        When what stays needs a sheet that is named after somebody else.
    """
    named = {title for title, _ in tabs(book) if words.found(title)}
    maybe = {title for title, hidden in tabs(book) if hidden} | named
    kept = [title for title, _ in tabs(book) if title not in maybe]
    waiting = list(kept)
    while waiting:
        text = formulas(waiting.pop())
        used = " ".join(name.text for name in book.names if name.name.casefold() in text.casefold())
        for title in sorted(maybe):
            if names_sheet(text, title) or names_sheet(used, title):
                maybe.discard(title)
                waiting.append(title)
    for title in sorted(named - maybe):
        raise BadInput(f"{book.path}: the sheet {title!r} is named after another client, and formulas on sheets that "
                       "stay use it; rename it, or take out these formulas, before you share")
    if not kept:
        raise BadInput(f"{book.path}: every sheet is hidden or named after another client, so nothing is left to share")
    removed.sheets += [title for title, _ in tabs(book) if title in maybe]
    return maybe


def scrub_workbook(
    book: Workbook, root: Any, dropped: set[str], formulas: str, move: Callable[[str], str | None], words: Words,
    removed: Removed,
) -> list[DefinedName]:
    """Clean the workbook's part; returns the names that were taken out although formulas may use them.

    Parameters
    ----------
    formulas : all formulas that stay.
    move : gives a name's text as it reads after rows have moved; None where what it names is gone.
    """
    order = [title for title, _ in tabs(book)]
    for element in list(root):
        if not isinstance(element.tag, str) or local(element) not in _KEPT:
            root.remove(element)
    for element in root.iterfind("{*}workbookPr"):
        element.attrib.pop("codeName", None)
    for tab in list(root.iterfind("{*}sheets/{*}sheet")):
        if tab.get("name") in dropped:
            tab.getparent().remove(tab)
    _show_first(root)
    gone = _scrub_names(book, root, dropped, formulas, move, words, removed)
    left = [title for title in order if title not in dropped]
    for item in root.iterfind("{*}definedNames/{*}definedName"):
        if (place := item.get("localSheetId")) is not None:
            item.set("localSheetId", str(left.index(order[int(place)])))
    return gone


def is_used(name: str, formulas: str) -> bool:
    """Whether formulas, in lower case, use a name."""
    return re.search(rf"(?<![\w.]){re.escape(name.casefold())}(?![\w.(])", formulas) is not None


def _show_first(root: Any) -> None:
    states = [tab.get("state", "visible") for tab in root.iterfind("{*}sheets/{*}sheet")]
    views = root.find("{*}bookViews")
    for number, view in enumerate(list(views) if views is not None else []):
        if number:
            views.remove(view)
        view.set("activeTab", str(states.index("visible")))
        view.attrib.pop("firstSheet", None)


def _scrub_names(
    book: Workbook, root: Any, dropped: set[str], formulas: str, move: Callable[[str], str | None], words: Words,
    removed: Removed,
) -> list[DefinedName]:
    single, text = key_cells(book), formulas.casefold()
    gone = []
    names = root.find("{*}definedNames")
    for item, name in zip(list(names) if names is not None else [], book.names):
        built_in = name.name.casefold().startswith("_xlnm")
        moved = move(name.text)
        lost = (name.sheet in dropped or moved is None or "[" in name.text.rpartition("!")[0] or "#REF!" in name.text
                or any(names_sheet(name.text, title) for title in dropped)
                or words.found(together((name.name, name.text))))
        plainly_needed = name.name.casefold() in _BUILT_IN if built_in else name.name in single
        used = (lost or not plainly_needed) and not built_in and is_used(name.name, text)
        if lost or not (plainly_needed or used):
            names.remove(item)
            if not built_in:
                removed.names.append("one that names somebody else" if words.found(name.name) else name.name)
                gone += [name] if used else []
            continue
        item.text = moved
        for attribute in ("comment", "description", "help", "statusBar", "customMenu", "shortcutKey"):
            item.attrib.pop(attribute, None)
    if names is not None and not len(names):
        root.remove(names)
    return gone
