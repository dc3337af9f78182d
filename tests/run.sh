#!/bin/sh
# Runs the tests with $PYTHON; fetches Debian's chromium, chromium-driver, the fonts that pages are mostly read in (Liberation has the widths of
# Arial) and a Java runtime (for the HTML checker) first where it may.
# PURFLE_NEED_BROWSER=1 turns what is missing from a skip into a failure.
set -eu
: "${PYTHON:=python3}"

have_browser() { command -v chromium >/dev/null && command -v chromedriver >/dev/null; }
have_fonts() { fc-list 2>/dev/null | grep -q "Liberation Sans"; }
have_java() { command -v java >/dev/null; }

as_root() {
    if [ "$(id -u)" = 0 ]; then "$@"
    elif command -v sudo >/dev/null && sudo -n true 2>/dev/null; then sudo -n "$@"
    else return 1
    fi
}

wanted=""
have_browser || wanted="chromium chromium-driver"
have_fonts || wanted="$wanted fonts-liberation"
have_java || wanted="$wanted default-jre-headless"
if [ -n "$wanted" ] && command -v apt-get >/dev/null; then
    echo "Installing $wanted for the tests of pages…"
    # shellcheck disable=SC2086  # a list of packages
    { as_root apt-get update -qq && as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $wanted >/dev/null; } || true
fi

missing=""
have_browser || missing="the browser tests, for want of chromium and chromium-driver"
have_java || missing="${missing:+$missing; }the check of valid HTML, for want of Java (default-jre-headless)"
if [ -n "$missing" ] && [ "${PURFLE_NEED_BROWSER:-}" = 1 ]; then
    echo "Needed here and could not be installed: $missing." >&2
    exit 1
fi
"$PYTHON" -m pytest tests
if [ -n "$missing" ]; then
    echo
    echo "SKIPPED: $missing (Debian: apt install chromium chromium-driver default-jre-headless)."
fi
