"""What a terminal is given: never an order, always a mark under the right place."""

import io
import json
import sys
import unicodedata

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from purfle.base.place import Place
from purfle.base.trouble import Trouble
from purfle.shell import commands
from purfle.shell.contract import dumps
from purfle.shell.terminal import Printer, columns, cut, marked, safe, show_troubles, summary


def shown(troubles, files):
    stream = io.StringIO()
    show_troubles(troubles, files, Printer(stream))
    return stream.getvalue()


BELOW = Trouble(Place("builds/heron/build.md", 2, 7), "amount-negative", "price: amount -3 has a minus", "write the amount without a sign")


def test_the_form_of_a_trouble():
    """The form: place and code, the line with a mark under the place, found, mend."""
    assert shown([BELOW], {"builds/heron/build.md": b"---\nprice: -3\n"}) == (
        "builds/heron/build.md:2:7  amount-negative  stops the books and the showroom\n"
        "    price: -3\n"
        "          ^\n"
        "found: price: amount -3 has a minus\n"
        "mend:  write the amount without a sign\n"
        "\n"
        "1 trouble: 1 stops the books, 1 stops the showroom.\n"
    )


def test_a_trouble_of_a_whole_file_shows_no_line():
    whole = Trouble(Place("shop.md", 0), "shop-missing", "there is no shop.md", "make one")
    assert shown([whole], {}).startswith("shop.md  shop-missing  stops the books and the showroom\nfound:")


def test_escape_codes_are_shown_and_not_obeyed():
    evil = Trouble(Place("a.md", 1, 1), "key-unknown", "found \x1b[2J", "mend \x9b31m")
    text = shown([evil], {"a.md": b"\x1b]0;owned\x07 \xe2\x80\xae reversed\r"})
    assert not any(unicodedata.category(c) in ("Cc", "Cf") for c in text.replace("\n", ""))
    assert r"\x1b]0;owned\x07 \u202e reversed" in text


@given(st.text())
def test_nothing_that_a_terminal_obeys_comes_through(text):
    assert not any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") for c in safe(text))


@given(st.text())
@example("\x9b31m \u202e \u2028")
def test_nothing_that_a_terminal_obeys_comes_through_json(text):
    """Control characters are those of Unicode's category Cc; JSON itself escapes those below a space alone (RFC 8259, 7)."""
    written = dumps({"text": text})
    assert not any(unicodedata.category(c) in ("Cc", "Zl", "Zp") or unicodedata.bidirectional(c) in TURNS for c in written.replace("\n", ""))
    assert json.loads(written)["text"] == text


TURNS = {"LRE", "LRO", "RLE", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
"""Bidirectional classes of marks that turn the direction of writing (Unicode Standard Annex #9)."""


# East Asian width and combining marks: Unicode Standard Annex #11 and #44.
@pytest.mark.parametrize(
    ("text", "wide"),
    [("abc", 3), ("木工", 4), ("ｆ", 2), ("e\u0301", 1), ("が", 2), ("か\u3099", 2), ("–", 1), ("👍", 2)],
)
def test_columns(text, wide):
    assert columns(text) == wide


@pytest.mark.parametrize(("line", "column", "mark"), [("title: 木工 x", 11, 12), ("e\u0301a: b", 3, 1), ("\tkey: v", 2, 1), ("a\x1bb", 3, 5)])
def test_the_mark_stands_under_the_place(line, column, mark):
    """Marks reckoned by hand from the widths of UAX #11; an escape is four columns once written out."""
    assert marked(line, column, 100)[1] == mark


@given(st.text(st.characters(exclude_characters="\n\r"), max_size=400), st.integers(1, 400), st.integers(20, 100))
def test_a_long_line_is_cut_to_the_width_and_the_mark_stays_in_it(line, column, most):
    text, mark = marked(line, column, most)
    assert columns(text) <= most + 1
    assert 0 <= mark <= most


@given(st.text(), st.integers(2, 40))
def test_cut_fits(text, most):
    assert columns(cut(text, most)) <= most


def test_tables_line_up_with_wide_characters():
    stream = io.StringIO()
    Printer(stream).table(("build", "hours"), [("木", "2.5"), ("heron", "10")], frozenset({1}))
    lines = stream.getvalue().splitlines()
    assert {columns(line) for line in lines} == {len("heron  hours")}


def test_the_sum_of_troubles_says_what_is_stopped():
    warning = Trouble(Place("a.md", 1, 1), "key-unknown", "", "")
    both = Trouble(Place("a.md", 1, 1), "yaml-broken", "", "")
    assert summary([warning, both, both]) == "3 troubles: 2 stop the books, 2 stop the showroom, 1 warns."


class Screen(io.StringIO):
    encoding = "utf-8"

    def isatty(self):
        return True


def test_colour_on_a_terminal_alone(monkeypatch):
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert Printer(Screen()).colour
    assert not Printer(io.StringIO()).colour


def test_no_color_is_honoured(monkeypatch):
    """no-color.org: any value that is not empty."""
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("NO_COLOR", "1")
    assert not Printer(Screen()).colour
    monkeypatch.setenv("NO_COLOR", "")
    assert Printer(Screen()).colour


def test_a_terminal_without_unicode_gets_escapes():
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding="ascii", newline="\n")
    Printer(stream).line("木 ok")
    stream.flush()
    assert raw.getvalue() == b"\\u6728 ok\n"


