"""A rule on the columns of a pandas frame, one row for each subject."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pailbook.outcomes import BadInput
from pailbook.quantity import METRIC
from pailbook.rules.declaration import Rule
from pailbook.rules.faults import check_units, read
from pailbook.rules.in_python import Judged, judge_held

if TYPE_CHECKING:
    import pandas

COLUMNS = ("outcome", "says", "remedy", "urgency", "about")


def judge_frame(rule: Rule, frame: pandas.DataFrame, units: str = METRIC) -> pandas.DataFrame:
    """What the rule says of each row: columns outcome, says, remedy, urgency, about, with the frame's index.

    Each different row is judged once, by the same reading as single values, so that the two cannot differ.

    Raises
    ------
    BadInput
        When a question of the rule has no column.
    """
    import pandas

    check_units(units)
    names = [one.name for one in rule.questions]
    if absent := [name for name in names if name not in frame.columns]:
        raise BadInput(f"{rule.subject}: the frame has no column {', '.join(absent)}; expected: {', '.join(names)}")
    known: dict[Any, Judged] = {}
    found = []
    for row in zip(*([read(one, value, units) for value in frame[one.name]] for one in rule.questions)):
        key = tuple((type(value), value) for value in row)
        if key not in known:
            known[key] = judge_held(rule, dict(zip(names, row)), units)
        found.append(known[key])
    judged = {
        column: pandas.Series([getattr(one, column) for one in found], index=frame.index,
                              dtype="int64" if column == "urgency" else object)
        for column in COLUMNS
    }
    result: pandas.DataFrame = pandas.DataFrame(judged, index=frame.index)
    return result
