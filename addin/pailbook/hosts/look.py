"""How a part of this computer stands: the words of `pailbook ready`."""

from __future__ import annotations

from typing import NamedTuple

from pailbook.terms import ACT, FINE, NOT_KNOWN, WATCH

STATES = {
    FINE: "it works, or nothing is needed",
    WATCH: "it is not installed or needs a look; everything else works",
    NOT_KNOWN: "it could not be checked",
    ACT: "it does not work, though it is installed or you asked for it",
}
NOT_INSTALLED = "not installed"


class Look(NamedTuple):
    """One part of the computer: how it stands, in words too, and what to do about it.

    missing : whether it is not installed, which calls for action where it was asked for.
    """

    what: str
    state: str
    found: str
    remedy: str = ""
    missing: bool = False


def not_installed(what: str, remedy: str, found: str = NOT_INSTALLED) -> Look:
    """A part that is not installed, and what to do to have it."""
    return Look(what, WATCH, found, remedy, missing=True)
