"""Water readings from a record file, into clean rows, into a farm log.

`read_readings` gives the clean rows as a pandas frame, `import_readings` enters them in a log. What the file leaves
open is asked (`NeedsAnswer`); what cannot be used is not entered, and the account says why.
"""

from pailbook.workbook.readings.answers import NeedsAnswer, Question, ReadingsError
from pailbook.workbook.readings.into_log import import_readings
from pailbook.workbook.readings.read import Readings, read_readings
from pailbook.workbook.readings.report import ImportReport, NotEntered

__all__ = [
    "ImportReport", "NeedsAnswer", "NotEntered", "Question", "Readings", "ReadingsError", "import_readings",
    "read_readings",
]
