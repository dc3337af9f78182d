"""What purfle needs: every dependency bounded, explained, licensed to be shipped, and locked by digest for CI."""

import re
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
ALL = [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]]


def name_of(requirement):
    return re.match(r"[A-Za-z0-9._-]+", requirement)[0]


def test_every_dependency_has_a_lower_and_an_upper_bound():
    assert all(">=" in requirement and "<" in requirement.replace("<=", "") for requirement in ALL)


def test_every_dependency_has_its_reason_in_the_developers_page():
    words = (ROOT / "DEVELOPERS.md").read_text("utf-8").partition("## Dependencies")[2]
    assert all(re.search(rf"\b{re.escape(name_of(r))}\b", words, re.IGNORECASE) for r in PROJECT["dependencies"])


def test_every_licence_is_known_and_welcome():
    said = subprocess.run([sys.executable, ROOT / "tools/licences.py"], capture_output=True, text=True)
    assert said.returncode == 0, said.stdout
    assert len(said.stdout.splitlines()) >= len(PROJECT["dependencies"])


def test_the_lock_file_names_every_dependency_with_a_digest_and_no_host():
    text = (ROOT / "requirements.lock").read_text("utf-8")
    locked = {name.casefold() for name in re.findall(r"^([A-Za-z0-9._-]+)==\S+ \\\n +--hash=sha256:[0-9a-f]{64}$", text, re.MULTILINE)}
    assert {re.sub(r"[-_.]+", "-", name_of(r)).casefold() for r in ALL} <= {re.sub(r"[-_.]+", "-", name) for name in locked}
    assert "://" not in text
