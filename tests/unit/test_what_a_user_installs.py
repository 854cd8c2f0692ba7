"""A user installs only what the package imports, under licences that bind them to little."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import Distribution, distribution
from importlib.metadata import packages_distributions as distributions_by_module
from pathlib import Path

from packaging.markers import default_environment
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "limbwright"
STRONG_COPYLEFT = re.compile(r"(?<!L)(?<!Lesser )A?GPL|(?<!Lesser )General Public Licen[sc]e", re.I)
# Imported by the web framework when a file is uploaded, never by name here; drawn on by none of
# our modules but needed by those of the libraries.
USED_THROUGH_OTHERS = {"python-multipart", "pillow"}


def asked_for() -> dict[str, Requirement]:
    """Read what pyproject.toml asks of a user, with what they may add on top."""
    table = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    texts = [*table["dependencies"], *table["optional-dependencies"]["step"]]
    return {canonicalize_name(wanted.name): wanted for wanted in map(Requirement, texts)}


def everything_installed() -> dict[str, Distribution]:
    """Follow the requirements of what a user installs, as they hold on this machine."""
    environment = {**default_environment(), "extra": ""}
    found: dict[str, Distribution] = {}
    waiting = list(asked_for().values())
    while waiting:
        wanted = waiting.pop()
        name = canonicalize_name(wanted.name)
        if name in found or (wanted.marker and not wanted.marker.evaluate(environment)):
            continue
        found[name] = distribution(name)
        waiting += [Requirement(text) for text in found[name].requires or []]
    return found


def licence_words(package: Distribution) -> list[str]:
    """Collect what a package declares of its licence, and the names of its licence files.

    Texts of bundled run-time libraries (a compiler's, with its exception) are not declarations.
    """
    metadata = package.metadata
    words = [metadata.get("License-Expression") or "", (metadata.get("License") or "")[:200]]
    words += metadata.get_all("License-File") or []
    return words + [w for w in metadata.get_all("Classifier") or [] if w.startswith("License")]


def imported_modules() -> set[str]:
    """Find the top-level modules that the package's files import, wherever in the file."""
    names: set[str] = set()
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                names |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
                names.add(node.module.split(".")[0])
    return names - set(sys.stdlib_module_names) - {"limbwright"}


def test_nothing_that_a_user_installs_is_under_a_strong_copyleft_licence() -> None:
    bound = {
        name: [word for word in licence_words(package) if STRONG_COPYLEFT.search(word)]
        for name, package in everything_installed().items()
    }
    assert {name: words for name, words in bound.items() if words} == {}


def test_every_library_that_the_package_imports_is_one_that_a_user_installs() -> None:
    owners = distributions_by_module()
    wanted = set(asked_for())
    missing = {
        module
        for module in imported_modules()
        if not wanted & {canonicalize_name(owner) for owner in owners.get(module, [module])}
    }
    assert missing == set()


def test_every_library_that_a_user_installs_is_imported_somewhere() -> None:
    owners = distributions_by_module()
    used = {
        canonicalize_name(owner)
        for module in imported_modules()
        for owner in owners.get(module, [module])
    }
    assert set(asked_for()) - used - USED_THROUGH_OTHERS == set()


def test_the_licence_check_sees_a_package_under_a_strong_copyleft_licence() -> None:
    words = licence_words(distribution("codespell"))  # beside the project, not in it
    assert any(STRONG_COPYLEFT.search(word) for word in words)
    assert not any(STRONG_COPYLEFT.search(word) for word in ("LGPL-2.1", "MPL-2.0", "BSD"))
