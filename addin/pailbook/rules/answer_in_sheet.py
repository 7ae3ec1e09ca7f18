"""The answer of many rules as formulas over their cells: one row for each rule, its word, text and order beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pailbook.formula.write import LONGEST_FORMULA, write
from pailbook.rules.answer import ALSO_UNKNOWN, KNOWN, NO_REASON, OVERWRITTEN, SERIOUSNESS, STILL_UNKNOWN
from pailbook.rules.declaration import Rule
from pailbook.rules.expression import BadRule
from pailbook.rules.words import NOT_TESTED
from pailbook.terms import ACT, FINE, GO, NO_GO, NOT_KNOWN, NOT_YET, WATCH, WITH_CARE


@dataclass(frozen=True)
class Board:
    """Where the verdicts of some rules stand: a column for each kind of cell, a row for each rule from `top` on.

    The columns are letters, with a sheet before them where the formulas stand on another: "A" or "Checks!A". Every
    method gives formula text without the equals sign; no array formulas are needed.
    """

    rules: Sequence[Rule]
    subjects: str  # the rules' subjects, as texts
    texts: str  # Sheet.text
    words: str  # Sheet.word
    urgencies: str  # Sheet.urgency
    orders: str  # `order` of this board
    top: int = 1

    def order(self, place: int) -> str:
        """The number by which the reason of the rule at that place, from 0 on, is sorted; never an error."""
        word, urgency = self._cell(self.words, place), self._cell(self.urgencies, place)
        seriousness = str(SERIOUSNESS[NOT_KNOWN])
        for known in KNOWN:
            seriousness = f'IF({word}="{known}",{SERIOUSNESS[known]},{seriousness})'
        by_rank = self.rules[place].rank / 1000 + place / 1e6  # no two are the same
        return (f"IF(ISERROR({word}),{SERIOUSNESS[NOT_KNOWN]},{seriousness})"
                f"+IF(ISNUMBER({urgency}),{urgency},0)+{by_rank:.9g}")

    def answer(self) -> str:
        """The answer's word: no-go, not yet, go with care, go."""
        known = self._known(range(len(self.rules)))
        essential = [i for i, rule in enumerate(self.rules) if rule.essential]
        by_matter: dict[str, list[int]] = {}
        for i in essential:
            by_matter.setdefault(self.rules[i].essential, []).append(i)
        if not by_matter:
            return self._written(f'IF({self._count(ACT)}>0,"{NO_GO}","{NOT_YET}")')
        earned = [f"{self._among(places, (FINE, WATCH))}>0" for places in by_matter.values()]
        ready = f"AND({self._known(essential)}={len(essential)},{','.join(earned)})"
        return self._written(
            f'IF({self._count(ACT)}>0,"{NO_GO}",IF(NOT({ready}),"{NOT_YET}",'
            f'IF(OR({self._count(WATCH)}>0,{known}<{len(self.rules)}),"{WITH_CARE}","{GO}")))'
        )

    def state(self) -> str:
        """The state's word in a log: act, not known, watch, fine, not tested."""
        known = self._known(range(len(self.rules)))
        return self._written(
            f'IF({self._count(ACT)}>0,"{ACT}",IF({known}<{len(self.rules)},"{NOT_KNOWN}",'
            f'IF({self._count(WATCH)}>0,"{WATCH}",IF({self._count(FINE)}>0,"{FINE}","{NOT_TESTED}"))))'
        )

    def told(self, word: str) -> str:
        """The word in that cell, and what is not yet known beside it: "no-go; and not yet known: pH"."""
        unknown = "&".join(
            f'IF(INT({self._cell(self.orders, i)}/1000)={SERIOUSNESS[NOT_KNOWN] // 1000},", "&'
            f'{self._cell(self.subjects, i)},"")' for i in range(len(self.rules))
        )
        before = f'"{ALSO_UNKNOWN}"'
        for one, other in STILL_UNKNOWN.items():
            before = f'IF({word}="{one}","{other}",{before})'
        return self._written(f"IF({self._known(range(len(self.rules)))}={len(self.rules)},{word},"
                             f"{word}&{before}&MID({unknown},3,999))")

    def first(self, column: str) -> str:
        """What stands in that column beside the most serious reason; an empty text without a reason."""
        orders = self._column(self.orders)
        return self._written(f'IF(SMALL({orders},1)>={NO_REASON},"",'
                             f'INDEX({self._column(column)},MATCH(SMALL({orders},1),{orders},0)))')

    def reason(self, place: int) -> str:
        """The reason at a place, from 1 on, the most serious first; an empty text behind the last."""
        orders = self._column(self.orders)
        at = f"MATCH(SMALL({orders},{place}),{orders},0)"
        text, word = (f"INDEX({self._column(column)},{at})" for column in (self.texts, self.words))
        is_known = "OR(" + ",".join(f'{word}="{one}"' for one in (*KNOWN, NOT_KNOWN)) + ")"
        told = f'IF(IFERROR({is_known},FALSE),IFERROR({text}&"","{OVERWRITTEN}"),"{OVERWRITTEN}")'
        return self._written(
            f'IF(SMALL({orders},{place})>={NO_REASON},"",INDEX({self._column(self.subjects)},{at})&": "&{told})')

    def _known(self, places: Sequence[int]) -> str:
        """How many of these rules hold a known word."""
        return self._among(places, KNOWN)

    def _among(self, places: Sequence[int], words: Sequence[str]) -> str:
        """How many of the rules at these places hold one of the words; cells in a row are counted together."""
        runs: list[list[int]] = []
        for i in places:
            if runs and runs[-1][-1] == i - 1:
                runs[-1].append(i)
            else:
                runs.append([i])
        counts = [f"COUNTIF({self._area(run[0], run[-1])},{write(word)})" for run in runs for word in words]
        return "(" + "+".join(counts) + ")"

    def _count(self, word: str) -> str:
        return f"COUNTIF({self._column(self.words)},{write(word)})"

    def _area(self, first: int, last: int) -> str:
        sheet, _, letters = self.words.rpartition("!")
        area = f"${letters}${self.top + first}:${letters}${self.top + last}"
        return f"{sheet}!{area}" if sheet else area

    def _column(self, column: str) -> str:
        sheet, _, letters = column.rpartition("!")
        area = f"${letters}${self.top}:${letters}${self.top + len(self.rules) - 1}"
        return f"{sheet}!{area}" if sheet else area

    def _cell(self, column: str, place: int) -> str:
        sheet, _, letters = column.rpartition("!")
        return f"{sheet}!" * bool(sheet) + f"${letters}${self.top + place}"

    def _written(self, text: str) -> str:
        if len(text) > LONGEST_FORMULA:
            raise BadRule(f"the answer of {len(self.rules)} rules would have {len(text)} characters; "
                          f"{LONGEST_FORMULA} are allowed")
        return text
