"""Whether another program shows the value that our engine has."""

from __future__ import annotations

import math
from datetime import datetime
from typing import Any

from pailbook.hosts.cells import ErrorValue


def alike(one: Any, other: Any) -> bool:
    """Whether they are equal to 1e-9; a date is its serial number, a blank is no text."""
    if isinstance(other, datetime):
        other = (other - datetime(1899, 12, 30)).total_seconds() / 86400
    if isinstance(one, ErrorValue):
        return str(one) == str(other)
    if isinstance(one, float) and isinstance(other, (int, float)):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)
    return bool((one or "") == (other or ""))
