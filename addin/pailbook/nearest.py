"""The known names, for a message to somebody who gave another; the nearest one becomes a question."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

_LISTED = 12  # of a longer list only the nearest name is given


def nearest(given: str, known: Iterable[str]) -> str:
    """A question that offers the known name most like the given one; empty if none is like it."""
    names = {name.casefold(): name for name in known}
    near = difflib.get_close_matches(given.strip().casefold(), names, n=1, cutoff=0.6)
    return f"did you mean {names[near[0]]}?" if near else ""


def there_are(given: str, known: Iterable[str]) -> str:
    """The end of a message about a name that is not known: the known names, and the nearest one as a question."""
    names = list(known)
    listed = f"expected one of: {', '.join(names)}" if 0 < len(names) <= _LISTED else ""
    return "; ".join(filter(None, (listed, nearest(given, names)))) or "no name is like it"
