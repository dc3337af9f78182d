"""Prints what CI installs: every dependency by name and version with the digest of its file, for the system this runs on.

Asks pip what it would install for `.[test]` and takes names, versions and digests from its report; where files are fetched from is not
written down. Use: pip install --require-hashes -r requirements.lock, then pip install --no-deps -e .
"""

import json
import platform
import subprocess
import sys


def main() -> None:
    """Print the lock file."""
    words = [sys.executable, "-m", "pip", "install", "--quiet", "--dry-run", "--ignore-installed", "--disable-pip-version-check", "--only-binary", ":all:", "--no-binary", "purfle", "--report", "-", "-e", ".[test]"]
    report = json.loads(subprocess.run(words, capture_output=True, text=True, check=True).stdout)
    print(f"# Made by tools/lock.py for Python {platform.python_version_tuple()[0]}.{platform.python_version_tuple()[1]} on {platform.system()} {platform.machine()}.")
    for _name, line in sorted(_line(item) for item in report["install"] if item["metadata"]["name"].casefold() != "purfle"):
        print(line)


def _line(item: dict) -> tuple[str, str]:
    name, version = item["metadata"]["name"], item["metadata"]["version"]
    digest = item["download_info"]["archive_info"]["hashes"]["sha256"]
    return name.casefold(), f"{name}=={version} \\\n    --hash=sha256:{digest}"


if __name__ == "__main__":
    main()
