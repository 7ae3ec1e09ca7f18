"""How something stands that was looked at on this computer: the words of `pailbook ready`."""

from __future__ import annotations

from typing import NamedTuple

FINE, NOTE, ABSENT, ACT = "fine", "note", "absent", "act"
STATES = {
    FINE: "it is there and works",
    NOTE: "good to know",
    ABSENT: "it is not there, and all else works without it",
    ACT: "it does not work, though it is there or you asked for it",
}


class Look(NamedTuple):
    """One thing that was looked at, how it stands, in words too, and what to do about it."""

    what: str
    state: str
    told: str
    remedy: str = ""
