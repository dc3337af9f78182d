"""A seeded part of the fuzzing, and everything it ever found; `make long` runs a hundred thousand inputs."""

from pathlib import Path

import fuzzing
import pytest

FOUND = sorted((Path(__file__).parent / "cases/fuzz").glob("*.case"))
SECONDS = 2.0
"""Of the processor, for what was found: each took from four to forty before it was mended, and takes a fifth of one since."""


def test_a_few_hundred_bent_inputs_bring_nothing_down():
    found = fuzzing.fuzz(250, seed=11, full_every=125)
    assert not found, "\n".join(what for what, _, _ in found)


def test_what_was_found_is_kept():
    assert len(FOUND) >= 5


@pytest.mark.parametrize("case", FOUND, ids=lambda path: path.stem)
def test_what_was_found_stays_mended(case, monkeypatch):
    monkeypatch.setattr(fuzzing, "MOST_SECONDS", SECONDS)
    fuzzing.try_input(*fuzzing.read_case(case.read_text("utf-8")))


def test_a_case_is_read_as_it_was_written():
    assert fuzzing.read_case(fuzzing.case_of("shop.md", bytes(range(256)))) == ("shop.md", bytes(range(256)))
    assert fuzzing.read_case('shop.md\n1 "a: {n}\\n"\n3 "k{n}\\u00ff"\n') == ("shop.md", b"a: {n}\nk0\xffk1\xffk2\xff")


def test_a_million_keys_are_refused():
    keys = b"---\n" + b"".join(b"k%d: 1\n" % n for n in range(1_000_000)) + b"---\n"
    fuzzing.try_note("builds/heron/build.md", keys)
    _, troubles = fuzzing.read_shop({**fuzzing.PLAIN, "builds/heron/build.md": keys}, (), fuzzing.TODAY)
    assert "file-too-large" in {trouble.code for trouble in troubles}


@pytest.mark.parametrize(
    "opening", [b"[", b"{a: ", b"- ", b"? ", b"> ", b"* ", b"![", b"[a](", b"**a ", b"`", b"| a ", b"::: private\n", b"<!--", b"&#", b"[^1]: "]
)
def test_deep_nesting_ends_in_time(opening):
    fuzzing.try_note("builds/heron/build.md", b"---\ntitle: Heron\nspecs: " + opening * 3000 + b"\n---\n")
    fuzzing.try_note("builds/heron/2026-03-14.md", b"---\nstage: strip\n---\n\n" + opening * 12_000)


def test_comments_made_of_comments_stay_private():
    nested = b"<!" * 20 + b"<!---->" + b"---->" * 20
    shop, troubles = fuzzing.read_shop(
        {**fuzzing.PLAIN, "builds/heron/2026-03-14.md": b"---\nstage: strip\n---\n\nopen\n\n" + nested + b" hidden"}, (), fuzzing.TODAY
    )
    assert "hidden" not in shop.notes[0].body.text and any(t.code == "private-unclosed" for t in troubles)
