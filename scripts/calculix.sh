#!/bin/sh
# Print the path of CalculiX for the tests that compare with it; install Debian's where there is none.
# It is run as a separate program, by tests and benchmarks alone: nothing that a user installs needs it.
# LIMBWRIGHT_CALCULIX names one that stands elsewhere.
set -eu

find_calculix() {
    for candidate in "${LIMBWRIGHT_CALCULIX:-}" ccx ccx_2.20 ccx_2.21 ccx_2.22; do
        if [ -n "$candidate" ] && command -v "$candidate"; then
            return 0
        fi
    done
    return 1
}

install_calculix() {
    command -v apt-get >/dev/null || return 1
    as_root=""
    if [ "$(id -u)" -ne 0 ]; then
        command -v sudo >/dev/null || return 1
        as_root="sudo -n"
    fi
    echo "no CalculiX found: installing Debian's" >&2
    $as_root apt-get update -qq >&2 &&
        $as_root env DEBIAN_FRONTEND=noninteractive \
            apt-get install -qq -y --no-install-recommends calculix-ccx >&2
}

find_calculix && exit 0
install_calculix && find_calculix && exit 0
echo "CalculiX could not be installed here: the comparisons with it will be skipped." >&2
echo "Install it (Debian: calculix-ccx), or name one: LIMBWRIGHT_CALCULIX=/path/to/ccx" >&2
exit 1
