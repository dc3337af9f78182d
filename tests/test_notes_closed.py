"""Slips of the hand fail closed: what its writer took to be private is not among the words that may be published, and the slip is told."""

from datetime import date

import pytest

from purfle.base.codes import CODES
from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.bodies.private import without_private
from purfle.notes.openly import parted_texts, text_words
from purfle.notes.shop import read_shop

DAY = "journal/2026-02-01.md"
NOTE = "builds/heron/2026-02-01.md"


def read(files):
    """The public words of a shop with two public builds, and the codes of what is told."""
    sheet = "---\ntitle: {}\nshowroom: yes\n---\n"
    shop = {"shop.md": "---\nname: T\n---\n", "builds/heron/build.md": sheet.format("Heron"), "builds/wren/build.md": sheet.format("Wren"), **files}
    found, told = read_shop({name: text.encode() for name, text in shop.items()}, frozenset(), date(2026, 5, 20))
    words = "\n".join(words.text for holder in parted_texts(found)[0] for words in text_words(holder))
    return words, [trouble.code for trouble in told]


# --- blocks and comments ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "opener", ["1. ::: private", "12) ::: private", "- [ ] ::: private", "- [x] :::private", "> 2. ::: private", "\u200b::: private", "\ufeff::: PRIVATE", "∶∶∶ private"]
)  # fmt: skip
def test_a_block_may_stand_in_any_list(opener):
    clean = without_private(f"seen\n{opener}\n   secret\n   :::\n\nseen too", Place("n.md", 1), told := Troubles())
    assert "secret" not in clean and "private" not in clean.casefold() and clean.endswith("seen too") and not told.found


@pytest.mark.parametrize(
    ("before", "opener"),
    [
        ("It came off. ", "::: private"), ("# ", "::: private"), ("| ", "::: private |"), ("“", "::: private"), ("\\", "::: private"), ("_", "::: private_"), ("[^1]", ": ::: private"),
        ("a\u2028", "::: private\u2028secret\u2028:::"), ("So ", ":: private"), ("So ", ": : : private"), ("So ", "::: he said"),
    ],
)  # fmt: skip
def test_a_block_behind_other_words_is_cut_and_told(before, opener):
    clean = without_private(f"{before}{opener}\nsecret", Place("n.md", 1), told := Troubles())
    assert "secret" not in clean and clean.startswith(before)
    assert [t.code for t in told.found] == ["private-misspelt"] and CODES["private-misspelt"].stops.showroom()


@pytest.mark.parametrize("words", ["At 12:30 it was dry.", "Two coats: one thin, one wet.", "See std::clamp.", "A ratio of 3:1:1."])
def test_colons_in_words_open_nothing(words):
    assert without_private(words, Place("n.md", 1), told := Troubles()) == words and not told.found


@pytest.mark.parametrize("words", ["<!— secret —>", "<!– secret –>", "<! -- secret -->", "<!-\nsecret -->", "<!— <!-- a --> secret"])
def test_a_comment_with_a_phones_dashes_is_kept_private_and_told(words):
    clean = without_private(f"seen {words}", Place("n.md", 1), told := Troubles())
    assert clean.startswith("seen ") and "secret" not in clean and [t.code for t in told.found] == ["private-unclosed"]


@pytest.mark.parametrize("text", [":::\nsecret\n:::", "::: private\na\n:::\nsecret\n:::", "> :::\nsecret", "::: private\n```\n:::\n```\nsecret\n:::"])
def test_a_mark_that_closes_nothing_is_told(text):
    _, told = read({NOTE: text})
    assert "private-unopened" in told and set(told) <= {"private-unopened", "private-unclosed"}


@pytest.mark.parametrize("inside", ["<!-- he", "<!-- a --> <!-- he", "```", "~~~\n```", "```\nx\n```\n```\nx"])
def test_a_block_that_ends_within_a_comment_or_a_fence_of_its_own_is_told(inside):
    _, told = read({NOTE: f"seen\n\n::: private\n{inside}\n:::\nsecret"})
    assert told == ["private-unclosed"]


