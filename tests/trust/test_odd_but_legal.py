"""Workbooks that are large or odd and yet in order: each command works on them, in bounded time and memory."""

from __future__ import annotations

import re
import resource
import time
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from command_line import READ_RECORD, READ_WORKBOOK, Run, filled
from hard_files import changed, part
from pailbook.demo.scenario import NORTH_RAFT
from pailbook.workbook.package import Workbook
from pailbook.workbook.recalc import recalc

Book = openpyxl.Workbook
MORE = "More of it"


pytestmark = pytest.mark.long
def merged_cells(book: Book) -> None:
    sheet = book.create_sheet(MORE)
    sheet["A1"], sheet["B5"] = "a heading over three columns", "=AMMONIA_FRACTION(7.5,24)"
    sheet.merge_cells("A1:C1")
    sheet.merge_cells("B5:D9")


def hidden_parts(book: Book) -> None:
    sheet = book.create_sheet(MORE)
    sheet["A1"], sheet["A2"] = 24, "=AMMONIA_FRACTION(7.5,A1)"
    sheet.row_dimensions[2].hidden = sheet.column_dimensions["A"].hidden = True
    sheet.sheet_state = "veryHidden"
    book["Water tests"].row_dimensions[6].hidden = True


def a_used_range_of_a_million_rows(book: Book) -> None:
    sheet = book.create_sheet(MORE)
    sheet["A1"], sheet["A1048576"], sheet["XFD1048576"] = "first", 24.0, "last"
    sheet["B1"] = "=AMMONIA_FRACTION(7.5,A1048576)"


def whole_columns(book: Book) -> None:
    sheet = book.create_sheet(MORE)
    sheet["A1048576"], sheet["A2"] = 5.0, 2.0
    for row, formula in enumerate(("SUM(A:A)", "COUNT(A:A)", "MAX(2:2)", "AMMONIA_FRACTION(7.5,SUM(A:A))"), 1):
        sheet[f"C{row}"] = f"={formula}"


def three_hundred_sheets(book: Book) -> None:
    for number in range(300):
        sheet = book.create_sheet(f"{MORE} {number}")
        sheet["A1"] = 20.0 if not number else f"='{MORE} {number - 1}'!A1+0.01"
        sheet["B1"] = "=AMMONIA_FRACTION(7.5,A1)"


def circles(book: Book) -> None:
    sheet = book.create_sheet(MORE)
    sheet["A1"], sheet["A2"], sheet["A3"] = "=A2+1", "=A1+1", "=A3"
    sheet["A4"] = "=AMMONIA_FRACTION(7.5,A1)"


def names_from_everywhere(book: Book) -> None:
    for title in ("Süd & Nord's", "水槽", "пруд <2>", "🐟", "a" * 31):
        book.create_sheet(title)["A1"] = "=AMMONIA_FRACTION(7.5,24)"


def a_chain_of_formulas(book: Book) -> None:
    """Each hangs on the one before: longer than Python's own stack is deep."""
    sheet = book.create_sheet(MORE)
    sheet["A1"] = 1.0
    for row in range(2, 5000):
        sheet[f"A{row}"] = f"=A{row - 1}+0.001"
    sheet["B1"] = "=AMMONIA_FRACTION(7.5,A4999)"


def brackets_in_brackets(book: Book) -> None:
    book.create_sheet(MORE)["A1"] = "=" + "(" * 500 + "AMMONIA_FRACTION(7.5,24)" + ")" * 500


def long_texts(book: Book) -> None:
    book.create_sheet(MORE).append(["x" * 32_767, "=" + "+".join(["AMMONIA_FRACTION(7.5,24)"] * 300)])


CHANGES: dict[str, Callable[[Book], None]] = {change.__name__.replace("_", " "): change for change in (
    merged_cells, hidden_parts, a_used_range_of_a_million_rows, whole_columns, three_hundred_sheets, circles,
    names_from_everywhere, a_chain_of_formulas, brackets_in_brackets, long_texts)}


def with_link(data: bytes) -> bytes:
    """The workbook with a link to another file, which a formula uses."""
    types = part(data, "[Content_Types].xml").replace(b"</Types>", (
        b'<Override PartName="/xl/externalLinks/externalLink1.xml" ContentType="application/vnd.openxmlformats-'
        b'officedocument.spreadsheetml.externalLink+xml"/></Types>'))
    office = b"http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    links = part(data, "xl/_rels/workbook.xml.rels").replace(b"</Relationships>", (
        b'<Relationship Id="rLink" Type="' + office + b'/externalLink" Target="externalLinks/externalLink1.xml"/>'
        b"</Relationships>"))
    book = re.sub(rb"(</sheets>)", rb'\1<externalReferences><externalReference xmlns:r="' + office
                  + rb'" r:id="rLink"/></externalReferences>', part(data, "xl/workbook.xml"))
    return changed(data, {
        "[Content_Types].xml": types, "xl/_rels/workbook.xml.rels": links, "xl/workbook.xml": book,
        "xl/externalLinks/externalLink1.xml": b'<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006'
        b'/main"><externalBook xmlns:r="' + office + b'" r:id="rId1"><sheetNames><sheetName val="Prices"/></sheetNames>'
        b"</externalBook></externalLink>",
        "xl/externalLinks/_rels/externalLink1.xml.rels": b'<Relationships xmlns="http://schemas.openxmlformats.org/package'
        b'/2006/relationships"><Relationship Id="rId1" Type="' + office + b'/externalLinkPath" Target="prices.xlsx" '
        b'TargetMode="External"/></Relationships>'})


