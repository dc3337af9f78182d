"""What a browser passes over in the owner's style sheets is told: CSS Syntax 3 (what a parser drops), Color 4 (lengths of hex colours), Variables 1."""

import re

import pytest

from purfle.pages.site_files import packaged
from purfle.pages.style_sheets import style_faults

SITES = {site: packaged(site) for site in ("showroom", "office")}
TOKENS = SITES["showroom"]["tokens.css"].decode()


def told(text, path="showroom/tokens.css"):
    return [(t.place.line, t.place.column, t.found) for t in style_faults(SITES, {path: text.encode()})]


def line_of(words, text=TOKENS):
    return text[: text.index(words)].count("\n") + 1


@pytest.mark.parametrize("site", SITES)
def test_the_packaged_style_sheets_have_no_fault(site):
    own = {f"{site}/{name}": data for name, data in SITES[site].items() if name.endswith(".css")}
    assert len(own) > 1 and list(style_faults(SITES, own)) == []


def test_a_copy_with_other_colours_has_no_fault():
    assert told(TOKENS.replace("#e9ebe4", "#fff").replace("#7c2114", "rgb(1 2 3 / 50%)").replace("#1d3d35", "RebeccaPurple")) == []


@pytest.mark.parametrize("line", ["--wall: #e9ebe4;", "--wall: #151a18;"], ids=["light", "dark"])
def test_a_lost_semicolon_is_told_at_the_line_it_swallows(line):
    faults = told(TOKENS.replace(line, line.removesuffix(";")))
    assert faults == [(line_of(line) + 1, 3 if "e9" in line else 5, "what stands before this has no ; at its end, so both are lost")]


@pytest.mark.parametrize(
    ("was", "now", "at", "found"),
    [
        ("--wall: #e9ebe4;", "--wall: #e9ebe;", "--wall:", "#e9ebe is no colour"),
        ("--wall: #e9ebe4;", "--wall: #e9ebeg;", "--wall:", "#e9ebeg is no colour"),
        ("--wall: #e9ebe4;", "--wall #e9ebe4;", "--wall #", "there is no colon between a name and its value here, so both are lost"),
        ("\n}\n\n@media (prefers", "\n\n@media (prefers", "@media (prefers", ""),
        ("\n}\n\n@media print", "\n}\n}\n\n@media print", "", "a } stands here that closes nothing, so the rule behind it is lost"),
        ("/* manila */", "/* manila", "--tag:", "a comment begins here and has no end, so all that follows is part of it"),
    ],
)
def test_what_a_browser_drops_is_told(was, now, at, found):
    text = TOKENS.replace(was, now) if "manila" not in was else TOKENS.split(was)[0] + now
    faults = told(text)
    assert faults and (not found or faults[0][2] == found) and (not at or not found or faults[0][0] == line_of(at, text))


def test_a_name_that_other_style_sheets_ask_for_and_this_one_lost_is_told():
    assert told(TOKENS.replace("  --rail: #1d3d35;", "", 1)) == [(0, 1, "--rail is not given here, and other style sheets of the site ask for it")]


def test_a_name_that_nothing_gives_is_told_with_the_one_that_is_meant():
    (fault,) = style_faults(SITES, {"office/style.css": SITES["office"]["style.css"] + b"\n.mine { color: var(--bord-ink); background: var(--none, red); }\n"})
    assert (fault.code, fault.found, fault.mend) == ("style-sheet-fault", "--bord-ink is given by no style sheet of the site", "write --board-ink")


@pytest.mark.parametrize(
    "text",
    [
        'a::before { content: "} ; /*"; }',
        "a { background: url(data:image/svg+xml;base64,x) }",
        "@import url(x.css);\n@layer a, b;\n@layer a { p { margin: 0 } }",
        "a {\n  color: red;\n  &:hover {\n    color: blue;\n  }\n}",
        "a:is(\n  b:hover,\n  c:focus\n) { color: red }",
        "#wall { color: red }\n@media (min-width: 3rem) and (max-width: 9rem) { #wall:hover { color: #abc } }",
        "@property --own { syntax: '<color>'; inherits: true; initial-value: red }\na { color: var(--own) }",
        ".x { --own: 1px; width: calc(var(--own) * 2) }",
        "@media print { a { --own: 1px; margin: var(--own) } }",
        "@media (width < 40em) { a { --own: 1px } }\n@media (width >= 40em) { a { --own: 2px } }\na { margin: var(--own) }",
        ":root { --own: { a: b }; --none: {} }\na { --x: var(--own) var(--none) }",
        ".a\\;b { color: red }\n.a\\{b { color: red }",
    ],
)
def test_what_a_browser_reads_is_not_told(text):
    assert told(text, "showroom/mine.css") == []


def test_names_given_for_light_and_for_dark_are_not_lost():
    light = "@media (prefers-color-scheme: light) {\n:root {"
    text = TOKENS.replace(":root {", light, 1).replace("\n}\n", "\n}\n}\n", 1)
    assert text.count(light) == 1 and told(text) == []


def test_all_words_are_parted_only_by_a_browser_that_parts_none_but_long_ones():
    """CSS Text 4, hyphenate-limit-chars: a browser without it, as Safari is, would part short words of every paragraph."""
    text = SITES["showroom"]["style.css"].decode()
    held = re.sub(r"@supports \(hyphenate-limit-chars: [\d ]+\) \{ body \{[^}]*\} \}", "", text)
    assert "hyphens: auto" in text and "hyphens" not in held
