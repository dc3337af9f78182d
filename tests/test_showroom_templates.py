"""Templates: the owner's in place of the packaged, sandboxed, strict, and at fault by name and line."""

import pytest
from showroom_shop import TEMPLATES, site

from purfle.pages.showroom import pages_of
from purfle.pages.templates import TemplateFault, Templates, is_template, layered, packaged


def _press(**files: str) -> Templates:
    return Templates("showroom", {name.replace("_html", ".html"): text.encode() for name, text in files.items()}, {})


def _fault(name: str, press: Templates, **values: object) -> tuple[str, int, str]:
    with pytest.raises(TemplateFault) as told:
        press.page(name, **values)
    trouble = told.value.trouble
    return trouble.place.file, trouble.place.line, trouble.code


def test_values_are_escaped() -> None:
    assert _press(a_html="{{ v }}").page("a.html", v='<b>&"') == b"&lt;b&gt;&amp;&#34;"


@pytest.mark.parametrize(("text", "line"), [("x\n{% if %}", 2), ("\n\n{{ v.nothing }}", 3), ("\n{{ 1 / 0 }}", 2), ("{{ ''.__class__ }}", 1), ("\n{{ v.append(1) }}", 2), ("{{ v | nosuch }}", 1)])
def test_a_fault_names_file_and_line(text: str, line: int) -> None:
    assert _fault("a.html", _press(a_html=text), v=[]) == ("site_templates/showroom/a.html", line, "showroom-template-fault")


def test_a_fault_in_a_piece_is_the_pieces() -> None:
    press = _press(a_html="{% include 'b.html' %}", b_html="\n\n{{ v.nothing }}")
    assert _fault("a.html", press, v=1)[:2] == ("site_templates/showroom/b.html", 3)


def test_a_missing_template_is_told() -> None:
    assert _fault("a.html", _press()) == ("site_templates/showroom/a.html", 0, "showroom-template-fault")


def test_the_offices_faults_have_a_code_of_their_own() -> None:
    with pytest.raises(TemplateFault) as told:
        Templates("office", {"a.html": b"{{ x }}"}, {}).page("a.html")
    assert told.value.trouble.code == "office-template-fault"


def test_an_owners_template_replaces_the_packaged_one() -> None:
    files = layered("showroom", {"about.html": b"<!doctype html><title>Mine</title>{{ site.name }}", "style.css": b"body{}"})
    pages = pages_of(site().view, files)
    assert pages["about.html"] == b"<!doctype html><title>Mine</title>Test Bench" and pages["style.css"] == b"body{}"
    assert pages["index.html"] == site().pages["index.html"]


def test_what_is_in_a_folder_is_copied_as_it_is() -> None:
    assert not is_template("fonts/x.txt") and not is_template("style.css") and is_template("index.html")
    assert pages_of(site().view, {**TEMPLATES, "fonts/OFL.txt": b"{{ no }}"})["fonts/OFL.txt"] == b"{{ no }}"


def test_both_sites_are_packaged() -> None:
    assert "index.html" in packaged("showroom") and all(not name.startswith(".") for name in packaged("office"))
