"""The wheel works from an empty folder, in an environment of its own, with its templates inside.

The dependencies are those of the environment that runs the tests, named by a .pth line: installing them anew would need
the network. purfle itself comes from the wheel alone.
"""

import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DAY = "2026-05-20"
pytestmark = pytest.mark.wheel


def run(*command, cwd=ROOT):
    alone = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}  # else what stands there would be found in place of the wheel
    done = subprocess.run([str(part) for part in command], cwd=cwd, env=alone, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder)
    return next(folder.glob("purfle-*.whl"))


@pytest.fixture(scope="module")
def command(wheel, tmp_path_factory):
    """The installed `purfle`, in a new environment."""
    env = tmp_path_factory.mktemp("env")
    run(sys.executable, "-m", "venv", env)
    python = env / "bin" / "python"
    run(python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-index", "--no-deps", wheel)
    home = Path(run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))").strip())
    (home / "dependencies.pth").write_text("\n".join(dict.fromkeys((sysconfig.get_path("purelib"), sysconfig.get_path("platlib")))))
    assert Path(run(python, "-c", "import purfle; print(purfle.__file__)", cwd=env).strip()).is_relative_to(home)
    return env / "bin" / "purfle"


@pytest.fixture
def shop(command, tmp_path):
    run(command, "start", "shop", "--today", DAY, cwd=tmp_path)
    return tmp_path / "shop"


def test_the_wheel_carries_what_runs_and_no_more(wheel):
    names = zipfile.ZipFile(wheel).namelist()
    packaged = {f"purfle/{p.relative_to(ROOT).as_posix()}" for p in (ROOT / "site_templates").rglob("*") if p.is_file()}
    assert packaged <= set(names)
    assert {name.split("/")[0].split("-")[0] for name in names} == {"purfle"}
    assert any(name.endswith("/licenses/LICENSE") for name in names)


def test_a_new_shop_compiles_from_the_wheel(command, shop):
    said = run(command, "compile", "--today", DAY, cwd=shop)
    assert "out/showroom:" in said
    assert "First build" in (shop / "out/showroom/index.html").read_text()
    assert "First build" in (shop / "out/office/index.html").read_text()


def test_one_template_can_be_replaced(command, shop):
    own = shop / "site_templates/showroom/404.html"
    own.parent.mkdir(parents=True)
    own.write_text("<!doctype html><html lang='en'><title>Gone</title><p>My own words.</p></html>")
    run(command, "compile", "--today", DAY, cwd=shop)
    assert "My own words." in (shop / "out/showroom/404.html").read_text()
    assert "First build" in (shop / "out/showroom/index.html").read_text()


def test_the_reference_is_printed_from_the_wheel(command, tmp_path):
    assert "scale_length" in run(command, "fields", cwd=tmp_path)
