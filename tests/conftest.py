"""What every kind of test may use."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# The same examples on every run, and no failure because a machine was busy.
settings.register_profile(
    "project", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("project")

REPOSITORY = Path(__file__).resolve().parents[1]

# Whoever runs the tests may have a catalogue of parts of their own.
os.environ["LIMBWRIGHT_PARTS"] = os.devnull + "-absent"
# Nor is the address of their last start touched: a folder that cannot be made takes none.
os.environ["XDG_STATE_HOME"] = os.environ["LOCALAPPDATA"] = os.devnull


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """Open test material beside the repository; tests that need it skip where it is absent."""
    folder = REPOSITORY.parent / "shared" / "data"
    if not folder.is_dir():
        pytest.skip(f"no test material at {folder}")
    return folder


@pytest.fixture(scope="session")
def chromium_path() -> str:
    """Path of the Chromium that browser tests drive: a missing one fails, it does not skip."""
    named = os.environ.get("LIMBWRIGHT_CHROMIUM")
    if named:
        return named
    found = subprocess.run(
        [str(REPOSITORY / "scripts" / "chromium.sh")], capture_output=True, text=True, check=False
    )
    if found.returncode:
        pytest.fail(found.stderr.strip())
    return found.stdout.strip()


@pytest.fixture(scope="session")
def calculix_path() -> str:
    """Path of CalculiX, which the finite elements are compared with; skips where there is none."""
    from calculix import calculix_path

    found = calculix_path()
    if found is None:
        pytest.skip("CalculiX is not installed (scripts/calculix.sh installs Debian's)")
    return found


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo case with its limb captured once; copy it before changing it."""
    from limbwright.case.create import demo_case
    from limbwright.case.evaluate import evaluate
    from limbwright.case.memo import Memo

    folder = tmp_path_factory.mktemp("demo") / "demo"
    evaluate(folder, demo_case(folder), Memo(), upto="capture")
    return folder


@pytest.fixture
def demo_copy(demo_folder: Path, tmp_path: Path) -> Path:
    """A demo case of one's own."""
    copy = tmp_path / "demo"
    shutil.copytree(demo_folder, copy)
    return copy
