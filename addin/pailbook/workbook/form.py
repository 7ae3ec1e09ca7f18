"""Sheets of labelled cells: what is asked, what is assumed until it is measured, what follows.

A form knows where each of its cells is before it is written, so that sheets can refer to each other. Columns: A what
it is, B what the user fills in, C what is in use or calculated, D the unit, E where it comes from, F its clean cell.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from openpyxl.styles import Alignment
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import Quantity
from pailbook.rules import Question, Rule, Sheet, clean, same_question
from pailbook.workbook import style
from pailbook.workbook.builder import Book
from pailbook.workbook.columns import Column, Kind, Table, quoted
from pailbook.workbook.front import widen
from pailbook.workbook.lines import SMALL, lines_of, set_height
from pailbook.workbook.sheets import column_input, headings, number_input, put, section, widths

WIDTHS = (42, 17, 21, 18, 48)
COLUMNS = len(WIDTHS)
CLEAN_COLUMN = "F"
HEADINGS = ("What", "You fill in", "In use", "Unit", "Where it comes from")


@dataclass(frozen=True)
class Plan:
    """The workbook, its forms and its tables; gives the address of every named cell and of every table."""

    book: Book
    forms: Mapping[str, Form]
    tables: Mapping[str, Table] = field(default_factory=dict)

    @classmethod
    def written(
        cls, book: Book, forms: Iterable[Form], tables: Iterable[Table], sheets: Iterable[Callable[[Plan], None]]
    ) -> Plan:
        """The plan with its sheets, each by what writes it, in their order."""
        plan = cls(book, {form.sheet: form for form in forms}, {table.sheet: table for table in tables})
        for write in sheets:
            write(plan)
        book.speak()
        return plan

    def __getitem__(self, key: str) -> str:
        """The cell that holds a value in use, as any sheet may name it."""
        return next(form.address(key) for form in self.forms.values() if form.has(key))

    def given(self, key: str) -> str:
        """The cell into which the user types that value."""
        return next(form.address(key, given=True) for form in self.forms.values() if form.has(key))

    def clean(self, key: str) -> str:
        """The hidden clean cell of that value."""
        return next(form.clean_address(key) for form in self.forms.values() if form.has(key))

    def asking(self, rule: Rule, **elsewhere: str) -> Sheet:
        """The formulas of a rule whose questions have the fields' keys; `elsewhere` are clean cells in no form."""
        where = {one.name: elsewhere.get(one.name) or self.clean(one.name) for one in rule.questions}
        return Sheet(where, self.book.units, calls=not self.book.plain)

    def blank_unless(self, keys: str, text: str) -> str:
        """Formula text that is blank until all those values (keys, with spaces between) are numbers."""
        cells = [self[key] for key in keys.split()]
        return f'IF(COUNT({",".join(cells)})<{len(cells)},"",{text})'


Formula = Callable[[Plan], str]


@dataclass(frozen=True)
class Heading:
    """A line that begins a part of the sheet."""

    text: str


@dataclass(frozen=True)
class Note:
    """A line of explanation; `warning` in bold."""

    text: str
    warning: bool = False

    @property
    def lines(self) -> int:
        """How many lines it takes on the sheet."""
        return lines_of(self.text, sum(WIDTHS) / (SMALL if self.warning else 1))


@dataclass(frozen=True)
class Field:
    """A labelled value: an input, an input with an assumption that holds until it is filled in, or a result.

    key : its defined name; what the user types for an assumed one is named given_ and the key.
    kind : what may be typed; "result" is calculated.
    assumed : formula for the assumption, in the workbook's units; `why` says it in words, after `known` if there is
        any.
    result : formula of a value that is calculated.
    unit : in words, where the quantity does not say it.
    verdict : whether its text begins with act, watch or fine (or no-go, go with care, go).
    wide : whether it is a text that needs the columns to its right.
    lines : how many lines high a wide text is.
    """

    key: str
    label: str
    quantity: Quantity | None = None
    kind: Kind = "number"
    choices: tuple[str, ...] = ()
    help: str = ""
    assumed: Formula | None = None
    why: str = ""
    known: str = "assumed"
    result: Formula | None = None
    unit: str = ""
    format: str = ""
    verdict: bool = False
    wide: bool = False
    lines: int = 1

    @property
    def column(self) -> Column:
        """Its rule and look as a column would have them."""
        return Column(self.key, self.label, self.quantity, self.kind, choices=self.choices, help=self.help,
                      format=self.format)

    def unit_text(self, units: str) -> str:
        """Its unit in words."""
        return self.unit or self.column.unit(units)


Item = Heading | Note | Field | None  # None is an empty row


