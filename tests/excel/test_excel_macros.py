"""The macros between Excel's cells and Python: what they say, and what they do in a Basic interpreter."""

from __future__ import annotations

import json
import re
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import calc
from pailbook.function import CATALOGUE, Argument, WorksheetFunction, worksheet_function
from pailbook.hosts.calc import driver
from pailbook.hosts.calc.program import environment
from pailbook.hosts.excel import package, vba
from pailbook.outcomes import ERROR_CODES
from pailbook.quantities import PH, Fraction
from pailbook.sources import EMERSON_1975
from thorough import each

each_function = each("function", CATALOGUE.values(), lambda function: function.name)
# xlErrNull ... xlErrNA, from the documentation of the constants.
NUMBERS = {"#NULL!": 2000, "#DIV/0!": 2007, "#VALUE!": 2015, "#REF!": 2023, "#NAME?": 2029, "#NUM!": 2036, "#N/A": 2042}


@pytest.fixture(scope="module")
def texts() -> dict[str, str]:
    return vba.module_texts(CATALOGUE.values())


@each_function
def test_each_function_hands_its_arguments_over_in_order(function: WorksheetFunction, texts: dict[str, str]) -> None:
    text = re.sub(r" _\r\n\s*", " ", texts[vba.FUNCTIONS])
    found = re.findall(rf"Public Function {function.name}\((.*)\) As Variant\r\n((?:.*\r\n)*?)End Function", text)
    assert len(found) == 1
    parameters, body = found[0]
    names = [argument.name for argument in function.cell_arguments]
    assert parameters == ", ".join(f"Optional {name} As Variant" for name in names)
    assert f'{function.name} = Answer("{function.name}", Array({", ".join(names)}))' in body
    assert f'Attribute {function.name}.VB_Description = "' in body


@each_function
def test_the_wizard_explains_each_argument(function: WorksheetFunction, texts: dict[str, str]) -> None:
    text = re.sub(r" _\r\n\s*", " ", texts[vba.TEXTS])
    (line,) = re.findall(rf'    Tell "{function.name}", (.*)\r\n', text)
    strings = [one.replace('""', '"') for one in re.findall(r'"((?:[^"]|"")*)"', line)]
    assert strings[:2] == [function.summary, f"Pailbook: {function.category}"]
    assert len(strings) == 2 + len(function.cell_arguments)
    assert all(0 < len(one) <= 255 for one in strings)
    for argument, help_text in zip(function.cell_arguments, strings[2:]):
        assert help_text.startswith(argument.quantity.help or argument.quantity.label)
        assert help_text.endswith("Optional") != argument.required


def test_lines_fit_the_macro_language(texts: dict[str, str]) -> None:
    """At most 1023 characters a line and 24 continuations a statement; a procedure compiles to less than 64 KB."""
    for text in texts.values():
        assert "\n" not in text.replace("\r\n", "")
        text.encode("cp1252")
        continued = 0
        for line in text.split("\r\n"):
            assert len(line) <= 1023
            continued = continued + 1 if line.endswith(" _") else 0
            assert continued <= 24
        for part in re.split(r"End (?:Sub|Function)\r\n", text):
            assert len(part) < 40_000


@pytest.mark.parametrize("name", ["any", "resume", "to", "cell", "Answer", "_x", "ß", "x" * 256])
def test_names_that_a_macro_cannot_have_are_refused(name: str) -> None:
    ammonia = CATALOGUE["AMMONIA_FRACTION"]
    first = ammonia.arguments[0]
    bad = WorksheetFunction(ammonia.name, ammonia.category, ammonia.body, (Argument(name, first.quantity),),
                            ammonia.result, ammonia.source, ammonia.summary, ammonia.details, ammonia.example)
    with pytest.raises(vba.BadMacro, match="cannot be a name in a macro"):
        vba.procedure(bad)


