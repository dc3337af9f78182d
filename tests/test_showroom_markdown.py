"""Markdown on pages: raw HTML off, links and pictures by a table, nothing that asks another host."""

import re

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from showroom_shop import picture

from purfle.base.memo import turn
from purfle.base.place import NOWHERE
from purfle.notes.model import Body, Picture
from purfle.views.markdown import excerpt, rendered
from purfle.views.markdown_rules import Surroundings, link_name
from purfle.views.pictures import PublishedSound

AROUND = Surroundings("../", {"heron": "builds/heron.html"}, {"a.jpg": picture("a.jpg")}, {"a.ogg": PublishedSound("sounds/s.ogg", "audio/ogg", 1)}, 3, "log-1")


def _html(text: str, around: Surroundings = AROUND) -> str:
    named = tuple(Picture(name, name, "", NOWHERE) for name in ("a.jpg", "a.ogg", "gone.jpg"))
    return str(rendered(Body(text, "f.md", 1, named), around).html)


def test_raw_html_is_shown_and_not_obeyed() -> None:
    assert (
        _html("<script>alert(1)</script>\n\na <b onclick=x>b</b>") == "<p>&lt;script&gt;alert(1)&lt;/script&gt;</p>\n<p>a &lt;b onclick=x&gt;b&lt;/b&gt;</p>\n"
    )


@pytest.mark.parametrize(
    "href",
    [
        "javascript:alert(1)",
        "JaVaScRiPt:x",
        "data:text/html,x",
        "file:///etc/passwd",
        "ftp://a.example",
        "//a.example/x",
        "../plover/build.md",
        "photos/a.jpg",
        "vbscript:x",
    ],
)
def test_a_link_that_may_not_lead_there_keeps_its_words(href: str) -> None:
    assert _html(f"[words]({href})") == "<p>words</p>\n"


@pytest.mark.parametrize("href", ["https://a.example/x?y=1", "http://a.example", "mailto:a@b.example"])
def test_outward_links_open_no_window_to_us(href: str) -> None:
    assert f'href="{href}" rel="noopener">words</a>' in _html(f"[words]({href})")


@pytest.mark.parametrize("href", ["../heron/build.md", "heron", "heron.md", "builds/heron", "Heron.html#log", "./heron/"])
def test_a_link_to_a_public_build_leads_to_its_page(href: str) -> None:
    assert link_name(href) == "heron" and 'href="../builds/heron.html">' in _html(f"[it]({href})")


def test_a_picture_is_responsive_and_leads_to_itself() -> None:
    html = _html("![Bare & wood](a.jpg)")
    assert '<source type="image/webp" srcset="../pictures/' in html and 'width="1600" height="1200" alt="Bare &amp; wood" loading="lazy"' in html
    assert html.startswith('<div class="shots"><a class="look" href="../pictures/')


def test_a_still_may_lead_to_a_video() -> None:
    html = _html("[![A still](a.jpg)](https://video.example/1)")
    assert html.count("<a ") == 1 and 'href="https://video.example/1" rel="noopener"><picture>' in html


def test_a_picture_elsewhere_is_a_link() -> None:
    assert _html("![far](https://a.example/p.jpg)") == '<div class="shots"><a href="https://a.example/p.jpg" rel="noopener">far</a></div>\n'


def test_an_unpublished_picture_leaves_its_words() -> None:
    assert "<em>gone away</em>" in _html("![gone away](gone.jpg)") and "gone.jpg" not in _html("![gone away](gone.jpg)")


def test_a_sound_plays_in_the_browsers_own_player() -> None:
    assert '<audio controls preload="none" src="../sounds/s.ogg" aria-label="low E"></audio>' in _html("![low E](a.ogg)")


def test_pictures_that_follow_each_other_stand_together() -> None:
    html = _html("![one](a.jpg)\n\n![two](a.jpg)\n\nWords.\n\n![three](a.jpg)")
    assert html.count('<div class="shots several">') == 1 and html.count('<div class="shots">') == 1


@pytest.mark.parametrize(
    ("text", "shape"),
    [
        ("The finish came off. ![Bare](a.jpg)", "<p>The finish came off. </p> [shots: A]"),
        ("![Bare](a.jpg)\nThe finish came off.", "[shots: A] <p>The finish came off.</p>"),
        ("Off.\n![Bare](a.jpg) ![Bare](a.jpg)", "<p>Off.</p> [shots several: A A]"),
        ("Off. ![Bare](a.jpg)\n\n![Bare](a.jpg)\n\nOn.", "<p>Off. </p> [shots several: AA] <p>On.</p>"),
        ("Off *twice* ![Bare](a.jpg)  \n", "<p>Off <em>twice</em></p> [shots: A]"),
        ("So it went: ![Bare](a.jpg) all day.", "<p>So it went: A all day.</p>"),
        ("See ![the video](https://video.example/1)", '<p>See <a href="https://video.example/1" rel="noopener">the video</a></p>'),
        ("- tight ![Bare](a.jpg)", "<ul> <li>tight A</li> </ul>"),
    ],
)
def test_pictures_beside_words_are_laid_out_as_those_that_stand_alone(text: str, shape: str) -> None:
    """By hand: pictures with which a paragraph begins or ends stand beside it; within a sentence, in a tight list and elsewhere they stay where they are."""
    html = " ".join(re.sub(r'<a class="look".*?</a>', "A", _html(text)).split())
    assert re.sub(r'<div class="(shots|shots several)"> ?(.*?) ?</div>', r"[\1: \2]", html) == shape


