"""The text of a formula read into its calls and what stands around them.

The grammar is formualizer's, several times as fast as openpyxl's, whose kind of tokens they are. Nothing is lost: the
pieces put together again are the text.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import formualizer
from openpyxl.formula.tokenizer import Token

from pailbook.formula.call_names import function_name, our_function
from pailbook.function import WorksheetFunction


class Unreadable(ValueError):
    """A formula that cannot be read."""


@dataclass(frozen=True)
class Group:
    """A call of any function: its name as written, and the pieces of each argument."""

    head: str  # with the opening bracket
    arguments: tuple[Pieces, ...]

    @property
    def name(self) -> str:
        """The function's bare name, in upper case."""
        return function_name(self.head[:-1])

    @property
    def ours(self) -> WorksheetFunction | None:
        """Our function that it calls, if it calls one."""
        return our_function(self.head[:-1])


Pieces = tuple["Token | Group", ...]

_Kind, _Part = formualizer.TokenType, formualizer.TokenSubType
_BLANK: tuple[Any, Any] = Token.WSPACE, ""
_KINDS: dict[tuple[Any, Any], tuple[Any, Any]] = {
    (kind, part): (name, subname)
    for kind, name in (
        (_Kind.Literal, Token.LITERAL), (_Kind.Operand, Token.OPERAND), (_Kind.Func, Token.FUNC),
        (_Kind.Array, Token.ARRAY), (_Kind.Paren, Token.PAREN), (_Kind.Sep, Token.SEP), (_Kind.OpPrefix, Token.OP_PRE),
        (_Kind.OpInfix, Token.OP_IN), (_Kind.OpPostfix, Token.OP_POST), (_Kind.Whitespace, Token.WSPACE),
    )
    for part, subname in (
        (_Part.None_, ""), (_Part.Text, Token.TEXT), (_Part.Number, Token.NUMBER),
        (_Part.Logical, Token.LOGICAL), (_Part.Error, Token.ERROR), (_Part.Range, Token.RANGE),
        (_Part.Open, Token.OPEN), (_Part.Close, Token.CLOSE), (_Part.Arg, Token.ARG), (_Part.Row, Token.ROW),
    )
}


def tokens(formula: str) -> list[Token]:
    """The tokens of a formula's text, with or without its equals sign.

    Raises
    ------
    Unreadable
        When it is not a formula.
    """
    try:
        items = formualizer.tokenize(formula if formula.startswith("=") else "=" + formula).tokens()
    except (formualizer.TokenizerError, UnicodeError) as reason:
        raise Unreadable("it cannot be read as a formula") from reason
    if "".join(item.value for item in items) != formula.removeprefix("="):
        raise Unreadable("it cannot be read as a formula")
    return list(map(_token, items))


def _token(item: Any) -> Token:
    value = item.value
    return Token(value, *(_KINDS[item.token_type, item.subtype] if value.strip() else _BLANK))


def pieces_of(formula: str) -> Pieces:
    """The formula's text as tokens and calls.

    Raises
    ------
    Unreadable
        When it is not a formula.
    """
    stack: list[tuple[str, list[list[Token | Group]]]] = [("", [[]])]
    for token in tokens(formula):
        inside = stack[-1]
        if token.subtype == Token.OPEN:
            stack.append((token.value if token.type == Token.FUNC else "", [[]]))
            if token.type != Token.FUNC:
                stack[-1][1][-1].append(token)
        elif token.subtype == Token.CLOSE:
            if len(stack) < 2:
                raise Unreadable("it has one bracket too many")
            head, arguments = stack.pop()
            if head:
                stack[-1][1][-1].append(Group(head, tuple(tuple(pieces) for pieces in arguments)))
            else:
                stack[-1][1][-1] += [*arguments[0], token]
        elif inside[0] and token.type == Token.SEP:
            inside[1].append([])
        else:
            inside[1][-1].append(token)
    if len(stack) != 1:
        raise Unreadable("a bracket is not closed")
    return tuple(stack[0][1][0])


def text_of(pieces: Pieces) -> str:
    """The pieces' text."""
    return "".join(
        f"{piece.head}{','.join(map(text_of, piece.arguments))})" if isinstance(piece, Group) else piece.value
        for piece in pieces
    )


def groups(pieces: Pieces) -> Iterator[Group]:
    """All calls in the pieces, of any function, each before those within it."""
    for piece in pieces:
        if isinstance(piece, Group):
            yield piece
            for argument in piece.arguments:
                yield from groups(argument)


def calls_ours(pieces: Pieces) -> bool:
    """Whether one of our functions is called in the pieces."""
    return any(group.ours for group in groups(pieces))


def levels(pieces: Pieces) -> int:
    """How many functions stand within each other."""
    return max((1 + max(map(levels, piece.arguments)) for piece in pieces if isinstance(piece, Group)), default=0)


def bare(pieces: Pieces) -> Pieces:
    """The pieces without blanks at their ends."""
    kept = list(pieces)
    while kept and _is_blank(kept[0]):
        kept.pop(0)
    while kept and _is_blank(kept[-1]):
        kept.pop()
    return tuple(kept)


def _is_blank(piece: Token | Group) -> bool:
    return isinstance(piece, Token) and piece.type == Token.WSPACE
