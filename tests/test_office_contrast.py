"""Contrast of every pair of the office's colours, light, dark and print.

Limits: WCAG 2.2, 1.4.3 (4.5 : 1 for text) and 1.4.11 (3 : 1 for parts of drawings).
"""

import re

import pytest
from contrast import contrast
from office_shop import pages

TEXT = [
    ("board-ink", "board"),
    ("board-soft", "board"),
    ("board-link", "board"),
    ("card-ink", "card"),
    ("card-soft", "card"),
    ("card-link", "card"),
    ("rail-ink", "rail"),
    ("rail-soft", "rail"),
    ("tape-ink", "tape"),
    ("tape-soft", "tape"),
    ("steel-ink", "steel"),
    ("alarm-ink", "alarm"),
    ("good-ink", "good"),
    ("mark-ink", "mark"),
    ("shut-ink", "shut"),
]
DRAWN = [("steel", "card"), ("copper", "card"), ("pencil", "card"), ("focus", "board"), ("focus", "card"), ("rail-ink", "rail")]


def tokens(scheme: str) -> dict[str, str]:
    css = pages()["style.css"].decode()
    blocks = {
        "light": css.split("@media")[0],
        "dark": css.split("prefers-color-scheme: dark")[1].split("\n}\n")[0],
        "print": css.split("@media print")[1].split("\n  }\n")[0],
    }
    found = dict(re.findall(r"--([a-z-]+): #([0-9a-f]{3}(?:[0-9a-f]{3})?);", blocks[scheme]))
    return found if scheme == "light" else {**tokens("light"), **found}


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
@pytest.mark.parametrize(("ink", "ground"), TEXT)
def test_words_can_be_read(scheme, ink, ground):
    colours = tokens(scheme)
    assert contrast(colours[ink], colours[ground]) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("line", "ground"), DRAWN)
def test_drawings_can_be_seen(scheme, line, ground):
    colours = tokens(scheme)
    assert contrast(colours[line], colours[ground]) >= 3


def test_no_colour_stands_outside_the_tokens():
    css = pages()["style.css"].decode()
    rules = re.sub(r"--[a-z-]+:[^;]+;", "", css.split("@media print")[0])
    assert not re.search(r"#[0-9a-f]{3,8}\b|rgb\(", rules)
