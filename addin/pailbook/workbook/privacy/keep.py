"""A copy of a workbook for one client: that client's systems and rows, and nothing about anybody else anywhere."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from pailbook.hosts.cells import FormulaCell
from pailbook.workbook.builder import check_target
from pailbook.workbook.contents import Workbook
from pailbook.workbook.privacy.cells import cut_links, scrub_cells
from pailbook.workbook.privacy.directory import dropped_sheets, is_used, names_sheet, scrub_workbook
from pailbook.workbook.privacy.files import files, verify, write
from pailbook.workbook.privacy.grid import Grid, Known, locked_styles
from pailbook.workbook.privacy.labels import labels_of_log, labels_of_plans
from pailbook.workbook.privacy.objects import cleared_pivots, scrub_objects
from pailbook.workbook.privacy.parcel import Parcel
from pailbook.workbook.privacy.pointers import Pointers, follow_in, follow_rows
from pailbook.workbook.privacy.registers import Register, find_registers
from pailbook.workbook.privacy.removed import Removed
from pailbook.workbook.privacy.rows import keep_rows
from pailbook.workbook.privacy.surface import scrub_surface
from pailbook.workbook.privacy.texts import keep_used_texts
from pailbook.workbook.privacy.whose import Whose, whose
from pailbook.workbook.privacy.words import Words
from pailbook.workbook.recalc import key_cells


def keep_client(source: Path, target: Path, client: str) -> Removed:
    """Write a copy of a workbook that holds nothing about other clients or the practitioner's own systems.

    Parameters
    ----------
    source : the workbook, with function calls or plain formulas; it is not changed.
    target : the copy's file. Its formulas have no stored values; programs calculate them when they open it.
    client : the client's name, in any case, as the workbook has it.

    Returns
    -------
    Removed
        What was taken out, and what the practitioner should check.

    Raises
    ------
    BadInput
        When the client is not in the workbook, the target exists, a system belongs to two clients, a sheet that is
        needed is named after another client, or a word about others could not be taken out. Nothing is written then.
    """
    target = Path(target)
    check_target(target, overwrite=False)
    return _Copy(Workbook(source), client).write(target)


class _Copy:
    """A copy in the making."""

    def __init__(self, book: Workbook, client: str) -> None:
        self.book, self.known = book, Known(book)
        self.removed = Removed(client.strip())
        self.parcel = Parcel(book, self.removed)
        styles = next((part for kind, part in book.related(book.workbook_part).values() if kind == "styles"), None)
        locked = locked_styles(self.parcel.tree(styles)) if styles else []
        self.grids = {title: Grid(sheet, self.known, self.parcel.tree(sheet.part), locked)
                      for title, sheet in book.worksheets.items()}
        self.registers = self._registers()
        self.whose: Whose = whose(self.known, self.registers, client)
        self.removed.client = self.whose.clients[self.whose.client]
        self.removed.systems = tuple(self.whose.systems.values())
        is_log = any(register.defines for register in self.registers)
        self.words = Words(self.whose.others.values(), self.whose.own.values(),
                           labels_of_log if is_log else labels_of_plans)

    def _registers(self) -> list[Register]:
        found = [register for grid in self.grids.values() for register in find_registers(grid)]
        defining = next((register for register in found if register.defines), None)
        for register in found:
            register.of = defining if register.follows else None
        return found

    def write(self, target: Path) -> Removed:
        """Clean everything and write the copy."""
        tabs = dict(self._tab_parts())
        dropped = dropped_sheets(self.book, lambda title: self.parcel.formulas(tabs[title]), self.words, self.removed)
        self.parcel.fill({tabs[title] for title in dropped})
        self.grids = {title: grid for title, grid in self.grids.items() if title not in dropped}
        self.registers = [register for register in self.registers if register.grid.title in self.grids]
        pointers = self._take_rows()
        self._scrub_cells()
        self._scrub_rest(dropped, pointers)
        keep_used_texts(self.parcel, self.grids.values())
        self.parcel.prune()
        if unsure := sorted(self.words.passed_over):
            self.removed.notes.append(
                "these names were not searched for, because they are too short, are ordinary words of the workbook, or "
                "are the client's too: " + ", ".join(unsure))
        made = files(self.parcel, self._title(), self.words)
        verify(made, self.words, self.book.path)
        write(made, target)
        return self.removed

    def _tab_parts(self) -> list[tuple[str, str]]:
        """Title and part of each sheet, those without cells included."""
        relations = {relation.id: relation.target for relation in self.parcel.relations_of(self.book.workbook_part)}
        tabs = self.parcel.tree(self.book.workbook_part).iterfind("{*}sheets/{*}sheet")
        return [(tab.get("name", ""), relations[next(tab.get(key) for key in tab.attrib if key.endswith("}id"))])
                for tab in tabs]

    def _take_rows(self) -> Pointers:
        for grid in self.grids.values():
            for ref in cleared_pivots(self.parcel, grid.sheet.part):
                for place in grid.sheet.area(ref).cells():
                    grid.clear(place)
            cut_links(grid, self.words, self.removed)
        texts: list[str] = []
        for register in self.registers:
            texts += keep_rows(register, partial(self.whose.is_own, register), self.words.is_label, self.removed)
        pointers = follow_rows(self.grids, self.registers, self.whose, self.removed)
        self.words.add_phrases(texts, self._own_texts())
        return pointers

    def _own_texts(self) -> list[str]:
        """Texts in the rows that are left, and on protected sheets, which are the workbook's own."""
        found = []
        for grid in self.grids.values():
            registers = [register for register in self.registers if register.grid is grid]
            found += [content for place, content in grid.content.items() if isinstance(content, str) and (
                grid.is_protected or any(place[0] in register.rows for register in registers))]
        return found

    def _scrub_cells(self) -> None:
        named = set(key_cells(self.book).values())
        for grid in self.grids.values():
            scrub_cells(grid, self.registers, named, self.whose, self.words, self.removed)
            grid.drop_caches()

    def _scrub_rest(self, dropped: set[str], pointers: Pointers) -> None:
        for part in self.parcel.parts_of_kind("chart"):
            follow_in(pointers, self.parcel.roots[part])
        for grid in self.grids.values():
            follow_in(pointers, grid.root, grid.title)
            scrub_surface(grid, self.registers, lambda text: any(names_sheet(text, title) for title in dropped),
                          self.words, self.removed)
        formulas = "\n".join(self.parcel.formulas(part) for title, part in self._tab_parts() if title not in dropped)
        workbook: Any = self.parcel.roots[self.book.workbook_part]
        gone = scrub_workbook(self.book, workbook, dropped, formulas, lambda text: pointers.changed(text, "")[0],
                              self.words, self.removed)
        for name in gone:
            self._clear_users(name.name)
        self._say_to_compute(workbook)
        scrub_objects(self.parcel, self.words)

    def _clear_users(self, name: str) -> None:
        """Empty the formulas that use a name that is gone."""
        for grid in self.grids.values():
            for place, content in list(grid.content.items()):
                if isinstance(content, FormulaCell) and is_used(name, grid.formula(place).casefold()):
                    grid.clear(place)
                    self.removed.cells.append(grid.address(place))

    def _say_to_compute(self, workbook: Any) -> None:
        calculation = workbook.find("{*}calcPr")
        if calculation is None:
            calculation = workbook.makeelement(f"{workbook.tag.rpartition('}')[0]}}}calcPr")
            workbook.append(calculation)
        calculation.set("fullCalcOnLoad", "1")

    def _title(self) -> str:
        """The document's title, unless it names others."""
        core = next((r.target for r in self.parcel.relations_of("") if r.kind == "core-properties"), "")
        title = self.book.xml(core).findtext("{*}title") if core in self.book else ""
        return title if title and not self.words.found(title) else ""
