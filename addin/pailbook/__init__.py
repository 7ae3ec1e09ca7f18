"""Worksheet functions and workbooks for people who grow fish and plants together.

Every function of the catalogue is here by its name in lower case, for numbers and columns:

>>> import pailbook
>>> pailbook.ammonia_fraction(7.6, 26.0)
"""

from __future__ import annotations

from importlib.util import find_spec
from typing import Any

__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    """A function of the catalogue, checked; NumPy and the catalogue are imported only when one is asked for."""
    if name.startswith("_") or name != name.lower() or find_spec(f"{__name__}.{name}"):
        raise AttributeError(name)  # of a module: `from pailbook import ops` asks here first, and goes on by itself
    import pailbook.functions  # noqa: F401 - fills the catalogue
    from pailbook.function import CATALOGUE
    from pailbook.hosts.frames import checked

    if name.upper() not in CATALOGUE:
        raise AttributeError(f"pailbook has no function {name!r}; `pailbook functions` lists them")
    return checked(CATALOGUE[name.upper()])
