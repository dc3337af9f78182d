"""What the owner types into a template of the showroom is public: a private name, serial or amount in it is told as in a note."""

import json

import pytest
from shop_texts import put
from showroom_shop import HERON, SHOP

from purfle.pages.own_words import template_words
from purfle.shell.cli import run

BARE = HERON.partition("cover:")[0] + "---\nA story.\n"  # (serial AX10417, 281.37 paid to Osric Penhallow)
PAGE = "{{% extends '_base.html' %}}\n{{% block main %}}\n{}\n{{% endblock %}}\n"


@pytest.fixture
def told(tmp_path, capsys):
    """Codes and lines of what is told of one's own about.html with some words in it."""

    def of(words, name="about.html"):
        put(tmp_path, {"shop.md": SHOP, "builds/heron/build.md": BARE, f"site_templates/showroom/{name}": PAGE.format(words)})
        run(["check", "--shop", str(tmp_path), "--today", "2026-05-20", "--json"])
        return [(t["code"], t["line"], t["stops"]) for t in json.loads(capsys.readouterr().out)["troubles"] if t["file"] == f"site_templates/showroom/{name}"]

    return of


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("<p>Thanks to Osric Penhallow.</p>", "leak-name"),
        ("<p>Thanks to <b>Osric</b> <i>Penhallow</i>.</p>", "leak-name"),
        ("<p>Thanks to Osric&nbsp;Penhallow.</p>", "leak-name"),
        ('<img src="bench.jpg" alt="Osric Penhallow at the bench">', "leak-name"),
        ("<!-- ask Osric Penhallow -->", "leak-name"),
        ('<p>{{ "Thanks to Osric Penhallow" if site.name }}.</p>', "leak-name"),
        ("{%- set thanks = 'Osric Penhallow' %}<p>{{ thanks }}</p>", "leak-name"),
        ("<p>Number AX-10417.</p>", "leak-serial"),
        ("<p>Heron was $281.37.</p>", "leak-amount"),
    ],
)
def test_what_is_private_is_told_where_it_stands(told, words, code):
    assert told(words) == [(code, 3, "showroom")]


@pytest.mark.parametrize(
    "words",
    [
        "{# ask Osric Penhallow #}",
        "{% set penhallow = 281.37 %}",
        "{% if site.name == 'Osric Penhallow' %}{% endif %}",
        '<p class="osric-penhallow">Hello.</p>',
        "<h2>Private lessons</h2>",
        "<p>Private</p>",
        "<p>{{ site.name }}</p>",
    ],
)
def test_what_is_not_seen_or_is_no_secret_is_left_alone(told, words):
    assert told(words) == []


def test_only_templates_of_the_showroom_are_looked_through():
    data = b"Osric\n\n  <b>Penhallow</b>\n"
    assert [(w.at.file, w.at.line, w.text.split()) for w in template_words({"showroom/about.html": data})] == [
        ("site_templates/showroom/about.html", 1, ["Osric"]),
        ("site_templates/showroom/about.html", 3, ["Penhallow"]),
    ]
    others = ("office/week.html", "showroom/style.css", "showroom/fonts/OFL.txt", "showroom/about.html~", "about.html")
    assert list(template_words(dict.fromkeys(others, data))) == []


def test_nothing_is_told_of_a_packaged_template_that_is_copied_to_be_changed(tmp_path, capsys):
    from purfle.pages.site_files import is_template, packaged

    own = {f"site_templates/showroom/{name}": data.decode() for name, data in packaged("showroom").items() if is_template(name)}
    put(tmp_path, {"shop.md": SHOP, "builds/heron/build.md": BARE, **own})
    run(["check", "--shop", str(tmp_path), "--today", "2026-05-20", "--json"])
    assert len(own) > 10 and not [t for t in json.loads(capsys.readouterr().out)["troubles"] if t["file"] in own]
