"""What the check of a workbook finds, and in which order and number it is told."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

ACT, WATCH, NOTE = "act", "watch", "note"
SERIOUSNESS = (ACT, WATCH, NOTE)
TOLD = 10  # findings of a kind that are told one by one


@dataclass(frozen=True)
class Finding:
    """Something wrong or doubtful.

    sheet, cell : where; the cell may be a range. Both are empty for the workbook as a whole.
    seriousness : "act", "watch" or "note".
    kind : what sort of thing it is, in a word or two.
    what, remedy : in plain words.
    more : how many further ones of its kind and seriousness are not told.
    """

    sheet: str
    cell: str
    seriousness: str
    kind: str
    what: str
    remedy: str
    more: int = 0

    @property
    def place(self) -> str:
        """Such as Water tests!E14; "" for the workbook as a whole."""
        return f"{self.sheet}!{self.cell}" if self.cell else self.sheet


def told(findings: Iterable[Finding], most: int | None = TOLD) -> list[Finding]:
    """The findings, most serious first, else in the order in which they come; of a kind only so many.

    The last one told of a kind says how many more there are. None for `most` tells all.
    """
    ordered = sorted(dict.fromkeys(findings), key=lambda finding: SERIOUSNESS.index(finding.seriousness))
    if most is None:
        return ordered
    counts = Counter((finding.seriousness, finding.kind) for finding in ordered)
    seen: Counter[tuple[str, str]] = Counter()
    kept = []
    for finding in ordered:
        sort = finding.seriousness, finding.kind
        seen[sort] += 1
        if seen[sort] <= most:
            last = seen[sort] == most
            kept.append(replace(finding, more=counts[sort] - most) if last else finding)
    return kept
