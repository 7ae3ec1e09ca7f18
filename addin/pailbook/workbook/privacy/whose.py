"""Whose a row is: the client's or somebody else's, for example the practitioner's own."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from openpyxl.utils.cell import coordinate_to_tuple

from pailbook.nearest import there_are
from pailbook.outcomes import BadInput
from pailbook.workbook.privacy.grid import Known
from pailbook.workbook.privacy.registers import CLIENT, SYSTEM, Register
from pailbook.workbook.privacy.words import folded
from pailbook.workbook.recalc import own_cells


@dataclass
class Whose:
    """The names of the client and of all others, by their folded form, with their spelling in the file."""

    client: str
    clients: dict[str, str] = field(default_factory=dict)
    systems: dict[str, str] = field(default_factory=dict)  # the client's
    other_systems: dict[str, str] = field(default_factory=dict)  # of others, and those that are on no list

    @property
    def others(self) -> dict[str, str]:
        """Names of other clients and of their systems."""
        return {**self.other_systems, **{key: name for key, name in self.clients.items() if key != self.client}}

    @property
    def own(self) -> dict[str, str]:
        """Names of the client and the client's systems."""
        return {**self.systems, self.client: self.clients[self.client]}

    def is_own(self, register: Register, row: int) -> bool:
        """Whether a row is the client's: by its client where it names one, else by its system."""
        if register.key(row, CLIENT):
            return register.key(row, CLIENT) == self.client
        return register.key(row, SYSTEM) in self.systems

    def is_other(self, value: Any) -> bool:
        """Whether a value is exactly the name of somebody else or of a system of theirs."""
        key = folded(value)
        return key in self.others and key not in self.own

    def is_name(self, value: Any) -> bool:
        """Whether a value is exactly the name of anybody or of any system."""
        return folded(value) in self.others or folded(value) in self.own


def whose(known: Known, registers: Sequence[Register], client: str) -> Whose:
    """The client and the others that a workbook names.

    Raises
    ------
    BadInput
        When it names no such client, or gives one of the client's systems to another client too.
    """
    typed = [register for register in registers if not register.follows]
    found = Whose(folded(client))
    if place := own_cells(known.book).get("client"):  # a plan, which is made for one
        name = known.value(place[0], coordinate_to_tuple(place[1]))
        if isinstance(name, str) and folded(name):
            found.clients[folded(name)] = name.strip()
    for register in typed:
        for row in register.rows:
            if key := register.key(row, CLIENT):
                found.clients.setdefault(key, _shown(register, row, CLIENT))
    if found.client not in found.clients:
        names = sorted(found.clients.values(), key=str.casefold)
        raise BadInput(f"{known.book.path} has no client {client.strip()!r}; "
                       + (there_are(client, names) if names else "it names no client"))
    for register in typed:
        if register.defines:
            _take_systems(register, found)
    for register in typed:
        for row in register.rows if SYSTEM in register.columns else ():
            if (key := register.key(row, SYSTEM)) and key not in found.systems:
                found.other_systems.setdefault(key, _shown(register, row, SYSTEM))
    return found


def _take_systems(register: Register, found: Whose) -> None:
    owners: dict[str, set[str]] = defaultdict(set)
    for row in register.rows:
        if key := register.key(row, SYSTEM):
            owners[key].add(register.key(row, CLIENT))
            if found.client not in owners[key]:
                continue
            if len(owners[key]) > 1:
                raise BadInput(
                    f"{register.grid.address((row, register.columns[SYSTEM]))} in {register.grid.known.book.path}: the "
                    f"system {_shown(register, row, SYSTEM)!r} is entered for this client and for another; give each "
                    "system a name of its own, also in the rows of its readings, before you share")
            found.systems.setdefault(key, _shown(register, row, SYSTEM))


def _shown(register: Register, row: int, what: str) -> str:
    value = register.grid.known.value(register.grid.title, (row, register.columns[what]))
    return f"{value:.15g}" if isinstance(value, float) else str(value).strip()
