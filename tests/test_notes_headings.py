"""Headings as CommonMark has them: ATX (spec 0.31, section 4.2) and setext (4.3)."""

import pytest

from purfle.notes.bodies.headings import Heading, headings


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
    assert list(headings(text)) == [Heading(level, words, line)]


@pytest.mark.parametrize("text", ["#Heron", "    # Heron", "```\n# Heron\n```", "~~~~\n# Heron\n~~~", "\n---", "####### Heron"])
def test_what_is_no_heading(text):
    assert list(headings(text)) == []
