"""Arguments that are ranges or constants, and what a call over a range gives in its place."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from openpyxl.formula.tokenizer import Token

from pailbook.formula.patterns import Address, Constant, Given
from pailbook.formula.read import Group, Pieces, text_of
from pailbook.hosts.sheet_functions import NUMBERS_ONLY, TAKE_ARRAYS
from pailbook.workbook.share.meaning import read_range
from pailbook.workbook.share.recipe import marked

# They work on each value of a range separately.
_ONE_BY_ONE = frozenset({
    "ABS", "ACOS", "ASIN", "ATAN", "CEILING", "COS", "EXP", "FLOOR", "IF", "IFERROR", "IFNA", "INT", "ISBLANK",
    "ISERROR", "ISNA", "ISNUMBER", "ISTEXT", "LEFT", "LEN", "LN", "LOG", "LOG10", "LOWER", "MID", "MOD", "N", "NOT",
    "POWER", "RIGHT", "ROUND", "ROUNDDOWN", "ROUNDUP", "SIGN", "SIN", "SQRT", "T", "TAN", "TEXT", "TRIM", "TRUNC",
    "UPPER", "VALUE",
})
# They take a range whole.
_WHOLE = NUMBERS_ONLY | TAKE_ARRAYS | {
    "AND", "COLUMNS", "CONCAT", "CORREL", "FORECAST", "INDEX", "INTERCEPT", "MATCH", "OR", "ROWS", "RSQ", "SLOPE",
    "TEXTJOIN", "TRANSPOSE",
}


A_CALL = "one of the add-in's functions"  # as the function around a call


class Frozen(ValueError):
    """A call that no plain formula can express; the message says why."""


@dataclass(frozen=True)
class Place:
    """Where a call stands: the functions around it, whether alone in its argument, whether ranges spread there."""

    within: tuple[str, ...]
    alone: bool
    array: bool


@dataclass(frozen=True)
class Grid:
    """An argument that is a range where the function takes a single value."""

    rows: list[list[Given]]

    @property
    def height(self) -> int:
        """Its rows."""
        return len(self.rows)

    @property
    def width(self) -> int:
        """Its columns."""
        return len(self.rows[0])

    def at(self, i: int, j: int) -> Given:
        """The value there; a single row or column repeats, and beyond the range's end there is none."""
        i, j = (0 if self.height == 1 else i), (0 if self.width == 1 else j)
        return self.rows[i][j] if i < self.height and j < self.width else Address("NA()", atom=False)


def one_or_all(name: str, place: Place) -> bool:
    """Whether all values of a call over a range count where it stands; False: the first alone, as in a plain cell.

    Raises
    ------
    Frozen
        When a range in its place would not give the same.
    """
    if place.array or (place.alone and place.within and place.within[-1] in _WHOLE | {A_CALL}):
        return True
    if _ONE_BY_ONE.issuperset(place.within):
        return False
    raise Frozen(f"{name} is calculated for each cell of a range within {place.within[-1]}, outside an array formula")


def constant_of(pieces: Pieces) -> Constant | None:
    """The constant that the pieces are, its sign and percent signs included; None if they are none."""
    sign, rest = 1, list(pieces)
    while rest and isinstance(rest[0], Token) and rest[0].type == Token.OP_PRE and rest[0].value in "+-":
        sign = -sign if rest[0].value == "-" else sign
        rest.pop(0)
    divisor = 1
    while rest and isinstance(rest[-1], Token) and rest[-1].type == Token.OP_POST:
        divisor *= 100
        rest.pop()
    if len(rest) != 1 or not isinstance(rest[0], Token) or rest[0].type != Token.OPERAND:
        return None
    kind, text = rest[0].subtype, rest[0].value
    if kind == Token.NUMBER:
        return Constant(sign * float(text) / divisor)
    if len(pieces) > 1:
        return None
    if kind == Token.TEXT:
        return Constant(text[1:-1].replace('""', '"'))
    return Constant(text.upper() == "TRUE") if kind == Token.LOGICAL else None


