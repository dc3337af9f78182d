"""Markdown of public and private pages: one parser, reused; raw HTML off, links and pictures by a table.

Links go only to http, https and mail addresses and to pages of the same site; anything else keeps its words and loses
its link. Pictures and sounds are shown only when they were published; a picture on another host becomes a link, so a
page never asks another host for anything.
Invariant: sees text from which everything private is already cut; opens nothing.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from typing import Any

from markupsafe import Markup, escape

from purfle.base.memo import Memo
from purfle.notes.model import Body
from purfle.views.pictures import Pictures, PublishedPicture, PublishedSound, Sounds

_OUTWARD = re.compile(r"(https?://|mailto:)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a text's links and pictures may lead to, seen from the page it stands on."""

    root: str = ""
    """From the page to the site's root: empty, `../` or a whole address."""
    pages: Mapping[str, str] = field(default_factory=dict)
    """What a link may name (casefolded, without ending), to a path from the site's root."""
    pictures: Pictures = field(default_factory=dict)
    sounds: Sounds = field(default_factory=dict)
    top_heading: int = 2
    """The level that the text's highest heading gets, so that the page's outline has no gap."""
    mark: str = ""
    """Goes into the ids of footnotes, so that several texts can share a page; from public things alone."""


@dataclass(frozen=True, slots=True)
class Text:
    """A text ready for a page."""

    html: Markup
    plain: str
    """Its words alone, one space between them, without pictures."""

    def __bool__(self) -> bool:
        return bool(self.html.strip())


def rendered(body: Body, around: Surroundings) -> Text:
    """The HTML and the plain words of a text."""
    if not body.text.strip():
        return Text(Markup(""), "")
    if not Memo.keeping:
        return _converted(body, around)
    paths = tuple((picture.src, picture.path) for picture in body.pictures)
    shelf = _shelf(body.text, paths, around.root, around.top_heading, around.mark)
    for asked, text in shelf:
        if all(getattr(around, kind).get(name) == answer for kind, name, answer in asked):
            return text
    pages, pictures, sounds = (_Asked(kind, getattr(around, kind), []) for kind in ("pages", "pictures", "sounds"))
    text = _converted(body, replace(around, pages=pages, pictures=pictures, sounds=sounds))
    shelf.append(((*pages.asked, *pictures.asked, *sounds.asked), text))
    del shelf[:-_MOST_KEPT]
    return text


_Answers = tuple[tuple[str, str, Any], ...]
_MOST_KEPT = 4
"""Conversions of one text; older ones are of pictures that have changed since."""


@lru_cache(maxsize=16384)
def _shelf(text: str, paths: tuple[tuple[str, str | None], ...], root: str, top_heading: int, mark: str) -> list[tuple[_Answers, Text]]:
    """Where the conversions of one text are kept, each with what it asked of its surroundings and was answered.

    While purfle follows, nearly every note is as it was a moment ago, and converting is the larger part of making its page.
    """
    return []


@dataclass(frozen=True, slots=True)
class _Asked(Mapping[str, Any]):
    """A mapping that remembers what was looked up in it."""

    kind: str
    answers: Mapping[str, Any]
    asked: list[tuple[str, str, Any]]

    def __getitem__(self, name: str) -> Any:
        self.asked.append((self.kind, name, self.answers.get(name)))
        return self.answers[name]

    def __iter__(self) -> Iterator[str]:
        raise TypeError("a text asks for single names")

    def __len__(self) -> int:
        raise TypeError("a text asks for single names")


def _converted(body: Body, around: Surroundings) -> Text:
    env: dict[str, Any] = {"around": around, "paths": {p.src: p.path for p in body.pictures}, "open": [], "docId": around.mark}
    tokens = _parser().parse(_closed_up(body.text), env)
    tokens = _pictures_together(tokens)
    _shift_headings(tokens, around.top_heading)
    plain = " ".join(" ".join(_plain(tokens)).split())
    return Text(Markup(_parser().renderer.render(tokens, _parser().options, env)), plain)


_GAP = re.compile(r"\n(?:[ \t]*\n){2,}")
_ODD = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\ufdd0-\ufdef" + "".join(f"{chr(plane + 0xFFFE)}{chr(plane + 0xFFFF)}" for plane in range(0, 0x110000, 0x10000)) + "]"
)
"""Control characters and noncharacters: the HTML standard makes each a parse error."""
_SENTENCE_END = re.compile(r"(?<=[.!?…])\s+(?=\W?[^\Wa-z])")
_BLANKED = re.compile(r"(?<=\S) {7,}(?=\S)")


def _closed_up(text: str) -> str:
    """The text without the gaps that cut private blocks and comments leave, so that not even their length shows."""
    text = _ODD.sub("\ufffd", text.replace("\r\n", "\n").replace("\r", "\n"))
    return _BLANKED.sub(" ", _GAP.sub("\n\n", text)).strip("\n") + "\n"


