"""A workbook for the fast engine: as `model.Model`, many times as fast, for what it is known to compute rightly.

`formulas` stays the reference: the tests compare the two on every workbook of Pailbook, and what the fast engine is not
known to compute as a sheet does is refused here (`Unsuited`), so that the reference takes over.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any, NamedTuple

import formualizer

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.function import CATALOGUE
from pailbook.hosts.areas import Area, address_of, blocks, place_at
from pailbook.hosts.cells import ErrorValue, FormulaCell, as_cell_value
from pailbook.hosts.fast_fill import Filled, filled, usual
from pailbook.hosts.fast_forms import BLANK_SHEET, Form, Unsuited, form, stood_in
from pailbook.hosts.fast_values import called, replacements, value_of
from pailbook.hosts.references import ADDRESS_MARK, Names, Unreadable, cut_at_addresses, dissect, shape_of
from pailbook.hosts.results import Calculation, Cell, Problem, Progress, place_of
from pailbook.outcomes import NA, Outcome

_BLOCK = 500  # rows that are entered at once: more would be faster by little, and hold more text


class Formula(NamedTuple):
    """A formula, read."""

    text: str
    form: Form


class Above(NamedTuple):
    """A formula that others repeat in the rows below: its row, and how the engine takes it."""

    row: str
    form: Form
    written: str


class FastModel:
    """The formulas of a workbook in the fast engine."""

    def __init__(
        self, sheets: Mapping[str, Mapping[str, Any]], names: Mapping[tuple[str | None, str], str] | None = None
    ) -> None:
        """Read the formulas. Parameters as for `model.Model`.

        Raises
        ------
        Unsuited
            When the engine is not known to compute a formula of the workbook as a sheet does.
        """
        self._names = Names.of(sheets, names)
        self._engine = formualizer.Workbook(mode=formualizer.WorkbookMode.Ephemeral)
        self._engine.set_temporal_egress("serial")
        self._refusals: list[Outcome] = []
        for name, function in CATALOGUE.items():
            most = len(function.cell_arguments)
            self._engine.register_function(name, called(function, self._refusals), max_args=most)
        for name, replacement in replacements().items():
            self._engine.register_function(name, replacement, min_args=1)
        self._forms: dict[tuple[str, str, bool], Form] = {}  # by sheet and shape, and whether it is an array formula
        self._filled: dict[tuple[str, bool, tuple[str | None, ...]], Filled | None] = {}
        self._alike: dict[tuple[str, bool, str], Above] = {}  # by sheet, and text without the row's number
        self._formulas: dict[Cell, Formula] = {}
        self._given: dict[Cell, Any] = {}
        self._spelt: dict[Area, str] = {}
        self._names_of_sheets = {title: "'" + title.replace("'", "''") + "'!" for title in sheets}
        self._ends = {title: _ends(contents) for title, contents in sheets.items()}
        for title in (*sheets, BLANK_SHEET):
            self._engine.add_sheet(title)
        for title, contents in sheets.items():
            self._enter(title, contents)
        self._base: dict[Cell, Any] = {}

    def __len__(self) -> int:
        return len(self._formulas)

    @cached_property
    def functions(self) -> frozenset[str]:
        """The names of all the functions that the formulas call."""
        return frozenset[str]().union(*(form.found.functions for form in self._forms.values()))

    def calculate(
        self, inputs: Mapping[tuple[str, str], Any] | None = None, progress: Progress | None = None
    ) -> Calculation:
        """The values of all formulas; see `model.Model.calculate`.

        Raises
        ------
        ValueError
            When an input names a formula's cell or a sheet that is not there, or a cell cannot hold it.
        Unsuited
            When the engine gives something that no cell holds, as for formulas that feed each other in a circle.
        """
        changed = {self._input_cell(*place): as_cell_value(value) for place, value in (inputs or {}).items()}
        values = self._base if self._base and not changed else self._computed(changed)
        if not changed:
            self._base = values
        if progress:
            progress(len(values), len(values))
        return Calculation(
            {(title, address_of((row, column))): value for (title, row, column), value in values.items()},
            tuple(self._problems(values, changed)),
        )

    def _computed(self, changed: Mapping[Cell, Any]) -> dict[Cell, Any]:
        for place, value in changed.items():
            self._set(place, value)
        try:
            self._engine.evaluate_all()
            return {place: value_of(self._engine.get_value(*place)) for place in self._formulas}
        except ValueError as reason:
            raise Unsuited(str(reason)) from None
        finally:
            for place in changed:
                self._set(place, self._given.get(place))

    def _enter(self, title: str, contents: Mapping[str, Any]) -> None:
        formulas: dict[int, dict[int, FormulaCell]] = {}
        values: dict[int, dict[int, Any]] = {}
        for address, content in contents.items():
            row, column = place_at(address)
            if isinstance(content, FormulaCell):
                formulas.setdefault(row, {})[column] = content
            elif content is not None:
                self._given[title, row, column] = value = as_cell_value(content)
                if isinstance(value, ErrorValue):
                    self._set((title, row, column), value)
                else:
                    values.setdefault(row, {})[column] = value
        try:
            for row, column, block in blocks(values, _BLOCK):
                self._engine.set_values_batch(title, row, column, block)
            for row, column, block in blocks(formulas, _BLOCK):
                self._engine.set_formulas_batch(title, row, column, [
                    [self._read(title, row + i, column + j, content) for j, content in enumerate(run)]
                    for i, run in enumerate(block)
                ])
        except RuntimeError as reason:
            raise Unsuited(str(reason)) from None

    def _read(self, title: str, row: int, column: int, content: FormulaCell) -> str:
        array = content.array is not None
        if content.array and not Area.of(title, content.array).single:
            raise Unsuited("an array formula of several cells")
        text = "=" + content.text.removeprefix("=")
        if ADDRESS_MARK in text:
            raise Unsuited("a control character")
        # One that was filled down differs from the one above by its row's number alone, which is quick to see.
        here = str(row)
        alike = title, array, text.replace(here, ADDRESS_MARK)
        if known := self._alike.get(alike):
            self._formulas[title, row, column] = Formula(text, known.form)
            return known.written.replace(known.row, here)
        pieces, addresses = cut_at_addresses(text)
        same = title, array, tuple(pieces)
        if usual(addresses) and (fill := self._filled.get(same)) and (written := fill.text(addresses, row)):
            self._formulas[title, row, column] = Formula(text, fill.form)
            if fill.can_go_down(addresses, here, text, written):
                self._alike[alike] = Above(here, fill.form, written)
            return written
        shape, places = shape_of(text) or (text, [])
        form = self._forms.get((title, shape, array))
        if form is None:
            form = self._forms[title, shape, array] = self._form(title, stood_in(shape), array)
        if len(places) == len(addresses) > 0 and same not in self._filled:
            self._filled[same] = filled(form, title, self._ends, self._names_of_sheets, self._spell)
        self._formulas[title, row, column] = formula = Formula(text, form)
        return self._written(formula, title, row)

    def _areas(self, formula: Formula, title: str) -> list[Area]:
        _, places = shape_of(formula.text) or ("", [])
        return formula.form.areas(places, title, self._ends)

    def _written(self, formula: Formula, title: str, row: int) -> str:
        return formula.form.text(self._areas(formula, title), row, self._spell)

    def _form(self, title: str, text: str, array: bool) -> Form:
        try:
            found = dissect(text, self._names, title)
        except Unreadable as reason:
            raise Unsuited(str(reason)) from None
        if found.complaints:
            raise Unsuited(found.complaints[0])
        return form(found, array)

    def _spell(self, area: Area) -> str:
        if area not in self._spelt:
            self._spelt[area] = self._names_of_sheets[area.sheet] + area.address
        return self._spelt[area]

    def _set(self, place: Cell, value: Any) -> None:
        if isinstance(value, ErrorValue):
            self._engine.set_formula(*place, f"={value.code}")
        else:
            self._engine.set_value(*place, value)

    def _input_cell(self, sheet: str, address: str) -> Cell:
        place = place_of(sheet, address, self._ends)
        if formula := self._formulas.get(place):
            raise ValueError(f"{sheet}!{address} is not an input: it holds the formula {formula.text}")
        return place

    def _problems(self, values: Mapping[Cell, Any], changed: Mapping[Cell, Any]) -> Iterator[Problem]:
        """The errors that start in a cell, not those that came in or that the formula means."""
        wrong = {place for place, value in [*values.items(), *{**self._given, **changed}.items()]
                 if isinstance(value, ErrorValue)}
        for place in self._formulas:
            if place not in wrong:
                continue
            formula, value = self._formulas[place], values[place]
            if value.code == NA and "NA" in formula.form.found.functions:
                continue
            if any(area.meets(wrong) for area in self._areas(formula, place[0])):
                continue
            title, row, column = place
            yield Problem(title, address_of((row, column)), formula.text, self._why(place, value), computed=True)

    def _why(self, place: Cell, value: ErrorValue) -> str:
        """In words, found by computing the cell once more."""
        formula = self._formulas[place]
        if formula.form.found.functions.isdisjoint(CATALOGUE):
            return f"it gives {value.code}"
        self._refusals.clear()
        self._engine.set_formula(*place, self._written(formula, place[0], place[1]))
        self._engine.evaluate_cell(*place)
        refusal = next((str(outcome) for outcome in self._refusals if outcome.code == value.code), None)
        return f"{value.code}: {refusal}" if refusal else f"it gives {value.code}"


def _ends(contents: Mapping[str, Any]) -> tuple[int, int]:
    places = [place_at(address) for address in contents]
    return max((row for row, _ in places), default=1), max((column for _, column in places), default=1)
