"""The known names, for a message to somebody who gave another; the nearest ones become a question."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable

_LISTED = 12  # of a longer list only the nearest names are given
_ALIKE, _OFFERED = 0.6, 4  # how alike a name must be, and how many names are offered for one of their words


def nearest(given: str, known: Iterable[str]) -> str:
    """A question that offers the known name most like the given one; empty if none is like it.

    If the given name is more like a word within known names than like any whole name, those names are offered.
    """
    names = {name.casefold(): name for name in known}
    wanted = given.strip().casefold()
    near = difflib.get_close_matches(wanted, names, n=1, cutoff=_ALIKE)
    whole = _likeness(wanted, near[0]) if near else _ALIKE
    by_word = {name: max((_likeness(wanted, word), -place) for place, word in enumerate(_words(name)))
               for name in names if _words(name)}
    best = max((likeness for likeness, _ in by_word.values()), default=0.0)
    if best > whole:
        alike = [name for name, (likeness, _) in by_word.items() if likeness == best]
        near = sorted(alike, key=lambda name: -by_word[name][1])[:_OFFERED]  # names that begin with it first
    if not near:
        return ""
    *others, last = [names[name] for name in near]
    return f"did you mean {', '.join(others)}{' or ' if others else ''}{last}?"


def _words(name: str) -> list[str]:
    return re.findall(r"[^\W_]+", name)


def _likeness(one: str, other: str) -> float:
    return difflib.SequenceMatcher(None, other, one).ratio()


def there_are(given: str, known: Iterable[str]) -> str:
    """The end of a message about a name that is not known: the known names, and the nearest one as a question."""
    names = list(known)
    listed = f"expected one of: {', '.join(names)}" if 0 < len(names) <= _LISTED else ""
    return "; ".join(filter(None, (listed, nearest(given, names)))) or "no name is like it"
