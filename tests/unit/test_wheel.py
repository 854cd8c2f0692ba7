"""The wheel carries the page; the source distribution carries what the page is built from."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
HATCHLING = [sys.executable, "-m", "hatchling", "build"]

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def sources(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Pack the source distribution and unpack it, as someone who downloads it would."""
    folder = tmp_path_factory.mktemp("sources")
    subprocess.run([*HATCHLING, "-t", "sdist", "-d", str(folder)], cwd=ROOT, check=True)
    subprocess.run(["tar", "xzf", next(folder.glob("*.tar.gz")), "-C", folder], check=True)
    return next(path for path in folder.iterdir() if path.is_dir())


@pytest.fixture(scope="module")
def wheel(sources: Path) -> Path:
    """Build the wheel from the unpacked sources; the page's packages are lent, not fetched."""
    (sources / "web" / "node_modules").symlink_to(ROOT / "web" / "node_modules")
    subprocess.run([*HATCHLING, "-t", "wheel", "-d", str(sources)], cwd=sources, check=True)
    return next(sources.glob("*.whl"))


def test_the_source_distribution_leaves_out_what_is_built_or_fetched(sources: Path) -> None:
    names = {path.relative_to(sources).as_posix() for path in sources.rglob("*")}
    assert {"web/package-lock.json", "web/index.html", "scripts/npm.py", "Makefile"} <= names
    made = {"web/dist", "src/limbwright/_web"}
    assert names & made == set()
    assert [name for name in names if name.endswith((".pyc", ".nbi", ".nbc"))] == []


def test_the_wheel_carries_the_page_and_every_file_that_it_names(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
        page = archive.read("limbwright/_web/index.html").decode()
    scripts = [part.split('"')[0] for part in page.split('src="')[1:]]
    assert scripts
    assert all(f"limbwright/_web/{name.removeprefix('./')}" in names for name in scripts)
    assert "limbwright/py.typed" in names
    assert not any(name.startswith(("tests/", "web/", "benchmarks/")) for name in names)


def test_the_wheel_installs_and_finds_its_page_without_node(wheel: Path, tmp_path: Path) -> None:
    target = tmp_path / "installed"
    install = [
        "uv",
        "pip",
        "install",
        "--no-deps",
        "--offline",
        "--target",
        str(target),
        str(wheel),
    ]
    subprocess.run([sys.executable, "-m", *install], check=True)
    ask = (
        "import importlib.resources as r, limbwright;"
        "assert 'installed' in limbwright.__file__, limbwright.__file__;"
        "print((r.files('limbwright') / '_web' / 'index.html').is_file())"
    )
    answer = subprocess.run(
        [sys.executable, "-S", "-c", ask],
        env={"PYTHONPATH": str(target), "PATH": ""},
        capture_output=True,
        text=True,
        check=True,
    )
    assert answer.stdout.strip() == "True"
