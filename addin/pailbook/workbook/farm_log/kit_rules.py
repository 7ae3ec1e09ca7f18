"""The rule of a test kit or meter: whether its entries, its use-by date, its basis and its resolution will do."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.quantity import Quantity
from pailbook.rules import (
    Rungs,
    Unusable,
    act,
    dated,
    fine,
    is_blank,
    needs,
    not_asked,
    only_where,
    rule,
    say,
    shown,
    watch,
)
from pailbook.workbook.farm_log import limits, settings
from pailbook.workbook.farm_log.entries import entered
from pailbook.workbook.farm_log.kit_columns import ALL_BASES, COLUMNS, NOT_IN_USE, READS
from pailbook.workbook.farm_log.questions import COUNT, Today

PH, NO_BASIS = "pH", "none"
ENTERED = ("kit", "reads", "basis", "resolution", "low", "high", "expiry", "in_use")
LogBasis = Annotated[str, Quantity("basis", choices=(*ALL_BASES, NO_BASIS)), "the basis of its readings",
                     Unusable(f"on the sheet {settings.SHEET}")]
_ASKED = entered(COLUMNS, ENTERED) | {
    "kits_in_use": Annotated[float, COUNT, "kits in use for the same reading"],
    "log_basis": LogBasis,
    "today": Today, "kit_days": limits.asked("kit_days"), "ph_step": limits.asked("ph_step"),
}


def _matters(end: str, reads: Any) -> Any:
    """Whether that end of the kit's range matters: the true value of what it reads may lie beyond it."""
    first, *others = (reads == one.label for one in READS if end in one.ends)
    for other in others:
        first = first | other
    return first


@rule("Kit", asks=_ASKED)
def kit(
    kit: Any, reads: Any, basis: Any, resolution: Any, low: Any, high: Any, expiry: Any, in_use: Any,
    kits_in_use: Any, log_basis: Any, today: Any, kit_days: Any, ph_step: Any,
) -> Rungs:
    """Whether readings of a kit in use can be relied on."""
    has_basis, is_dated, of_ph = log_basis != NO_BASIS, ~is_blank(expiry), reads == PH
    left = ops.floor(expiry) - ops.floor(today)  # it is good to the end of its use-by day
    return (
        needs(kit, reads, basis, resolution, low, high, expiry, in_use),
        not_asked(in_use == NOT_IN_USE, "not in use"),
        not_asked(is_blank(in_use), "not marked as in use"),
        watch(is_blank(reads), "enter what it reads"),
        act(kits_in_use > 1, "two kits are in use for the same reading; set one to no",
            "Set all but one of them to no"),
        act(has_basis & (basis != log_basis), say("reads ", basis, ", Settings say ", log_basis,
                                                  "; convert, or set both alike"),
            "Convert each reading before you type it, or set both alike"),
        *only_where(is_dated, needs(today, kit_days)),
        *only_where(of_ph, needs(ph_step)),
        watch(is_blank(kit), "enter its name"),
        watch(has_basis & is_blank(basis), "enter the basis on its label"),
        watch(has_basis & is_blank(expiry), "enter its use-by date"),
        *only_where(
            is_dated,
            watch(left < 0, say("expired ", dated(expiry), "; replace it")),
            watch(left <= kit_days, say("expires in ", shown(left, 0), ops.where(left == 1, " day", " days"))),
        ),
        *only_where(
            of_ph,
            watch(resolution > ph_step, say("with a resolution of ", shown(resolution, 4),
                                            " it cannot show a change of ", shown(ph_step, 4))),
            watch(is_blank(resolution), "enter its resolution"),
        ),
        watch(_matters("low", reads) & is_blank(low), "enter its lowest reading"),
        watch(_matters("high", reads) & is_blank(high), "enter its highest reading"),
        fine(),
    )
