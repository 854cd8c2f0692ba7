"""Write the service's OpenAPI description and the page's types from it, or check them for drift.

python scripts/openapi.py           writes web/openapi.json and web/src/api/schema.d.ts
python scripts/openapi.py --check   fails, with the difference, where the two are out of date
"""

from __future__ import annotations

import difflib
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
DESCRIPTION = ROOT / "web" / "openapi.json"
TYPES = ROOT / "web" / "src" / "api" / "schema.d.ts"


def generate(description: Path, types: Path) -> None:
    """Ask the service for its description and turn that into TypeScript types."""
    ask = [sys.executable, "-m", "limbwright.service.openapi"]
    answer = subprocess.run(ask, stdout=subprocess.PIPE, check=False)
    if answer.returncode:
        raise SystemExit("the service could not describe itself; its own message stands above")
    description.write_bytes(answer.stdout)
    npm = [sys.executable, str(ROOT / "scripts" / "npm.py"), str(ROOT / "web" / "openapi")]
    command = ["--silent", "run", "generate", "--", str(description), "--output", str(types)]
    if subprocess.run([*npm, *command], check=False).returncode:
        raise SystemExit("the page's types were not generated; npm's own message stands above")


def difference(committed: Path, fresh: Path) -> list[str]:
    """Say how a committed file differs from one just generated; nothing when it does not."""
    old = committed.read_text("utf-8").splitlines() if committed.exists() else []
    new = fresh.read_text("utf-8").splitlines()
    name = str(committed.relative_to(ROOT))
    return list(difflib.unified_diff(old, new, f"{name} (committed)", f"{name} (fresh)", n=1))


def check() -> int:
    """Generate both files elsewhere and compare."""
    with tempfile.TemporaryDirectory() as folder:
        description, types = Path(folder) / DESCRIPTION.name, Path(folder) / TYPES.name
        generate(description, types)
        lines = difference(DESCRIPTION, description) + difference(TYPES, types)
    if lines:
        print("\n".join(lines[:80]))
        print("The page's types are out of date: run `make openapi` and commit what it writes.")
    return 1 if lines else 0


def main() -> int:
    """Check or write, as the command line asks."""
    if sys.argv[1:] == ["--check"]:
        return check()
    TYPES.parent.mkdir(parents=True, exist_ok=True)
    generate(DESCRIPTION, TYPES)
    return 0


if __name__ == "__main__":
    sys.exit(main())
