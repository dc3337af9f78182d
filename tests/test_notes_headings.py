"""Headings as CommonMark has them: ATX (spec 0.31, section 4.2) and setext (4.3)."""

import re
from datetime import date

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from purfle.base.codes import stops_showroom
from purfle.notes.bodies.headings import Heading, headings, headings_in_code
from purfle.notes.shop import read_shop


@pytest.mark.parametrize(
    ("text", "level", "words", "line"),
    [
        ("# Heron", 1, "Heron", 0),
        ("\n### Heron ###", 3, "Heron", 1),
        ("Heron\n=====", 1, "Heron", 0),
        ("one\n\nHeron\n---", 2, "Heron", 2),
        ("   ## Heron", 2, "Heron", 0),
    ],
)
def test_a_heading_has_its_level_words_and_line(text, level, words, line):
    assert list(headings(text.split("\n"))) == [Heading(level, words, line)]


@pytest.mark.parametrize("text", ["#Heron", "    # Heron", "```\n# Heron\n```", "~~~~\n# Heron\n~~~", "\n---", "####### Heron"])
def test_what_is_no_heading(text):
    assert list(headings(text.split("\n"))) == []


def test_a_heading_is_in_code_or_outside_of_it():
    lines = "# Wren\n```\n# Heron\n```\n# Teal".split("\n")
    assert [found.words for found in headings(lines)] == ["Wren", "Teal"]
    assert [found.words for found in headings_in_code(lines)] == ["Heron"]


PIECES = (
    "# Heron\n", "## Heron\n", "### Heron: strip\n", "# Heron #\n", "# *Heron*\n", "\n\nHeron\n=====\n\n", "\n\nHeron\n---\n\n", "# The day\n", "## Other\n", "### Third\n",
    "\n\nOther\n=====\n\n", "# Herons\n", "#Heron\n", "#\n", "Secret word.\n", "Secret word.\n", "\n", "```\n", "~~~\n", "    ", "  ", "> ", "- ", "1. ", "\\", "* * *\n", "hours: 2\n",
    "::: private\n", ":::\n", "<!-- ", " -->", "| a | b |\n|---|---|\n", "[x]: y\n", "\r\n", "\t",
)  # fmt: skip
COMMONMARK = MarkdownIt("commonmark", {"html": False})


def given_to_heron(text):
    """How often the word stands under a heading that names the build, by the reference parser's own reading."""
    tokens, under, found = COMMONMARK.parse(text), 0, 0
    for number, token in enumerate(tokens):
        if token.type == "heading_open" and token.level == 0:
            level = int(token.tag[1])
            if re.match(r"heron\b", tokens[number + 1].content.strip("* ").casefold()):
                under = level
            elif level <= under:
                under = 0
        found += bool(under) * token.content.count("Secret") * (token.type in ("inline", "fence", "code_block"))
    return found


@settings(max_examples=400, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=14).map("".join))
@example("# Heron\n\nSecret word.\n\n# Other\n\nSecret word.\n")
def test_a_day_gives_a_build_no_word_that_commonmark_does_not_put_under_its_name(text):
    """What stands elsewhere is private; rather too little is published than a word too much."""
    files = {
        "shop.md": b"---\nname: A\n---\n",
        "builds/heron/build.md": b"---\ntitle: Heron\nshowroom: yes\n---\n",
        "journal/2026-03-14.md": text.encode(),
    }
    shop, troubles = read_shop(files, (), date(2026, 5, 20))
    shown = sum(note.body.text.count("Secret") for note in shop.notes if note.build == "heron")
    assert stops_showroom(troubles) or shown <= given_to_heron(text)


def test_the_reading_by_commonmark_finds_what_is_given():
    assert [given_to_heron(f"{head}\n\nSecret word.\n") for head in ("# Heron", "# Heron\n\n## More", "# Heron\n\n# More", "Heron\n---", "> # Heron")] == [
        1,
        1,
        0,
        1,
        0,
    ]
