"""A workbook for the headless engine: its formulas read, put in order, and computed as often as inputs change."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from pailbook.hosts import headless
from pailbook.hosts.areas import Area, address_of, place_at
from pailbook.hosts.calculation import Formula, Run
from pailbook.hosts.cells import FormulaCell
from pailbook.hosts.program import read
from pailbook.hosts.references import Dissected, Names, Unreadable, dissect, filled_form
from pailbook.hosts.results import Calculation, Cell, Progress, place_of
from pailbook.hosts.sheet_functions import not_computed, unknown_functions
from pailbook.outcomes import NAME


class Model:
    """The formulas of a workbook and the cells that they depend on."""

    def __init__(
        self, sheets: Mapping[str, Mapping[str, Any]], names: Mapping[tuple[str | None, str], str] | None = None
    ) -> None:
        """Read the formulas.

        Parameters
        ----------
        sheets : by title, what each cell holds, by address: a value (see `cells`) or a FormulaCell.
        names : the formula that a defined name stands for, by the sheet it belongs to (None: all) and the name.
        """
        headless.register()
        self._names = Names.of(sheets, names)
        self._filled: dict[str, dict[tuple[int, int], Formula]] = {title: {} for title in sheets}
        self._given: dict[Cell, Any] = {}
        self._formulas: list[Formula] = []
        for title, contents in sheets.items():
            for address, content in contents.items():
                row, column = place_at(address)
                if isinstance(content, FormulaCell):
                    self._formulas.append(self._enter(title, row, column, content))
                elif content is not None:
                    self._given[title, row, column] = headless.to_engine(content)
        self._forms: dict[tuple[str, str | None], Dissected] = {}  # of formulas that were filled into many cells
        for formula in self._formulas:
            self._read(formula)
        self._trim_whole_columns()
        self._feeding: dict[Area, tuple[Formula, ...]] = {}
        self._order = in_order(self._formulas, self._precedents)
        self._marks = {title: f"S{i}" for i, title in enumerate(sheets)}
        self._base: Run | None = None

    def __len__(self) -> int:
        return len(self._formulas)

    @property
    def functions(self) -> frozenset[str]:
        """The names of all the functions that the formulas call."""
        return frozenset[str]().union(*(formula.functions for formula in self._formulas))

    def calculate(
        self, inputs: Mapping[tuple[str, str], Any] | None = None, progress: Progress | None = None
    ) -> Calculation:
        """The values of all formulas.

        Parameters
        ----------
        inputs : what input cells hold instead, by sheet and address, in this one calculation.
        progress : called as formulas are done.

        Raises
        ------
        ValueError
            When an input names a formula's cell or a sheet that is not there, or a cell cannot hold it.
        """
        changed = {self._input_cell(*place): headless.to_engine(value) for place, value in (inputs or {}).items()}
        if self._base is None:
            self._base = Run(dict(self._given), {}, self._marks)
            _compute(self._base, self._order, progress)
        run = self._base
        if changed:
            run = Run({**run.state, **changed}, run.problems, self._marks)
            _compute(run, self._touched(set(changed)), progress)
        values = {
            (title, address_of((row, column))): headless.from_engine(run.state[title, row, column])
            for title, filled in self._filled.items() for row, column in filled
        }
        problems = (run.problems.get(formula) for formula in self._formulas)
        return Calculation(values, tuple(problem for problem in problems if problem))

    def dependents(self, cells: Iterable[tuple[str, str]]) -> set[tuple[str, str]]:
        """The cells of all formulas, by sheet and address, whose values depend on these, directly or through others."""
        start = {(sheet, *place_at(address)) for sheet, address in cells}
        return {
            (formula.fills.sheet, address_of(place))
            for formula in self._touched(start) for place in formula.fills.cells()
        }

    def _input_cell(self, sheet: str, address: str) -> Cell:
        place = place_of(sheet, address, self._filled)
        if formula := self._filled[sheet].get(place[1:]):
            raise ValueError(f"{sheet}!{address} is not an input: it holds the formula {formula.text}")
        return place

    def _enter(self, title: str, row: int, column: int, content: FormulaCell) -> Formula:
        fills = Area.of(title, content.array) if content.array else Area(title, row, column, row, column)
        formula = Formula("=" + content.text.removeprefix("="), fills, content.array is not None)
        self._filled[title].update(dict.fromkeys(formula.fills.cells(), formula))
        return formula

    def _read(self, formula: Formula) -> None:
        sheet, row, column = formula.fills[:3]
        try:
            found = self._dissect(formula)
            formula.functions = frozenset(found.functions)
            formula.inputs = tuple(reference.seen_from(sheet, row, column) for reference in found.references)
            wrong = not_computed(found)
            unknown = [f"{name} is not a known function" for name in unknown_functions(found)]
            formula.complaints = found.complaints + wrong + unknown
            formula.program = None if wrong else read(found.text)
        except Unreadable as reason:
            formula.complaints, formula.error = [str(reason)], NAME

    def _dissect(self, formula: Formula) -> Dissected:
        sheet, row, column = formula.fills[:3]
        form = sheet, filled_form(formula.text, row, column)
        if form in self._forms:
            return self._forms[form]
        found = dissect(formula.text, self._names, sheet, row, column)
        if form[1] is not None and not found.complaints:  # which name an address
            self._forms[form] = found
        return found

    def _trim_whole_columns(self) -> None:
        ends = dict.fromkeys(self._filled, (1, 1))
        used = [*self._given, *((title, *cell) for title, filled in self._filled.items() for cell in filled)]
        for title, row, column in used:
            ends[title] = max(ends[title][0], row), max(ends[title][1], column)
        for formula in self._formulas:
            formula.inputs = tuple(area and area.in_use(*ends[area.sheet]) for area in formula.inputs)

    def _precedents(self, formula: Formula) -> Iterator[Formula]:
        for area in formula.inputs:
            if area is None:
                continue
            if area not in self._feeding:
                filled = self._filled[area.sheet]
                cells = area.cells() if area.size < len(filled) else (cell for cell in filled if area.holds(*cell))
                self._feeding[area] = tuple(dict.fromkeys(filled[cell] for cell in cells if cell in filled))
            yield from self._feeding[area]

    def _touched(self, cells: set[Cell]) -> list[Formula]:
        """The formulas, in order, whose values depend on these cells."""
        touched = []
        for formula in self._order:
            if any(area and area.meets(cells) for area in formula.inputs):
                touched.append(formula)
                cells.update((formula.fills.sheet, *cell) for cell in formula.fills.cells())
        return touched


def _compute(run: Run, formulas: Sequence[Formula], progress: Progress | None) -> None:
    for done, _ in enumerate(run.compute(formulas), start=1):
        if progress:
            progress(done, len(formulas))


def in_order(formulas: Iterable[Formula], precedents: Callable[[Formula], Iterable[Formula]]) -> list[Formula]:
    """The formulas, each after those that feed it. Those in a circle lose their program and get a complaint."""
    order: list[Formula] = []
    open_now: dict[Formula, None] = {}  # the way from the start to here, in order
    done: set[Formula] = set()
    for start in formulas:
        if start in done:
            continue
        stack = [iter(precedents(start))]
        open_now[start] = None
        while stack:
            feeder = next(stack[-1], None)
            if feeder is None:
                stack.pop()
                formula, _ = open_now.popitem()
                done.add(formula)
                order.append(formula)
            elif feeder in open_now:
                way = list(open_now)
                _break_circle(way[way.index(feeder):])
            elif feeder not in done:
                open_now[feeder] = None
                stack.append(iter(precedents(feeder)))
    return order


def _break_circle(circle: list[Formula]) -> None:
    stations = [f"{formula.fills.sheet}!{formula.address}" for formula in circle]
    shown = " -> ".join(stations if len(stations) <= 6 else [*stations[:5], "...", stations[-1]])
    for formula in circle:
        if formula.program or not formula.complaints:
            formula.program = None
            formula.complaints.append(f"it is part of a circular reference: {shown} -> {stations[0]}")
