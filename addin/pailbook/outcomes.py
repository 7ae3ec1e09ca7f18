"""The one outcome policy: what a wrong input becomes, in a cell and in Python.

A cell gets a true spreadsheet error, never text, never 0 and never a plausible wrong number:

=================  =========  ===================================================
exception          in a cell  when
=================  =========  ===================================================
`MissingInput`     #N/A       a required cell is blank or an empty text
`NotInTable`       #N/A       a table has no value for what was asked
`WrongKind`        #VALUE!    text where a number belongs, or an unknown option
`OutOfLimits`      #NUM!      a number outside the limits of its quantity
`NotPossible`      #NUM!      a question that has no answer (a dose that would have to remove)
`ErrorInput`       unchanged  an error cell as input
=================  =========  ===================================================

Python callers get the exception, whose message names the argument, its value and what was expected.
"""

from __future__ import annotations

NA, VALUE, NUM, DIV0, REF, NAME, NULL = "#N/A", "#VALUE!", "#NUM!", "#DIV/0!", "#REF!", "#NAME?", "#NULL!"
ERROR_CODES = (NA, VALUE, NUM, DIV0, REF, NAME, NULL)


class BadInput(ValueError):
    """Something that a user entered cannot be used; the message names it, its value and what was expected."""


class Outcome(BadInput):
    """An input without an answer. `code` is the spreadsheet error that a cell shows for it."""

    code = VALUE


class MissingInput(Outcome):
    """A required input is blank."""

    code = NA


class NotInTable(Outcome):
    """A table holds no value for what was asked."""

    code = NA


class WrongKind(Outcome):
    """Text where a number belongs, a number where text belongs, or an unknown option."""


class OutOfLimits(Outcome):
    """A number outside the limits of its quantity."""

    code = NUM


class NotPossible(Outcome):
    """Each input is in order, but together they ask for something impossible."""

    code = NUM


class ErrorInput(Outcome):
    """An error came in; it goes out unchanged."""

    def __init__(self, code: str) -> None:
        super().__init__(f"the input is the error {code}")
        self.code = code