def excerpt(plain: str, most: int) -> str:
    """The first words of a text, cut between words, at most `most` characters and an ellipsis."""
    if len(plain) <= most:
        return plain
    return plain[:most].rsplit(" ", 1)[0].rstrip(" ,;:.–-") + "…"


def opening(text: Text, most: int) -> str:
    """The sentences that begin a text's first paragraph of words, as many as `most` characters hold; the first one cut when it is longer."""
    paragraphs = (Markup(found).striptags() for found in re.findall(r"<p>(.*?)</p>", text.html, re.DOTALL))
    first, *more = _SENTENCE_END.split(next((words for words in paragraphs if words), ""))
    for sentence in more:
        if len(first) + 1 + len(sentence) > most:
            break
        first += f" {sentence}"
    return excerpt(first, most)


@cache
def _parser() -> Any:
    """The one parser; loading and building it takes longer than a hundred notes."""
    from markdown_it import MarkdownIt
    from mdit_py_plugins.footnote import footnote_plugin
    from mdit_py_plugins.tasklists import tasklists_plugin

    parser = MarkdownIt("commonmark", {"html": False, "typographer": False}).enable(["table", "strikethrough"])
    parser.use(footnote_plugin).use(tasklists_plugin)
    parser.validateLink = lambda url: True  # type: ignore[method-assign]  # our own rules below decide, and keep the words
    rules: dict[str, Callable[..., str]] = {
        "link_open": _link_open,
        "link_close": _link_close,
        "image": _image,
        "html_inline": _tick,
        "paragraph_open": _paragraph_open,
        "paragraph_close": _paragraph_close,
        "th_open": _cell_open,
        "td_open": _cell_open,
        "table_open": _table_open,
        "table_close": _table_close,
        "footnote_block_open": _footnotes_open,
        "footnote_block_close": _footnotes_close,
        "footnote_ref": _footnote_ref,
        "footnote_anchor": _footnote_anchor,
        "footnote_open": _footnote_open,
    }
    for name, rule in rules.items():
        parser.add_render_rule(name, rule)
    return parser


def _shift_headings(tokens: Sequence[Any], top: int) -> None:
    levels = [int(t.tag[1]) for t in tokens if t.type == "heading_open"]
    if not levels:
        return
    ranks = {level: min(top + rank, 6) for rank, level in enumerate(sorted(set(levels)))}
    for token in tokens:
        if token.type in ("heading_open", "heading_close"):
            token.tag = f"h{ranks[int(token.tag[1])]}"


def _plain(tokens: Sequence[Any]) -> list[str]:
    found = []
    for token in tokens:
        if token.type == "inline":
            found.append("".join(_inline_words(token.children or ())))
        elif token.type in ("fence", "code_block"):
            found.append(token.content)
    return found


def _inline_words(children: Sequence[Any]) -> list[str]:
    words: dict[str, Callable[[Any], str]] = {
        "text": lambda t: t.content,
        "code_inline": lambda t: t.content,
        "softbreak": lambda t: " ",
        "hardbreak": lambda t: " ",
    }
    return [str(words[t.type](t)) for t in children if t.type in words]


# --- links -----------------------------------------------------------------------------------------------------------


