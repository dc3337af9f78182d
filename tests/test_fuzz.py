"""A seeded part of the fuzzing, and everything it ever found; `make long` runs a hundred thousand inputs."""

from pathlib import Path

import fuzzing
import pytest

FOUND = sorted((Path(__file__).parent / "cases/fuzz").glob("*"))


def test_a_few_hundred_bent_inputs_bring_nothing_down():
    found = fuzzing.fuzz(250, seed=11, full_every=125)
    assert not found, "\n".join(what for what, _, _ in found)


@pytest.mark.parametrize("case", FOUND, ids=lambda path: path.name)
def test_what_was_found_stays_mended(case):
    name, _, data = case.read_bytes().partition(b"\n")
    fuzzing.try_note(name.decode("utf-8", "replace"), data, full=True)


def test_a_million_keys_are_refused_in_time():
    keys = b"---\n" + b"".join(b"k%d: 1\n" % n for n in range(100_000)) + b"---\n"
    fuzzing.try_note("builds/heron/build.md", keys[:999_000])
    flow = b"---\nspecs: {" + b", ".join(b"k%d: 1" % n for n in range(80_000)) + b"}\n---\n"
    fuzzing.try_note("builds/heron/build.md", flow[:999_000])


@pytest.mark.parametrize("opening", [b"[", b"{a: ", b"- ", b"? ", b"> ", b"* ", b"![", b"[a](", b"**a ", b"`", b"| a ", b"::: private\n", b"<!--", b"&#", b"[^1]: "])
def test_deep_nesting_ends_in_time(opening):
    fuzzing.try_note("builds/heron/build.md", b"---\ntitle: Heron\nspecs: " + opening * 3000 + b"\n---\n")
    fuzzing.try_note("builds/heron/2026-03-14.md", b"---\nstage: strip\n---\n\n" + opening * 12_000)


def test_comments_made_of_comments_end_in_time_and_stay_private():
    nested = b"<!" * 30_000 + b"<!---->" + b"---->" * 30_000
    fuzzing.try_note("builds/heron/2026-03-14.md", b"---\nstage: strip\n---\n\n" + nested)
    shop, troubles = fuzzing.read_shop({**fuzzing.PLAIN, "builds/heron/2026-03-14.md": b"---\nstage: strip\n---\n\nopen\n\n" + b"<!" * 20 + b"<!---->" + b"---->" * 20 + b" hidden"}, (), fuzzing.TODAY)
    assert "hidden" not in shop.notes[0].body.text and any(t.code == "private-unclosed" for t in troubles)
