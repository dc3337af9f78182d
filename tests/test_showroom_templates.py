"""Templates: the owner's in place of the packaged, sandboxed, strict, and at fault by name and line."""

import re

import pytest
from showroom_shop import HERON, TEMPLATES, site

from purfle.pages import showroom
from purfle.pages.attributes import fault_of_page, first_fault
from purfle.pages.office import Frame
from purfle.pages.reference import template_reference
from purfle.pages.showroom import SEES, pages_of
from purfle.pages.showroom_filters import filter_words
from purfle.pages.site_files import is_template, layered, packaged, unused
from purfle.pages.templates import TemplateFault, Templates
from purfle.views.words import tight


def _press(**files: str) -> Templates:
    return Templates("showroom", {name.replace("_html", ".html"): text.encode() for name, text in files.items()}, {})


def _fault(name: str, press: Templates, **values: object) -> tuple[str, int, str]:
    with pytest.raises(TemplateFault) as told:
        press.page(name, **values)
    trouble = told.value.trouble
    return trouble.place.file, trouble.place.line, trouble.code


def test_values_are_escaped() -> None:
    assert _press(a_html="{{ v }}").page("a.html", v='<b>&"') == b"&lt;b&gt;&amp;&#34;"


def test_a_macro_gives_its_text() -> None:
    assert _press(a_html="{% macro m(v) %}<b>{{ v }}</b>{% endmacro %}{{ m('&') }}").page("a.html") == b"<b>&amp;</b>"


@pytest.mark.parametrize(
    ("text", "line"),
    [("x\n{% if %}", 2), ("\n\n{{ v.nothing }}", 3), ("\n{{ 1 / 0 }}", 2), ("{{ ''.__class__ }}", 1), ("\n{{ v.append(1) }}", 2), ("{{ v | nosuch }}", 1)],
)
def test_a_fault_names_file_and_line(text: str, line: int) -> None:
    assert _fault("a.html", _press(a_html=text), v=[]) == ("site_templates/showroom/a.html", line, "showroom-template-fault")


@pytest.mark.parametrize(
    "text",
    [
        "{{" * 40, "{{ 1" + "+1" * 3000 + " }}", "{{ v" + ".a" * 2000 + " }}", "{{ " + "9" * 5000 + " }}", "{% for a in v %}" * 30 + "{% endfor %}" * 30,
        "{% macro m(a, a) %}{% endmacro %}", "{{ v | replace(a=1, a=2) }}", "{{ 1e999 | int }}",
    ],
)  # fmt: skip
def test_what_python_itself_can_not_read_is_a_fault_of_the_template(text: str) -> None:
    """Brackets too deep for it, a number too long, blocks in more than twenty blocks, an argument named twice, a number without an end."""
    assert first_fault("showroom", {"a.html": text.encode()}, {"a.html": {"v": object}}) is None  # left to whoever renders it
    assert _fault("a.html", _press(a_html=text), v=[])[::2] == ("site_templates/showroom/a.html", "showroom-template-fault")


def test_a_fault_in_a_piece_is_the_pieces() -> None:
    press = _press(a_html="{% include 'b.html' %}", b_html="\n\n{{ v.nothing }}")
    assert _fault("a.html", press, v=1)[:2] == ("site_templates/showroom/b.html", 3)


def test_a_missing_template_is_told() -> None:
    assert _fault("a.html", _press()) == ("site_templates/showroom/a.html", 0, "showroom-template-fault")


@pytest.mark.parametrize("asks", ["{% include 'b.html' %}", "{% extends 'b.html' %}", "{% from 'b.html' import x %}"])
def test_a_missing_piece_is_told_where_it_is_asked_for(asks: str) -> None:
    assert _fault("a.html", _press(a_html=f"\n{asks}")) == ("site_templates/showroom/a.html", 2, "showroom-template-fault")


def test_ranges_inside_ranges_come_to_an_end() -> None:
    """Each alone is one the sandbox allows; together they would take 90,000 cubed steps. A page's count begins anew."""
    press = _press(a_html="x\n" + "{% for n in range(90000) %}" * 3 + "{% endfor %}" * 3, b_html="{% for n in range(90000) %}{% endfor %}")
    assert _fault("a.html", press) == ("site_templates/showroom/a.html", 2, "showroom-template-fault")
    assert [press.page("b.html") for _ in range(20)] == [b""] * 20


