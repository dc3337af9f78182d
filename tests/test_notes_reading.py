"""Files to text, bodies and notes: what is kept, what is cut, and where everything stands."""

from datetime import date

import frontmatter
import pytest
from hypothesis import given
from hypothesis import strategies as st

from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.bodies.headings import headings
from purfle.notes.bodies.private import without_private
from purfle.notes.frontmatter.text import is_fence, read_text
from purfle.notes.frontmatter.tree import compose
from purfle.notes.shop import read_shop

TODAY = date(2026, 5, 20)
HERON = b"---\ntitle: Heron\n---\n"


def test_fences_as_phones_write_them():
    for line in ("---", "—-", "——", "–––", "-----", "---  "):
        assert is_fence(line)
    for line in ("-", "--", "- a", "", "--- a"):
        assert not is_fence(line)


def test_lines_count_true_behind_blank_lines_and_crlf():
    troubles = Troubles()
    text = read_text("n.md", b"\r\n\r\n---\r\nhours: x\r\n---\r\nbody\r\n", {"hours"}, troubles)
    tree = compose(text.block, "n.md", troubles)
    assert tree.entries[0].value.at.line == 4
    assert (text.body_line, text.body) == (6, "body\n")


def test_the_block_is_what_python_frontmatter_finds():
    # A second opinion on plain files: python-frontmatter's own reader.
    source = "---\ntitle: Heron\nunits: 2\n---\n\nThe story.\n"
    text = read_text("n.md", source.encode(), {"title"}, Troubles())
    post = frontmatter.loads(source)
    tree = compose(text.block, "n.md", Troubles())
    assert {e.key.text: e.value.text for e in tree.entries} == {k: str(v) for k, v in post.metadata.items()}
    assert text.body.strip() == post.content


def test_private_blocks_are_blanked_line_for_line():
    source = "a\n::: Private\nsecret\n:::\nb <!-- hush\nhush --> c"
    clean = without_private(source, Place("n.md", 1), troubles := Troubles())
    assert clean.split("\n")[:4] == ["a", "", "", ""]
    assert "secret" not in clean and "hush" not in clean
    assert clean.count("\n") == source.count("\n")
    assert not troubles.found


@given(
    st.sampled_from(["::: private", ":::PRIVATE", "  ::: Privat", "> ::: private", "- ::: secret", "：：： private"]),
    st.sampled_from(["", "\n:::", "\n:::\npublic"]),
)
def test_a_private_block_fails_closed(opener, rest):
    clean = without_private(f"seen\n{opener}\ncanary\n{rest}", Place("n.md", 1), Troubles())
    assert "canary" not in clean
    assert "seen" in clean


def test_headings_in_code_are_none():
    found = [(h.level, h.words) for h in headings("# One\n```\n# no\n```\nTwo\n---\n### Three ###\n".split("\n"))]
    assert found == [(1, "One"), (2, "Two"), (3, "Three")]


def test_a_journal_day_gives_each_build_its_part():
    day = b"private\n## Heron: masking\nstage: mask\nhours: 1:30\n\nTaped it.\n### how\nmore\n## Shop\nprivate again\n"
    shop, troubles = read_shop({"shop.md": b"---\nname: B\n---\n", "builds/heron/build.md": HERON, "journal/2026-03-14.md": day}, (), TODAY)
    part = shop.notes_of("heron")[0]
    assert (part.sheet.stage, str(part.sheet.hours), part.at.line) == ("mask", "1.5", 2)
    assert part.body.text.strip() == "Taped it.\n### how\nmore"
    assert not [n for n in shop.notes if "private" in n.body.text]
    assert not troubles


@pytest.mark.parametrize("title", ["## Heron", "Heron\n-----"])
def test_the_keys_of_a_part_may_hold_lists_and_stand_between_fences(title):
    keys = "---\nstage: “mask”\nused:\n- item: tape\n  qty: 1\n- {item: paper, qty: 2}\nhours: 2\n---\n"
    for flat in (keys, keys.replace("---\n", ""), keys.removeprefix("---\n"), keys.replace("- {item: paper, qty: 2}\n", "")):
        day = f"{title}\n\n{flat}\n- A list of words.\n"
        shop, _ = read_shop({"shop.md": b"---\nname: B\n---\n", "builds/heron/build.md": HERON, "journal/2026-03-14.md": day.encode()}, (), TODAY)
        (part,) = shop.notes_of("heron")
        assert (part.sheet.stage, part.sheet.hours, part.body.text.strip()) == ("mask", 2, "- A list of words.")
        assert [used.item for used in part.sheet.used][:1] == ["tape"]


