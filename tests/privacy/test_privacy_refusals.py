"""What is refused, with nothing written; plans, which belong to one client; odd but sound files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

import calc
from client_logs import AS_OF, BAY, BEDS, COURT, FARM, KEPT, OTHERS, TANK, WALL, left_over, parts, several_clients
from files import rebuilt, sheet_part
from pailbook.demo import scenario
from pailbook.outcomes import BadInput
from pailbook.workbook.dosing_plan.build import dosing_plan
from pailbook.workbook.move_plan.build import move_plan
from pailbook.workbook.package import Workbook, set_cells
from pailbook.workbook.privacy import keep_client
from pailbook.workbook.privacy.objects import without_remarks
from pailbook.workbook.recalc import own_cells, recalc
from planted import picture
from thorough import first


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return several_clients().book.save(tmp_path_factory.mktemp("log") / "log.xlsx")


def refused(source: Path, folder: Path, client: str = KEPT) -> str:
    with pytest.raises(BadInput) as reason:
        keep_client(source, folder / "copy.xlsx", client)
    assert not [path for path in folder.iterdir() if path.name.startswith(".") or path.name == "copy.xlsx"]
    return str(reason.value)


def changed(source: Path, folder: Path, change: Callable[[openpyxl.Workbook], None]) -> Path:
    book = openpyxl.load_workbook(source)
    change(book)
    book.save(folder / "changed.xlsx")
    return folder / "changed.xlsx"


def test_an_unknown_client_gets_the_list_of_those_in_the_file(source: Path, tmp_path: Path) -> None:
    message = refused(source, tmp_path, "Marrow & Sons")
    assert "'Marrow & Sons'" in message
    assert str(source) in message
    for name in (COURT, BAY, FARM, KEPT):
        assert message.count(name) == 1
    refused(source, tmp_path, "  ")
    assert BEDS not in message


def test_a_target_that_is_there_stays(source: Path, tmp_path: Path) -> None:
    (tmp_path / "mine.xlsx").write_text("mine")
    with pytest.raises(BadInput, match="already exists"):
        keep_client(source, tmp_path / "mine.xlsx", KEPT)
    assert (tmp_path / "mine.xlsx").read_text() == "mine"
    with pytest.raises(BadInput, match="does not exist"):
        keep_client(source, tmp_path / "nowhere" / "copy.xlsx", KEPT)


def test_a_system_of_two_clients(source: Path, tmp_path: Path) -> None:
    def give_twice(book: openpyxl.Workbook) -> None:
        book["Systems"]["A11"].value, book["Systems"]["B11"].value = BEDS.upper(), BAY

    message = refused(changed(source, tmp_path, give_twice), tmp_path)
    assert "Systems!A11" in message
    assert repr(BEDS.upper()) in message


def test_a_sheet_named_after_another_client_that_is_needed(source: Path, tmp_path: Path) -> None:
    def rename(book: openpyxl.Workbook) -> None:
        book["Kits"].title = f"Kits of {WALL}"
        for sheet in book.worksheets:
            for row in sheet.iter_rows():
                for cell in row:
                    if isinstance(cell.value, str) and "Kits!" in cell.value:
                        cell.value = cell.value.replace("Kits!", f"'Kits of {WALL}'!")

    message = refused(changed(source, tmp_path, rename), tmp_path)
    assert f"'Kits of {WALL}'" in message
    assert "rename it" in message


def test_what_is_left_over_after_all_is_refused(
    source: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pailbook.workbook.privacy.keep.scrub_objects", lambda *_: None)
    styles = parts(source)["xl/styles.xml"].replace(b"<font>", f'<font><name val="{WALL}"/>'.encode(), 1)
    planted = rebuilt(source, tmp_path / "planted.xlsx", {"xl/styles.xml": styles})
    message = refused(planted, tmp_path)
    assert "xl/styles.xml" in message
    assert WALL in message


def test_a_damaged_file(tmp_path: Path) -> None:
    (tmp_path / "bad.xlsx").write_bytes(b"PK\x03\x04 and no more")
    assert "damaged" in refused(tmp_path / "bad.xlsx", tmp_path)


def test_a_plan_is_its_clients_as_a_whole(tmp_path: Path) -> None:
    blank = move_plan().book.save(tmp_path / "blank.xlsx")
    place, fish = (own_cells(Workbook(blank))[key] for key in ("client", "fish_count"))
    set_cells(blank, tmp_path / "plan.xlsx", {place[0]: {place[1]: COURT}})
    set_cells(tmp_path / "plan.xlsx", tmp_path / "plan2.xlsx", {fish[0]: {fish[1]: scenario.MOVE["fish_count"]}})
    removed = keep_client(tmp_path / "plan2.xlsx", tmp_path / "copy of plan.xlsx", COURT.lower())
    assert next(iter(removed)) == f"kept: {COURT} (the whole plan)"
    assert not removed.rows
    assert not removed.cells
    before, after = (Workbook(tmp_path / name).contents() for name in ("plan2.xlsx", "copy of plan.xlsx"))
    assert after == before
    assert COURT in refused(tmp_path / "plan2.xlsx", tmp_path, KEPT)


def test_a_workbook_without_clients(tmp_path: Path) -> None:
    plan = dosing_plan().book.save(tmp_path / "plan.xlsx")
    assert "names no client" in refused(plan, tmp_path)


def test_comments_and_others_words_in_a_plan_go(tmp_path: Path) -> None:
    plan = move_plan().book.save(tmp_path / "blank.xlsx")
    place = own_cells(Workbook(plan))["client"]
    book = openpyxl.load_workbook(plan)
    book[place[0]][place[1]].value = COURT
    book.create_sheet("Other").sheet_state = "hidden"
    book["Other"]["A1"].value = "Marrow & Sons"
    book.properties.lastModifiedBy = "Marrow & Sons"
    book.save(tmp_path / "plan.xlsx")
    removed = keep_client(tmp_path / "plan.xlsx", tmp_path / "copy.xlsx", COURT)
    assert removed.sheets == ["Other"]
    assert left_over(tmp_path / "plan.xlsx", ["Marrow & Sons"])
    assert not left_over(tmp_path / "copy.xlsx", ["Marrow & Sons"])


def test_shared_formulas_keep_their_meaning(source: Path, tmp_path: Path) -> None:
    part = sheet_part(source, "Kits")
    row = ('<row r="90"><c r="A90"><f t="shared" ref="A90:C90" si="7">IF($A$91="Quillon wall",1,A91)</f></c>'
           '<c r="B90"><f t="shared" si="7"/></c></row><row r="91"><c r="A91">'
           '<f t="shared" ref="A91:A92" si="8">B91*2</f></c><c r="B91"><v>4</v></c></row><row r="92">'
           '<c r="A92"><f t="shared" si="8"/></c><c r="B92"><v>5</v></c>'
           "</row>")
    sheet = parts(source)[part].replace(b"</sheetData>", row.encode() + b"</sheetData>")
    planted = rebuilt(source, tmp_path / "planted.xlsx", {part: sheet})
    removed = keep_client(planted, tmp_path / "copy.xlsx", KEPT)
    assert removed.cells == ["Kits!A90", "Kits!B90"]
    kits = recalc(tmp_path / "copy.xlsx").values
    assert (kits["Kits", "A91"], kits["Kits", "A92"]) == (8, 10)


def test_pictures_lose_their_remarks() -> None:
    png = picture("Marrow")
    assert b"Marrow" in png
    bare = without_remarks(png)
    assert b"Marrow" not in bare
    assert [bare[at:at + 4] for at in (12, len(bare) - 8)] == [b"IHDR", b"IEND"]
    scan = b"\xff\xda\0\x04ab\x12\x34\xff\xd9"
    size, place, remark = (b"\xff" + marker + (len(text) + 2).to_bytes(2, "big") + text for marker, text in (
        (b"\xe0", b"JFIF\0rest"), (b"\xe1", b"Exif\0Marrow"), (b"\xfe", b"by Marrow")))
    assert without_remarks(b"\xff\xd8" + size + place + remark + scan + b"Marrow") == b"\xff\xd8" + size + scan
    assert without_remarks(b"neither") == b"neither"


@pytest.mark.parametrize(("client", "strangers"), first([
    (scenario.SCHOOL.lower(), (scenario.COURTYARD, scenario.COURT_WALL.name, scenario.NORTH_RAFT.name)),
    (scenario.COURTYARD.upper(), (scenario.SCHOOL, scenario.SCHOOL_TANK.name, scenario.NORTH_RAFT.name)),
]))
def test_the_demo(client: str, strangers: tuple[str, ...], tmp_path: Path) -> None:
    demo = Path(__file__).parents[2] / "demo_workbooks" / "farm-log.xlsx"
    assert len(set().union(*left_over(demo, strangers).values())) == 3
    removed = keep_client(demo, tmp_path / "copy.xlsx", client)
    assert not left_over(tmp_path / "copy.xlsx", strangers)
    assert not removed.cells
    assert removed.rows["Systems"] == len(scenario.SYSTEMS) - 1  # each client has one


@pytest.mark.libreoffice
def test_a_log_saved_by_libreoffice(source: Path, tmp_path: Path) -> None:
    calc.needed()
    saved = calc.convert(source, "xlsx", tmp_path / "saved")
    assert left_over(saved)
    removed = keep_client(saved, tmp_path / "copy.xlsx", KEPT)
    assert not left_over(tmp_path / "copy.xlsx", OTHERS)
    assert removed.rows["Water tests"] == 16
    book = openpyxl.load_workbook(tmp_path / "copy.xlsx")
    assert [book["Systems"][f"A{row}"].value for row in (5, 6, 7)] == [BEDS, TANK, None]
    assert book["Start"]["C10"].value.date() == AS_OF
    found = calc.recalculated(tmp_path / "copy.xlsx")
    assert (found["Overview", "A5"], found["Overview", "A6"]) == (BEDS, TANK)
    assert found[own_cells(Workbook(tmp_path / "copy.xlsx"))["fish_on_hand"]] == 2 * 60 - 6