@pytest.mark.parametrize(
    "text",
    [
        "{{ 'x' * 10000000000 }}",
        "{{ 10000000000 * [0] }}",
        "{{ 9 ** (9 ** 9) }}",
        "{{ '%10000000000d' % 1 }}",
        "{{ '%*d' % (10000000000, 1) }}",
        "{{ '%010000000000d' | format(1) }}",
        "{{ '{:>10000000000}'.format(1) }}",
        "{{ '{:>{}}'.format(1, 10000000000) }}",
        "{{ 'x'.ljust(10000000000) }}",
        "{{ 'x' | center(10000000000) }}",
        "{{ 'x' | indent(10000000000, true) }}",
        "{{ [1] | batch(10000000000, 0) | list }}",
        "{{ [1] | tojson(indent=10000000000) }}",
        "{{ 1 | round(10000000000, 'ceil') }}",
    ],
)
def test_no_value_is_made_that_no_page_can_hold(text: str) -> None:
    """Each would take gigabytes, or hours."""
    assert _fault("a.html", _press(a_html=f"\n{text}")) == ("site_templates/showroom/a.html", 2, "showroom-template-fault")


def test_no_page_is_made_that_no_browser_can_hold() -> None:
    """A million times a million characters."""
    assert _fault("a.html", _press(a_html="{% set x = 'x' * 1000000 %}{% for n in range(1000000) %}{{ x }}{% endfor %}"))[2] == "showroom-template-fault"


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("{{ '-' * 3 }}{{ 2 ** 10 }}{{ 7 % 4 }}{{ 3 * 20000000 }}", "---1024360000000"),
        ("{{ '%03d of 20000001, 100%%' % 20000001 }}", "20000001 of 20000001, 100%"),
        ("{{ 'tel 12345678901: {:>4}'.format(1) }}{{ 'x'.center(3) }}", "tel 12345678901:    1 x "),
        ("{{ 20000001 | tojson }}{{ 'x' | center(3) }}{{ '%s' | format(20000001) }}", "20000001 x 20000001"),
    ],
)
def test_what_a_page_can_hold_is_made(text: str, made: str) -> None:
    """By hand, as Python's own operators have it."""
    assert _press(a_html=text).page("a.html").decode() == made


@pytest.mark.parametrize("text", ["{{ lipsum(1) }}", "{{ [1, 2] | random }}"])
def test_nothing_is_left_to_chance(text: str) -> None:
    """The same notes give the same pages."""
    assert _fault("a.html", _press(a_html=text))[2] == "showroom-template-fault"


@pytest.mark.parametrize(
    ("words", "kept"),
    [
        ("7.25 in (184 mm) to 9.5 in (241 mm)", "7.25_in (184_mm) to 9.5_in (241_mm)"),
        ("48 % humidity, 20 °C", "48_% humidity, 20_°C"),
        ("two, 250 kΩ, 22 nF; 9 V, 550 mAh", "two, 250_kΩ, 22_nF; 9_V, 550_mAh"),
        ("13 of 13, 2 humbuckers, 3 more, 4 inlays", "13 of 13, 2 humbuckers, 3 more, 4 inlays"),
    ],
)
def test_a_figure_stays_on_the_line_of_its_unit(words: str, kept: str) -> None:
    assert tight(words) == kept.replace("_", "\xa0")


def test_the_offices_faults_have_a_code_of_their_own() -> None:
    with pytest.raises(TemplateFault) as told:
        Templates("office", {"a.html": b"{{ x }}"}, {}).page("a.html")
    assert told.value.trouble.code == "office-template-fault"


SITES = {site: packaged(site) for site in ("showroom", "office")}


def test_an_owners_template_replaces_the_packaged_one() -> None:
    files = layered(SITES, {"showroom/about.html": b"<!doctype html><title>Mine</title>{{ site.name }}", "showroom/style.css": b"body{}"})["showroom"]
    pages = pages_of(site().view, files)
    assert pages["about.html"] == b"<!doctype html><title>Mine</title>Test Bench" and pages["style.css"] == b"body{}"
    assert pages["index.html"] == site().pages["index.html"]


@pytest.mark.parametrize(
    ("path", "mend"),
    [
        ("showroom/abuot.html", "name it about.html"),
        ("showroom/token.css", "name it tokens.css"),
        ("office/contact.html", "give it the name of the packaged file it is meant for, or take it away"),
        ("about.html", "move it to site_templates/showroom/"),
        ("showrom/build.html", "move it to site_templates/showroom/ or site_templates/office/"),
    ],
)
def test_a_file_that_misses_its_place_is_told(path: str, mend: str) -> None:
    (told,) = unused(SITES, {path: b"x"})
    assert (told.code, told.place.file, told.mend) == ("template-unused", f"site_templates/{path}", mend)


