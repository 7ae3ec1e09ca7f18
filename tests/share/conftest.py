"""What fills workbooks for tests stands beside those of the workbooks."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "workbook"))
