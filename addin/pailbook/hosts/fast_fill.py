"""Formulas that were filled down or across, written for the fast engine by putting each one's addresses in its place.

A long log has the same few formulas in thousands of rows; taking each one apart would cost more than computing it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from operator import itemgetter
from typing import Any, NamedTuple

from openpyxl.utils.cell import coordinate_to_tuple

from pailbook.hosts.areas import Area
from pailbook.hosts.fast_forms import ROWS, STAND_IN_ROW, Form

_UNUSUAL = re.compile(r"[a-z]|[A-Z]{3}|\d{7}")  # in an address: small letters, or as only a name may have


class Filled(NamedTuple):
    """The text for the fast engine of all formulas of one shape on one sheet."""

    form: Form
    template: str  # with %s for each address or row
    order: Callable[[list[str]], Any] | None  # which address goes where, the row being the last of them
    ranges: list[tuple[int, int]]

    def text(self, addresses: list[str], row: int) -> str | None:
        """The formula with these addresses, written as is usual, in a cell of that row; None where a range is not."""
        if not all(_ascend(addresses[first], addresses[last]) for first, last in self.ranges):
            return None
        return self.template % (self.order([*addresses, str(row)]) if self.order else ())

    def can_go_down(self, addresses: list[str], here: str, text: str, written: str) -> bool:
        """Whether the row's number, put in place of `here` wherever that stands, makes the formula of another row.

        It must stand in addresses only: elsewhere it would be a constant, or part of what a name stands for. A range
        of which one end goes down with the row may come to end above where it begins.
        """
        put = self.order([*addresses, here]) if self.order else ()
        put = put if isinstance(put, tuple) else (put,)
        return (text.count(here) == sum(address.count(here) for address in addresses)
                and written.count(here) == sum(one.count(here) for one in put)
                and all((here in addresses[first]) == (here in addresses[last]) for first, last in self.ranges))


def usual(addresses: list[str]) -> bool:
    """Whether all of these are addresses, in capital letters."""
    return not _UNUSUAL.search(" ".join(addresses))


@lru_cache(maxsize=10_000)
def _ascend(first: str, last: str) -> bool:
    """Whether these, as the ends of a range, are its upper left and its lower right cell, and not the same."""
    top, left = coordinate_to_tuple(first.replace("$", ""))
    bottom, right = coordinate_to_tuple(last.replace("$", ""))
    return top <= bottom and left <= right and (top, left) != (bottom, right)


def filled(
    form: Form, sheet: str, ends: Mapping[str, tuple[int, int]], prefix: Mapping[str, str], spell: Callable[[Area], str]
) -> Filled | None:
    """A formula of that form on that sheet, made ready to be filled in; None where each must be taken apart.

    Parameters
    ----------
    ends : the last row and column that each sheet uses.
    prefix : how each sheet is named before an address.
    spell : how a fixed area is written.
    """
    parts: list[str] = []
    order: list[int] = []
    ranges: list[tuple[int, int]] = []
    for before, kind, number in form.slots:
        parts.append(_plain(before))
        if kind == ROWS:
            if number >= 0:
                return None  # the rows of a range, which are listed
            order.append(-1)
            parts.append("%s")
            continue
        reference = form.found.references[number]
        (_, top), _, (_, bottom), _ = reference.ends
        if top > STAND_IN_ROW:
            first, last = top - STAND_IN_ROW - 1, bottom - STAND_IN_ROW - 1
            parts.append(_plain(prefix[reference.sheet]) if reference.sheet not in (None, sheet) else "")
            parts.append("%s" if first == last else "%s:%s")
            order += [first] if first == last else [first, last]
            ranges += [(first, last)] if first != last else []
        elif area := reference.seen_from(sheet, 1, 1):
            parts.append(_plain(spell(area.in_use(*ends[area.sheet]))))  # of a name
        else:
            return None
    text = "=" + "".join(parts) + _plain(form.rest)
    return Filled(form, text, itemgetter(*order) if order else None, ranges)


def _plain(text: str) -> str:
    return text.replace("%", "%%")