@pytest.mark.parametrize("text", ["é 木 👍", "file \udcff.md"])
def test_json_survives_a_terminal_without_unicode(text):
    """Read back by the standard library."""
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding="ascii", newline="\n")
    Printer(stream).line(json.dumps({"found": text}, ensure_ascii=False))
    stream.flush()
    assert json.loads(raw.getvalue())["found"] == text


def table(width, *rows):
    stream = io.StringIO()
    printer = Printer(stream)
    printer.width = width
    printer.table(("day", "why", "file"), rows, frozenset())
    return stream.getvalue().splitlines()


def test_words_go_on_below_where_a_table_is_too_wide_and_nothing_is_cut():
    row = ("Wed 2026-03-04", "it may be shown only after delivery", "builds/heron/build.md:5")
    lines = table(60, row)
    assert max(map(len, lines)) <= 60
    assert [" ".join(column) for column in (line.split() for line in lines[1:])] == [
        "Wed 2026-03-04 it may be shown builds/heron/build.md:5",
        "only after delivery",
    ]
    assert table(200, row)[1] == "  ".join(row)


def test_more_columns_than_the_widest_go_on_below_where_that_is_needed_and_enough():
    """By hand: 22 + 2 + 18 + 2 + 24 = 68; words of 10 letters at most leave 10 for each of the two, 48 in all, and no less."""
    row = ("sold with it, shipping", "cost of goods sold", "builds/heron/build.md:12")

    def wide(width):
        stream = io.StringIO()
        printer = Printer(stream)
        printer.width = width
        printer.table(("what", "account", "note"), [row])
        return [line.split("  ")[0].strip() for line in stream.getvalue().splitlines()[1:]], max(map(len, stream.getvalue().splitlines()))

    assert wide(68) == (["sold with it, shipping"], 68)
    assert wide(60) == (["sold with it,", "shipping"], 60)
    assert wide(50)[0] == ["sold with", "it,", "shipping"] and wide(50)[1] <= 50
    assert wide(48)[1] == 48 and wide(47) == wide(68)


def on_a_screen(width, heads, *rows, right=frozenset()):
    screen = Screen()
    printer = Printer(screen)
    printer.width, printer.colour = width, False
    printer.table(heads, rows, right)
    return screen.getvalue().splitlines()


def test_a_last_column_that_does_not_fit_stands_under_its_row():
    """By hand: 14 + 2 + 5 + 2 + 23 = 46 columns, 21 without the note."""
    heads, row = ("day", "build", "note"), ("Wed 2026-03-04", "heron", "builds/heron/build.md:5")
    assert on_a_screen(46, heads, row) == ["day             build  note", "  ".join(row)]
    assert on_a_screen(45, heads, row, (*row[:2], "")) == [
        "day             build",
        "Wed 2026-03-04  heron",
        "    builds/heron/build.md:5",
        "Wed 2026-03-04  heron",
    ]
    assert on_a_screen(20, heads, row)[1] == "  ".join(row), "where the others do not fit either, it stays whole"


