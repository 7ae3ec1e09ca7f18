"""What fields are called elsewhere: without the number of their question on Start, and within a sentence."""

from __future__ import annotations

import re

from pailbook.workbook.form import Field


def label(item: Field) -> str:
    """What a field's value is called, without the number of a question on Start."""
    return re.sub(r"^\d+[ab]?\s+", "", item.label)


def in_a_sentence(words: str) -> str:
    """A label within a sentence: its first letter is small unless it begins an abbreviation."""
    return words if words[1:2].isupper() else words[0].lower() + words[1:]
