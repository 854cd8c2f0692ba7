#!/bin/sh
# Write the lock files: every package with its version and hashes for Linux, macOS and Windows
# from Python 3.11 on. They name no registry: whoever installs uses the one their machine is set to.
#   scripts/lock.sh [--upgrade]
set -eu
cd "$(dirname "$0")/.."
compile() {
    .venv/bin/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes \
        --no-annotate --no-header --no-emit-index-url --no-emit-find-links "$@"
}
compile "$@" requirements/bootstrap.in --output-file requirements/bootstrap.txt
# The largest set first; the smaller ones then hold the same versions.
compile "$@" pyproject.toml --extra build --extra fast --extra test --output-file requirements/develop.txt
compile pyproject.toml --extra build --extra fast --constraints requirements/develop.txt \
    --output-file requirements/build.txt
compile pyproject.toml --constraints requirements/develop.txt --output-file requirements/run.txt
