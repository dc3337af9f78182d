"""Every trouble: told at its place, with its cause and its mend, and nothing else told; once its mend is followed, nothing at all."""

import re
from datetime import date
from functools import cache
from pathlib import Path

import pytest
import yaml
from cases import CASES, read_case

from purfle.base.codes import CODES, Misses
from purfle.base.trouble import braced
from purfle.compile import Analysis


@cache
def told_of(path):
    """The troubles of a case as it stands."""
    case = read_case(path)
    return Analysis(case.files, frozenset(case.assets), case.today).troubles


@pytest.mark.parametrize("path", sorted(CASES.glob("*.case")), ids=lambda path: path.stem)
def test_the_troubles_of_a_case_are_those_it_marks_in_order_and_no_other(path):
    case, told = read_case(path), told_of(path)
    seen = [((t.place.file, t.place.line, t.place.column), t.code) for t in told]
    assert seen == list(zip(case.places, (e.code for e in case.expected), strict=True)), "\n".join(map(str, told))
    for trouble, expected in zip(told, case.expected, strict=True):
        assert expected.found in (None, trouble.found)
        assert expected.mend in (None, trouble.mend)


@pytest.mark.parametrize("path", sorted(CASES.glob("*.case")), ids=lambda path: path.stem)
def test_once_each_mend_is_followed_nothing_is_told(path):
    """A case says how its files read then; what a mend alone says to write stands in them to the letter."""
    case = read_case(path)
    if case.expected:
        assert case.mended is not None, "the case lacks its files as they are once mended"
        told = Analysis(case.mended.files, frozenset(case.mended.assets), case.today).troubles
        assert told == (), "\n".join(map(str, told))
        for trouble in told_of(path):
            if literal := _LITERAL.fullmatch(trouble.mend):
                assert literal[1].encode() in case.mended.files[trouble.place.file]


_LITERAL = re.compile(r"write (?!.*such as)(\S+|[\[{\"].*[\]}\"])")
"""A mend that says nothing but what to write."""


def test_a_note_too_large_to_be_one():
    files = {"shop.md": b"---\nname: The bench\n---\n", "journal/2026-03-14.md": b"x" * 1_000_001}
    told = Analysis(files, frozenset(), date(2026, 5, 20)).troubles
    assert [(t.place.file, t.place.line, t.code) for t in told] == [("journal/2026-03-14.md", 0, "file-too-large")]


@pytest.mark.parametrize(
    "text", ["bone nut", "nut, bone", "pots: 250k", "it's [old], new", "#400 grit", "wire #3", "-6 screws", "'46 pickguard", "{odd}", "\u00bd in washers"]
)
def test_what_a_mend_writes_between_braces_is_one_text_to_another_reader_of_yaml(text):
    assert yaml.load(f"{{item: {braced(text)}, refund: 0}}", yaml.BaseLoader) == {"item": text, "refund": "0"}


def test_every_code_has_a_case():
    """A case file of its name, or a test that names it: what needs a disk, a picture or a template is tried there."""
    cases = {path.stem.partition(".")[0] for path in CASES.glob("*.case")}
    tests = "".join(path.read_text("utf-8") for path in Path(__file__).parent.glob("test_*.py"))
    assert [code for code in CODES if code not in cases and f'"{code}"' not in tests] == []


def test_no_case_for_a_code_that_is_gone():
    told = {expected.code for path in CASES.glob("*.case") for expected in read_case(path).expected}
    assert told <= CODES.keys()


def test_what_keeps_others_from_being_told_holds_the_books():
    """Else a figure could be published while what is wrong with it is not told."""
    assert [code for code, means in CODES.items() if means.unread and not means.stops.books()] == []
    missing = {code: means for code, means in CODES.items() if means.misses}
    assert [code for code, means in missing.items() if means.unread or means.stops.showroom()] == []
    assert [code for code, means in missing.items() if Misses.A_LINK in means.misses and means.stops.books()] == []  # a refused link holds only the showroom