def test_the_order_of_files_changes_nothing():
    files = {"shop.md": b"---\nname: B\n---\n", "builds/heron/build.md": HERON}
    files |= {f"builds/heron/2026-03-{d:02}.md": f"---\nhours: {d}\n---\n".encode() for d in range(1, 9)}
    turned = dict(reversed(files.items()))
    assert read_shop(files, (), TODAY) == read_shop(turned, (), TODAY)


@given(st.binary(max_size=300))
def test_no_bytes_cause_a_traceback(data):
    read_shop({"shop.md": b"---\nname: B\n---\n", "builds/heron/build.md": HERON, "builds/heron/2026-03-14.md": data, "journal/2026-03-14.md": data}, (), TODAY)


LINES = st.sampled_from(
    [
        "---",
        "title: A",
        "hours: [",
        "a: {b: c, 1,2}",
        "- x",
        "  y: z",
        "sale: {date: 2026-01-01}",
        "::: private",
        "## Heron",
        "![a](b.jpg)",
        "k: !!x y",
        "k: &a *a",
        "stage: x",
        "\t",
        "“q”: 1",
    ]
)


@given(st.lists(LINES, max_size=12))
def test_no_lines_cause_a_traceback(lines):
    data = "\n".join(["---", *lines]).encode()
    for name in (
        "shop.md",
        "builds/heron/build.md",
        "builds/heron/2026-03-14.md",
        "journal/2026-03-14.md",
        "journal/episodes/2026-04-03.md",
        "journal/bulletins/2026-04-03.md",
    ):
        read_shop({"shop.md": b"---\nname: B\n---\n", "builds/heron/build.md": HERON, name: data}, (), TODAY)


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("<!-- later --> Rubbed out.", "Rubbed out."),
        ("- <!-- a long aside -->the nut", "- the nut"),
        ("Then <!-- why -->sanded.", "Then sanded."),
        ("  <!-- over\ntwo lines -->     and on", "\n  and on"),
        ("<<!-- x -->!-- of the owner -->seen", "seen"),
    ],
)
def test_a_comment_leaves_no_gap_that_reads_as_code(text, left):
    """CommonMark 0.31, 4.4: four spaces of indentation make a code block."""
    cut = without_private(text, Place("a.md", 1), Troubles())
    assert cut == left and cut.count("\n") == text.count("\n")


def test_a_note_without_keys_is_read_whatever_is_wrong_in_another_file():
    files = {"shop.md": b"---\nname: B\nhuge: 1\n---\n", "builds/heron/build.md": HERON, "builds/heron/2026-03-14.md": b"It came off.\n"}
    shop, troubles = read_shop(files, (), TODAY)
    assert [note.body.text for note in shop.notes_of("heron")] == ["It came off.\n"]
    assert [trouble.code for trouble in troubles] == ["key-unknown"]


@pytest.mark.parametrize(
    "name",
    [
        "builds/heron/2026-03-14.txt",
        "builds/heron/2026-03-14 top.md.txt",
        "builds/wren/build.txt",
        "journal/2026-03-14.markdown",
        "journal/2026-03-14",
        "builds/heron/2026-03-14-top",
        "builds/wren/build",
    ],
)
def test_a_note_saved_as_another_kind_of_text_is_told(name):
    files = {"shop.md": b"---\nname: B\n---\n", "builds/heron/build.md": HERON}
    _, troubles = read_shop(
        files,
        (
            name,
            "builds/heron/readme.txt",
            "builds/heron/photos/2026-03-14.jpg",
            "builds/heron/2026-03-14.jpg",
            "builds/heron/photos/2026-03-14",
            "photos/build",
        ),
        TODAY,
    )
    (told,) = troubles
    assert (told.place, told.code, told.mend) == (Place(name, 0), "file-out-of-place", "rename it so that it ends in .md")


