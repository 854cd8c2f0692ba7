#!/bin/sh
# Print the path of a Chromium for the browser tests; install Debian's where there is none.
# LIMBWRIGHT_CHROMIUM names one that stands elsewhere.
set -eu

find_chromium() {
    for candidate in "${LIMBWRIGHT_CHROMIUM:-}" chromium chromium-browser google-chrome \
        "/Applications/Chromium.app/Contents/MacOS/Chromium" \
        "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"; do
        if [ -n "$candidate" ] && command -v "$candidate"; then
            return 0
        fi
    done
    return 1
}

install_chromium() {
    command -v apt-get >/dev/null || return 1
    as_root=""
    if [ "$(id -u)" -ne 0 ]; then
        command -v sudo >/dev/null || return 1
        as_root="sudo"
    fi
    echo "no Chromium found: installing Debian's" >&2
    $as_root apt-get update -qq >&2 &&
        $as_root env DEBIAN_FRONTEND=noninteractive \
            apt-get install -qq -y --no-install-recommends chromium fonts-dejavu-core >&2
}

find_chromium && exit 0
install_chromium && find_chromium && exit 0
echo "The browser tests need Chromium and none could be installed here." >&2
echo "Install it, or name one: LIMBWRIGHT_CHROMIUM=/path/to/chromium make test" >&2
exit 1