@pytest.mark.parametrize("inside", ["<!-- he -->", "```\nx\n```", "~~~\n```\n~~~", "`a` ```b```"])
def test_a_block_may_hold_whole_comments_and_fences(inside):
    assert read({NOTE: f"seen\n\n::: private\n{inside}\n:::\n\nseen too"}) == ("seen\nseen too", [])


def test_a_comment_within_another_is_told():
    # HTML, 13.1.6: a comment ends at the first -->
    assert read({NOTE: "seen <!-- a <!-- b --> secret --> seen"})[1] == ["private-unclosed"]
    assert read({NOTE: "seen <!-- a --> and <!-- b --> seen --> arrow"})[1] == []


@pytest.mark.parametrize(
    "line",
    [
        ": private", "## Private", "Private:", "private: he paid", "**Private:** he paid", "> Private", "[private]", "(private: he paid)", "!!! private", "--- private",
        "```private\nx\n```", "~~~ private\nx\n~~~", "<private>", "<div class='private'>", "_private_", "Not private", "- PRIVATE",
    ],
)  # fmt: skip
def test_words_marked_as_private_in_another_way_hold_the_showroom(line):
    text = f"seen\n\n{line}\nsecret"
    for name, before in ((NOTE, ""), (DAY, "# Heron\n"), ("journal/bulletins/2026-02-01.md", "---\nshowroom: yes\n---\n")):
        assert read({name: before + text})[1] == ["private-unopened"]


@pytest.mark.parametrize(
    "words",
    [
        "A private collection had it.",
        "The private: one of many",
        "It is private",
        "Privately: no",
        "- private lessons",
        "privateer:",
        "What he paid is\nprivate.",
    ],
)
def test_the_word_private_in_a_sentence_marks_nothing(words):
    assert read({NOTE: words})[1] == []


def test_words_that_nobody_sees_may_be_marked_as_private_in_any_way():
    shut = "---\ntitle: Heron\n---\n"
    assert read({"builds/heron/build.md": shut, NOTE: "## Private\nsecret"})[1] == []
    assert read({DAY: "Private: secret\n\n## Heron\nSanded.\n\n## Private\nsecret"}) == ("Sanded.", [])
    assert read({NOTE: "---\nshowroom: no\n---\nPrivate: secret"})[1] == []


# --- parts of a journal day -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "code",
    [
        "```foo``` bar",  # CommonMark 0.31, 4.5: the info string of a backtick fence holds no backtick
        "- ```\n  x\n  ```",
        "1. ```\n   x\n   ```\n\n## Then\n\n```\ncode\n```",
        "```\nnever closed",
        "```\ncode\n``` more",  # a closing fence has no info string
        "> ~~~\n> x\n~~~",
    ],
)
def test_no_fence_carries_a_part_over_the_next_heading(code):
    words, _ = read({DAY: f"# Heron\nSanded.\n\n{code}\n\n# Elsewhere\nsecret\n\n~~~\nsecret\n~~~\n"})
    assert "Sanded." in words and "secret" not in words


def test_what_is_surely_code_ends_no_part():
    words, told = read({DAY: "# Heron\n```\n# 400 grit\n```\nmore\n# Elsewhere\nsecret\n"})
    assert "# 400 grit" in words and "more" in words and "secret" not in words and not told


@pytest.mark.parametrize("text", ["# Heron\na\n##Wren\nsecret", "# Heron\na\n#Wren\nb", "```\n# Heron\nsecret", "# Wren\n~~~\n# Heron\n~~~\n"])
def test_a_builds_name_that_is_no_heading_is_told(text):
    words, told = read({DAY: text})
    assert told == ["part-name-near"] and "secret" not in words


def test_a_heading_without_its_space_ends_a_part():
    assert read({DAY: "## Heron\na\n##Elsewhere\nsecret"}) == ("a", [])
    assert read({DAY: "# Heron\na\n#winterlot\nb"}) == ("a\n#winterlot\nb", [])


# --- keys among the words ---------------------------------------------------------------------------------------------


def test_a_space_before_the_colon_is_no_matter():
    assert read({DAY: "# Heron\nshowroom : no\nsecret"}) == ("", [])


