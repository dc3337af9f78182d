"""What purfle needs: every dependency bounded, explained, licensed to be shipped, and locked by digest for CI."""

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

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


LOCK = (ROOT / "requirements.lock").read_text("utf-8")
LOCKED = {
    re.sub(r"[-_.]+", "-", name).casefold(): version
    for name, version in re.findall(r"^([A-Za-z0-9._-]+)==(\S+) \\\n +--hash=sha256:[0-9a-f]{64}$", LOCK, re.MULTILINE)
}


def test_the_lock_file_is_names_versions_and_digests_alone():
    first, *lines = LOCK.splitlines()
    assert first.startswith("# Made by tools/lock.py for CPython 3.")
    assert lines and len(lines) == 2 * len(LOCKED)
    assert "://" not in LOCK


@pytest.mark.parametrize("requirement", ALL)
def test_the_lock_file_has_every_dependency_within_its_bounds(requirement):
    asked = Requirement(requirement)
    assert asked.specifier.contains(LOCKED[re.sub(r"[-_.]+", "-", asked.name).casefold()])


def test_ci_installs_from_the_lock_file():
    assert "make test LOCKED=yes" in (ROOT / ".ci/run").read_text("utf-8")
    assert "tools/install.py $(if $(LOCKED),--locked)" in (ROOT / "Makefile").read_text("utf-8")


@pytest.mark.parametrize("fits", [True, False])
def test_the_lock_file_is_used_where_it_fits_and_the_bounds_elsewhere_with_a_word(monkeypatch, capsys, fits):
    monkeypatch.syspath_prepend(ROOT / "tools")
    import install

    asked = []
    monkeypatch.setattr(install.lock, "here", lambda: "Otherpython 9")
    if fits:
        monkeypatch.setattr(install.lock, "heading", lambda: LOCK.splitlines()[0])
    monkeypatch.setattr(install.subprocess, "run", lambda words, **_: asked.append(words[5:]) or subprocess.CompletedProcess(words, 0))
    monkeypatch.setattr(sys, "argv", ["install.py", "--locked"])
    assert install.main() == 0
    assert ("--require-hashes" in asked[0]) == fits
    assert ("does not fit here (Otherpython 9)" in capsys.readouterr().out) != fits


def test_the_lowest_versions_are_those_that_the_bounds_allow(monkeypatch):
    monkeypatch.syspath_prepend(ROOT / "tools")
    import install

    asked = []
    monkeypatch.setattr(
        install.subprocess,
        "run",
        lambda words, **_: asked.extend(Path(words[words.index("-c") + 1]).read_text().split()) or subprocess.CompletedProcess(words, 0),
    )
    monkeypatch.setattr(sys, "argv", ["install.py", "--lowest"])
    assert install.main() == 0
    pinned = [Requirement(line) for line in asked]
    for requirement, lowest in zip(map(Requirement, PROJECT["dependencies"]), pinned, strict=True):
        version = next(iter(lowest.specifier)).version
        assert lowest.name == requirement.name and requirement.specifier.contains(version)
        assert f">={version}" in str(requirement.specifier)