@pytest.mark.parametrize(
    "name", ["about.html~", "style.css.bak", "tokens.css.orig", "fonts/Thumbs.db", "desktop.ini", "#about.html#", "notes.md", "logo.svg.swp"]
)
def test_what_was_left_behind_is_told_and_not_published(name: str) -> None:
    owner = {f"showroom/{name}": b"asked 1,450 for it", "showroom/gold.css": b"", "showroom/CNAME": b"x"}
    assert [(told.code, told.place.file) for told in unused(SITES, owner)] == [("template-unused", f"site_templates/showroom/{name}")]
    files = layered(SITES, owner)["showroom"]
    assert name not in files and {"gold.css", "CNAME"} <= files.keys()


def test_a_file_in_its_place_or_asked_for_is_none_to_tell() -> None:
    piece = {"showroom/about.html": b"{% include 'mine.html' %}", "showroom/mine.html": b"x"}
    assert not list(unused(SITES, {**piece, "office/week.html": b"x", "showroom/tokens.css": b"", "showroom/boat.svg": b"", "README.md": b""}))


def test_what_is_in_a_folder_is_copied_as_it_is() -> None:
    assert not is_template("fonts/x.txt") and not is_template("style.css") and is_template("index.html")
    assert pages_of(site().view, {**TEMPLATES, "fonts/OFL.txt": b"{{ no }}"})["fonts/OFL.txt"] == b"{{ no }}"


def test_both_sites_are_packaged() -> None:
    assert "index.html" in packaged("showroom") and all(not name.startswith(".") for name in packaged("office"))


# --- attributes, before anything is rendered --------------------------------------------------------------------------


def _first(name: str, text: str) -> tuple[int, str, str] | None:
    fault = first_fault("showroom", {name: text.encode()}, SEES)
    return fault and (fault.place.line, fault.found, fault.mend)


def test_the_packaged_templates_ask_only_for_what_there_is() -> None:
    assert first_fault("showroom", TEMPLATES, SEES) is None


@pytest.mark.parametrize(
    ("text", "line", "found", "mend"),
    [
        ("\n{% if false %}{{ build.tittle }}{% endif %}", 2, "BuildView has no tittle", "write title"),
        ("{% for e in build.log %}\n{{ e.stagess }}{% endfor %}", 2, "LogEntry has no stagess", "write stages"),
        ("{{ build.cover.picture.hieght }}", 1, "PublishedPicture has no hieght", "write height"),
        ("{{ buid.title }}", 1, "there is no buid here", "write build"),
        ("{% set first = build.log[0] %}{{ first.dayy }}", 1, "LogEntry has no dayy", "write day"),
        ("{{ build.price_paid }}", 1, "BuildView has no price_paid", None),
        ("{{ site.name.shout() }}", 1, "str has no shout", None),
        ("{{ build.latest.yeer }}", 1, "date has no yeer", None),
        ("{% for e in build.log if e.nope %}{% endfor %}", 1, "LogEntry has no nope", None),
    ],
)
def test_what_no_view_has_is_told_though_it_is_never_reached(text: str, line: int, found: str, mend: str | None) -> None:
    told = _first("build.html", text)
    assert told is not None and told[:2] == (line, found) and (mend is None or told[2] == mend)


@pytest.mark.parametrize(
    "text",
    [
        "{% macro m(x) %}{{ x.any }}{% endmacro %}{{ m(build) }}",
        "{% macro m(n) %}{% if n %}{{ m(n - 1) }}{% endif %}{% endmacro %}{{ m(3) }}",
        "{% for a, b in [(1, 2)] %}{{ a.x }}{{ loop.index }}{% endfor %}",
        "{{ (build | nope).x }}",
        "{% from 'x' import y %}{{ y(1) }}",
        "{{ range(3) }}",
        "{% with z = 1 %}{{ z }}{% endwith %}",
        "{{ site.name.upper() }}",
    ],
)
def test_what_can_not_be_told_is_left_to_the_rendering(text: str) -> None:
    assert _first("build.html", text) is None


def test_a_wrong_attribute_stops_the_pages_with_its_place() -> None:
    with pytest.raises(TemplateFault) as told:
        pages_of(site().view, {**TEMPLATES, "about.html": b"\n\n{{ site.nmae }}"})
    assert (told.value.trouble.place.file, told.value.trouble.place.line) == ("site_templates/showroom/about.html", 3)


