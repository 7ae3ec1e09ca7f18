"""A workbook's copy for one client, without a word of anybody else's.

`keep_client` writes it and gives a `Removed`, which tells in plain words what was taken out.
"""

from pailbook.workbook.privacy.keep import keep_client
from pailbook.workbook.privacy.removed import Removed

__all__ = ["Removed", "keep_client"]
