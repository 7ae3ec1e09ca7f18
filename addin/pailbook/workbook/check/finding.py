"""What the check of a workbook finds, and in which order and number it is shown."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from pailbook.terms import ACT, FINE, NOT_ASKED, NOT_KNOWN, WATCH

VERDICTS = (ACT, NOT_KNOWN, WATCH, FINE, NOT_ASKED)  # the most serious first
CALM = (FINE, NOT_ASKED)  # what needs no look: it has passed, or it was not asked
SHOWN = 10  # findings of a kind that are shown one by one


@dataclass(frozen=True)
class Finding:
    """Something wrong or doubtful.

    sheet, cell : where; the cell may be a range. Both are empty for the workbook as a whole.
    verdict : "act", "not known" or "watch"; "fine" for what was wrong but has passed, "not asked" for what was not
        checked.
    kind : what sort of thing it is, in a few words.
    what, remedy : what is wrong, and what to do, in whole sentences.
    more : how many others of its kind and verdict are not shown.
    """

    sheet: str
    cell: str
    verdict: str
    kind: str
    what: str
    remedy: str
    more: int = 0

    @property
    def place(self) -> str:
        """Such as Water tests!E14; "" for the workbook as a whole."""
        return f"{self.sheet}!{self.cell}" if self.cell else self.sheet


def shown(findings: Iterable[Finding], most: int | None = SHOWN) -> list[Finding]:
    """The findings, the most serious first, otherwise in the order in which they come; of each kind at most `most`.

    The last one of a kind says how many more there are. With None for `most` all are shown.
    """
    ordered = sorted(dict.fromkeys(findings), key=lambda finding: VERDICTS.index(finding.verdict))
    if most is None:
        return ordered
    counts = Counter((finding.verdict, finding.kind) for finding in ordered)
    seen: Counter[tuple[str, str]] = Counter()
    kept = []
    for finding in ordered:
        sort = finding.verdict, finding.kind
        seen[sort] += 1
        if seen[sort] <= most:
            last = seen[sort] == most
            kept.append(replace(finding, more=counts[sort] - most) if last else finding)
    return kept
