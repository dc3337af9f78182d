"""Prints what CI installs: every dependency by name and version with the digest of its file, for the system this runs on.

Asks pip what it would install for `.[test]` and takes names, versions and digests from its report; where files are fetched from is not
written down. `tools/install.py --locked` installs from it.
"""

import json
import platform
import subprocess
import sys


def main() -> None:
    """Print the lock file."""
    words = [
        sys.executable,
        "-m",
        "pip",
        "install",
        "--quiet",
        "--dry-run",
        "--ignore-installed",
        "--disable-pip-version-check",
        "--only-binary",
        ":all:",
        "--no-binary",
        "purfle",
        "--report",
        "-",
    ]
    wanted = ["-e", ".[test]", "editables<1"]  # hatchling asks for editables to install a folder as it stands
    report = json.loads(subprocess.run([*words, *wanted], capture_output=True, text=True, check=True).stdout)
    print(f"# Made by tools/lock.py for {here()}.")
    for _name, line in sorted(_line(item) for item in report["install"] if item["metadata"]["name"].casefold() != "purfle"):
        print(line)


def here() -> str:
    """What decides which files are installed: the Python, the system, its C library."""
    version = ".".join(platform.python_version_tuple()[:2])
    return " ".join((platform.python_implementation(), version, "on", platform.system(), platform.machine(), platform.libc_ver()[0])).strip()


def _line(item: dict) -> tuple[str, str]:
    name, version = item["metadata"]["name"], item["metadata"]["version"]
    digest = item["download_info"]["archive_info"]["hashes"]["sha256"]
    return name.casefold(), f"{name}=={version} \\\n    --hash=sha256:{digest}"


if __name__ == "__main__":
    main()