@pytest.mark.parametrize(
    ("name", "text", "found"),
    [
        ("week.html", b"\n{% if false %}{{ frame.shopp }}{% endif %}", "Frame has no shopp"),
        ("week.html", b"\n{% for f in many %}{{ f.rooot }}{% endfor %}", "Frame has no rooot"),
        ("_base.html", b"\n{{ frame.heer }}", "Frame has no heer"),
    ],
)
def test_the_office_is_checked_by_what_it_is_handed(name: str, text: bytes, found: str) -> None:
    frame = Frame("Shop", "", "week", "", 0, 0)
    told = fault_of_page("office", "week.html", {name: text}, {"frame": frame, "many": (frame,), "none": None, "empty": ()})
    assert told is not None and (told.code, told.place.file, told.place.line, told.found) == (
        "office-template-fault",
        f"site_templates/office/{name}",
        2,
        found,
    )


def test_each_template_is_handed_what_the_table_says(monkeypatch: pytest.MonkeyPatch) -> None:
    handed: dict[str, set[str]] = {}
    page = Templates.page

    def recorded(self: Templates, name: str, **values: object) -> bytes:
        handed[name] = set(values)
        return page(self, name, **values)

    monkeypatch.setattr(showroom.Templates, "page", recorded)
    sold = {"builds/heron/build.md": HERON.replace("showroom: yes", "sale: {date: 2026-05-01, price: 9}\nshowroom: yes")}
    pages_of(site(sold).view, TEMPLATES)
    assert handed == {name: set(names) for name, names in SEES.items() if not name.startswith("_")}


def test_the_reference_names_every_template_filter_and_field() -> None:
    import dataclasses

    from purfle.views import public

    text = template_reference()
    fields = {f.name for kind in vars(public).values() if dataclasses.is_dataclass(kind) for f in dataclasses.fields(kind)}
    assert [name for name in (*SEES, *fields, *filter_words()) if f"`{name}`" not in text] == []
    assert "- `asking` (Decimal)" in text and "empty unless the builder made it public." in text.casefold()
    assert all(filter_words().values())


def test_the_reference_has_every_type_that_it_names() -> None:
    """A picture, its files and a sound are handed on within others."""
    text = template_reference()
    named = set(re.findall(r"\b[A-Z][a-z]+(?:[A-Z][a-z]+)*\b", " ".join(re.findall(r"^- `\w+` \((.*?)\)", text, re.MULTILINE))))
    assert {"PublishedPicture", "PublishedSound", "Variant", "Text"} < named
    assert [name for name in sorted(named - {"Decimal", "Markup", "None"}) if f"\n## {name}\n" not in text] == []


def test_the_command_prints_the_reference(capsys: pytest.CaptureFixture[str]) -> None:
    from purfle.shell.cli import run

    assert run(["fields", "--templates"]) == 0
    assert capsys.readouterr().out.strip() == template_reference().strip()
    assert run(["fields", "--templates", "--schema"]) == 2


# --- the sandbox, and what passes it at once ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "{{ link.__class__ }}", "{{ link.__init__.__globals__ }}", "{{ link.title.__class__.__mro__ }}", "{{ link.__dataclass_fields__ }}", "{{ link._replace }}",
        "{{ link['__class__'] }}", "{{ link | attr('__class__') }}", "{{ link.title.format.__self__ }}", "{{ '{0.__class__}'.format(link) }}", "{{ link.__slots__ }}",
    ],
)  # fmt: skip
def test_what_is_unsafe_stays_out_of_reach(text: str) -> None:
    """The ways out of a template that jinja2's documentation of its sandbox names, and their like, on a view's own type."""
    from purfle.views.public import PageLink

    _fault("a.html", _press(a_html=text), link=PageLink("Heron", "builds/heron.html"))


def test_only_declared_fields_of_the_views_pass_at_once() -> None:
    import dataclasses

    from purfle.pages.sandbox import _plain_fields
    from purfle.views.public import BuildView

    assert {"title", "log"} <= _plain_fields(BuildView) and not {"latest", "about_line", "__class__", "__slots__"} & _plain_fields(BuildView)
    strange = dataclasses.make_dataclass("Strange", ["title", "_own"], frozen=True)
    loose = dataclasses.make_dataclass("Loose", ["title"])
    loose.__module__ = "purfle.views.public"
    assert [_plain_fields(kind) for kind in (strange, loose, str, type)] == [frozenset()] * 4
