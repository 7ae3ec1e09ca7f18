"""`pailbook install`: what it puts in has a module of its own each."""

from __future__ import annotations

from pailbook.commands.app import group
from pailbook.commands.help import FUNCTIONS

install = group(FUNCTIONS, "install", (
    "Put the functions into LibreOffice or Excel.\n\nCompletion by the Tab key is put into the shell likewise."))
