"""Installs purfle as it stands here, with what its tests need, into the environment that runs this.

`--lowest` takes the lowest version of each library that pyproject.toml allows purfle to run with, which shows whether the bounds are true.
`--locked` takes exactly the files of requirements.lock, checked by digest, where that was made for this Python and system. Elsewhere, and without it,
pip chooses within the bounds of pyproject.toml.
"""

import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

import lock

ROOT = Path(__file__).parents[1]


def main() -> int:
    """Install; gives pip's exit status."""
    if "--lowest" in sys.argv[1:]:
        with tempfile.NamedTemporaryFile("w", suffix=".txt") as bounds:
            bounds.write("\n".join(lowest((ROOT / "pyproject.toml").read_text("utf-8"))))
            bounds.flush()
            return _pip("-c", bounds.name, "-e", ".[test]")
    if "--locked" in sys.argv[1:]:
        first = (ROOT / "requirements.lock").read_text("utf-8").partition("\n")[0]
        if first == lock.heading():
            # Nothing is fetched past the lock: the second step builds with what the first installed.
            return _pip("--require-hashes", "-r", "requirements.lock") or _pip("--no-deps", "--no-build-isolation", "-e", ".")
        print(f"requirements.lock does not fit here ({lock.here()}): installing within the bounds of pyproject.toml instead.", flush=True)
    return _pip("-e", ".[test]")


def lowest(pyproject: str) -> list[str]:
    """Each dependency at its lower bound, as `name==version`."""
    named = tomllib.loads(pyproject)["project"]["dependencies"]
    return [line.partition(",")[0].replace(">=", "==") for line in named]


def _pip(*words: str) -> int:
    return subprocess.run([sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *words], cwd=ROOT).returncode


if __name__ == "__main__":
    sys.exit(main())