def test_words_under_their_row_go_on_below_and_a_figure_stays_beside():
    row = ("lackey", "oil", "progress", "film the grain waking by then")
    assert on_a_screen(24, ("build", "stage", "what", "why"), row)[1:] == ["lackey  oil    progress", "    film the grain", "    waking by then"]
    assert on_a_screen(10, ("build", "stage", "hours"), ("lackey", "oil", "12"), right=frozenset({2}))[1] == "lackey  oil       12"


def test_a_remark_on_a_row_makes_no_table_of_its_own():
    screen = Screen()
    printer = Printer(screen)
    printer.width, printer.colour = 14, False
    printer.table(("build", "cost", ""), [("heron", "300.50", "estimate"), ("wren", "12.00", "")], frozenset({1}), 1)
    assert screen.getvalue().splitlines() == ["build    cost", "heron  300.50", "    estimate", "wren    12.00"]


def test_a_heading_goes_on_below_on_a_terminal():
    screen = Screen()
    printer = Printer(screen)
    printer.width, printer.colour = 16, False
    printer.heading("What to take on next: in USD")
    assert screen.getvalue() == "What to take on\nnext: in USD\n"


def test_figures_that_do_not_fit_stand_in_a_table_below_named_again():
    stream = io.StringIO()
    printer = Printer(stream)
    printer.width = 20
    printer.table(
        ("build", "revenue", "cost", "profit"), [("heron", "950.00", "300.50", "649.50"), ("wren", "0.00", "12.00", "-12.00")], frozenset({1, 2, 3}), 1
    )
    assert stream.getvalue().splitlines() == [
        "build  revenue",
        "heron   950.00",
        "wren      0.00",
        "build    cost",
        "heron  300.50",
        "wren    12.00",
        "build  profit",
        "heron  649.50",
        "wren   -12.00",
    ]


def test_a_sentence_goes_on_below_on_a_terminal_and_is_one_line_in_a_pipe():
    screen, pipe = Screen(), io.StringIO()
    for stream in (screen, pipe):
        printer = Printer(stream)
        printer.width = 12
        printer.words("found: too much of it", 7)
    assert (screen.getvalue(), pipe.getvalue()) == ("found: too\n       much\n       of it\n", "found: too much of it\n")


def test_a_table_of_days_and_names_alone_stays_whole_however_narrow_the_terminal():
    row = ("Wed 2026-03-04", "heron", "builds/heron/build.md:5")
    assert table(20, row)[1] == "  ".join(row)


def test_the_reference_of_the_fields_fits_a_terminal(monkeypatch):
    screen = Screen()
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setattr(sys, "stdout", screen)
    assert commands.fields(schema=False) == 0
    lines = screen.getvalue().splitlines()
    assert len(lines) > 300 and not [line for line in lines if len(line) > 80 and " " in line.strip("- ")]


@pytest.mark.parametrize(("encoding", "dash"), [("ascii", "-"), ("latin-1", "-"), ("cp1252", "–"), ("utf-8", "–")])
def test_a_table_keeps_its_columns_where_a_terminal_has_no_signs_of_print(encoding, dash):
    out = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    Printer(out).table(["build", "hours"], [["–", "1"], ["“a”", "12"]], right=frozenset({1}))
    out.seek(0)
    _, first, second = out.read().split("\n")[:3]
    assert first.startswith(dash + " ") and len(first) == len(second)


def test_columns_keep_their_order_on_a_terminal_that_turns_words_round():
    """Unicode Standard Annex #9: figures after a word in Arabic would be drawn on its other side (rule W2), and a mark from the left (LRM) ends its run.

    Into a pipe the row stays as it is, for whoever cuts it up.
    """
    for stream, mark in ((Screen(), "\u200e"), (io.StringIO(), "")):
        Printer(stream).table(("item", "qty", "value"), [("لاقط قديم", "2", "22.223"), ("lacquer", "1", "3.000")], frozenset({1, 2}))
        rows = stream.getvalue().splitlines()
        assert rows[1:] == [f"{mark}لاقط قديم{mark}    2  22.223", "lacquer      1   3.000"]