def _link_open(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    token = tokens[index]
    target = _target(str(token.attrs.get("href", "")), env["around"])
    env["open"].append(target is not None)
    if target is None:
        return ""
    title = token.attrs.get("title")
    extra = f' title="{escape(title)}"' if title else ""
    rel = ' rel="noopener"' if _OUTWARD.match(target) else ""
    return f'<a href="{escape(target)}"{extra}{rel}>'


def _link_close(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    return "</a>" if env["open"].pop() else ""


def _target(href: str, around: Surroundings) -> str | None:
    """Where a link may lead, or None."""
    if _OUTWARD.match(href):
        return href
    page = around.pages.get(link_name(href))
    return None if page is None else around.root + page


def link_name(href: str) -> str:
    """What a relative link names: `../heron/build.md`, `builds/heron` and `heron.html#log` all name `heron`."""
    path = re.sub(r"[#?].*$", "", href).strip("/").casefold()
    parts = [part for part in path.split("/") if part not in ("", ".", "..")]
    if len(parts) > 1 and parts[-1] == "build.md":
        parts.pop()
    return re.sub(r"\.(md|html)$", "", parts[-1]) if parts else ""


# --- pictures and sounds ---------------------------------------------------------------------------------------------


def _image(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    token = tokens[index]
    src, around = str(token.attrs.get("src", "")), env["around"]
    alt = "".join(_inline_words(token.children or ())) or token.content
    if _OUTWARD.match(src):
        return f'<a href="{escape(src)}" rel="noopener">{escape(alt or src)}</a>'
    path = _path_of(src, env["paths"])
    if path in around.sounds:
        return _sound(around.sounds[path], alt, around.root)
    if path not in around.pictures:
        return f"<em>{escape(alt)}</em>" if alt else ""
    caption = token.attrs.get("title")
    picture = around.pictures[path]
    shown = str(picture_html(picture, alt, around.root))
    if not any(env["open"]):
        shown = f'<a class="look" href="{around.root}{largest(picture)}">{shown}</a>'
    return f'<span class="frame">{shown}<span class="caption">{escape(caption)}</span></span>' if caption else shown


def _path_of(src: str, paths: Mapping[str, str | None]) -> str | None:
    if src in paths:
        return paths[src]
    from urllib.parse import unquote  # markdown-it percent-encodes what the note wrote plainly

    return paths.get(unquote(src))


def largest(picture: PublishedPicture) -> str:
    """The path of a picture's widest file."""
    return picture.variants[-1].path if picture.variants else picture.fallback.path


def picture_html(
    picture: PublishedPicture, alt: str, root: str, sizes: str = "(min-width: 60rem) 46rem, 94vw", lazy: bool = True, tinted: bool = False
) -> Markup:
    """A responsive picture: modern format first, JPEG to fall back on, width and height set so that nothing shifts."""
    source = f'<source type="image/webp" srcset="{escape(picture.srcset(root))}" sizes="{escape(sizes)}">' if picture.variants else ""
    waits = ' loading="lazy"' if lazy else ' fetchpriority="high"'
    tint = f' data-tint="{picture.colour}"' if tinted else ""
    image = f'<img src="{escape(root + picture.fallback.path)}" width="{picture.width}" height="{picture.height}" alt="{escape(alt)}"{tint}{waits}>'
    return Markup(f"<picture>{source}{image}</picture>")


def _sound(sound: PublishedSound, alt: str, root: str) -> str:
    name = f'<span class="caption">{escape(alt)}</span>' if alt else ""
    label = f' aria-label="{escape(alt)}"' if alt else ""
    return f'<span class="sound">{name}<audio controls preload="none" src="{escape(root + sound.path)}"{label}></audio></span>'


# --- small things ----------------------------------------------------------------------------------------------------


def _tick(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    """The box of a task list. Raw HTML is off, so the only inline HTML is what the task list made."""
    done = "checked" in tokens[index].content
    return f'<span class="box{" ticked" if done else ""}" role="img" aria-label="{"done" if done else "to do"}"></span>'


def _pictures_together(tokens: list[Any]) -> list[Any]:
    """The tokens with paragraphs of pictures that follow each other made one, so that a page can lay them side by side."""
    found: list[Any] = []
    for index, token in enumerate(tokens):
        joins = token.type == "paragraph_open" and len(found) >= 3 and found[-1].type == "paragraph_close" and found[-3].type == "paragraph_open"
        if joins and found[-1].level == token.level and _only_pictures(found, len(found) - 3) and _only_pictures(tokens, index):
            tokens[index + 1].children = [*found[-2].children, *tokens[index + 1].children]
            del found[-3:]
        found.append(token)
    return found


def _only_pictures(tokens: Sequence[Any], index: int) -> bool:
    inline = tokens[index + 1]
    kinds = {child.type for child in inline.children or ()}
    blank = all(not child.content.strip() for child in inline.children or () if child.type == "text")
    return "image" in kinds and blank and kinds <= {"image", "softbreak", "hardbreak", "text", "link_open", "link_close"}


def _paragraph_open(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    if tokens[index].hidden:
        return ""
    if not _only_pictures(tokens, index):
        return "<p>"
    count = sum(1 for child in tokens[index + 1].children if child.type == "image")
    return f'<div class="shots{" several" if count > 1 else ""}">'


def _paragraph_close(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    if tokens[index].hidden:
        return ""
    return "</div>\n" if _only_pictures(tokens, index - 2) else "</p>\n"


def _table_open(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    return '<div class="wide" role="group" aria-label="table" tabindex="0"><table>\n'


def _table_close(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    return "</table></div>\n"


def _cell_open(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    """A cell; its side is a class, because the pages allow no inline style."""
    token = tokens[index]
    side = str((token.attrs or {}).get("style", "")).removeprefix("text-align:")
    return f'<{token.tag} class="{escape(side)}">' if side else f"<{token.tag}>"


def _footnotes_open(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    return '<div class="footnotes"><ol>\n'


def _footnotes_close(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    return "</ol></div>\n"


def _footnote_id(token: Any, env: Any) -> str:
    return f"{env['around'].mark or 'text'}-note-{token.meta['id'] + 1}"


def _footnote_ref(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    token = tokens[index]
    again = f"-{token.meta['subId'] + 1}" if token.meta.get("subId") else ""
    name = _footnote_id(token, env)
    return f'<sup><a href="#{name}" id="{name}-from{again}">{token.meta["id"] + 1}</a></sup>'


def _footnote_open(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    return f'<li id="{_footnote_id(tokens[index], env)}">'


def _footnote_anchor(self: Any, tokens: Sequence[Any], index: int, options: Any, env: Any) -> str:
    return f' <a href="#{_footnote_id(tokens[index], env)}-from" aria-label="back to the text">↑</a>'
