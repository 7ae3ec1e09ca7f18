"""The known names, for a message to somebody who gave another; the nearest one becomes a question."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

_TOLD = 12  # of longer lists the nearest alone is told


def nearest(given: str, known: Iterable[str]) -> str:
    """A question for the known name that is written most like the given one; empty where there is none."""
    names = {name.casefold(): name for name in known}
    near = difflib.get_close_matches(given.strip().casefold(), names, n=1, cutoff=0.6)
    return f"did you mean {names[near[0]]}?" if near else ""


def there_are(given: str, known: Iterable[str]) -> str:
    """What there is in place of a name that is not known, and the nearest as a question: the end of a message."""
    names = list(known)
    told = f"expected one of: {', '.join(names)}" if 0 < len(names) <= _TOLD else ""
    return "; ".join(filter(None, (told, nearest(given, names)))) or "no name is like it"
