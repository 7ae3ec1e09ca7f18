"""Every sheet looks as it did when somebody last looked at it and approved."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

import calc
from looks import readme
from looks.books import BOOKS
from looks.pictures import APPROVED, SHARE, difference, draw

NEW = Path(__file__).parents[2] / "new-pictures"


@pytest.mark.long
@pytest.mark.libreoffice
@pytest.mark.parametrize("book", BOOKS)
def test_sheets_look_as_approved(book: str, tmp_path: Path) -> None:
    calc.needed()
    made = {page.name: page for page in draw(book, tmp_path)}
    approved = {page.name: page for page in (APPROVED / book).glob("*.png")}
    assert sorted(made) == sorted(approved)
    changed = {name: share for name in made if (share := difference(made[name], approved[name])) > SHARE}
    for name in changed:
        (NEW / book).mkdir(parents=True, exist_ok=True)
        shutil.copyfile(made[name], NEW / book / name)
    assert not changed, f"look at {NEW / book}; if they are right: python -m tests.looks --approve {book}"


@pytest.mark.long
@pytest.mark.libreoffice
def test_the_pictures_in_the_readme_are_what_a_user_gets(tmp_path: Path) -> None:
    calc.needed()
    shown = {name: difference(page, readme.FOLDER / page.name) for name, page in readme.draw(tmp_path).items()}
    assert {name: share for name, share in shown.items() if share > SHARE} == {}
    assert sorted(path.stem for path in readme.FOLDER.iterdir()) == sorted(shown)


def test_a_lost_word_or_a_moved_row_is_seen_and_a_shade_is_not(tmp_path: Path) -> None:
    whole = next(iter(sorted((APPROVED / "farm-log-metric-filled").glob("Overview*.png"))))
    with Image.open(whole) as picture:
        page = picture.convert("RGB")
    width, height = page.size
    for change, seen in (("shade", False), ("word", True), ("row", True), ("size", True)):
        other = page.copy()
        match change:
            case "shade":
                other = other.point(lambda value: max(0, value - 12))
            case "word":
                ImageDraw.Draw(other).rectangle((0, height // 8, width // 3, height // 8 + 30), fill="white")
            case "row":
                other.paste(page, (0, 8))
            case "size":
                other = other.resize((width, height + 12))
        path = tmp_path / f"{change}.png"
        other.save(path)
        assert (difference(whole, path) > SHARE) is seen, change
