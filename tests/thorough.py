"""How much is tried: all in CI and with --long, otherwise a part that stands for it."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Sequence
from functools import wraps
from inspect import signature
from typing import Any, TypeVar

import pytest

T = TypeVar("T")
Test = Callable[..., None]
TOLD = "PAILBOOK_LONG"  # set by --long for all processes of a run


def thorough() -> bool:
    """Whether all is tried."""
    return os.environ.get("CI") == "true" or TOLD in os.environ


def examples(count: int) -> int:
    """How many random cases of so many are tried."""
    return count if thorough() else max(3, count // 8)


def part(items: Sequence[T], most: int) -> Sequence[T]:
    """The items, or so many of them, evenly spread, the first among them."""
    if thorough() or len(items) <= most:
        return items
    return [items[i * len(items) // most] for i in range(most)]


def first(items: Sequence[Any], *more: int) -> list[Any]:
    """Parameters of which the first, and those at the other places given, are tried always, the rest in long runs."""
    return [item if i in (0, *more) else pytest.param(*(item if isinstance(item, tuple) else (item,)),
                                                      marks=pytest.mark.long) for i, item in enumerate(items)]


def each(
    names: str | tuple[str, ...], values: Collection[Any], ids: Callable[[Any], str] = str
) -> Callable[[Test], Test]:
    """Parameters, of which there are many, of a test that takes next to no time.

    In long runs each is a test of its own; otherwise one test tries them all and tells which of them failed: pytest's
    own work for thousands of tests takes longer than the tests.
    """
    if thorough():
        return pytest.mark.parametrize(names, values, ids=ids)
    keys = (names,) if isinstance(names, str) else names

    def in_one_test(test: Test) -> Test:
        @wraps(test)
        def all_of_them(**others: Any) -> None:
            assert values, "nothing to try"
            failed: list[tuple[str, BaseException]] = []
            for value in values:
                own = (value,) if isinstance(names, str) else value
                try:
                    test(**dict(zip(keys, own, strict=True)), **others)
                except (Exception, pytest.fail.Exception) as reason:
                    failed.append(("-".join(map(ids, own)), reason))
            if failed:
                raise AssertionError("\n".join(f"{name}: {reason}" for name, reason in failed)) from failed[0][1]

        own_signature = signature(test)
        all_of_them.__signature__ = own_signature.replace(  # type: ignore[attr-defined]
            parameters=[one for name, one in own_signature.parameters.items() if name not in keys])
        return all_of_them

    return in_one_test
