"""How much is tried: all in CI and with --long, otherwise a part that stands for it."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import Any, TypeVar

import pytest

T = TypeVar("T")
TOLD = "PAILBOOK_LONG"  # set by --long for all processes of a run


def thorough() -> bool:
    """Whether all is tried."""
    return os.environ.get("CI") == "true" or TOLD in os.environ


def examples(count: int) -> int:
    """How many random cases of so many are tried."""
    return count if thorough() else max(3, count // 5)


def part(items: Sequence[T], most: int) -> Sequence[T]:
    """The items, or so many of them, evenly spread, the first among them."""
    if thorough() or len(items) <= most:
        return items
    return [items[i * len(items) // most] for i in range(most)]


def first(items: Sequence[Any], *more: int) -> list[Any]:
    """Parameters of which the first, and those at the other places given, are tried always, the rest in long runs."""
    return [item if i in (0, *more) else pytest.param(*(item if isinstance(item, tuple) else (item,)),
                                                      marks=pytest.mark.long) for i, item in enumerate(items)]
