"""What the repository must not carry, and what its lock files must."""

from __future__ import annotations

import json
import re
import subprocess
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
LOCKS = sorted((ROOT / "requirements").glob("*.txt"))
PAGE_LOCKS = sorted((ROOT / "web").glob("package-lock.json")) + sorted(
    (ROOT / "web").glob("*/package-lock.json")
)
MADE = {"node_modules", "dist", "_web", "__pycache__"}

# Written in pieces, so that this file does not hold what it looks for.
PACKAGE_INDEXES = [
    "py" + "pi.org",
    "python" + "hosted",
    "registry." + "npm",
    "npm" + "mirror",
    "registry." + "yarn",
    "/sim" + "ple/",
    "index" + "-url",
    "find" + "-links",
]
MACHINE_PATHS = [f"/{name}/" for name in ("wo" + "rk", "ro" + "ot", "ho" + "me", "Us" + "ers")]
# The script that writes the locks tells the locker to leave these lines out.
SAYS_SO = {"scripts/lock.sh"}


def files_below(folder: Path) -> Iterator[Path]:
    """Walk the tree past what is made or hidden, as far as that can be told without git."""
    for path in folder.iterdir():
        if path.is_file():
            yield path
        elif path.name not in MADE and (path.name == ".ci" or not path.name.startswith(".")):
            yield from files_below(path)


def committed_files() -> list[Path]:
    """Every file under version control; in an unpacked archive, every file that is not made."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode == 0:
        paths = [ROOT / name for name in listed.stdout.split("\0") if name]
    else:
        paths = list(files_below(ROOT))
    return [path for path in paths if path.is_file() and path != Path(__file__).resolve()]


def lines_with(needles: list[str]) -> Iterator[str]:
    """Name each place where a committed text file holds one of the needles."""
    pattern = re.compile("|".join(re.escape(needle) for needle in needles), re.IGNORECASE)
    for path in committed_files():
        name = path.relative_to(ROOT).as_posix()
        if name in SAYS_SO:
            continue
        for number, line in enumerate(path.read_bytes().splitlines(), start=1):
            if b"\0" not in line and pattern.search(line.decode("utf-8", "replace")):
                yield f"{name}:{number}: {line.decode('utf-8', 'replace').strip()[:120]}"


def pinned(lock: Path) -> dict[str, list[str]]:
    """Map each package of a lock file to the versions that it pins."""
    versions: dict[str, list[str]] = {}
    for name, version in re.findall(
        r"^([A-Za-z0-9_.-]+)==([^\s;]+)", lock.read_text(encoding="utf-8"), re.M
    ):
        versions.setdefault(canonicalize_name(name), []).append(version)
    return versions


def project() -> dict[str, list[str]]:
    """List what pyproject.toml asks for: of a user, and in each optional group."""
    table = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return {"run": table["dependencies"], **table["optional-dependencies"]}


def test_no_committed_file_names_a_package_index() -> None:
    assert list(lines_with(PACKAGE_INDEXES)) == []


def test_no_committed_file_names_a_path_of_the_machine_it_was_written_on() -> None:
    assert list(lines_with(MACHINE_PATHS)) == []


def test_there_are_lock_files_for_python_and_for_the_page() -> None:
    assert [path.name for path in LOCKS] == ["bootstrap.txt", "build.txt", "develop.txt", "run.txt"]
    assert len(PAGE_LOCKS) == 2


@pytest.mark.parametrize("lock", LOCKS, ids=lambda path: path.name)
def test_a_python_lock_names_no_address_and_no_option(lock: Path) -> None:
    text = lock.read_text(encoding="utf-8")
    assert "://" not in text
    assert "file:" not in text
    assert not re.search(r"^\s*-(?!-hash=)", text, re.M)


@pytest.mark.parametrize("lock", LOCKS, ids=lambda path: path.name)
def test_every_package_of_a_python_lock_has_a_hash(lock: Path) -> None:
    for entry in re.split(r"^(?=\S)", lock.read_text(encoding="utf-8"), flags=re.M)[1:]:
        assert "--hash=sha256:" in entry, entry.splitlines()[0]


@pytest.mark.parametrize("lock", PAGE_LOCKS, ids=lambda path: path.parent.name)
def test_a_page_lock_records_integrity_and_no_address(lock: Path) -> None:
    packages = json.loads(lock.read_text(encoding="utf-8"))["packages"]
    entries = {name: entry for name, entry in packages.items() if name}
    assert entries
    assert [name for name, entry in entries.items() if "resolved" in entry] == []
    bundled = {name for name, entry in entries.items() if entry.get("inBundle")}
    assert [
        n for n, entry in entries.items() if "integrity" not in entry and n not in bundled
    ] == []


@pytest.mark.parametrize("folder", ["web", "web/openapi"])
def test_the_page_pins_each_package_to_one_version(folder: str) -> None:
    package = json.loads((ROOT / folder / "package.json").read_text(encoding="utf-8"))
    wanted = {**package.get("dependencies", {}), **package["devDependencies"]}
    loose = [
        name for name, version in wanted.items() if not re.fullmatch(r"\d+\.\d+\.\d+", version)
    ]
    assert loose == []


@pytest.mark.parametrize(
    ("lock", "groups"),
    [
        ("run.txt", ["run"]),
        ("build.txt", ["run", "build"]),
        ("develop.txt", ["run", "build", "test"]),
    ],
)
def test_a_lock_answers_everything_that_the_project_asks_for(lock: str, groups: list[str]) -> None:
    versions = pinned(ROOT / "requirements" / lock)
    for text in (text for group in groups for text in project()[group]):
        wanted = Requirement(text)
        found = versions.get(canonicalize_name(wanted.name), [])
        assert found, f"{wanted.name} is not in {lock}: run `make lock`"
        assert all(wanted.specifier.contains(version) for version in found), text


def test_the_smaller_locks_hold_the_versions_of_the_largest() -> None:
    largest = pinned(ROOT / "requirements" / "develop.txt")
    for smaller in ("run.txt", "build.txt"):
        for name, versions in pinned(ROOT / "requirements" / smaller).items():
            assert versions == largest[name], name
