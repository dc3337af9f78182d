#!/bin/sh
# Runs the tests with $PYTHON; fetches Debian's chromium and chromium-driver first where it may.
# PURFLE_NEED_BROWSER=1 turns a missing browser from a skip into a failure.
set -eu
: "${PYTHON:=python3}"

have_browser() { command -v chromium >/dev/null && command -v chromedriver >/dev/null; }

as_root() {
    if [ "$(id -u)" = 0 ]; then "$@"
    elif command -v sudo >/dev/null && sudo -n true 2>/dev/null; then sudo -n "$@"
    else return 1
    fi
}

if ! have_browser && command -v apt-get >/dev/null; then
    echo "Installing chromium and chromium-driver for the browser tests…"
    { as_root apt-get update -qq && as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium chromium-driver >/dev/null; } || true
fi

if have_browser; then
    "$PYTHON" -m pytest tests
elif [ "${PURFLE_NEED_BROWSER:-}" = 1 ]; then
    echo "chromium and chromium-driver are needed here and could not be installed." >&2
    exit 1
else
    "$PYTHON" -m pytest tests
    echo
    echo "SKIPPED: the browser tests, for want of chromium and chromium-driver (Debian: apt install chromium chromium-driver)."
fi
