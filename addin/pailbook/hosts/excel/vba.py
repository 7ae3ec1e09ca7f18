"""The macro module that stands between Excel's cells and Python, made from the catalogue.

Each function is a short procedure that hands its arguments over and turns the text of an error into a true error.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from pailbook import __version__
from pailbook.function import WorksheetFunction
from pailbook.hosts.excel.functions import category_of, help_of
from pailbook.hosts.excel.project import CODE_PAGE
from pailbook.hosts.excel.values import ERROR_NUMBERS
from pailbook.outcomes import NAME, VALUE

FUNCTIONS, TEXTS = "PailbookFunctions", "PailbookTexts"  # the modules
HOST = "pailbook.hosts.excel"
LONGEST_LINE, MOST_CONTINUATIONS, LONGEST_NAME = 1023, 24, 255

_HELPERS = """
Private Function Answer(ByVal called As String, ByVal given As Variant) As Variant
    Dim again As Boolean
    On Error GoTo Failed
    given = WithoutRanges(given)
Ask:
    If host Is Nothing Then Set host = XLPy()
    Answer = WithErrors(host.CallUDF("{host}", called, given))
    Exit Function
Failed:
    problem = Err.Description
    If Not again And Not host Is Nothing Then
        ' Python may have been ended since the last call: start it again, once.
        again = True
        Set host = Nothing
        Resume Ask
    End If
    Answer = CVErr({value})
    If host Is Nothing Or InStr(problem, "No module named") > 0 Then Answer = CVErr({name})
End Function

Private Function WithoutRanges(ByVal given As Variant) As Variant
    ' Ranges as their values: dates as serial numbers, money as plain numbers.
    Dim plain() As Variant, i As Long
    ReDim plain(LBound(given) To UBound(given))
    For i = LBound(given) To UBound(given)
        If IsObject(given(i)) Then plain(i) = InUse(given(i)).Value2 Else plain(i) = given(i)
    Next i
    WithoutRanges = plain
End Function

Private Function InUse(ByVal area As Object) As Object
    ' A whole column as far down as its sheet is in use.
    Dim used As Object, last As Long
    Set InUse = area
    If area.Rows.Count < area.Worksheet.Rows.Count Then Exit Function
    Set used = area.Worksheet.UsedRange
    last = used.Row + used.Rows.Count - 1
    Set InUse = area.Resize(last)
End Function

Private Function WithErrors(ByVal found As Variant) As Variant
    Dim i As Long, j As Long
    If Not IsArray(found) Then
        WithErrors = Cell(found)
        Exit Function
    End If
    For i = LBound(found) To UBound(found)
        If HasColumns(found) Then
            For j = LBound(found, 2) To UBound(found, 2)
                found(i, j) = Cell(found(i, j))
            Next j
        Else
            found(i) = Cell(found(i))
        End If
    Next i
    WithErrors = found
End Function

Private Function HasColumns(ByVal found As Variant) As Boolean
    Dim last As Long
    On Error GoTo OneDimension
    last = UBound(found, 2)
    HasColumns = True
OneDimension:
End Function

Private Function Cell(ByVal found As Variant) As Variant
    Cell = found
    If VarType(found) <> 8 Then Exit Function
    Select Case found
{cases}
    End Select
End Function

Public Sub PailbookProblem()
    ' Shows why the last call failed: run it with Alt+F8.
    If problem = "" Then problem = "No call of a Pailbook function has failed."
    MsgBox problem
End Sub
"""

_TELL = """
Private Sub Tell(ByVal called As String, ByVal summary As String, ByVal heading As String, ByVal help As Variant)
    ' The wizard's texts. If Excel does not allow this, the functions work without them.
    On Error Resume Next
    Application.MacroOptions Macro:="'" & ThisWorkbook.Name & "'!" & called, Description:=summary, _
        Category:=heading, ArgumentDescriptions:=help
End Sub
"""

ON_OPENING = """
Private Sub Workbook_Open()
    ' Only after Excel has started and has a window can the texts be set.
    Application.OnTime Now, "'" & Me.Name & "'!TellTexts"