@pytest.mark.parametrize("note", ["![Bare](a.jpg) there", "there ![Bare](a.jpg)", "![Bare](a.jpg)"])
def test_a_picture_in_a_footnote_leaves_it_one_way_back(note: str) -> None:
    """As a page must be: each id once, and what is opened is closed (html5lib reads strictly)."""
    html = _html(f"see[^n]\n\n[^n]: {note}")
    html5lib.HTMLParser(strict=True).parseFragment(html)
    assert html.count('href="#log-1-note-1-from') == html.count("<li") == 1, html


def test_headings_fit_the_pages_outline() -> None:
    assert _html("# a\n\n### b\n\n# c") == "<h3>a</h3>\n<h4>b</h4>\n<h3>c</h3>\n"


def test_tables_tasks_footnotes_and_strikes() -> None:
    html = _html("| a | b |\n|:-|-:|\n| 1 | 2 |\n\n- [x] ~~done~~\n- [ ] open\n\nsee[^n]\n\n[^n]: there")
    assert '<td class="right">2</td>' in html and "style=" not in html and "<s>done</s>" in html
    assert 'aria-label="done"' in html and 'aria-label="to do"' in html
    assert 'href="#log-1-note-1"' in html and '<li id="log-1-note-1">' in html


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("# Heel\n\nIt held.\n\n- [x] steamed\n- wicked, clamped;\n- (both sides)\n- done", "Heel. It held. steamed. wicked, clamped; (both sides). done"),
        ("One line", "One line"),
        ("| a | b |\n|---|---|\n| 1 | 2 |\n\nOne line\n\n![Bare](a.jpg)", "a b 1 2 One line"),
    ],
)
def test_the_words_of_a_list_do_not_run_together(text: str, plain: str) -> None:
    """They stand so in feeds, and where a page is shown in few words."""
    assert rendered(Body(text, "f.md", 1, (Picture("a.jpg", "a.jpg", "", NOWHERE),)), AROUND).plain == plain


@pytest.mark.parametrize("text", ["```\ne|--3--|\n```", "    e|--3--|"])
def test_text_as_it_was_typed_can_be_scrolled_by_keyboard(text: str) -> None:
    """WCAG 2.2, 2.1.1; axe-core's scrollable-region-focusable."""
    assert _html(text) == '<pre tabindex="0"><code>e|--3--|\n</code></pre>\n'


def test_gaps_of_private_words_do_not_show() -> None:
    assert _html("a\n\n\n\n\n\nb") == _html("a\n\nb")
    assert _html("```\na\n\n\n\n\nb\n```") == _html("```\na\n\nb\n```")
    assert _html("a " + " " * 12 + " b") == _html("a b")


def test_an_excerpt_ends_between_words() -> None:
    assert excerpt("brown lacquer, thin coats", 16) == "brown lacquer…" and excerpt("brown", 16) == "brown"


def test_characters_that_a_page_may_not_hold_are_shown_as_such() -> None:
    assert _html("a\x07b\ufdd0c\U0001fffe") == "<p>a\ufffdb\ufffdc\ufffd</p>\n"


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=120))
@settings(max_examples=120, deadline=None)
def test_no_text_makes_invalid_html_or_a_traceback(text: str) -> None:
    html5lib.HTMLParser(strict=True).parseFragment(_html(text))


@given(
    st.lists(
        st.sampled_from(
            [
                "[a](",
                "![b](",
                "a.jpg)",
                "javascript:x)",
                "<a href=x>",
                "**",
                "`",
                "\n\n",
                "- [x] ",
                "> ",
                "[^1]",
                "\n\n[^1]: ",
                "| a |\n|-|\n",
                "<https://a.example>",
                '" onload="x',
            ]
        ),
        max_size=14,
    )
)
@settings(max_examples=150, deadline=None)
def test_no_mixture_makes_a_script_or_a_handler(pieces: list[str]) -> None:
    tree = html5lib.HTMLParser(namespaceHTMLElements=False).parseFragment(_html("".join(pieces)))
    for element in tree.iter():
        if isinstance(element.tag, str):
            assert element.tag not in ("script", "iframe", "style", "object") and not any(str(n).startswith("on") for n in element.attrib)
            assert not str(element.attrib.get("href", "")).casefold().startswith(("javascript", "data"))


def test_a_text_is_converted_once_while_what_it_asks_for_stays(monkeypatch):
    from purfle.views import markdown

    made = []
    convert = markdown._converted
    monkeypatch.setattr(markdown, "_converted", lambda body, around: made.append(body.text) or convert(body, around))
    text = Body("Once: see [Wren](wren).\n", "a.md", 1, ())
    near, far = ({"wren": "builds/wren.html", "gull": page} for page in ("builds/gull.html", "elsewhere.html"))
    with turn():
        first, again, once_more = (rendered(text, Surroundings(pages=pages)) for pages in (near, far, near))
        assert first == again == once_more and len(made) == 1
        moved = rendered(text, Surroundings(pages={"wren": "builds/new.html"}))
        gone = rendered(text, Surroundings())
        assert "builds/new.html" in moved.html and "<a" not in gone.html and len(made) == 3
        assert rendered(text, Surroundings(pages=near)) == first
