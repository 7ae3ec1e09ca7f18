"""The two engines that compute a workbook without a spreadsheet program, behind one interface.

`formulas` is the reference. The fast engine computes what it is known to compute as a sheet does; for a workbook that
holds anything else the reference takes over, the whole of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any

from pailbook.hosts.fast import FastModel
from pailbook.hosts.fast_forms import Unsuited
from pailbook.hosts.results import Calculation, Progress

if TYPE_CHECKING:
    from pailbook.hosts.model import Model

FAST, REFERENCE = "fast", "reference"
ENGINES = (FAST, REFERENCE)


class Formulas:
    """The formulas of a workbook, ready to be computed as often as inputs change."""

    def __init__(
        self, sheets: Mapping[str, Mapping[str, Any]], names: Mapping[tuple[str | None, str], str] | None = None,
        engine: str = FAST,
    ) -> None:
        """Read the formulas.

        Parameters
        ----------
        sheets, names : as for `model.Model`.
        engine : "fast", or "reference" for the reference alone.
        """
        self._contents = sheets, names
        self._fast: FastModel | None = None
        self.unsuited = "the reference was asked for"
        """Why the fast engine does not compute this workbook; empty where it does."""
        if engine == FAST:
            try:
                self._fast, self.unsuited = FastModel(sheets, names), ""
            except Unsuited as reason:
                self.unsuited = str(reason)

    @cached_property
    def reference(self) -> Model:
        """The workbook in `formulas`."""
        from pailbook.hosts.model import Model  # which takes as long to import as a small workbook to compute

        return Model(*self._contents)

    def __len__(self) -> int:
        return len(self._fast or self.reference)

    @property
    def functions(self) -> frozenset[str]:
        """The names of all the functions that the formulas call."""
        return (self._fast or self.reference).functions

    def calculate(
        self, inputs: Mapping[tuple[str, str], Any] | None = None, progress: Progress | None = None
    ) -> Calculation:
        """The values of all formulas.

        Parameters
        ----------
        inputs : what input cells hold instead, by sheet and address, in this one calculation.
        progress : called with the number of formulas done and of all.

        Raises
        ------
        ValueError
            When an input names a formula's cell or a sheet that is not there, or a cell cannot hold it.
        """
        if self._fast is not None:
            try:
                return self._fast.calculate(inputs, progress)
            except Unsuited as reason:
                self._fast, self.unsuited = None, str(reason)
        return self.reference.calculate(inputs, progress)
