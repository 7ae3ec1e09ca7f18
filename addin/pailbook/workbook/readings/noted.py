"""What the note of a test says of a reading that shows no exact number, such as ">10"; written and found again here."""

from __future__ import annotations

import re

_WORDS = "was read as"


def as_noted(label: str, text: str) -> str:
    """The note about a reading of the field with that label; `text` is the reading as it was written."""
    return f"{label} {_WORDS} {text}"


def noted_as(label: str, note: object) -> list[str]:
    """The readings of that field in a test's note, as they were written."""
    found: list[str] = re.findall(rf"(?:^|; ){re.escape(label)} {_WORDS} ([^;]*)", str(note or ""))
    return found