End Sub
"""

# Reserved identifiers of the macro language, [MS-VBAL] 3.3.5.2.
_RESERVED = frozenset((
    "abs", "addressof", "and", "any", "array", "as", "attribute", "boolean", "byref", "byte", "byval", "call", "case",
    "cbool", "cbyte", "ccur", "cdate", "cdbl", "cdec", "cdecl", "cint", "circle", "clng", "clnglng", "clngptr",
    "close", "const", "csng", "cstr", "currency", "cvar", "cverr", "date", "debug", "decimal", "declare", "defbool",
    "defbyte", "defcur", "defdate", "defdbl", "defdec", "defint", "deflng", "deflnglng", "deflngptr", "defobj",
    "defsng", "defstr", "defvar", "dim", "do", "doevents", "double", "each", "else", "elseif", "empty", "end",
    "endif", "enum", "eqv", "erase", "event", "exit", "false", "fix", "for", "friend", "function", "get", "global",
    "gosub", "goto", "if", "imp", "implements", "in", "input", "inputb", "int", "integer", "is", "lbound", "len",
    "lenb", "let", "like", "lock", "long", "longlong", "longptr", "loop", "lset", "me", "mod", "new", "next", "not",
    "nothing", "null", "on", "open", "option", "optional", "or", "paramarray", "preserve", "print", "private", "pset",
    "public", "put", "raiseevent", "redim", "rem", "resume", "return", "rset", "scale", "seek", "select", "set",
    "sgn", "shared", "single", "spc", "static", "stop", "string", "sub", "tab", "then", "to", "true", "type",
    "typeof", "ubound", "unlock", "until", "variant", "wend", "while", "with", "withevents", "write", "xor",
))
_OURS = frozenset((
    "answer", "withoutranges", "inuse", "witherrors", "hascolumns", "cell", "tell", "host", "problem", "xlpy",
    "pailbookproblem", "telltexts",
))
_IDENTIFIER = re.compile(r"[A-Za-z][A-Za-z0-9_]*")


class BadMacro(TypeError):
    """What the catalogue declares cannot be written in the macro language."""


def module_texts(functions: Iterable[WorksheetFunction]) -> dict[str, str]:
    """The text of each module by its name, as a file of macros has it, lines ending with CR LF.

    Raises
    ------
    BadMacro
        When a name is reserved, a line too long, or a character outside the code page.
    """
    functions = list(functions)
    return {FUNCTIONS: _module(FUNCTIONS, _functions(functions)), TEXTS: _module(TEXTS, _all_texts(functions))}


def _module(name: str, lines: list[str]) -> str:
    start = [f'Attribute VB_Name = "{name}"',
             f"' Made by pailbook {__version__} from its catalogue of functions. The next installation drops changes.",
             "Option Explicit", ""]
    check(start + lines)
    return "\r\n".join(start + lines) + "\r\n"


def _functions(functions: list[WorksheetFunction]) -> list[str]:
    cases = "\n".join(f'        Case {_quoted(code)}: Cell = CVErr({number})' for code, number in ERROR_NUMBERS.items())
    helpers = _HELPERS.format(host=HOST, name=ERROR_NUMBERS[NAME], value=ERROR_NUMBERS[VALUE], cases=cases)
    lines = ["Private host As Object", "Private problem As String"]
    for function in functions:
        lines += ["", *procedure(function)]
    return lines + helpers.splitlines()


def _all_texts(functions: list[WorksheetFunction]) -> list[str]:
    """What the wizard says, one procedure for each heading: a single one would be too long."""
    headings = dict.fromkeys(function.category for function in functions)
    lines = ["Public Sub TellTexts()", "    Dim saved As Boolean", "    saved = ThisWorkbook.Saved",
             *(f"    Texts{i}" for i in range(1, len(headings) + 1)), "    ThisWorkbook.Saved = saved", "End Sub"]
    for i, heading in enumerate(headings, start=1):
        lines += ["", f"Private Sub Texts{i}()"]
        for function in functions:
            if function.category == heading:
                lines += _texts(function)
        lines.append("End Sub")
    return lines + _TELL.splitlines()


def procedure(function: WorksheetFunction) -> list[str]:
    """The lines of one function."""
    names = [argument.name for argument in function.cell_arguments]
    for name in (function.name, *names):
        if not _IDENTIFIER.fullmatch(name) or len(name) > LONGEST_NAME or name.lower() in _RESERVED | _OURS:
            raise BadMacro(f"{function.name}: {name} cannot be a name in a macro")
    folded = [name.lower() for name in (function.name, *names)]
    if len(set(folded)) < len(folded):
        raise BadMacro(f"{function.name}: its name and those of its arguments must differ")
    # All may be left out, so that what is missing gives the error that the outcome policy has for it.
    return [
        *_wrapped(f"Public Function {function.name}(", [f"Optional {name} As Variant" for name in names],
                  ") As Variant", ""),
        f"Attribute {function.name}.VB_Description = {_quoted(function.summary)}",
        f'Attribute {function.name}.VB_ProcData.VB_Invoke_Func = " \\n14"',
        *_wrapped(f"    {function.name} = Answer({_quoted(function.name)}, Array(", names, "))", "    "),
        "End Function",
    ]


def check(lines: Iterable[str]) -> None:
    """BadMacro where lines are more than the macro language or its code page can hold."""
    continued = 0
    for line in lines:
        if len(line) > LONGEST_LINE:
            raise BadMacro(f"a line of {len(line)} characters is too long for a macro: {line[:60]}...")
        try:
            line.encode(CODE_PAGE)
        except UnicodeEncodeError as reason:
            raise BadMacro(f"{line[reason.start]!r} cannot stand in a macro: {line[:60]}...") from None
        continued = continued + 1 if line.endswith(" _") else 0
        if continued > MOST_CONTINUATIONS:
            raise BadMacro(f"more than {MOST_CONTINUATIONS} lines in one statement: {line[:60]}...")


def _texts(function: WorksheetFunction) -> list[str]:
    start = f"    Tell {_quoted(function.name)}, {_quoted(function.summary)}, {_quoted(category_of(function))}, Array("
    return _wrapped(start, [_quoted(help_of(argument)) for argument in function.cell_arguments], ")", "    ")


def _wrapped(start: str, items: list[str], end: str, indent: str) -> list[str]:
    """A statement with a list, over as many lines as its length asks for."""
    lines, width = [start], 110
    for i, item in enumerate(items):
        item += ", " if i < len(items) - 1 else end
        if len(lines[-1]) + len(item) > width and lines[-1].strip():
            lines[-1] = lines[-1].rstrip() + " _"
            lines.append(indent + "    ")
        lines[-1] += item
    return lines


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'
