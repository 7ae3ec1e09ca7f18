"""The extension file and the code in it, without LibreOffice."""

from __future__ import annotations

import json
import math
import struct
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

import office_fixtures
import pailbook
from pailbook.function import CATALOGUE
from pailbook.hosts.calc import extension
from pailbook.hosts.calc.adapter import CellFunction, error
from pailbook.hosts.calc.interface import interface_text
from pailbook.hosts.calc.program import OfficeError
from pailbook.hosts.call import call
from pailbook.outcomes import Outcome
from test_layering import PACKAGE, _is_shipped, _modules

DESCRIPTION = "{http://openoffice.org/extensions/description/2006}"
extension_file = office_fixtures.extension_file


@pytest.fixture(scope="module")
def parts(extension_file: Path) -> dict[str, str]:
    with zipfile.ZipFile(extension_file) as file:
        return {name: file.read(name).decode() for name in file.namelist()}


def test_the_same_functions_make_the_same_bytes(extension_file: Path, tmp_path: Path) -> None:
    again = extension.build(tmp_path / "again.oxt")
    assert again.read_bytes() == extension_file.read_bytes()
    with zipfile.ZipFile(again) as file:
        assert file.namelist() == sorted(file.namelist())
        assert {entry.date_time for entry in file.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert {entry.compress_type for entry in file.infolist()} == {zipfile.ZIP_STORED}


def test_it_holds_what_it_needs_and_nothing_else(parts: dict[str, str]) -> None:
    inside = {name.removeprefix("pythonpath/pailbook/") for name in parts if name.startswith("pythonpath/")}
    shipped = {path.relative_to(PACKAGE).as_posix() for module, path in _modules().items()
               if _is_shipped(module) and module != "hosts.calc.component"}
    assert inside == shipped
    assert {name for name in parts if not name.startswith("pythonpath/")} == {
        "META-INF/manifest.xml", "LICENSE", "component.py", "description.txt", "description.xml", "functions.idl"}


def test_it_tells_version_license_and_the_program_it_needs(parts: dict[str, str]) -> None:
    description = ElementTree.fromstring(parts["description.xml"])
    assert description.find(f"{DESCRIPTION}version").attrib["value"] == pailbook.__version__  # type: ignore[union-attr]
    least = description.find(f"{DESCRIPTION}dependencies/*")
    assert least is not None
    assert least.attrib["value"] == "25.2"
    assert parts["LICENSE"] == (PACKAGE.parents[1] / "LICENSE").read_text(encoding="utf-8")
    manifest = ElementTree.fromstring(parts["META-INF/manifest.xml"])
    named = {value for entry in manifest for key, value in entry.attrib.items() if key.endswith("full-path")}
    assert named == {"functions.idl", "component.py"}


def test_names_in_files_never_change(parts: dict[str, str]) -> None:
    """An .ods file holds PAILBOOK.CALC.FUNCTIONS.AMMONIA_FRACTION; another name would break every such file."""
    assert parts["functions.idl"].startswith("module pailbook { module calc {\n interface XFunctions {")
    assert "pailbook.calc" in parts["pythonpath/pailbook/hosts/calc/interface.py"]
    assert "Functions" in parts["pythonpath/pailbook/hosts/calc/interface.py"]
    assert extension.IDENTIFIER == "pailbook.functions"


def test_the_interface_has_every_function_with_all_its_arguments() -> None:
    lines = interface_text(CATALOGUE.values()).splitlines()[2:-2]
    assert len(lines) == len(CATALOGUE)
    for line, function in zip(lines, CATALOGUE.values()):
        assert f" {function.name}(" in line
        assert line.count("[in] any ") == len(function.cell_arguments)
        assert "_" not in line.partition("(")[2], "the language knows no underscore in an argument's name"


STUBS = {
    "uno.py": """
class Struct:
    def __init__(self, name, *values): self.name, self.values = name, values
def createUnoStruct(name, *values): return Struct(name, *values)
def getClass(name): return type(name.rpartition(".")[2], (), {})
""",
    "unohelper.py": """
class Base: pass
class ImplementationHelper:
    def addImplementation(self, made, name, services): self.made = made
""",
}


def test_the_component_runs_on_a_python_without_anything_else(extension_file: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(extension_file) as file:
        file.extractall(tmp_path)
    for name, text in STUBS.items():
        (tmp_path / name).write_text(text)
    program = f"""
import sys
sys.path[:0] = [{str(tmp_path / 'pythonpath')!r}, {str(tmp_path)!r}]
sys.modules["numpy"] = None
import json, component
from pailbook.function import CATALOGUE
made = component.g_ImplementationHelper.made(None)
def given(function):
    ranges = [tuple((one,) for one in v) if isinstance(v, list) else v for v in function.example]
    return ranges + [None] * (len(function.cell_arguments) - len(ranges))
def first(result): return result if isinstance(result, str) else result[0][0]
print(json.dumps({{
    "values": {{name: first(getattr(made, name)(*given(f))) for name, f in CATALOGUE.items()}},
    "help": [made.getFunctionDescription(name) for name in CATALOGUE],
    "unknown": [made.getFunctionDescription("x"), made.getDisplayArgumentName("x", 0)],
    "services": made.supportsService("com.sun.star.sheet.AddIn"),
    "foreign": sorted({{m.split(".")[0] for m in sys.modules}} - set(sys.stdlib_module_names) - {{"__main__"}}),
}}))
"""
    done = subprocess.run([sys.executable, "-S", "-I", "-B", "-c", program], capture_output=True, text=True,
                          check=False, timeout=60)
    assert done.returncode == 0, done.stderr
    result = json.loads(done.stdout)
    assert result["foreign"] == ["component", "numpy", "pailbook", "uno", "unohelper"]
    assert result["values"] == {name: call(f, f.example) for name, f in CATALOGUE.items()}
    assert all(result["help"])
    assert result["unknown"] == ["", ""]
    assert result["services"] is True


# What LibreOffice hands over --------------------------------------------------------------------------


def _code(value: Any) -> int:
    assert math.isnan(value)
    return int(struct.unpack("<II", struct.pack("<d", value))[0])


def test_every_error_of_the_policy_has_libreoffices_number() -> None:
    """formula::FormulaError of LibreOffice: NotAvailable 0x7fff, NoValue 519, IllegalFPOperation 503."""
    codes = {kind.code for kind in Outcome.__subclasses__() if "code" in vars(kind)} | {Outcome.code}
    assert {code: _code(error(code)) for code in codes} == {"#N/A": 0x7FFF, "#VALUE!": 519, "#NUM!": 503}


def test_rows_beyond_the_last_value_are_cut_and_keep_their_outcome() -> None:
    fraction = CellFunction(CATALOGUE["AMMONIA_FRACTION"])
    ph = ((7.5,), (8.0,), ("",), ("",))
    whole = fraction((ph, 20.0, None, None))
    assert len(whole) == 4
    assert whole[:2] == fraction((ph[:2], 20.0, None, None))
    assert [_code(row[0]) for row in whole[2:]] == [0x7FFF, 0x7FFF]
    beside = fraction((ph, ((20.0,), (20.0,), (21.0,), (22.0,)), None, None))  # the other range has values there
    assert beside[:2] == whole[:2]
    assert [_code(row[0]) for row in beside[2:]] == [0x7FFF, 0x7FFF]
    blank = fraction(((("",), ("",)), 20.0, None, None))
    assert [_code(row[0]) for row in blank] == [0x7FFF, 0x7FFF]


def test_series_are_cut_alike_and_only_where_they_are_of_one_height() -> None:
    rate = CATALOGUE["UPTAKE_RATE"]
    in_cells = CellFunction(rate)
    columns = [tuple((one,) for one in series) for series in rate.example[:2]]
    rest: list[Any] = [None] * (len(rate.cell_arguments) - 2)
    longer = [(*column, ("",), ("",)) for column in columns]
    assert in_cells([*longer, *rest]) == in_cells([*columns, *rest])
    assert _code(in_cells([longer[0], columns[1], *rest])[0][0]) == 503


def test_a_file_is_not_replaced_unasked_and_needs_its_ending(tmp_path: Path) -> None:
    there = tmp_path / "there.oxt"
    there.write_text("mine")
    with pytest.raises(OfficeError, match="already exists"):
        extension.build(there)
    assert there.read_text() == "mine"
    extension.build(there, overwrite=True)
    assert zipfile.is_zipfile(there)
    with pytest.raises(OfficeError, match=r"is an \.oxt file"):
        extension.build(tmp_path / "file.zip")
