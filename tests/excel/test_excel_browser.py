"""The functions in the browser's Python (Pyodide, run by Node), which is what Excel without Python of its own uses.

Skipped where it is missing: install it with `npm install pyodide` in some folder, and name the folder in the
environment variable PYODIDE_FOLDER.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest

import hosts
from hosts import published
from inputs import agrees

FOLDER = os.environ.get("PYODIDE_FOLDER", "")
PACKAGE = Path(__file__).parents[2] / "addin"


@pytest.mark.skipif(not FOLDER or shutil.which("node") is None, reason="PYODIDE_FOLDER is not set, or Node is missing")
def test_every_check_value_in_the_browsers_python(tmp_path: Path) -> None:
    """Blanks arrive as that Python's own nothing; nothing but our package and its own modules is imported."""
    rows = [row for row in published() if not any(isinstance(value, list) for value in row.values)]
    questions, answers = tmp_path / "questions.json", tmp_path / "answers.json"
    bad = ["AMMONIA_FRACTION", [[[8.0], [None], ["x"]], 25.0]]
    questions.write_text(json.dumps([bad, *([row.function.name, row.values] for row in rows)]), encoding="utf-8")
    program = tmp_path / "in_browser.mjs"
    shutil.copy(Path(__file__).with_name("in_browser.mjs"), program)
    (tmp_path / "node_modules").symlink_to(Path(FOLDER) / "node_modules", target_is_directory=True)
    done = subprocess.run(["node", str(program), str(PACKAGE), str(questions), str(answers)], capture_output=True,
                          text=True, check=False, timeout=180, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    result = json.loads(answers.read_text(encoding="utf-8"))
    assert set(result["foreign"]) <= {
        "__main__", "_pyodide", "_pyodide_core", "js", "pailbook", "pyodide", "pyodide_js"}
    blank, *found = result["answers"]
    assert blank[1:] == [["#N/A"], ["#VALUE!"]]
    for row, answer in zip(rows, found, strict=True):
        assert agrees(answer[0][0], hosts.in_python(row)), f"{row}: {answer}"
