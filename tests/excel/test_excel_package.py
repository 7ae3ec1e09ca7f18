"""The add-in and the workbook with macros as files: well formed, complete, and read the same by others."""

from __future__ import annotations

import io
import posixpath
import zipfile
from pathlib import Path
from typing import Any

import olefile  # type: ignore[import-untyped]
import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

import calc
from inputs import quick
from pailbook.function import CATALOGUE
from pailbook.hosts.calc import driver
from pailbook.hosts.excel import compound, compression, package, project, vba
from pailbook.outcomes import BadInput

SETTINGS = {"Interpreter_Win": r"C:\Some folder\<python> & more\pythonw.exe", "Show Console": "False"}
each_file = pytest.mark.parametrize("name", [package.ADDIN, package.WORKBOOK])


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("built")
    for name in (package.ADDIN, package.WORKBOOK):
        package.build(folder / name, SETTINGS)
    return folder


# Compression --------------------------------------------------------------------------------------------

# The examples of [MS-OVBA] 3.2.1 to 3.2.3; the second and third are from memory.
EXAMPLES = [
    (b"abcdefghijklmnopqrstuv.",
     "01 19 B0 00 61 62 63 64 65 66 67 68 00 69 6A 6B 6C 6D 6E 6F 70 00 71 72 73 74 75 76 2E"),
    (b"#aaabcdefaaaaghijaaaaaklaaamnopqaaaaaaaaaaaarstuvwxyzaaa",
     "01 2F B0 00 23 61 61 61 62 63 64 65 82 66 00 70 61 67 68 69 6A 01 38 08 61 6B 6C 00 30 6D 6E 6F 70 06 71 02 70 "
     "04 10 72 73 74 75 76 10 77 78 79 7A 00 3C"),
    (b"a" * 73, "01 03 B0 02 61 45 00"),
]


@pytest.mark.parametrize(("plain", "packed"), EXAMPLES)
def test_the_examples_of_the_specification(plain: bytes, packed: str) -> None:
    assert compression.decompressed(bytes.fromhex(packed)) == plain
    assert compression.decompressed(compression.compressed(plain)) == plain
    assert len(compression.compressed(plain)) <= len(bytes.fromhex(packed))


@quick
@given(st.text(alphabet=st.sampled_from("ab \r\n=\"'()Fx°"), max_size=200).flatmap(
    lambda text: st.integers(1, 60).map(lambda times: text * times)))
def test_any_text_is_found_again(text: str) -> None:
    data = text.encode("cp1252")
    assert compression.decompressed(compression.compressed(data)) == data


@pytest.mark.parametrize("data", [b"", b"\x02abc", b"\x01\x03\xb0\x01\x00\x70"])
def test_what_is_no_compressed_text_is_refused(data: bytes) -> None:
    with pytest.raises(project.BadProject):
        compression.decompressed(data)


# Compound files -----------------------------------------------------------------------------------------

names = st.text(alphabet="abcXYZ_0", min_size=1, max_size=12)
long = st.integers(0, 9000).map(lambda size: bytes(i % 251 for i in range(size)))
paths = st.one_of(names.map(str.upper), names.map(lambda name: f"VBA/{name.upper()}"))


@quick
@given(st.dictionaries(paths, st.one_of(st.binary(max_size=200), long), max_size=12))
def test_compound_files_are_read_the_same_by_others(streams: dict[str, bytes]) -> None:
    if "VBA" in streams:
        return  # a stream and a storage of one name
    data = compound.write(streams)
    assert compound.read(data) == streams
    with olefile.OleFileIO(io.BytesIO(data), raise_defects=olefile.DEFECT_UNSURE) as other:
        assert {"/".join(path): other.openstream(path).read() for path in other.listdir()} == streams
        assert not other.parsing_issues


@pytest.mark.parametrize("name", ["quickstart_addin.xlam", "quickstart_standalone.xlsm", "addin/xlwings.xlam"])
def test_files_of_others_are_read(name: str) -> None:
    template = package.template_for(".xlam").with_name("x").parent / name
    with zipfile.ZipFile(template) as parts:
        data = parts.read("xl/vbaProject.bin")
    with olefile.OleFileIO(io.BytesIO(data)) as other:
        expected = {"/".join(path): other.openstream(path).read() for path in other.listdir()}
    assert compound.read(data) == expected
    assert all(text.startswith("Attribute VB_Name = ") for text in project.modules(data).values())


