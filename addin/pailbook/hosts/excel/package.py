"""The add-in (.xlam) and the workbook with macros (.xlsm), built from the templates inside the installed xlwings.

A template is edited inside its zip: our macros are put beside its own, and its settings sheet gets our settings.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Mapping
from importlib.util import find_spec
from pathlib import Path
from xml.sax.saxutils import escape, unescape

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.files import check_free, replacing
from pailbook.function import CATALOGUE
from pailbook.hosts.excel import compound, project, vba
from pailbook.outcomes import BadInput

NAME = "Pailbook"
ADDIN, WORKBOOK = f"{NAME}.xlam", f"{NAME}.xlsm"
_TEMPLATES = {".xlam": "quickstart_addin.xlam", ".xlsm": "quickstart_standalone.xlsm"}
_MACROS, _CORE = "xl/vbaProject.bin", "docProps/core.xml"
_BOOK, _LINKS = "xl/workbook.xml", "xl/_rels/workbook.xml.rels"
_PROJECT_NAME = re.compile(r'(Public Const PROJECT_NAME As String = )"[^"]*"')
_BRIDGE, _SAMPLE, _OPENING = "xlwings", "Module1", "ThisWorkbook"
_SETTINGS_SHEET = re.compile(r'<sheet name="_?\w+\.conf"([^>]*? r:id="(\w+)")')
_FOLDER_OF_AUTHOR = re.compile(rb"<mc:AlternateContent\b.*?</mc:AlternateContent>", re.DOTALL)
_NO_CORE = b"""<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" \
xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title>Pailbook</dc:title></cp:coreProperties>"""


class CannotBuild(BadInput):
    """The add-in cannot be built on this computer; the message says what is missing."""


def build(target: Path, settings: Mapping[str, str], *, overwrite: bool = False) -> None:
    """Write the add-in or, where the target ends in .xlsm, a workbook that carries the functions itself.

    Parameters
    ----------
    target : the file to write, in full or not at all.
    settings : what the bridge to Python reads from its settings sheet, such as `Interpreter_Win`.
    overwrite : whether an existing file may be replaced.

    Raises
    ------
    CannotBuild
        When xlwings is missing, its template is not as expected, or the file exists.
    """
    target = Path(target)
    template = template_for(target.suffix.lower())
    make_folder(target.parent)
    check_free(target, overwrite=overwrite, error=CannotBuild)
    try:
        with zipfile.ZipFile(template) as source:
            changed = _changed({name: source.read(name) for name in source.namelist()}, settings)
        with replacing(target, overwrite=overwrite, error=CannotBuild) as file, \
                zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as made:
            for name, content in changed.items():
                made.writestr(name, content)
    except (KeyError, zipfile.BadZipFile, project.BadProject, compound.BadCompound) as reason:
        raise CannotBuild(f"the template {template} of the installed xlwings is not as expected: {reason}; "
                          "install another version of xlwings") from None


def make_folder(folder: Path) -> None:
    """Makes the folder if it does not exist. CannotBuild if it cannot be made."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise CannotBuild(f"{folder} is a file; expected the name of a folder") from None
    except OSError as reason:
        raise CannotBuild(f"the folder {folder} cannot be created: {reason.strerror or reason}") from None


def template_for(suffix: str) -> Path:
    """The template inside the installed xlwings for files that end so."""
    if suffix not in _TEMPLATES:
        raise CannotBuild(f"a file that ends in {suffix!r} cannot be built; expected .xlam or .xlsm")
    spec = find_spec("xlwings")
    if spec is None or not spec.origin:
        raise CannotBuild("xlwings is not installed in this Python; install it with: pip install xlwings")
    path = Path(spec.origin).with_name(_TEMPLATES[suffix])
    if not path.exists():
        raise CannotBuild(f"{path} is missing; install xlwings again with: pip install --force-reinstall xlwings")
    return path


def macros(path: Path) -> dict[str, str]:
    """The text of each module of macros in a workbook's file, by the module's name."""
    with zipfile.ZipFile(path) as package:
        return project.modules(package.read(_MACROS))


def settings_of(path: Path) -> dict[str, str]:
    """What a built file's settings sheet says.

    Raises
    ------
    BadProject
        When it has none.
    """
    with zipfile.ZipFile(path) as package:
        book = package.read(_BOOK).decode("utf-8")
        found = _SETTINGS_SHEET.search(book)
        if found is None:
            raise project.BadProject(f"{path} has no sheet for settings")
        sheet = package.read("xl/" + _target(package.read(_LINKS).decode("utf-8"), found[2])).decode("utf-8")
    texts = [unescape(text) for text in re.findall(r'<t xml:space="preserve">([^<]*)</t>', sheet)]
    return dict(zip(texts[::2], texts[1::2]))


def expected_macros() -> dict[str, str]:
    """The text of our own modules, as they are built from the catalogue."""
    return vba.module_texts(CATALOGUE.values())


def _changed(parts: dict[str, bytes], settings: Mapping[str, str]) -> dict[str, bytes]:
    present = project.modules(parts[_MACROS])
    bridge, count = _PROJECT_NAME.subn(rf'\1"{NAME.lower()}"', present[_BRIDGE])
    if count != 1:
        raise project.BadProject(f"its module {_BRIDGE} does not name its project once")
    texts = expected_macros()
    texts[_BRIDGE] = bridge
    texts[_OPENING] = present[_OPENING] + vba.ON_OPENING.replace("\n", "\r\n")
    if _SAMPLE in present:  # a sample call; a module cannot be taken out, but it can be empty
        texts[_SAMPLE] = f'Attribute VB_Name = "{_SAMPLE}"\r\n'
    parts[_MACROS] = project.with_modules(parts[_MACROS], texts, NAME)
    book = _FOLDER_OF_AUTHOR.sub(b"", parts[_BOOK]).decode("utf-8")
    found = _SETTINGS_SHEET.search(book)
    if found is None:
        raise project.BadProject("it has no sheet for settings")
    parts[_BOOK] = _SETTINGS_SHEET.sub(rf'<sheet name="{NAME.lower()}.conf"\1', book).encode("utf-8")
    name = "xl/" + _target(parts[_LINKS].decode("utf-8"), found[2])
    sheet = parts[name].decode("utf-8")
    rows = "".join(
        f'<row r="{i}">{_text(f"A{i}", key)}{_text(f"B{i}", value)}</row>'
        for i, (key, value) in enumerate(settings.items(), start=1)
    )
    sheet = re.sub(r"<sheetData>.*</sheetData>", lambda _: f"<sheetData>{rows}</sheetData>", sheet, flags=re.DOTALL)
    sheet = re.sub(r"<dimension [^>]*/>", f'<dimension ref="A1:B{max(len(settings), 1)}"/>', sheet)
    parts[name] = sheet.encode("utf-8")
    parts[_CORE] = _NO_CORE
    return parts


def _target(links: str, number: str) -> str:
    for link in re.findall(r"<Relationship [^>]*>", links):
        if f'Id="{number}"' in link:
            return re.sub(r'.*Target="([^"]*)".*', r"\1", link)
    raise project.BadProject(f"its settings sheet {number} is not among its parts")


def _text(address: str, text: str) -> str:
    return f'<c r="{address}" t="inlineStr"><is><t xml:space="preserve">{escape(text)}</t></is></c>'
