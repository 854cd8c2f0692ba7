"""What every kind of test may use."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[1]


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