COPIES = (
    "2026-02-14 2.md",
    "2026-02-14 (1).md",
    "2026-02-14(1).md",
    "2026-02-14 copy.md",
    "2026-02-14 copy 2.md",
    "2026-02-14 - Copy.md",
    "2026-02-14 - Copy (2).md",
    "2026-02-14 - Kopie.md",
    "2026-02-14 (copy).md",
    "2026-02-14 (another copy).md",
    "2026-02-14 (3rd copy).md",
    "Copy of 2026-02-14.md",
    "2026-02-14.sync-conflict-20260215-081203-QF3RTZ4.md",
    "2026-02-14 (Ida's conflicted copy 2026-02-15).md",
    "2026-02-14 (Case Conflict).md",
    "2026-02-14_conflict-20260215-081203.md",
    "2026-02-14-BENCH-7F3K2QD.md",
    "2026-02-14-LAPTOP-QWERTZUK.md",
    "2026-02-14~.md",
    "2026-02-14.orig.md",
)
"""What file managers, editors and programs that keep folders alike make of a name: forms seen in use, from memory."""
OWN = (
    "2026-02-14-copy-of-the-pickguard.md",
    "2026-02-14-conflict-with-the-post.md",
    "2026-02-14-evening.md",
    "2026-02-14-2.md",
    "2026-02-14 neck copy.md",
    "2026-02-14-TOP-COAT.md",
    "2026-02-14-NECK-POCKET-2.md",
)


@pytest.mark.parametrize("folder", ["builds/heron", "journal"])
@pytest.mark.parametrize("name", [*COPIES, *OWN])
def test_a_copy_that_says_more_counts_for_nothing_and_is_told(folder, name):
    """Names that a hand writes are notes of their own."""
    bought = "---\nbought: [{{item: lacquer, qty: 1, cost: {}, for: stock}}]\n---\n"
    files = {"builds/heron/build.md": "---\ntitle: Heron\n---\n", f"{folder}/2026-02-14.md": bought.format(20), f"{folder}/{name}": bought.format(25)}
    shop, troubles = read_shop({"shop.md": b"---\nname: s\n---\n", **{file: text.encode() for file, text in files.items()}}, (), date(2026, 5, 20))
    told = [(trouble.place.file, trouble.code) for trouble in troubles]
    assert (len(shop.notes), told) == ((1, [(f"{folder}/{name}", "file-copied")]) if name in COPIES else (2, []))


def test_what_looks_like_a_copy_is_a_note_where_the_first_is_not_there():
    """Somebody counted the notes of a day, or renamed the first."""
    files = {"builds/heron/build.md": b"---\ntitle: Heron\n---\n", "builds/heron/2026-02-14 2.md": b"---\nstage: strip\nhours: 1\n---\n"}
    shop, troubles = read_shop({"shop.md": b"---\nname: s\n---\n", **files}, (), date(2026, 5, 20))
    assert (len(shop.notes), troubles) == (1, ())


@pytest.mark.parametrize("char", ["\x07", "\x1b", "\x7f", "\ufffe"])
def test_a_character_that_yaml_refuses_is_told_where_it_stands(char):
    # YAML 1.2.2, 5.1: the printable characters; what is none may only stand in quotes, escaped
    _, told = read_shop({"shop.md": f"---\nname: T\ncontact: a{char}b\n---\n".encode()}, frozenset(), date(2026, 5, 20))
    broken = next(trouble for trouble in told if trouble.code == "yaml-broken")
    assert (broken.place.line, broken.place.column) == (3, 11) and f"U+{ord(char):04X}" in broken.found


@pytest.mark.parametrize("key", ["after_sale", "after sale", "after-sale", "\u200bafter_sale", "after_sale\u00a0", "“after sale”"])
def test_keys_without_fences_or_on_one_are_told_however_their_words_are_parted(key):
    for note in (f"{key}: yes\n", f"***\n{key}: yes\n***\n", f"--- {key}: yes\n---\n", f"--- {key}:\n---\n", f"---\nhours: 2\n---\n{key}: yes\n---\n"):
        troubles = Troubles()
        assert read_text("n.md", note.encode(), ("after_sale", "hours"), troubles) is None
        assert [told.code for told in troubles.found] == ["fence-missing"]
