"""A workbook's copy for one client, with nothing about anybody else.

`keep_client` writes it and returns a `Removed`, which lists in plain words what was taken out.
"""

from pailbook.workbook.privacy.keep import keep_client
from pailbook.workbook.privacy.removed import Removed

__all__ = ["Removed", "keep_client"]
