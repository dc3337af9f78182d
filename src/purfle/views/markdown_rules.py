"""The one Markdown parser, and how each kind of token is written: raw HTML off, links and pictures by a table.

Links go only to http, https and mail addresses and to pages of the same site; anything else keeps its words and loses
its link. Pictures and sounds are shown only when they were published; a picture on another host becomes a link, so a
page never asks another host for anything.
Invariant: what a rule may lead to is in `Surroundings`; it opens nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING

from markupsafe import escape

from purfle.views.markdown_pictures import OUTWARD, inline_words, only_pictures
from purfle.views.picture_html import largest, picture_html, sound_html
from purfle.views.pictures import Pictures, Sounds

if TYPE_CHECKING:  # the library is loaded when a text is first converted
    from markdown_it import MarkdownIt
    from markdown_it.renderer import RendererHTML
    from markdown_it.token import Token
    from markdown_it.utils import EnvType, OptionsDict

    _Rule = Callable[[Token, EnvType], str]


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


@cache
def parser() -> MarkdownIt:
    """The one parser; loading and building it takes longer than a hundred notes."""
    from markdown_it import MarkdownIt
    from mdit_py_plugins.footnote import footnote_plugin
    from mdit_py_plugins.tasklists import tasklists_plugin

    made = MarkdownIt("commonmark", {"html": False, "typographer": False}).enable(["table", "strikethrough"])
    made.use(footnote_plugin).use(tasklists_plugin)
    made.validateLink = lambda url: True  # type: ignore[method-assign]  # our own rules below decide, and keep the words
    rules: dict[str, _Rule] = {
        "link_open": _link_open,
        "link_close": lambda token, env: "</a>" if env["open"].pop() else "",
        "image": _image,
        "html_inline": _tick,
        "th_open": _cell_open,
        "td_open": _cell_open,
        "table_open": lambda token, env: '<div class="wide" role="group" aria-label="table" tabindex="0"><table>\n',
        "table_close": lambda token, env: "</table></div>\n",
        "footnote_block_open": lambda token, env: '<div class="footnotes"><ol>\n',
        "footnote_block_close": lambda token, env: "</ol></div>\n",
        "footnote_ref": _footnote_ref,
        "footnote_open": lambda token, env: f'<li id="{_footnote_id(token, env)}">',
        "footnote_anchor": lambda token, env: f' <a href="#{_footnote_id(token, env)}-from" aria-label="back to the text">↑</a>',
    }
    for name, rule in rules.items():
        made.add_render_rule(name, _of_token(rule))
    made.add_render_rule("paragraph_open", _paragraph_open)
    made.add_render_rule("paragraph_close", _paragraph_close)
    for name in ("fence", "code_block"):
        made.add_render_rule(name, _typed)
    return made


def _of_token(rule: _Rule) -> Callable[..., str]:
    """As the library calls it, a rule that looks at no token but its own."""
    return lambda self, tokens, index, options, env: rule(tokens[index], env)


# --- links -----------------------------------------------------------------------------------------------------------


def _link_open(token: Token, env: EnvType) -> str:
    target = _target(str(token.attrs.get("href", "")), env["around"])
    env["open"].append(target is not None)
    if target is None:
        return ""
    title = token.attrs.get("title")
    extra = f' title="{escape(title)}"' if title else ""
    rel = ' rel="noopener"' if OUTWARD.match(target) else ""
    return f'<a href="{escape(target)}"{extra}{rel}>'


def _target(href: str, around: Surroundings) -> str | None:
    """Where a link may lead, or None."""
    if OUTWARD.match(href):
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


def _image(token: Token, env: EnvType) -> str:
    src, around = str(token.attrs.get("src", "")), env["around"]
    alt = "".join(inline_words(token.children or ())) or token.content
    if OUTWARD.match(src):
        return f'<a href="{escape(src)}" rel="noopener">{escape(alt or src)}</a>'
    path = _path_of(src, env["paths"])
    if path in around.sounds:
        return sound_html(around.sounds[path], alt, around.root)
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


# --- small things ----------------------------------------------------------------------------------------------------


def _tick(token: Token, env: EnvType) -> str:
    """The box of a task list. Raw HTML is off, so the only inline HTML is what the task list made."""
    done = "checked" in token.content
    return f'<span class="box{" ticked" if done else ""}" role="img" aria-label="{"done" if done else "to do"}"></span>'


def _paragraph_open(self: RendererHTML, tokens: Sequence[Token], index: int, options: OptionsDict, env: EnvType) -> str:
    if tokens[index].hidden:
        return ""
    if not only_pictures(tokens, index):
        return "<p>"
    count = sum(1 for child in tokens[index + 1].children or () if child.type == "image")
    return f'<div class="shots{" several" if count > 1 else ""}">'


def _paragraph_close(self: RendererHTML, tokens: Sequence[Token], index: int, options: OptionsDict, env: EnvType) -> str:
    if tokens[index].hidden:
        return ""
    begin = next(at for at in range(index, -1, -1) if tokens[at].type == "paragraph_open")
    return "</div>\n" if only_pictures(tokens, begin) else "</p>\n"


def _cell_open(token: Token, env: EnvType) -> str:
    """A cell; its side is a class, because the pages allow no inline style."""
    side = str(token.attrs.get("style", "")).removeprefix("text-align:")
    return f'<{token.tag} class="{escape(side)}">' if side else f"<{token.tag}>"


def _typed(self: RendererHTML, tokens: Sequence[Token], index: int, options: OptionsDict, env: EnvType) -> str:
    """Text as it was typed, such as a diagram of strings; wider than its place, it is scrolled by keyboard too."""
    written: str = getattr(type(self), tokens[index].type)(self, tokens, index, options, env)
    return written.replace("<pre>", '<pre tabindex="0">', 1)


def _footnote_id(token: Token, env: EnvType) -> str:
    return f"{env['around'].mark or 'text'}-note-{token.meta['id'] + 1}"


def _footnote_ref(token: Token, env: EnvType) -> str:
    again = f"-{token.meta['subId'] + 1}" if token.meta.get("subId") else ""
    name = _footnote_id(token, env)
    return f'<sup><a href="#{name}" id="{name}-from{again}">{token.meta["id"] + 1}</a></sup>'
