"""The words of the owner's own templates of the showroom: they are published as they stand, like those of a note.

Invariant: judges nothing; what the templates are handed is of public types, so only what is typed in them is looked at.
"""

import re
from collections.abc import Iterator, Mapping

from purfle.base.place import Place
from purfle.notes.openly import Words, blocks
from purfle.pages.site_files import is_template, own_files, shown_path

_SITE = "showroom"


def template_words(owner: Mapping[str, bytes]) -> Iterator[Words]:
    """What is typed in the templates among the owner's files, by path in `site_templates/`, paragraph by paragraph."""
    for name, data in sorted(own_files(_SITE, owner).items()):
        if is_template(name):
            yield from blocks(_typed(data.decode("utf-8", "replace")), Place(shown_path(_SITE, name), 1), None)


_CODE = re.compile(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}|<!--|-->|</?[a-zA-Z][^<>]*>", re.DOTALL)
"""What Jinja takes out, and the tags. A comment of HTML is published, and so is what stands in a script."""
_SAID = re.compile(r"""\b(?:alt|title|content|aria-label|placeholder|href)\s*=\s*(?:"([^"]*)"|'([^']*)')""", re.IGNORECASE)
"""Attributes that are read or heard."""
_GIVEN = re.compile(r"\{(?:\{|%-?\s*set\b)")
"""How what Jinja takes out begins where words in quotes may come to the page."""
_QUOTED = re.compile(r"""["]([^"\\]*)"|'([^'\\]*)'""")


def _typed(text: str) -> str:
    """The text with all but its words blanked, each left where it stood."""
    return _CODE.sub(_blanked, text)


def _blanked(code: re.Match[str]) -> str:
    left = ["\n" if letter == "\n" else " " for letter in code[0]]
    words = _SAID if code[0].startswith("<") else _QUOTED if _GIVEN.match(code[0]) else None
    if words is not None:
        for said in words.finditer(code[0]):
            start, end = said.span(1) if said[1] is not None else said.span(2)
            left[start:end] = code[0][start:end]
    return "".join(left)