def array_constant(pieces: Pieces) -> list[list[object]] | None:
    """The values of a constant in braces, row by row; None if the pieces are none, or hold an error."""
    first = pieces[0]
    if not (isinstance(first, Token) and first.type == Token.ARRAY):
        return None
    rows: list[list[object]] = [[]]
    one: list[Token | Group] = []
    for piece in pieces[1:]:
        if not isinstance(piece, Token) or piece.type == Token.WSPACE:
            continue
        if piece.type == Token.SEP or piece.subtype == Token.CLOSE:
            constant = constant_of(tuple(one))
            if constant is None:
                return None
            rows[-1].append(constant.value)
            one = []
            if piece.subtype == Token.ROW:
                rows.append([])
        else:
            one.append(piece)
    return rows if len({len(row) for row in rows}) == 1 else None


def elements(
    pieces: Pieces, array: bool
) -> tuple[tuple[int, int] | None, Callable[[int, int], Pieces]]:
    """The shape over which an expression spreads, None for a single value; and its pieces for one of its places.

    Raises
    ------
    Frozen
        When it spreads over a range outside an array formula, or in a way that a single cell cannot follow.
    """
    if any(map(_makes_a_range, pieces)):
        raise Frozen(f"{text_of(pieces)} is a range that is calculated")
    sizes = set()
    for operand, spreads in _operands(pieces, True):
        size = _size(operand.value)
        if size and spreads is None and array:
            raise Frozen(f"{text_of(pieces)} works with each cell of a range within a function")
        if size and spreads:
            sizes.add(size)
    if not sizes:
        return None, lambda i, j: pieces
    if not array:
        raise Frozen(f"{text_of(pieces)} works with a range outside an array formula")
    shape = max(height for height, _ in sizes), max(width for _, width in sizes)
    return shape, lambda i, j: _at(pieces, i, j)


def _makes_a_range(piece: Token | Group) -> bool:
    if isinstance(piece, Group):
        return ":" in piece.head
    return piece.type != Token.OPERAND and ":" in piece.value


def hangs_on_row(pieces: Pieces) -> bool:
    """Whether a range in the pieces means the cell of it in the formula's own row or column."""
    return any(spreads is not False and _size(operand.value) for operand, spreads in _operands(pieces, True))


def _operands(pieces: Pieces, spreads: bool | None) -> Iterator[tuple[Token, bool | None]]:
    """Each operand, and whether it spreads: True where it does, False where a function takes it whole, else None."""
    for piece in pieces:
        if isinstance(piece, Group):
            for argument in piece.arguments:
                inner: bool | None = False if len(argument) == 1 or piece.name in TAKE_ARRAYS else None
                yield from _operands(argument, spreads if piece.name in _ONE_BY_ONE else inner)
        elif piece.type == Token.OPERAND and piece.subtype == Token.RANGE:
            yield piece, spreads


def _size(text: str) -> tuple[int, int] | None:
    """Rows and columns of a range of several cells."""
    if span := marked(text):
        return (span.height, span.width) if span.height * span.width > 1 else None
    found = read_range(text)
    return found.size if found and found.size != (1, 1) else None


def _at(pieces: Pieces, i: int, j: int) -> Pieces:
    done: list[Token | Group] = []
    for piece in pieces:
        if isinstance(piece, Group):
            inner = piece.name in _ONE_BY_ONE
            done.append(Group(piece.head, tuple(_at(a, i, j) for a in piece.arguments)) if inner else piece)
        elif piece.type == Token.OPERAND and piece.subtype == Token.RANGE and _size(piece.value):
            done.append(Token(_element(piece.value, i, j), piece.type, piece.subtype))
        else:
            done.append(piece)
    return tuple(done)


def _element(text: str, i: int, j: int) -> str:
    if span := marked(text):
        return span.at(i, j)
    found = read_range(text)
    assert found is not None
    one = Grid([[Address(cell) for cell in row] for row in found.cells()]).at(i, j)
    return one.text if isinstance(one, Address) else "NA()"
