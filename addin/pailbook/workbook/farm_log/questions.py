"""Quantities that only the rules of the log ask for."""

from __future__ import annotations

from typing import Annotated

from pailbook.quantity import Quantity
from pailbook.rules import Unusable
from pailbook.workbook.validation import EARLIEST, LATEST

DATE = Quantity("date", low=EARLIEST, high=LATEST + 1, below=True)  # a moment of the last day too
TIME = Quantity("time of day", low=0, high=1, below=True)
COUNT = Quantity("count", low=0)
FLAG = Quantity("flag", low=0)  # a number where all is in order
Today = Annotated[float, DATE, "today's date", Unusable("on the sheet Start")]
