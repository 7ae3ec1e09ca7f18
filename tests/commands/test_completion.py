"""What the Tab key offers, asked as the shells ask, and in a real bash."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from command_line import Run
from pailbook.commands.app import COMPLETE
from pailbook.demo import scenario
from pailbook.function import CATALOGUE
from pailbook.hosts.engines import ENGINES
from pailbook.workbook.farm_log import systems
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.package import set_cells
from pailbook.workbook.templates import WORKBOOKS

PROGRAM = "import sys; sys.argv[0] = 'pailbook'; from pailbook.cli import main; main()"
Offered = Callable[[str], list[str]]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a small log of two clients."""
    path = tmp_path_factory.mktemp("logs") / "log.xlsx"
    farm_log(rows=12).book.save(path)
    table = systems.table()
    # The third name has characters that a shell would read as its own.
    names = {"system": (scenario.SCHOOL_TANK.name, scenario.COURT_WALL.name, "Old $ tank"), "client": scenario.CLIENTS}
    set_cells(path, path, {table.sheet: {
        f"{table.letter(key)}{table.first_row + i}": name for key, several in names.items()
        for i, name in enumerate(several)}}, overwrite=True)
    return path.parent


@pytest.fixture
def offered(monkeypatch: pytest.MonkeyPatch, run: Run, folder: Path) -> Offered:
    """What bash is offered behind a line."""
    def asked(line: str) -> list[str]:
        with monkeypatch.context() as patch:
            patch.chdir(folder)
            patch.setenv(COMPLETE, "complete_bash")
            patch.setenv("COMP_WORDS", line)
            patch.setenv("COMP_CWORD", str(len(line.split(" ")) - 1))
            code, out, err = run()
        assert (code, err) == (0, "")
        return [line for line in out.splitlines() if line]

    return asked


def test_commands_and_options(offered: Offered) -> None:
    assert offered("pailbook ")[:3] == ["demo", "ready", "new"]
    assert offered("pailbook re") == ["ready", "recalc", "report"]
    assert offered("pailbook install ") == ["calc", "excel", "completion"]
    assert {"--output", "--client", "--pdf", "--values", "--overwrite"} <= set(offered("pailbook share a.xlsx --"))


@pytest.mark.parametrize(("line", "names"), [
    ("pailbook new ", list(WORKBOOKS)),
    ("pailbook new farm-log a.xlsx --units ", ["metric", "us"]),
    ("pailbook recalc a.xlsx --engine ", [*ENGINES, "calc"]),
    ("pailbook ready p", ["python"]),
    ("pailbook import a.csv b.xlsx --decimal ", ["point", "comma"]),
    ("pailbook import a.csv b.xlsx --timezone Europe/Berl", ["Europe/Berlin"]),
    ("pailbook daily a.csv --figure oxygen=", ["oxygen=mean", "oxygen=lowest", "oxygen=highest"]),
    ("pailbook import a.csv b.xlsx --map Kit=ni", ["Kit=nitrite", "Kit=nitrate"]),
    ("pailbook install completion ", ["bash", "zsh", "fish", "powershell", "pwsh"]),
    ("pailbook check lo", []),  # the shell itself offers files
])
def test_names(line: str, names: list[str], offered: Offered) -> None:
    assert offered(line) == names


def test_functions_in_capitals_and_in_small_letters(offered: Offered) -> None:
    assert offered("pailbook functions ") == list(CATALOGUE)
    assert offered("pailbook functions ammonia_fra") == ["ammonia_fraction"]


def test_clients_and_systems_of_the_log_that_was_named(offered: Offered) -> None:
    assert offered("pailbook share log.xlsx -o b.xlsx --client ") == ["Varrowby\\ School", "Quillon\\ Court"]
    assert offered("pailbook report log.xlsx --client Qu") == ["Quillon\\ Court"]
    assert offered("pailbook import a.csv log.xlsx --system S") == ["School\\ tank"]
    assert offered("pailbook share none.xlsx --client ") == []
    assert offered("pailbook share --client ") == []


def test_names_of_a_log_that_its_user_changed(offered: Offered, folder: Path) -> None:
    """The sheet renamed, two columns changed places, a row and a column put in; a name by a formula is left out."""
    book, table = openpyxl.load_workbook(folder / "log.xlsx"), systems.table()
    sheet = book[systems.SHEET]
    sheet.title = "Tanks & ponds"
    sheet.insert_rows(1)
    sheet.insert_cols(1)
    for row in range(table.heading_row + 1, table.first_row + 5):
        cells = sheet.cell(row, 2), sheet.cell(row, 3)
        cells[0].value, cells[1].value = cells[1].value, cells[0].value
    sheet.cell(table.first_row + 4, 2).value = '="Quit"&"e another"'
    book.save(folder / "changed.xlsx")
    assert offered("pailbook share changed.xlsx --client Q") == ["Quillon\\ Court"]
    assert offered("pailbook import a.csv changed.xlsx --system S") == ["School\\ tank"]