def test_an_argument_called_like_its_function_is_refused() -> None:
    try:
        @worksheet_function(category="Test", source=EMERSON_1975.at("table 2"), example=(8.0,))
        def same_name(same_name: PH) -> Fraction:
            """A function."""
            return same_name / 14

        with pytest.raises(vba.BadMacro, match="must differ"):
            vba.procedure(CATALOGUE["SAME_NAME"])
    finally:
        CATALOGUE.pop("SAME_NAME", None)


@pytest.mark.parametrize(("line", "why"), [("x" * 1024, "too long"), ("→", "cannot stand in a macro")])
def test_lines_that_a_macro_cannot_have_are_refused(line: str, why: str) -> None:
    with pytest.raises(vba.BadMacro, match=why):
        vba.check([line])


def test_too_many_lines_in_one_statement_are_refused() -> None:
    vba.check(["x _"] * 24 + ["y"])
    with pytest.raises(vba.BadMacro, match="more than 24 lines"):
        vba.check(["x _"] * 25 + ["y"])


# In a Basic interpreter --------------------------------------------------------------------------------

STAND_IN = """Option VBASupport 1
Option ClassModule
Public Function CallUDF(ByVal module As String, ByVal called As String, ByVal given As Variant) As Variant
    Dim key As String, i As Long
    key = module & "|" & called
    For i = LBound(given) To UBound(given)
        key = key & "|" & Shown(given(i))
    Next i
    CallUDF = Known(key)
End Function
Private Function Shown(ByVal one As Variant) As String
    If IsArray(one) Then
        Shown = "[" & (UBound(one, 1) - LBound(one, 1) + 1) & "x" & (UBound(one, 2) - LBound(one, 2) + 1) & "]"
    ElseIf VarType(one) = 8 Then
        Shown = one
    ElseIf IsEmpty(one) Then
        Shown = ""
    Else
        Shown = Format(one, "0.0000")
    End If
End Function
Private Function Known(ByVal key As String) As Variant
    Dim rows(0 To 1, 0 To 0) As Variant
    rows(0, 0) = 1.5
    rows(1, 0) = "#N/A"
    Select Case key
{cases}
    Case Else: Known = "asked " & key
    End Select
End Function
"""
BRIDGE = """Option VBASupport 1
Function XLPy() As Object
    Set XLPy = New StandIn
End Function
"""
AWAY = """Option VBASupport 1
Function XLPy() As Object
    Err.Raise 1000
End Function
"""
BLANK = "AZ1"


def run(workbook: Path, asked: dict[str, Any]) -> dict[str, Any]:
    """The macros of a built workbook run in LibreOffice; what its cells then show, and the macros that it read."""
    calc.needed()
    folder = workbook.parent
    package.build(workbook, {"Interpreter_Win": "pythonw"})
    questions, answers = folder / "questions.json", folder / "answers.json"
    questions.write_text(json.dumps(asked), encoding="utf-8")
    with socket.socket() as free:
        free.bind(("localhost", 0))
        port = free.getsockname()[1]
    arguments = [*driver.make_profile(folder / "office"), f"--accept=socket,host=localhost,port={port};urp;"]
    with driver.running(driver.needed().program, arguments):
        done = subprocess.run(
            ["/usr/bin/python3", str(Path(__file__).with_name("in_basic.py")), str(port), str(workbook),
             str(questions), str(answers)],
            capture_output=True, text=True, check=False, timeout=180, env=environment() | {"HOME": str(folder)},
        )
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(answers.read_text(encoding="utf-8"))
    return found


def _calls() -> Iterator[tuple[WorksheetFunction, str, str]]:
    """Each function with its example: the formula, and how the call must arrive."""
    for function in CATALOGUE.values():
        written, arrives = [], [vba.HOST, function.name]
        for value in [*function.example, *[None] * (len(function.cell_arguments) - len(function.example))]:
            if value is None:
                written.append(BLANK)
                arrives.append("")
            elif isinstance(value, list):
                written.append(f"BA1:BA{len(value)}")
                arrives.append(f"[{len(value)}x1]")
            elif isinstance(value, str):
                written.append(f'"{value}"')
                arrives.append(value)
            else:
                written.append(repr(float(value)))
                arrives.append(f"{float(value):.4f}")
        yield function, f"={function.name}({';'.join(written)})", "|".join(arrives)


