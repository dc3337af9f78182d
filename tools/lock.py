"""Prints what CI installs: every dependency by name and version with the digest of its file, for the system this runs on.

Asks pip what it would install for `.[test]` and takes names, versions and digests from its report; where files are fetched from is not
written down. `tools/install.py --locked` installs from it.
"""

import json
import platform
import subprocess
import sys
from typing import Any

ASKING = "install --quiet --dry-run --ignore-installed --disable-pip-version-check --only-binary :all: --no-binary purfle --report -".split()
WANTED = ("-e", ".[test]", "editables<1")
"""hatchling asks for editables to install a folder as it stands."""


def main() -> None:
    """Print the lock file."""
    asked = subprocess.run([sys.executable, "-m", "pip", *ASKING, *WANTED], capture_output=True, text=True, check=True)
    print(heading())
    for _name, line in sorted(_line(item) for item in json.loads(asked.stdout)["install"] if item["metadata"]["name"].casefold() != "purfle"):
        print(line)


def heading() -> str:
    """The first line of a lock file that is made here, and so of one that fits here."""
    return f"# Made by tools/lock.py for {here()}."


def here() -> str:
    """What decides which files are installed: the Python, the system, its C library."""
    version = ".".join(platform.python_version_tuple()[:2])
    return " ".join((platform.python_implementation(), version, "on", platform.system(), platform.machine(), platform.libc_ver()[0])).strip()


def _line(item: dict[str, Any]) -> tuple[str, str]:
    name, version = item["metadata"]["name"], item["metadata"]["version"]
    digest = item["download_info"]["archive_info"]["hashes"]["sha256"]
    return name.casefold(), f"{name}=={version} \\\n    --hash=sha256:{digest}"


if __name__ == "__main__":
    main()
