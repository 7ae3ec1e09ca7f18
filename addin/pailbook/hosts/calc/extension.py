"""The extension file for LibreOffice, made from the catalogue and the modules that the functions need."""

from __future__ import annotations

import ast
import io
import os
from collections.abc import Iterator
from importlib.metadata import distribution
from pathlib import Path
from zipfile import ZIP_STORED, ZipFile, ZipInfo

import pailbook
import pailbook.functions  # fills the catalogue
from pailbook.files import replacing
from pailbook.function import CATALOGUE
from pailbook.hosts.calc.interface import interface_text
from pailbook.hosts.calc.program import LEAST_VERSION_TEXT, OfficeError

IDENTIFIER = "pailbook.functions"  # by which LibreOffice knows the extension again; it never changes
_COMPONENT = "pailbook.hosts.calc.component"
_PACKAGE = Path(pailbook.__file__).parent
_LONG_AGO = (1980, 1, 1, 0, 0, 0)  # the same in every file, so that the same functions make the same bytes

_MANIFEST = """<?xml version="1.0" encoding="UTF-8"?>
<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">
<manifest:file-entry manifest:full-path="functions.idl"
 manifest:media-type="application/vnd.sun.star.uno-typelibrary;type=RDB"/>
<manifest:file-entry manifest:full-path="component.py"
 manifest:media-type="application/vnd.sun.star.uno-component;type=Python"/>
</manifest:manifest>
"""
_DESCRIPTION = """<?xml version="1.0" encoding="UTF-8"?>
<description xmlns="http://openoffice.org/extensions/description/2006"
 xmlns:lo="http://libreoffice.org/extensions/description/2011" xmlns:d="http://openoffice.org/extensions/description/2006"
 xmlns:xlink="http://www.w3.org/1999/xlink">
<identifier value="{identifier}"/>
<version value="{version}"/>
<platform value="all"/>
<dependencies><lo:LibreOffice-minimal-version value="{least}" d:name="LibreOffice {least}"/></dependencies>
<display-name><name lang="en">Pailbook: functions for growing fish and plants together</name></display-name>
<extension-description><src xlink:href="description.txt" lang="en"/></extension-description>
</description>
"""


def build(target: str | os.PathLike[str], *, overwrite: bool = False) -> Path:
    """Write the extension file.

    Raises
    ------
    OfficeError
        When the file exists and must not be replaced, its name does not end in .oxt, or it cannot be written.
    """
    path = Path(target)
    if path.suffix.lower() != ".oxt":
        raise OfficeError(f"{path}: an extension for LibreOffice is an .oxt file; give a name that ends in .oxt")
    with replacing(path, overwrite=overwrite, error=OfficeError) as out:
        out.write(content())
    return path


def content() -> bytes:
    """The extension's bytes, the same for the same functions."""
    memory = io.BytesIO()
    with ZipFile(memory, "w", ZIP_STORED) as out:  # not packed: packing differs from computer to computer
        for name, text in sorted(_parts().items()):
            entry = ZipInfo(name, _LONG_AGO)
            entry.external_attr, entry.create_system = 0o100644 << 16, 3
            out.writestr(entry, text.replace("\r\n", "\n").encode())
    return memory.getvalue()


def _parts() -> dict[str, str]:
    parts = {
        "META-INF/manifest.xml": _MANIFEST,
        "description.xml": _DESCRIPTION.format(
            identifier=IDENTIFIER, version=pailbook.__version__, least=LEAST_VERSION_TEXT),
        "description.txt": f"{len(CATALOGUE)} worksheet functions for people who grow fish and plants together.\n",
        "LICENSE": _license(),
        "functions.idl": interface_text(CATALOGUE.values()),
        "component.py": _file(_COMPONENT).read_text(encoding="utf-8"),
    }
    for module in sorted(modules()):
        path = _file(module)
        parts[f"pythonpath/{path.relative_to(_PACKAGE.parent).as_posix()}"] = path.read_text(encoding="utf-8")
    return parts


def modules() -> set[str]:
    """The modules that the component needs: those that it imports, those that they import, and their packages.

    What is imported within a function is not needed here: NumPy, and what only it serves.
    """
    found: set[str] = set()
    open_ones = set(_imports(_COMPONENT))
    while open_ones:
        module = open_ones.pop()
        found.add(module)
        open_ones |= set(_imports(module)) - found
    return found


def _imports(module: str) -> Iterator[str]:
    for node in ast.parse(_file(module).read_text(encoding="utf-8")).body:
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        for name in names:
            if name.split(".")[0] == "pailbook" and _file(name).exists():
                parts = name.split(".")
                yield from (".".join(parts[:i]) for i in range(1, len(parts) + 1))


def _file(module: str) -> Path:
    path = _PACKAGE.parent.joinpath(*module.split("."))
    return path / "__init__.py" if path.is_dir() else path.with_suffix(".py")


def _license() -> str:
    text = distribution("pailbook").read_text("licenses/LICENSE")
    if text is None:
        raise OfficeError("the LICENSE file of this installation of Pailbook is missing; install Pailbook again")
    return text