@pytest.mark.parametrize("line", ["showroom: no", "Showroom: no", "- showroom: no", "**showroom:** no", "  showroom = no", "_showroom_: no"])
@pytest.mark.parametrize("name", [DAY, "builds/heron/2026-02-01.md", "journal/bulletins/2026-02-01.md"])
def test_a_showroom_key_among_the_words_holds_both_sites(name, line):
    head = "# Heron\nSanded.\n" if name == DAY else "---\nshowroom: yes\n---\n\nSanded.\n"
    _, told = read({name: f"{head}{line}\nsecret"})
    assert told == ["key-in-text"] and CODES["key-in-text"].stops.showroom()


def test_a_glued_key_under_a_heading_is_told():
    for line in ("showroom:no", "stage: strip\nshowroom:no"):
        _, told = read({DAY: f"# Heron\n{line}\nsecret"})
        assert told == ["key-glued"] and CODES["key-glued"].stops.showroom()


@pytest.mark.parametrize("key", ["private: yes", "Public: no", "hidden: yes", "publish: no", "draft: yes"])
@pytest.mark.parametrize("name", ["builds/heron/2026-02-01.md", "builds/gull/build.md", "journal/episodes/2026-02-01.md"])
def test_a_key_that_can_only_mean_showroom_is_never_passed_over(name, key):
    title = "" if name.startswith("builds/heron/") else "title: Gull\n"
    _, told = read({name: f"---\n{title}{key}\n---\nsecret"})
    assert told == ["key-misspelt"] and CODES["key-misspelt"].stops.showroom()


def test_a_key_of_ones_own_is_passed_over():
    assert read({"builds/heron/2026-02-01.md": "---\nmood: hopeful\n---\nSanded."}) == ("Sanded.", ["key-unknown"])


@pytest.mark.parametrize("start", ["> ## ", "- ## ", "1. # ", "    ## ", "\t### ", "＃＃ ", "\\## ", "\u200b## ", "\x0c## "])
def test_what_may_be_meant_as_a_heading_ends_a_part_wherever_it_stands(start):
    assert read({DAY: f"### Heron\nSanded.\n\n{start}Elsewhere\nsecret"})[0].strip() == "Sanded."


def test_an_underlined_heading_in_a_quote_ends_a_part():
    assert read({DAY: "## Heron\nSanded.\n\n> Elsewhere\n> ---\n> secret"})[0].strip() == "Sanded."


@pytest.mark.parametrize("names", ["* Heron\n* Wren", "- Wren\n- Heron", "* Wren", "* **Wren**"])
def test_names_in_a_list_are_not_set_apart_as_headings(names):
    assert read({DAY: f"Tomorrow:\n\n{names}\n"})[1] == []
    assert read({DAY: f"## Heron\nhours: 1\n\nSanded beside these:\n\n{names}\n"})[1] == []


@pytest.mark.parametrize("line", ["> ## Wren", "- ## Wren", "**Wren**", "Wren:", "__Wren:__", "Wren\n", "    ## Wren"])
@pytest.mark.parametrize("above", ["", "## Heron\nSanded.\n\n"])
def test_a_line_with_the_name_of_a_build_that_is_no_heading_begins_no_part_and_is_told(above, line):
    words, told = read({DAY: f"{above}{line}\nsecret"})
    assert told == ["part-name-near"] and "secret" not in words


@pytest.mark.parametrize("words", ["He played\nHeron\nall day.", "- Heron\n- Wren", "Heron is dry.", "| Heron |\n| --- |\n| dry |"])
def test_a_name_among_words_begins_no_part(words):
    assert read({DAY: words}) == ("", [])


def test_a_linked_name_is_a_name():
    assert read({DAY: "## [Heron](../builds/heron/build.md)\nSanded.\n\n## [[Wren]]\nShaped."})[0].split() == ["Sanded.", "Shaped."]


def test_a_day_that_stays_off_the_public_log_stays_off_it_in_every_part():
    assert read({DAY: "---\nshowroom: no\n---\n## Heron\nstage: strip\n\nsecret\n\n## Wren\nshowroom: yes\nsecret\n"}) == ("", [])
