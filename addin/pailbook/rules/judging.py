"""One way to ask a rule in Python: of single values, or of a frame's rows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, overload

from pailbook.quantity import METRIC
from pailbook.rules import in_python
from pailbook.rules.declaration import Rule
from pailbook.rules.in_columns import judge_frame
from pailbook.rules.in_python import Judged

if TYPE_CHECKING:
    import pandas


@overload
def judge(rule: Rule, values: Mapping[str, Any], units: str = METRIC) -> Judged: ...
@overload
def judge(rule: Rule, values: pandas.DataFrame, units: str = METRIC) -> pandas.DataFrame: ...
def judge(rule: Rule, values: Any, units: str = METRIC) -> Any:
    """What the rule says of single values (see `in_python.judge`) or of a frame's rows (`in_columns.judge_frame`)."""
    return judge_frame(rule, values, units) if hasattr(values, "columns") else in_python.judge(rule, values, units)
