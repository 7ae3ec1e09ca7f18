"""What matters of the computer on which Excel runs: its folders, its Python, its settings.

All that differs between computers goes through a `Computer`, so that each case can be tested anywhere.
"""

from __future__ import annotations

import contextlib
import importlib
import importlib.metadata
import os
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pailbook.hosts.excel.package import ADDIN

WINDOWS, MAC = "win32", "darwin"
OFFICE = r"Software\Microsoft\Office\16.0"  # of 2016 and every later one
POLICIES = r"Software\Policies\Microsoft\Office\16.0"
_PROGRAM = r"Software\Microsoft\Windows\CurrentVersion\App Paths\excel.exe"
_SYNCED = ("OneDrive", "OneDriveConsumer", "OneDriveCommercial")
_STORE = "windowsapps"
_ALL_OFF = 4


def registry(key: str, name: str) -> Any:
    """A setting of the current user of Windows, or of all its users; None if there is none, or no Windows."""
    if sys.platform != WINDOWS:
        return None
    winreg: Any = importlib.import_module("winreg")
    for root in (winreg.HKEY_CURRENT_USER, winreg.HKEY_LOCAL_MACHINE):
        with contextlib.suppress(OSError), winreg.OpenKey(root, key) as opened:
            return winreg.QueryValueEx(opened, name)[0]
    return None


def xlwings_version() -> str:
    """The version of the installed xlwings, empty if it is not installed."""
    try:
        return importlib.metadata.version("xlwings")
    except importlib.metadata.PackageNotFoundError:
        return ""


@dataclass(frozen=True)
class Computer:
    """A computer; by default this one."""

    platform: str = sys.platform
    executable: Path = Path(sys.executable)
    environment: Mapping[str, str] = field(default_factory=lambda: dict(os.environ))
    setting: Callable[[str, str], Any] = registry
    xlwings: str = xlwings_version()
    package: Path = Path(__file__).parents[2]

    @property
    def has_excel(self) -> bool:
        """Whether Excel is installed, according to Windows."""
        return bool(self.setting(_PROGRAM, ""))

    @property
    def startup_folder(self) -> Path | None:
        """The folder whose workbooks Excel opens whenever it starts, and whose macros it trusts; None if unknown."""
        roaming = self.environment.get("APPDATA")
        return Path(roaming) / "Microsoft" / "Excel" / "XLSTART" if roaming else None

    @property
    def addin(self) -> Path | None:
        """Where the add-in is or would be installed; None if unknown."""
        folder = self.startup_folder
        return None if folder is None else folder / ADDIN

    @property
    def other_addin(self) -> Path | None:
        """A second copy of the add-in, in the folder of add-ins that are switched on by hand; None without one."""
        roaming = self.environment.get("APPDATA")
        path = Path(roaming or "") / "Microsoft" / "AddIns" / ADDIN
        return path if roaming and path.exists() else None

    @property
    def interpreter(self) -> Path:
        """The Python that the add-in starts: this one, in its form without a window where it has one."""
        windowless = self.executable.with_name("pythonw.exe")
        return windowless if windowless.exists() else self.executable

    @property
    def python_is_from_store(self) -> bool:
        """Whether this Python came from the app store of Windows, which other programs cannot start as they must."""
        return _STORE in str(self.executable).casefold()

    @property
    def missing_libraries(self) -> list[str]:
        """Those of the two libraries of the bridge that are neither beside this Python nor one folder above it."""
        folders = (self.executable.parent, self.executable.parent.parent)
        names = [f"xlwings{bits}-{self.xlwings}.dll" for bits in (64, 32)]
        return [name for name in names if not any((folder / name).exists() for folder in folders)]

    @property
    def synced_folder(self) -> Path | None:
        """The folder, synchronised with a server, in which this Python or the package is; None if in none."""
        for name in _SYNCED:
            root = self.environment.get(name)
            if root and any(path.is_relative_to(root) for path in (self.package, self.executable)):
                return Path(root)
        return None

    @property
    def macros_are_off(self) -> bool:
        """Whether Excel runs no macros at all, not even those of trusted folders."""
        return self._security("VBAWarnings") == _ALL_OFF and bool(
            self._security("AllLocationsDisabled", "Trusted Locations")
        )

    @property
    def may_import(self) -> bool:
        """Whether programs may write macros into open workbooks, which only importing by hand needs."""
        return bool(self._security("AccessVBOM"))

    def _security(self, name: str, below: str = "") -> Any:
        for start in (POLICIES, OFFICE):  # what an administrator has set comes first
            value = self.setting("\\".join(filter(None, (start, "Excel", "Security", below))), name)
            if value is not None:
                return value
        return None