@pytest.mark.parametrize("cut", [0, 8, 100, 512, 600, 1500])
def test_damaged_compound_files_are_refused(cut: int) -> None:
    data = compound.write({"A": b"x" * 5000, "B/C": b"y" * 100})
    with pytest.raises(compound.BadCompound):
        compound.read(data[:cut])


# The built files ----------------------------------------------------------------------------------------


@each_file
def test_parts_are_well_formed_and_all_there(folder: Path, name: str) -> None:
    with zipfile.ZipFile(folder / name) as parts:
        assert parts.testzip() is None
        present = set(parts.namelist())
        assert len(present) == len(parts.namelist())
        for part in present:
            if part.endswith((".xml", ".rels")):
                etree.fromstring(parts.read(part))
        types = etree.fromstring(parts.read("[Content_Types].xml"))
        named = [one for one in types if one.get("PartName")]
        overrides = {one.get("PartName", "").lstrip("/"): one.get("ContentType") for one in named}
        assert set(overrides) <= present
        kind = "addin.macroEnabled" if name.endswith(".xlam") else "sheet.macroEnabled"
        assert kind in str(overrides["xl/workbook.xml"])
        assert overrides["xl/vbaProject.bin"] == "application/vnd.ms-office.vbaProject"
        for links in (part for part in present if part.endswith(".rels")):
            base = posixpath.dirname(posixpath.dirname(links))
            for link in etree.fromstring(parts.read(links)):
                if link.get("TargetMode") != "External":
                    assert posixpath.normpath(posixpath.join(base, link.get("Target", ""))) in present


@each_file
def test_nothing_of_the_templates_author_is_left(folder: Path, name: str) -> None:
    with zipfile.ZipFile(folder / name) as parts:
        for part in parts.namelist():
            if part.endswith(".xml"):
                text = parts.read(part).decode("utf-8").casefold()
                assert r"c:\users" not in text
                assert "creator>" not in text
                assert "lastmodifiedby>" not in text


@each_file
def test_macros_are_those_that_were_made(folder: Path, name: str) -> None:
    found = package.macros(folder / name)
    for module, text in vba.module_texts(CATALOGUE.values()).items():
        assert found[module] == text
    assert 'PROJECT_NAME As String = "pailbook"' in found["xlwings"]
    assert "Private Sub Workbook_Open()" in found["ThisWorkbook"]
    assert "RunPython" not in found["Module1"]
    with zipfile.ZipFile(package.template_for(Path(name).suffix)) as parts:
        before = project.modules(parts.read("xl/vbaProject.bin"))
    changed = {module for module in found if found[module] != before.get(module)}
    assert changed == {vba.FUNCTIONS, vba.TEXTS, "xlwings", "ThisWorkbook", "Module1"}
    lines = zip(found["xlwings"].splitlines(), before["xlwings"].splitlines(), strict=True)
    assert [one for one, other in lines if one != other] == ['Public Const PROJECT_NAME As String = "pailbook"']


@each_file
def test_the_macros_project_lists_its_modules_and_holds_nothing_compiled(folder: Path, name: str) -> None:
    with zipfile.ZipFile(folder / name) as parts:
        data = parts.read("xl/vbaProject.bin")
    with olefile.OleFileIO(io.BytesIO(data), raise_defects=olefile.DEFECT_UNSURE) as other:
        listed = other.openstream("PROJECT").read().decode("cp1252").split("\r\n")
        names = other.openstream("PROJECTwm").read()
        streams = {path[1] for path in other.listdir() if path[0] == "VBA"}
        assert other.openstream("VBA/_VBA_PROJECT").read()[:5].hex() == "cc61ffff00"
    assert 'Name="Pailbook"' in listed
    for module in (vba.FUNCTIONS, vba.TEXTS):
        assert f"Module={module}" in listed
        assert module.encode("cp1252") + b"\0" + (module + "\0").encode("utf-16-le") in names
    assert names.endswith(b"\0\0")
    assert streams == {*package.macros(folder / name), "_VBA_PROJECT", "dir"}


