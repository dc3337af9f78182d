"""Installs purfle as it stands here, with what its tests need, into the environment that runs this.

`--locked` takes exactly the files of requirements.lock, checked by digest, where that was made for this Python and system. Elsewhere, and without it,
pip chooses within the bounds of pyproject.toml.
"""

import subprocess
import sys
from pathlib import Path

import lock

ROOT = Path(__file__).parents[1]


def main() -> int:
    """Install; gives pip's exit status."""
    if "--locked" in sys.argv[1:]:
        first = (ROOT / "requirements.lock").read_text("utf-8").partition("\n")[0]
        if fits(first):
            # Nothing is fetched past the lock: the second step builds with what the first installed.
            return _pip("--require-hashes", "-r", "requirements.lock") or _pip("--no-deps", "--no-build-isolation", "-e", ".")
        print(f"requirements.lock does not fit here ({lock.here()}): installing within the bounds of pyproject.toml instead.", flush=True)
    return _pip("-e", ".[test]")


def fits(first: str) -> bool:
    """Whether a lock file with this first line was made for this Python and system."""
    return first == f"# Made by tools/lock.py for {lock.here()}."


def _pip(*words: str) -> int:
    return subprocess.run([sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *words], cwd=ROOT).returncode


if __name__ == "__main__":
    sys.exit(main())
