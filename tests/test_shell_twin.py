"""A following process writes what a save changes: the site is what a first compile would have written, and no other name of its files is written into."""

import os
import random
import shutil

import pytest
from out_folder import tree

from purfle.shell import twin, write
from purfle.shell.output import locked, remove
from purfle.shell.twin import Memory
from purfle.shell.write import Site, write_sites

PATHS = ("index.html", "a.html", "a/b.html", "a/c.html", "a/d/e.html", "f/g.html")


def folders(folder):
    return {str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_dir()}


@pytest.fixture
def out(tmp_path):
    return tmp_path / "out"


def put(out, files, memory, made=None, **more):
    with locked(out, keeps_twins=True) as output:
        return write_sites(output, Site("showroom", files, made or {}, **more), memory=memory)[0]


def some_pages(chance, before):
    """The pages of before, some changed, some gone, some new."""
    kept = {path: data for path, data in before.items() if chance.random() < 0.8}
    return {"index.html": b"0", **kept, **{path: str(chance.randrange(3)).encode() for path in PATHS if chance.random() < 0.3}}


@pytest.mark.parametrize("exchanging", [True, False])
@pytest.mark.parametrize("seed", range(4))
def test_after_any_writes_the_site_is_exactly_what_was_given(out, tmp_path, monkeypatch, seed, exchanging):
    if not exchanging:
        monkeypatch.setattr(write, "exchange", lambda one, other: False)
    chance, memory, pages = random.Random(seed), Memory(), {}
    pictures = {f"pictures/{n}.webp": tmp_path / f"{n}" for n in range(3)}
    for n, source in enumerate(pictures.values()):
        source.write_bytes(b"pixels %d" % n)
    for _ in range(15):
        before, pages = pages, some_pages(chance, pages)
        made = {path: source for path, source in pictures.items() if chance.random() < 0.6}
        put(out, pages, memory, made)
        assert tree(out / "showroom") == {**pages, **{path: source.read_bytes() for path, source in made.items()}}
        assert folders(out / "showroom") == {str(p) for path in (*pages, *made) for p in (out / path).relative_to(out).parents} - {"."}
        assert {path.name for path in (out / ".store").iterdir()} <= {"lock", "twins"}
        assert before == {} or memory.sites["showroom"].files == pages


def test_a_save_links_and_reads_nothing_that_it_does_not_change(out, monkeypatch):
    pages = {f"{n}.html": b"%d" % n for n in range(50)}
    memory, linked = Memory(), []
    for turn in range(3):
        put(out, {**pages, "0.html": b"turn %d" % turn}, memory)
    monkeypatch.setattr(write.os, "link", lambda source, target, link=os.link, **more: (linked.append(target.name), link(source, target, **more))[1])
    monkeypatch.setattr(write, "_holds", None)
    assert put(out, {**pages, "0.html": b"turn 2", "1.html": b"new"}, memory).changed == ("1.html",)
    assert linked == ["0.html"]
    assert tree(out / "showroom") == {**pages, "0.html": b"turn 2", "1.html": b"new"}


HARM = {
    "a page of the site": lambda out: (out / "showroom/1.html").write_bytes(b"not ours"),
    "a page of the site taken away": lambda out: (out / "showroom/1.html").unlink(),
    "the site taken away": lambda out: shutil.rmtree(out / "showroom"),
    "a page of the twin": lambda out: ((out / ".store/twins/showroom/1.html").unlink(), (out / ".store/twins/showroom/1.html").write_bytes(b"not ours")),
    "a page of the twin taken away": lambda out: (out / ".store/twins/showroom/1.html").unlink(),
    "a page more in the twin": lambda out: (out / ".store/twins/showroom/9.html").write_bytes(b"not ours"),
    "the twin taken away": lambda out: shutil.rmtree(out / ".store/twins/showroom"),
    "the store taken away": lambda out: shutil.rmtree(out / ".store"),
    "a link for the twin": lambda out: (
        (out / ".store/twins/showroom").rename(out.parent / "elsewhere"),
        (out / ".store/twins/showroom").symlink_to(out.parent / "elsewhere"),
    ),
    "another's compile": lambda out: put_once(out, {"other.html": b"other"}),
    "another's compile to the same": lambda out: put_once(out, PAGES),
}
PAGES = {f"{n}.html": b"%d" % n for n in range(4)}


def put_once(out, pages):
    with locked(out) as output:
        write_sites(output, Site("showroom", pages))


@pytest.mark.parametrize("harm", HARM)
def test_what_is_not_as_it_was_left_is_not_trusted(out, harm):
    memory = Memory()
    for turn in (b"first", b"second", PAGES["2.html"]):
        put(out, {**PAGES, "2.html": turn}, memory)
    HARM[harm](out)
    for turn in (b"third", b"fourth"):
        put(out, {**PAGES, "0.html": turn}, memory)
        assert tree(out / "showroom") == {**PAGES, "0.html": turn}


def test_a_site_of_which_one_page_is_renewed_is_forgotten(out):
    memory = Memory()
    for turn in (b"1", b"2"):
        put(out, {**PAGES, "0.html": turn}, memory)
    put(out, {"troubles.html": b"some"}, memory, keep_others=True)
    assert memory.sites == {} and not (out / ".store/twins/showroom").exists()
    put(out, PAGES, memory)
    assert tree(out / "showroom") == PAGES


def test_a_fault_on_the_way_leaves_the_site_and_the_next_write_succeeds(out, monkeypatch):
    memory = Memory()
    for turn in (b"1", b"2"):
        put(out, {**PAGES, "0.html": turn}, memory)
    with monkeypatch.context() as full, pytest.raises(OSError, match="no room"):
        full.setattr(write, "_put", lambda *_: (_ for _ in ()).throw(OSError("no room")))
        put(out, {**PAGES, "0.html": b"3"}, memory)
    assert tree(out / "showroom") == {**PAGES, "0.html": b"2"}
    put(out, {**PAGES, "0.html": b"4"}, memory)
    assert tree(out / "showroom") == {**PAGES, "0.html": b"4"}


def test_the_next_process_takes_the_twins_away(out):
    memory = Memory()
    for turn in (b"1", b"2"):
        put(out, {**PAGES, "0.html": turn}, memory)
    assert (out / ".store/twins/showroom").is_dir()
    with locked(out):
        assert not (out / ".store/twins").exists()


def test_a_twin_is_looked_at_again_after_its_last_change(out):
    """Else the stamp would be that of a moment before, and never match."""
    memory = Memory()
    for turn in (b"1", b"2", b"3"):
        put(out, {**PAGES, "0.html": turn}, memory)
        assert memory.known(out / "showroom") is not None
    assert memory.sites["showroom"].twin == twin.looked_at(out / ".store/twins/showroom")
    remove(out / ".store/twins")
