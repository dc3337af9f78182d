"""Whatever lies in the store, damaged, forged or of another kind, it is made anew or passed over: nothing is raised, and the sites come out the same."""

import json
import os
import random
import re
import shutil
import threading
import time
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from out_folder import sites, strays
from PIL import Image
from test_sounds import sound

from purfle.shell import changes, photos, plain, sounds, stamps
from purfle.shell.answered import Answer, Question
from purfle.shell.cli import run
from purfle.shell.copying import keep
from purfle.shell.good_days import recall
from purfle.shell.output import Output
from purfle.shell.store import Store
from purfle.views.office_troubles import Held

DAY = "2026-05-20"
LETTERS = st.text(st.characters(), max_size=20)  # lone surrogates, too, which JSON can escape
SCALARS = (
    st.none() | st.booleans() | st.integers() | st.integers(10**300, 10**301) | st.floats() | LETTERS | st.sampled_from(["../../x", "pictures/x", "a" * 64])
)
JSON = st.recursive(SCALARS, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(LETTERS, inner, max_size=4), max_leaves=12)
SLOWLY = settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


DEEP = {"deep lists": b"[" * 200_000, "deep mappings": b'{"made":' * 100_000, "a huge number": b"1" * 100_000}
OTHERS = st.binary(max_size=200) | JSON.map(lambda value: json.dumps(value).encode()) | st.sampled_from([b'{"books": "0001-01-01", "showroom": "9999-12-31"}'])
SHARE = st.floats(0, 1)
BENT = st.one_of(
    SHARE.map(lambda share: lambda right: right[: int(len(right) * share)]),
    st.tuples(SHARE, st.binary(max_size=6)).map(lambda one: lambda right: spliced(right, int(len(right) * one[0]), one[1])),
    OTHERS.map(lambda other: lambda right: other),
    st.sampled_from(sorted(DEEP)).map(lambda name: lambda right: DEEP[name]),
    st.tuples(st.integers(0, 10**6), JSON).map(lambda one: lambda right: with_another_node(right, random.Random(one[0]), one[1])),
)
"""Bytes near those that were kept, or not: cut short, with a few others, with any value at any place of their JSON."""


def spliced(right, at, others):
    return right[:at] + others + right[at + len(others) :]


def with_another_node(right, chance, value):
    return json.dumps(replaced(json.loads(right), chance, value)).encode() if right[:1] == b"{" else right[::-1]


def replaced(tree, chance, value):
    """A tree with one of its nodes replaced."""
    if not tree or not isinstance(tree, dict | list) or chance.random() < 0.2:
        return value
    key = chance.choice(sorted(tree) if isinstance(tree, dict) else range(len(tree)))
    tree[key] = replaced(tree[key], chance, value)
    return tree


def only(folder, pattern):
    (found,) = folder.glob(pattern)
    return found


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """A folder with a picture and a sound, both settled, and its store."""
    root = tmp_path_factory.mktemp("kept")
    Image.new("RGB", (8, 6), "red").save(root / "a.png")
    (root / "a.wav").write_bytes(sound("wav", seconds=0.05))
    return root


def published(root):
    return photos.publish(["a.png"], root, root / "store"), sounds.publish(["a.wav"], root, root / "store")


def check_whole(root, found):
    """What is published lies there in full, and is of the types that the pages are promised."""
    for made, troubles in found:
        assert troubles == () or all(isinstance(word, str) for t in troubles for word in (t.code, t.found, t.mend))
        for one in made.values():
            for file in one.files() if hasattr(one, "files") else (one,):
                assert (root / "store" / file.path).stat().st_size == file.size and re.fullmatch(r"(pictures|sounds)/[0-9a-f-]+\.\w+", file.path)
            assert repr(one).encode() and all(type(side) is int and side > 0 for side in (getattr(one, "width", 1), getattr(one, "height", 1)))