@dataclass(frozen=True)
class Form:
    """A sheet's labelled cells, one item a row, under the headings of their columns where it is `headed`.

    rules : each field whose key is the name of one of their questions gets a clean cell.
    """

    sheet: str
    items: tuple[Item, ...]
    first_row: int = 5
    headed: bool = True
    rules: tuple[Rule, ...] = ()

    def rows(self) -> Iterator[tuple[int, Item]]:
        """Each item with its row."""
        yield from enumerate(self.items, self.first_row)

    @property
    def last_row(self) -> int:
        """The last row that it uses."""
        return self.first_row + len(self.items) - 1

    def fields(self) -> Iterator[tuple[int, Field]]:
        """Each field with its row."""
        for row, item in self.rows():
            if isinstance(item, Field):
                yield row, item

    def has(self, key: str) -> bool:
        """Whether it has a field of that key."""
        return any(item.key == key for _, item in self.fields())

    def address(self, key: str, given: bool = False) -> str:
        """The cell of a field: what is in use, or what the user types."""
        row, item = next((row, item) for row, item in self.fields() if item.key == key)
        typed = given or (item.result is None and item.assumed is None)
        return f"{quoted(self.sheet)}!${'B' if typed else 'C'}${row}"

    def clean_address(self, key: str) -> str:
        """The clean cell of a field."""
        assert key in self.questions, f"{self.sheet}: no rule asks for {key}"
        row = next(row for row, item in self.fields() if item.key == key)
        return f"{quoted(self.sheet)}!${CLEAN_COLUMN}${row}"

    @cached_property
    def questions(self) -> dict[str, Question]:
        """The questions that rules ask of its fields, by key; BadRule where two ask one field in different ways."""
        keys = {item.key for _, item in self.fields()}
        return same_question(one for rule in self.rules for one in rule.questions if one.name in keys)


def write_form(plan: Plan, sheet: Worksheet, form: Form) -> None:
    """Writes a form's cells and defines their names."""
    book = plan.book
    widths(sheet, *WIDTHS)
    if form.headed:
        headings(sheet, form.first_row - 1, HEADINGS)
    for row, item in form.rows():
        if isinstance(item, Heading):
            section(sheet, row, item.text, COLUMNS)
        elif isinstance(item, Note):
            sheet.merge_cells(f"A{row}:E{row}")
            put(sheet, f"A{row}", item.text, "strong" if item.warning else "text", wrap=True)
            set_height(sheet, row, item.lines)
        elif isinstance(item, Field):
            _write_field(plan, sheet, form, row, item)
    style.verdict_colours(sheet, [f"C{row}" for row, item in form.fields() if item.verdict])
    sheet.print_area = f"A1:E{form.last_row}"
    for _, item in form.fields():
        book.define(item.key, form.sheet, form.address(item.key).split("!")[1])
        if item.assumed is not None:
            book.define(f"given_{item.key}", form.sheet, form.address(item.key, given=True).split("!")[1])
    for key, asked in form.questions.items():
        cell, hidden = (address.split("!")[1] for address in (form.address(key), form.clean_address(key)))
        put(sheet, hidden, f"={clean(asked, cell, book.units)}", "note")
    sheet.column_dimensions[CLEAN_COLUMN].hidden = bool(form.questions)


def _write_field(plan: Plan, sheet: Worksheet, form: Form, row: int, item: Field) -> None:
    book, units = plan.book, plan.book.units
    put(sheet, f"A{row}", item.label, "strong", wrap=len(item.label) > WIDTHS[0])
    shown = item.format or style.format_of(item.quantity, units)
    align = "right" if item.quantity is not None or item.format else "left"
    if item.result is None:
        _write_input(book, sheet, f"B{row}", item)
    if not item.wide:
        put(sheet, f"D{row}", item.unit_text(units), align="left")
    why = ""
    if item.assumed is not None:
        given, why = f"$B{row}", f"{item.known}: {item.why}" if item.known else item.why
        put(sheet, f"C{row}", f'=IF({given}="",{item.assumed(plan)},{given})', "result", shown, align=align)
        known = f'IF({given}<>"","yours",IF($C{row}="","","{why}"))'
        put(sheet, f"E{row}", f"={known}", "note", wrap=True)
    elif item.result is not None:
        put(sheet, f"C{row}", f"={item.result(plan)}", "key", shown, wrap=item.wide, align=align)
        if item.wide:
            widen(sheet, row)
    if item.assumed is None and item.why and not item.wide:
        why = item.why if item.why.startswith("pH") else item.why[0].upper() + item.why[1:]
        put(sheet, f"E{row}", why, "note", wrap=True)
    set_height(sheet, row, max(item.lines, lines_of(item.label, WIDTHS[0]), lines_of(why, WIDTHS[-1] * SMALL)))


def _write_input(book: Book, sheet: Worksheet, address: str, item: Field) -> None:
    if item.quantity is not None and item.kind == "number":
        number_input(book, sheet, address, item.quantity, item.label, help=item.help,
                     number_format=style.typed_format(item.quantity))
        return
    column_input(book, sheet, address, item.column)
    if item.kind in ("choice", "text"):
        sheet[address].alignment = Alignment("left", "top", indent=1, shrink_to_fit=True)
