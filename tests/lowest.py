"""The lowest versions that the installed package declares, as constraints for pip: python tests/lowest.py > FILE"""

from __future__ import annotations

import re
import sys
from importlib.metadata import requires
from typing import NamedTuple

_REQUIREMENT = re.compile(r"([\w.-]+) *(\[[^\]]*\])? *(?:>=([\d.]+))?")
_EXTRA = re.compile(r"""extra == ["'](\w+)["']""")


class Declared(NamedTuple):
    """A package that ours needs."""

    name: str  # as indexes compare it
    lowest: str  # "" where any version will do
    extra: str  # "" where it is always needed


def comparable(name: str) -> str:
    """A package's name as indexes compare it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def declared() -> list[Declared]:
    """What the installed package says that it needs, without itself."""
    found = []
    for line in requires("pailbook") or ():
        requirement, extra = _REQUIREMENT.match(line), _EXTRA.search(line)
        if requirement is None:
            raise ValueError(f"{line!r} is no requirement that can be read here; expected NAME>=VERSION")
        found.append(Declared(comparable(requirement[1]), requirement[3] or "", extra[1] if extra else ""))
    return [each for each in found if each.name != "pailbook"]


if __name__ == "__main__":
    sys.stdout.writelines(sorted({f"{each.name}=={each.lowest}\n" for each in declared() if each.lowest}))