@SLOWLY
@given(BENT)
@pytest.mark.parametrize("name", ["records/pictures/*", "records/sounds/*", "seen-pictures.json", "seen-sounds.json"])
def test_a_record_of_any_bytes_is_made_anew(kept, name, bend):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("purfle.shell.kept.since", lambda: time.time_ns() + 10**18)  # as if the sources had lain there for long
        shutil.rmtree(kept / "store", ignore_errors=True)
        first = published(kept)
        path = only(kept / "store", name)
        right = path.read_bytes()
        path.write_bytes(spoilt := bend(right))
        check_whole(kept, second := published(kept))
        try:
            same_form = json.loads(spoilt).keys() == json.loads(right).keys()
        except (ValueError, RecursionError, AttributeError):
            same_form = False
        assert same_form or (second == first and path.read_bytes() == right)
        assert not list((kept / "store").rglob(".new-*"))


@SLOWLY
@given(BENT)
def test_the_days_of_the_last_good_states_are_days_or_none(tmp_path, bend):
    output = Output(tmp_path)
    output.store.mkdir(exist_ok=True)
    (output.store / "held.json").write_bytes(bend(b'{"books": "2026-05-20", "showroom": null}'))
    held = recall(output)
    assert isinstance(held, Held) and all(day is None or type(day) is date for day in (held.books, held.showroom))


@SLOWLY
@given(BENT)
def test_what_the_last_compile_was_made_of_is_texts_or_not_known(tmp_path, bend):
    (tmp_path / "compiled.json").write_bytes(bend(b'{"shop.md": "0123456789abcdef", "the day": "2026-05-20"}'))
    before = changes.recalled(tmp_path)
    assert before is None or all(type(word) is str for one in before.items() for word in one)
    assert list(changes.told(before, {"shop.md": "x"}))


@SLOWLY
@given(BENT)
@pytest.mark.parametrize("name", ["seen", "week.said"])
def test_an_answer_of_any_bytes_is_passed_over_or_can_be_said(tmp_path, name, bend):
    (tmp_path / "shop.md").write_text("---\nname: A bench\n---\n")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(stamps.time, "time_ns", lambda now=time.time_ns: now() + 10_000_000_000)
        keep(question := Question(str(tmp_path), DAY, ("week",)), Answer(0, "an answer\n", "a remark\n"))
        assert question.recalled().out == "an answer\n"
        path = tmp_path / "out/.store/answers" / name
        path.write_bytes(bend(path.read_bytes()))
        known = question.recalled()
    assert known is None or (known.status in (0, 1) and (known.out + known.err).encode())


@pytest.mark.parametrize("value", [True, 1.0, "1", None, [1], 0, 6])
def test_a_number_is_a_whole_one_within_its_bounds(value):
    assert [plain.number(bound, 1, 5) for bound in (1, 5)] == [1, 5]
    with pytest.raises(ValueError, match="not as it was kept"):
        plain.number(value, 1, 5)


def test_a_text_is_one_that_can_be_written():
    for value, form in (("\ud800", ""), (b"a", ""), (None, ""), ("#00ff0", "#[0-9a-f]{6}"), ("#00ff00\n", "#[0-9a-f]{6}")):
        with pytest.raises(ValueError):
            plain.text(value, form)
    assert plain.text("#00ff00", "#[0-9a-f]{6}") == "#00ff00"


def test_what_is_larger_than_all_that_is_kept_is_not_read(tmp_path, monkeypatch):
    monkeypatch.setattr(plain, "_MOST_BYTES", 10)
    (tmp_path / "ten").write_bytes(b"[1,2,3,44]")
    (tmp_path / "eleven").write_bytes(b"[1,2,3,444]")
    assert plain.read(tmp_path / "ten") == [1, 2, 3, 44]
    with pytest.raises(ValueError, match="not as it was kept"):
        plain.read(tmp_path / "eleven")


# --- the whole command --------------------------------------------------------------------------------------------------------------------------------