@pytest.fixture(scope="session")
def odd_files(season: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The log with each of the oddities."""
    folder = tmp_path_factory.mktemp("odd")
    found = {}
    for name, change in CHANGES.items():
        book = openpyxl.load_workbook(season / "log.xlsx")
        change(book)
        book.save(folder / "odd.xlsx")
        found[name] = (folder / "odd.xlsx").read_bytes()
    book = openpyxl.load_workbook(season / "log.xlsx")
    book.create_sheet(MORE).append(["=[1]Prices!$A$1*2", "=AMMONIA_FRACTION(7.5,24)"])
    book.save(folder / "odd.xlsx")
    found["a link to another file"] = with_link((folder / "odd.xlsx").read_bytes())
    return found


@pytest.mark.parametrize("kind", [*CHANGES, "a link to another file"])
@pytest.mark.parametrize("command", [command for command in READ_WORKBOOK if command != "recalc by itself"])
def test_each_command_works_on_it(
    command: str, kind: str, odd_files: dict[str, bytes], here: Path, run: Run
) -> None:
    Path("odd.xlsx").write_bytes(odd_files[kind])
    began, memory = time.process_time(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    ended = run(*filled(READ_WORKBOOK[command], "odd.xlsx", "new.xlsx"))
    assert ended.code in ((0, 1, 2) if "client" in command else (0, 1)), ended
    if ended.code == 2:
        assert "odd.xlsx" in ended.err
        assert ended.err.count("\n") == 1
    assert time.process_time() - began < 20
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - memory < 300_000  # KB
    assert Path("odd.xlsx").read_bytes() == odd_files[kind]
    if ended.code != 2 and "new.xlsx" in READ_WORKBOOK[command]:
        assert Workbook("new.xlsx").contents()
    assert sorted(path.name for path in here.iterdir() if path.name.startswith(".")) == []


def test_the_values_are_right(odd_files: dict[str, bytes], here: Path) -> None:
    """Against the same formulas in plain cells, and sums calculated by hand."""
    found = {}
    for kind, content in odd_files.items():
        Path("odd.xlsx").write_bytes(content)
        found[kind] = recalc("odd.xlsx")
    share = found["names from everywhere"].values["🐟", "A1"]
    assert share == pytest.approx(1 / (1 + 10 ** (0.09018 + 2729.92 / 297.15 - 7.5)), rel=1e-9)  # Emerson et al. 1975
    assert found["merged cells"].values[MORE, "B5"] == share
    assert found["hidden parts"].values[MORE, "A2"] == share
    assert found["a used range of a million rows"].values[MORE, "B1"] == share
    assert found["a link to another file"].values[MORE, "B1"] == share
    columns = found["whole columns"].values
    assert [columns[MORE, f"C{row}"] for row in (1, 2, 3)] == [7.0, 2.0, 2.0]
    assert found["three hundred sheets"].values[f"{MORE} 299", "A1"] == pytest.approx(22.99)
    assert found["a chain of formulas"].values[MORE, "A4999"] == pytest.approx(5.998)
    assert found["brackets in brackets"].values[MORE, "A1"] == share
    assert found["long texts"].values[MORE, "B1"] == pytest.approx(300 * share)
    problems = " ".join(map(str, found["circles"].problems))
    assert all(f"{MORE}!{cell}" in problems for cell in ("A1", "A2", "A3"))
    assert "circular" in problems


def test_a_record_whose_used_range_is_the_whole_sheet(here: Path, run: Run) -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active.append(["Date", "Tank", "pH"])
    book.active.append(["2026-05-03", NORTH_RAFT.name, 7.2])
    book.active["C1048576"] = 7.4  # without a date
    book.save("readings.xlsx")
    data = Path("readings.xlsx").read_bytes()
    whole = b'<dimension ref="A1:XFD1048576"'
    sheet = re.sub(rb'<dimension ref="[^"]*"', whole, part(data, "xl/worksheets/sheet1.xml"))
    Path("readings.xlsx").write_bytes(changed(data, {"xl/worksheets/sheet1.xml": sheet}))
    began, memory = time.process_time(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    ended = run("import", "readings.xlsx", "log.xlsx", "-o", "new.xlsx")
    assert (ended.code, ended.err) == (0, "")
    assert ended.out.startswith("1 test entered in")
    assert "row 1048576" in ended.out
    assert time.process_time() - began < 20
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - memory < 300_000  # KB


NAMES = {
    "blanks": "the log of spring 2026", "other letters": "Süßwasser-Logbuch №2 水槽 🐟", "quotes": "Varrowby's \"log\"",
    "signs": "a&b;c $(d) %e% #f [1]", "a dash": "-log", "dots": "..log..", "long": "l" * 240,
}


@pytest.mark.parametrize("kind", [*NAMES, "a long path"])
@pytest.mark.parametrize("command", ["recalc", "check", "share", "share for a client", "report", "import", "daily"])
def test_names_of_every_kind(command: str, kind: str, here: Path, run: Run) -> None:
    arguments = READ_WORKBOOK.get(command) or READ_RECORD[command]
    folder = Path()
    if kind == "a long path":
        folder = here.joinpath(*[f"a folder of season {year} with a long name" * 2 for year in range(2015, 2021)])
        folder.mkdir(parents=True)
        assert len(str(folder)) > 400
    stem = NAMES.get(kind, "log")
    ending, source = (".csv", "sensor.csv") if command == "daily" else (".xlsx", "log.xlsx")
    it, new = folder / f"{stem}{ending}", folder / f"{stem} 2{ending}"
    it.write_bytes(Path(source).read_bytes())
    before = it.read_bytes()
    ended = run(*filled(arguments, here / it if kind == "a dash" else it, here / new if kind == "a dash" else new))
    assert ended.code in (0, 1), ended
    assert it.read_bytes() == before
    assert new.exists() == ("{new}" in " ".join(arguments))
