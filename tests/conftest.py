"""What every kind of test may use."""

from __future__ import annotations

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