@pytest.mark.libreoffice
def test_macros_run_in_a_basic_interpreter(tmp_path: Path) -> None:
    """All functions hand over what they are given and show what comes; errors become true errors, also in arrays."""
    cases, formulas, expected = [], {}, {}
    for i, (_, formula, key) in enumerate(_calls()):
        cases.append(f'    Case "{key}": Known = {1000 + i}.5')
        formulas[f"D{i + 1}"], expected[f"D{i + 1}"] = formula, [[1000.5 + i]]

    def ask(address: str, formula: str, key: str, answer: str, shown: Any) -> None:
        cases.append(f'    Case "{vba.HOST}|AMMONIA_FRACTION|{key}||": {answer}')
        formulas[address], expected[address] = formula, shown

    for i, code in enumerate(ERROR_CODES, start=1):
        ask(f"E{i}", f"=AMMONIA_FRACTION({i};1;{BLANK};{BLANK})", f"{i}.0000|1.0000", f'Known = "{code}"',
            [[f"Error {NUMBERS[code]}"]])
    ask("F1", f"=AMMONIA_FRACTION(1;2;{BLANK};{BLANK})", "1.0000|2.0000", 'Known = "oxygen"', [["oxygen"]])
    ask("F2", f"=AMMONIA_FRACTION(1;3;{BLANK};{BLANK})", "1.0000|3.0000", "Err.Raise 1001", [["Error 2015"]])
    ask("F7", f"=AMMONIA_FRACTION(1;4;{BLANK};{BLANK})", "1.0000|4.0000",
        'Err.Raise 1001, "", "ModuleNotFoundError: No module named pailbook"', [["Error 2029"]])
    ask("F3:F4", f"=AMMONIA_FRACTION(A1:A2;2;{BLANK};{BLANK})", "[2x1]|2.0000", "Known = rows",
        [[1.5], ["Error 2042"]])
    ask("F6", f"=AMMONIA_FRACTION(BC:BC;2;{BLANK};{BLANK})", f"[{len(CATALOGUE)}x1]|2.0000", "Known = 7.5", [[7.5]])
    cells = {"A1": "1", "A2": "2"}  # the column D reaches down furthest
    cells |= {f"BA{i}": str(i) for i in range(1, 4)}
    stand_in = STAND_IN.format(cases="\n".join(cases))
    found = run(tmp_path / package.WORKBOOK, {"modules": {"StandIn": stand_in, "Bridge": BRIDGE},
                                             "run": [vba.FUNCTIONS], "cells": cells, "formulas": formulas})
    assert {address: found["values"][address] for address in expected} == expected

    assert_read(found)


def assert_read(found: dict[str, Any]) -> None:
    """What LibreOffice read is what was made; it leaves the lines of attributes out."""
    for name, text in vba.module_texts(CATALOGUE.values()).items():
        _, _, read = found["modules"][name].replace("\r\n", "\n").partition("Option VBASupport 1\n")
        made = "\n".join(line for line in text.split("\r\n") if not line.startswith("Attribute "))
        assert read.rstrip("\n") == made.rstrip("\n")


@pytest.mark.libreoffice
def test_without_python_the_functions_are_not_there(tmp_path: Path) -> None:
    found = run(tmp_path / package.ADDIN, {"modules": {"Bridge": AWAY}, "run": [vba.FUNCTIONS], "cells": {},
                                          "formulas": {"D1": f"=AMMONIA_FRACTION(8;25;{BLANK};{BLANK})"}})
    assert found["values"] == {"D1": [["Error 2029"]]}
    assert_read(found)
