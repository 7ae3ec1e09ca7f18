"""Writes anew all that is kept in the repository and follows from the code; a test of each says when it is not current.

Run it after a change of a function, a text or a workbook: python tests/rebuild.py. With --pictures it also draws the
README's pictures, which needs LibreOffice.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

TESTS = Path(__file__).parent
ROOT = TESTS.parent
README = ROOT / "README.md"
TABLE = "| subject | functions |\n|---|---|\n"


def functions_table() -> str:
    """The README's table of functions by subject."""
    from pailbook.workbook.function_guide.words import by_category

    rows = (f"| {subject} | {', '.join(f.name for f in functions)} |\n" for subject, functions in by_category().items())
    return TABLE + "".join(rows)


def table_in(readme: str) -> str:
    """The table as it stands in the README."""
    begin = readme.index(TABLE)
    return readme[begin:readme.index("\n\n", begin) + 1]


@contextmanager
def silent(title: str) -> Iterator[Callable[[int, int], None]]:
    """Progress that nobody is shown."""
    assert title
    yield lambda done, total: None


def main(*options: str) -> None:
    """The command."""
    from pailbook.demo.story import tell
    from pailbook.workbook.function_guide.markdown import markdown
    from pailbook.workbook.templates import build_templates

    readme = README.read_text(encoding="utf-8")
    README.write_text(readme.replace(table_in(readme), functions_table()), encoding="utf-8")
    (ROOT / "docs" / "functions.md").write_text(markdown(), encoding="utf-8")
    build_templates(ROOT / "workbook_templates")
    for line in tell(ROOT / "demo_workbooks", silent, overwrite=True):
        print(line)
    if "--pictures" in options:
        sys.path.insert(0, str(TESTS / "workbook"))
        from looks import readme as shown

        shown.draw(shown.FOLDER)


if __name__ == "__main__":
    main(*sys.argv[1:])
