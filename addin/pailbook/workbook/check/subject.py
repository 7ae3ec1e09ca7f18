"""The workbook that is checked: its file is read once, and its formulas are calculated again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from string import ascii_uppercase
from typing import Any

from pailbook.hosts.areas import Area, read_reference, unquoted
from pailbook.hosts.engines import Formulas
from pailbook.hosts.results import Calculation, Progress
from pailbook.workbook.log.cells import Cells


@dataclass(frozen=True)
class Spare:
    """What may be left out of a calculation.

    sheet, rows : rows of a sheet in which all formulas are known.
    cells : a Pailbook workbook's formulas on other sheets that only summarise those rows.
    """

    sheet: str = ""
    rows: frozenset[int] = frozenset()
    cells: frozenset[tuple[str, str]] = frozenset()


class Subject(Cells):
    """A workbook's file, and what its cells show; formulas show nothing until they are calculated."""

    def __init__(self, path: Path) -> None:
        """Read it. WorkbookError if it cannot be read."""
        super().__init__(path)
        self.calculation = Calculation({}, ())
        self.asked = False  # whether any formula's value was asked for
        self.complete = True  # whether nothing was left out of the calculation

    @property
    def calculated(self) -> Mapping[tuple[str, str], Any]:
        """What the formulas come to, by sheet and address; nothing until they are calculated."""
        self.asked = True
        return self.calculation.values

    def compute(
        self, known: Mapping[tuple[str, str], Any], spare: Spare | None = None, progress: Progress | None = None,
    ) -> None:
        """Calculate the formulas.

        Parameters
        ----------
        known : values of formulas that need not be calculated, by sheet and address.
        spare : what may be left out, because the engine takes long for many thousand rows. If an error starts on
            another sheet then, everything is calculated.
        progress : called with the number of formulas done and of all.
        """
        names = {(name.sheet, name.name): name.text for name in self.book.names}
        if spare and spare.rows:
            found = Formulas(self._given({**known, **dict.fromkeys(spare.cells, "")}, spare), names).calculate(
                progress=progress)
            self.complete = any(problem.sheet != spare.sheet for problem in found.problems)
            if self.complete:
                found = Formulas(self._given(known), names).calculate(progress=progress)
        else:
            found = Formulas(self._given(known), names).calculate(progress=progress)
        self.calculation = Calculation({**found.values, **known}, found.problems)

    def _given(
        self, known: Mapping[tuple[str, str], Any], spare: Spare | None = None
    ) -> Mapping[str, Mapping[str, Any]]:
        """The contents with values in place of known formulas, without the rows that are left out."""
        sheets = {sheet for sheet, _ in known}
        out = {spare.sheet: spare.rows} if spare else {}
        return {
            sheet: {address: known.get((sheet, address), content) for address, content in cells.items()
                    if sheet not in out or int(address.lstrip(ascii_uppercase)) not in out[sheet]}
            if sheet in sheets else cells for sheet, cells in self.contents.items()
        }

    def area(self, sheet: str, text: str) -> Area | None:
        """The cells that a reference, or a name for one, means in a formula of that sheet; None if it is neither."""
        named = (name.text for name in self.book.names
                 if name.name.casefold() == text.casefold() and name.sheet in (None, sheet))
        written, _, cells = next(named, text).rpartition("!")
        title = unquoted(written) or sheet
        reference = read_reference(cells, title, 1, 1)
        area = reference.seen_from(title, 1, 1) if reference and title in self.contents else None
        if area is None:
            return None
        rows = self.rows(title)
        return area.in_use(rows[-1].number if rows else 1, 1)