def test_a_file_that_is_no_log_is_no_trouble(offered: Offered, folder: Path) -> None:
    (folder / "text.xlsx").write_text("no workbook", encoding="utf-8")
    book = openpyxl.load_workbook(folder / "log.xlsx")
    table = systems.table()
    book[systems.SHEET][f"{table.letter('client')}{table.heading_row}"].value = "Whose"
    book.save(folder / "no-client.xlsx")
    del book[systems.SHEET]
    book.save(folder / "no-systems.xlsx")
    data = (folder / "log.xlsx").read_bytes()
    (folder / "half.xlsx").write_bytes(data[:len(data) // 2])
    for name in ("text", "no-client", "no-systems", "half"):
        assert offered(f"pailbook share {name}.xlsx --client ") == []


@pytest.mark.parametrize(("shell", "separator"), [("zsh", '":"'), ("fish", "\t"), ("powershell", ":::")])
def test_other_shells_get_the_meaning_of_a_name(
    shell: str, separator: str, run: Run, monkeypatch: pytest.MonkeyPatch, folder: Path
) -> None:
    monkeypatch.chdir(folder)

    def asked(line: str) -> list[str]:
        monkeypatch.setenv(COMPLETE, f"complete_{shell}")
        monkeypatch.setenv("_TYPER_COMPLETE_ARGS", line)
        monkeypatch.setenv("_TYPER_COMPLETE_WORD_TO_COMPLETE", line.split(" ")[-1])
        monkeypatch.setenv("_TYPER_COMPLETE_FISH_ACTION", "get-args")
        return run().out.splitlines()

    commands = asked("pailbook ")
    assert len(commands) == 11
    assert any(f"check{separator}Show what is wrong or doubtful in a workbook" in line for line in commands)
    functions = asked("pailbook functions ")
    assert len(functions) == len(CATALOGUE), "one line each: none is wrapped"
    assert any("Quillon Court" in line for line in asked("pailbook share log.xlsx --client Qu"))


@pytest.mark.skipif(os.name == "nt", reason="shells of Unix")
@pytest.mark.parametrize(("shell", "file"), [
    ("/bin/bash", ".bash_completions/pailbook.sh"), ("/usr/bin/zsh", ".zfunc/_pailbook"),
    ("/usr/bin/fish", ".config/fish/completions/pailbook.fish")])
def test_installing_it(shell: str, file: str, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("SHELL", shell)
    name = Path(shell).name
    code, out, _ = run("ready", "completion")
    assert code == 1
    assert f"not installed for {name}\n           next: pailbook install completion" in out
    code, out, err = run("install", "completion")
    assert (code, err) == (0, "")
    assert f"completion is installed for {name}: {tmp_path / file}" in out
    assert COMPLETE in (tmp_path / file).read_text(encoding="utf-8")
    assert run("ready", "completion") == (0, f"fine       Completion with the Tab key: installed for {name}\n", "")


def test_a_shell_that_is_not_known_is_asked_for(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SHELL", raising=False)
    code, _, err = run("install", "completion")
    assert code == 2
    assert "bash, zsh, fish" in err


def test_the_script_alone(run: Run) -> None:
    for shell in ("bash", "zsh", "fish", "powershell"):
        code, out, err = run("install", "completion", shell, "--show")
        assert (code, err) == (0, "")
        assert COMPLETE in out


@pytest.mark.skipif(shutil.which("bash") is None, reason="needs bash")
def test_in_a_real_bash(run: Run, folder: Path, tmp_path: Path) -> None:
    """The function that the script defines fills what bash completes from."""
    script = tmp_path / "pailbook.sh"
    script.write_text(run("install", "completion", "bash", "--show").out, encoding="utf-8")
    program = tmp_path / "pailbook"
    program.write_text(f"#!{sys.executable}\n{PROGRAM}\n", encoding="utf-8")
    program.chmod(0o755)
    asked = f"""
        . {script}; COMP_WORDS=(pailbook share log.xlsx --client Qu); COMP_CWORD=4
        $(complete -p pailbook | sed 's/.*-F \\([^ ]*\\) .*/\\1/') pailbook; printf '%s\\n' "${{COMPREPLY[@]}}"
    """
    done = subprocess.run(
        ["bash", "--norc", "-c", asked], cwd=folder, capture_output=True, text=True, check=True, timeout=60,
        env={**os.environ, "PATH": f"{tmp_path}:{os.environ['PATH']}"})
    assert done.stdout.splitlines() == ["Quillon\\ Court"]
