"""The package as it is released: built twice it is the same, it holds what it should, and it works alone."""

from __future__ import annotations

import email
import os
import re
import shutil
import subprocess
import sys
import tarfile
import zipfile
from email.message import Message
from pathlib import Path
from typing import Literal

import pytest
from build import ProjectBuilder

import pailbook

Kind = Literal["sdist", "wheel"]
ROOT = Path(__file__).parents[1]
LEFT_BEHIND = shutil.ignore_patterns(".git", ".*_cache", ".hypothesis", ".venv", "venv", "dist", "build", "__pycache__")
CACHES = re.compile(r"(^|/)(\.\w+_cache|__pycache__|\.hypothesis|[^/]*\.egg-info)(/|$)|\.pyc$|(^|/)(\.~lock\.|~\$)")
LATER = 1_999_999_999  # seconds since 1970: May 2033
NEEDED_FOR_TESTS = ("addin", "tests", "docs", "workbook_templates", "demo_workbooks")

pytestmark = [pytest.mark.long, pytest.mark.xdist_group("package")]


def built(source: Path, target: Path, kinds: tuple[Kind, ...] = ("sdist", "wheel")) -> dict[Kind, Path]:
    """The packages, by the tools that a release is built with."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("SOURCE_DATE_EPOCH", raising=False)
        return {kind: Path(ProjectBuilder(source).build(kind, target)) for kind in kinds}


@pytest.fixture(scope="module")
def packages(tmp_path_factory: pytest.TempPathFactory) -> dict[Kind, Path]:
    """Built where they stand."""
    return built(ROOT, tmp_path_factory.mktemp("here"))


@pytest.fixture(scope="module")
def unpacked(packages: dict[Kind, Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What is in the source package."""
    folder = tmp_path_factory.mktemp("unpacked")
    with tarfile.open(packages["sdist"]) as archive:
        for member in archive:
            assert member.isreg(), member.name
            assert not Path(member.name).is_absolute()
            assert ".." not in Path(member.name).parts
        archive.extractall(folder)
    (found,) = folder.iterdir()
    return found


def files_under(folder: Path) -> dict[str, bytes]:
    """A folder's files, without those that programs leave in passing."""
    paths = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    return {name: path.read_bytes() for name, path in paths.items() if not CACHES.search(name)}


def metadata(packages: dict[Kind, Path]) -> Message:
    with zipfile.ZipFile(packages["wheel"]) as archive:
        (name,) = (name for name in archive.namelist() if name.endswith(".dist-info/METADATA"))
        return email.message_from_bytes(archive.read(name))


def test_another_folder_time_and_user_build_the_same_bytes(packages: dict[Kind, Path], tmp_path: Path) -> None:
    copy = tmp_path / "elsewhere" / "a copy"
    shutil.copytree(ROOT, copy, ignore=LEFT_BEHIND)
    for path in copy.rglob("*"):
        if path.is_file():
            path.chmod(0o600)
            os.utime(path, (LATER, LATER))
    again = built(copy, tmp_path / "again")
    for kind, path in packages.items():
        assert again[kind].name == path.name
        assert again[kind].read_bytes() == path.read_bytes(), kind


def test_the_source_package_builds_the_same_wheel(packages: dict[Kind, Path], unpacked: Path, tmp_path: Path) -> None:
    again = built(unpacked, tmp_path, ("wheel",))["wheel"]
    assert again.name == packages["wheel"].name
    assert again.read_bytes() == packages["wheel"].read_bytes()


def test_the_wheel_is_for_any_python_3_and_any_computer(packages: dict[Kind, Path]) -> None:
    assert packages["wheel"].name == f"pailbook-{pailbook.__version__}-py3-none-any.whl"


