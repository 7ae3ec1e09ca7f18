"""`pailbook install`: each thing that it installs has a module of its own."""

from __future__ import annotations

from pailbook.commands.app import group
from pailbook.commands.help import FUNCTIONS

install = group(FUNCTIONS, "install", (
    "Install the functions in LibreOffice or Excel.\n\n"
    "Completion with the Tab key is installed in your shell in the same way."))