@each_file
def test_settings_stand_in_their_sheet(folder: Path, name: str) -> None:
    copy = io.BytesIO((folder / name).read_bytes())
    if name.endswith(".xlam"):  # the library wants another type; the rest of the file is the same
        copy = io.BytesIO()
        with zipfile.ZipFile(folder / name) as parts, zipfile.ZipFile(copy, "w") as made:
            for part in parts.namelist():
                made.writestr(part, parts.read(part).replace(b"ms-excel.addin.macro", b"ms-excel.sheet.macro"))
    book = openpyxl.load_workbook(copy)
    assert "pailbook.conf" in book.sheetnames
    assert [tuple(cell.value for cell in row) for row in book["pailbook.conf"].iter_rows()] == list(SETTINGS.items())
    assert package.settings_of(folder / name) == SETTINGS


@pytest.mark.libreoffice
@each_file
def test_libreoffice_opens_it(folder: Path, name: str, tmp_path: Path) -> None:
    calc.needed()
    reader = "--infilter=Calc MS Excel 2007 VBA XML"  # by itself it knows the ending .xlam of no file, whoever made it
    arguments = [*driver.make_profile(tmp_path), reader, "--convert-to", "xlsx", "--outdir", str(tmp_path / "out")]
    with driver.running(driver.needed().program, [*arguments, str(folder / name)]) as process:
        process.wait(timeout=120)
    made = openpyxl.load_workbook(tmp_path / "out" / f"{Path(name).stem}.xlsx")
    assert made["pailbook.conf"]["B1"].value == SETTINGS["Interpreter_Win"]


# What cannot be built -----------------------------------------------------------------------------------


def test_a_file_that_is_there_is_not_replaced_unasked(tmp_path: Path) -> None:
    target = tmp_path / package.ADDIN
    target.write_text("mine")
    with pytest.raises(BadInput, match="already exists"):
        package.build(target, SETTINGS)
    assert target.read_text() == "mine"
    package.build(target, SETTINGS, overwrite=True)
    assert package.macros(target)
    assert [path.name for path in tmp_path.iterdir()] == [package.ADDIN]


def test_other_kinds_of_files_are_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"expected \.xlam or \.xlsm"):
        package.build(tmp_path / "a.xlsx", SETTINGS)


def test_without_xlwings_it_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(package, "find_spec", lambda name: None)
    with pytest.raises(BadInput, match="xlwings is not installed"):
        package.build(tmp_path / package.ADDIN, SETTINGS)


@pytest.mark.parametrize("damage", ["no macros", "no settings sheet", "no zip", "another name"])
def test_an_unexpected_template_is_named(damage: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source, template = package.template_for(".xlam"), tmp_path / "template.xlam"
    with zipfile.ZipFile(source) as parts, zipfile.ZipFile(template, "w") as made:
        for part in parts.namelist():
            data = parts.read(part)
            if part == "xl/vbaProject.bin":
                if damage == "no macros":
                    continue
                if damage == "another name":
                    text = project.modules(data)["xlwings"].replace("PROJECT_NAME", "OTHER_NAME")
                    data = project.with_modules(data, {"xlwings": text}, "Other")
            if damage == "no settings sheet":
                data = data.replace(b".conf", b".else")
            made.writestr(part, data)
    if damage == "no zip":
        template.write_bytes(b"nothing")
    monkeypatch.setattr(package, "template_for", lambda suffix: template)
    with pytest.raises(BadInput, match="is not as expected"):
        package.build(tmp_path / package.ADDIN, SETTINGS)
    assert not (tmp_path / package.ADDIN).exists()


def test_a_template_in_another_code_page_is_refused() -> None:
    with zipfile.ZipFile(package.template_for(".xlam")) as parts:
        streams: dict[str, Any] = compound.read(parts.read("xl/vbaProject.bin"))
    directory = compression.decompressed(streams["VBA/dir"])
    at = directory.index(b"\x03\x00\x02\x00\x00\x00\xe4\x04")
    streams["VBA/dir"] = compression.compressed(directory[:at + 6] + b"\xe3\x04" + directory[at + 8:])
    with pytest.raises(project.BadProject, match="code page"):
        project.with_modules(compound.write(streams), {}, "Other")