def test_the_wheel_holds_the_package_and_nothing_else(packages: dict[Kind, Path]) -> None:
    with zipfile.ZipFile(packages["wheel"]) as archive:
        inside = {name: archive.read(name) for name in archive.namelist()}
    about = {name for name in inside if name.startswith(f"pailbook-{pailbook.__version__}.dist-info/")}
    assert {name: inside[name] for name in inside.keys() - about} == {
        f"pailbook/{name}": content for name, content in files_under(ROOT / "addin" / "pailbook").items()
    }
    assert {name.rpartition("/")[2] for name in about} == {"METADATA", "WHEEL", "RECORD", "LICENSE", "entry_points.txt"}


def test_the_source_package_holds_what_builds_and_tests_need(unpacked: Path) -> None:
    inside = files_under(unpacked)
    assert not [path for path in unpacked.rglob("*") if CACHES.search(path.relative_to(unpacked).as_posix())]
    for folder in NEEDED_FOR_TESTS:
        expected = {f"{folder}/{name}": content for name, content in files_under(ROOT / folder).items()}
        assert {name: inside[name] for name in inside if name.startswith(f"{folder}/")} == expected
    at_top = {name for name in inside if "/" not in name}
    assert at_top == {path.name for path in ROOT.iterdir() if path.is_file() and path.name != ".git"} | {"PKG-INFO"}


def test_the_metadata_say_what_it_is(packages: dict[Kind, Path]) -> None:
    about = metadata(packages)
    assert about["Name"] == "pailbook"
    assert about["Version"] == pailbook.__version__
    assert about["License-Expression"] == "MIT"
    assert (ROOT / "LICENSE").read_text(encoding="utf-8").startswith("MIT License")
    assert about["Description-Content-Type"] == "text/markdown"
    described = about.get_payload(decode=True)
    assert isinstance(described, bytes)
    assert described.decode("utf-8").strip() == (ROOT / "README.md").read_text(encoding="utf-8").strip()
    assert about.get_all("Provides-Extra") == ["dask", "test"]
    assert "Typing :: Typed" in about.get_all("Classifier", [])
    assert (ROOT / "addin" / "pailbook" / "py.typed").exists()


def test_the_plain_tests_run_from_the_source_package(unpacked: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-B", "-m", "pytest", "-n", "0", "-q", "-p", "no:cacheprovider", "tests/test_readme.py",
         "tests/test_archive.py", "tests/test_declarations.py"],
        cwd=unpacked, env={**os.environ, "PYTHONPATH": str(unpacked / "addin")}, capture_output=True, text=True,
        check=False, timeout=300,
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.fixture(scope="module")
def command(packages: dict[Kind, Path], tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """Runs the wheel's `pailbook` with the packages of this Python, but not the project's own folder."""
    site = tmp_path_factory.mktemp("site")
    with zipfile.ZipFile(packages["wheel"]) as archive:
        archive.extractall(site)
    program = (
        "import sys\n"
        f"sys.path[:] = [{str(site)!r}, *(each for each in sys.path if each != {str(ROOT / 'addin')!r})]\n"
        "import pailbook.cli\n"
        f"assert pailbook.__file__.startswith({str(site)!r}), pailbook.__file__\n"
        "sys.argv[0] = 'pailbook'\n"
        "pailbook.cli.main()\n"
    )
    return [sys.executable, "-c", program]


@pytest.mark.parametrize(("arguments", "expected"), [
    (["new", "farm-log", "log.xlsx", "--units", "us"], {"log.xlsx"}),
    (["install", "calc", "--build", "functions.oxt"], {"functions.oxt"}),
    (["install", "excel", "--build", "files"], {"files/Pailbook.xlam", "files/Pailbook.xlsm", "files/lite/main.py"}),
    (["ready", "python"], set()),
], ids=lambda value: " ".join(value[:2]) if isinstance(value, list) else None)
def test_the_wheel_works_alone(command: list[str], tmp_path: Path, arguments: list[str], expected: set[str]) -> None:
    done = subprocess.run(
        [*command, *arguments], cwd=tmp_path, capture_output=True, text=True, check=False, timeout=300,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    written = {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*") if path.is_file()}
    assert expected <= written