def compiled(shop):
    return run(["compile", "--why", "--shop", str(shop), "--today", DAY])


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """A shop whose showroom shows a picture and a sound."""
    root = tmp_path_factory.mktemp("store") / "shop"
    assert run(["start", str(root), "--today", DAY]) == 0
    Image.new("RGB", (80, 60), "red").save(root / "builds/first/front.png")
    (root / "builds/first/low.wav").write_bytes(sound("wav", seconds=0.1))
    sheet = root / "builds/first/build.md"
    text = re.sub(r"(?m)^showroom:.*$", "showroom: yes", sheet.read_text("utf-8"))
    sheet.write_text(text + "\n![The front, before](front.png)\n\n![Its low string](low.wav)\n", "utf-8")
    assert compiled(root) == 0 and {path.rpartition(".")[2] for path in sites(root)} >= {"webp", "wav"}
    return root


def nested(path):
    path.write_bytes(b"[" * 200_000)


def a_pipe(path):
    os.mkfifo(path)


KINDS = {
    "empty": lambda path: path.touch(),
    "null": lambda path: path.write_bytes(b"null"),
    "nested": nested,
    "a folder": lambda path: (path / "with").mkdir(parents=True),
    "a pipe": a_pipe,
    "a link to nothing": lambda path: path.symlink_to("nothing"),
    "a link to itself": lambda path: path.symlink_to(path.name),
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("what", ["files", "shelves"])
def test_whatever_stands_in_the_store_the_next_compile_succeeds(shop, tmp_path, kind, what, capsys):
    """In place of every file there is, and in place of every folder."""
    copy = Path(shutil.copytree(shop, tmp_path / "shop"))
    store = copy / "out/.store"
    good = sites(copy)
    for path in sorted(store.rglob("*"), reverse=True):
        if path.is_dir() if what == "shelves" else path.is_file():
            shutil.rmtree(path) if path.is_dir() else path.unlink()
            KINDS[kind](path)
    assert compiled(copy) == 0, capsys.readouterr().err
    assert sites(copy) == good and not strays(copy)
    assert {path.relative_to(store) for path in store.rglob("*") if path.is_file()} >= {
        # What was looked at is noted only of sources that were left alone for two seconds: how long the copy is old when it is compiled, nobody knows.
        path.relative_to(shop / "out/.store")
        for path in (shop / "out/.store").rglob("*.json")
        if not path.name.startswith("seen-")
    }
    assert compiled(copy) == 0 and "written" not in capsys.readouterr().out.replace("was written", "")


@pytest.mark.parametrize("kind", KINDS)
def test_whatever_stands_in_place_of_the_store_itself_or_of_a_site(shop, tmp_path, kind, capsys):
    copy = Path(shutil.copytree(shop, tmp_path / "shop"))
    good = sites(copy)
    for path in [copy / "out/showroom", *([] if "link" in kind else [copy / "out/.store"])]:
        shutil.rmtree(path)
        KINDS[kind](path)
    assert compiled(copy) == 0, capsys.readouterr().err
    assert sites(copy) == good and not strays(copy)


def test_a_file_that_two_sources_share_is_not_written_again_after_the_record_of_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    store, path, data, holds = Store(tmp_path, "pictures", "1"), "pictures/shared.webp", b"the same pixels", Store._holds
    looked, done = threading.Event(), threading.Event()

    def slowly(self: Store, path: str, data: bytes) -> bool:
        held = holds(self, path, data)
        looked.set()
        done.wait(0.3)  # the other one's whole chance to come between this look and the writing after it
        return held

    monkeypatch.setattr(Store, "_holds", slowly)
    slow = threading.Thread(target=store.put, args=("one", 1, {path: data}))
    slow.start()
    looked.wait()
    monkeypatch.setattr(Store, "_holds", holds)
    store.put("other", 2, {path: data})
    done.set()
    slow.join()
    assert all(store.stands(path, len(data), store.get(key)[1]) for key in ("one", "other"))
