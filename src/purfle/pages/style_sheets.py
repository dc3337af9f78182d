"""What is wrong in the owner's style sheets, which a browser passes over in silence.

A browser drops what it can't read and goes on: a semicolon lost in `tokens.css` takes two colours away, and no page says so.
Told are a bracket or comment without its end, a declaration that runs into the next or has no colon, a colour of no length
that colours have, and a name asked for by `var()` that no style sheet of the site gives (CSS Syntax 3, CSS Color 4, CSS Variables 1).
Invariant: reads no selectors, properties or values beyond that; what it tells holds nothing.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from purfle.base.near import nearest
from purfle.base.place import Lookup, Place
from purfle.base.trouble import Trouble
from purfle.pages.site_files import own_files, shown_path

_QUIET = re.compile(r"/\*.*?\*/|\"(?:\\.|[^\"\\\n])*\"|'(?:\\.|[^'\\\n])*'|url\([^)\"']*\)|\\[^\n]", re.DOTALL)
"""Comments, texts, addresses and escaped characters: what stands in them is no rule."""
_MARK = re.compile(r"[{};]")
_NAMED = re.compile(r"(?:^[ \t]*|(?<=\s))(--[\w-]+)\s*:|^[ \t]*[a-zA-Z][\w-]*[ \t]*:", re.MULTILINE)
"""Where a declaration begins: at the beginning of a line, or anywhere for a name of the owner's own."""
_BLOCK = re.compile(r"\s*--[\w-]+\s*:")
"""A name of the owner's own whose value is in braces; no selector begins like it."""
_SOMETIMES = re.compile(r"\s*@media\b(?!\s*(?:screen|\(\s*prefers-color-scheme\s*:\s*light\s*\))\s*\Z)")
"""A block that counts for some visitors alone; light is what a visitor has who asks for nothing (Media Queries 5)."""
_COLOUR = re.compile(r"(?<=[\s:,(])#\w+")
_ASKED = re.compile(r"var\(\s*(--[\w-]+)\s*\)")
_PROPERTY = re.compile(r"@property\s+(--[\w-]+)")


@dataclass(frozen=True, slots=True)
class _Said:
    """A piece of a style sheet between two of its marks, and the mark at its end."""

    start: int
    text: str
    mark: str
    always: bool
    """Whether it stands in no `@media` that a screen may not fit."""


def style_faults(sites: Mapping[str, Mapping[str, bytes]], owner: Mapping[str, bytes]) -> Iterator[Trouble]:
    """What browsers would pass over in style sheets of the owner's, given by path in `site_templates/`; `sites` are the packaged files of each site."""
    for site, packaged in sites.items():
        if own := _sheets(own_files(site, owner)):
            yield from _of_site(site, _sheets(packaged), own)


def _sheets(files: Mapping[str, bytes]) -> dict[str, str]:
    return {name: data.decode("utf-8", "replace") for name, data in files.items() if name.endswith(".css")}


def _of_site(site: str, packaged: Mapping[str, str], own: Mapping[str, str]) -> Iterator[Trouble]:
    sheets = {name: _Sheet(shown_path(site, name), text) for name, text in {**packaged, **own}.items()}
    faults = [fault for name in sorted(own) for fault in sheets[name].faults()]
    if faults:  # which names are given is only known once they are mended
        yield from faults
        return
    given = frozenset(name for sheet in sheets.values() for name in sheet.given())
    anywhere = given.union(*(sheet.given_anywhere() for sheet in sheets.values()))
    asked = {found[1] for name, sheet in sheets.items() if name not in own for found in _ASKED.finditer(sheet.text)}
    for name in sorted(own):
        yield from sheets[name].asked_in_vain(anywhere)
        lost = (_Sheet("", packaged[name]).given() if name in packaged else frozenset()) - given
        for word in sorted(lost & asked):
            yield _told(Place(sheets[name].file, 0), f"{word} is not given here, and other style sheets of the site ask for it", f"give {word}: a value")


class _Sheet:
    """One style sheet, with all that is quiet in it blanked."""

    def __init__(self, file: str, text: str) -> None:
        self.file = file
        self.text = _QUIET.sub(lambda found: re.sub(r"[^\n]", " ", found[0]), text)
        self._lookup = Lookup(text)

    def _at(self, position: int) -> Place:
        return self._lookup.place(position, Place(self.file, 1))

    def given(self) -> frozenset[str]:
        """The names of its own that it gives whatever the visitor's system asks for."""
        return self._given(always=True)

    def given_anywhere(self) -> frozenset[str]:
        """Those that it gives in some `@media` alone too, such as one for light and one for dark, or for print."""
        return self._given(always=False)

    def _given(self, always: bool) -> frozenset[str]:
        pieces = (said for said in self._pieces() if said.always or not always)
        names = {found[1] for said in pieces if said.mark != "{" or _BLOCK.match(said.text) for found in [_NAMED.search(said.text)] if found}
        return frozenset(names - {None}) | frozenset(_PROPERTY.findall(self.text))

    def _pieces(self) -> Iterator[_Said]:
        start, media, openings = 0, 0, list[bool]()
        for mark in (*_MARK.finditer(self.text), None):
            end = mark.start() if mark else len(self.text)
            text = self.text[start:end]
            yield _Said(start, text, mark[0] if mark else "", not media)
            if mark and mark[0] == "{":
                openings.append(_SOMETIMES.match(text) is not None)
                media += openings[-1]
            elif mark and mark[0] == "}" and openings:
                media -= openings.pop()
            start = end + 1

    def faults(self) -> Iterator[Trouble]:
        """What in it is not as a style sheet is written."""
        if (comment := self.text.find("/*")) >= 0:
            yield _told(self._at(comment), "a comment begins here and has no end, so all that follows is part of it", "write */ at its end")
            return
        yield from self._brackets()
        for said in self._pieces():
            if said.mark != "{":
                yield from self._declaration(said)

    def asked_in_vain(self, given: frozenset[str]) -> Iterator[Trouble]:
        """The names it asks for that none gives."""
        for found in _ASKED.finditer(self.text):
            if found[1] not in given:
                near = nearest(found[1], given)
                yield _told(
                    self._at(found.start(1)), f"{found[1]} is given by no style sheet of the site", f"write {near}" if near else f"give {found[1]}: a value"
                )

    def _brackets(self) -> Iterator[Trouble]:
        open_at: list[int] = []
        for mark in re.finditer(r"[{}]", self.text):
            if mark[0] == "{":
                open_at.append(mark.start())
            elif open_at:
                open_at.pop()
            else:
                yield _told(self._at(mark.start()), "a } stands here that closes nothing, so the rule behind it is lost", "take it out")
        if open_at:
            yield _told(self._at(open_at[-1]), "a { stands here and is not closed, so what follows is part of it", "write } at its end")

    def _declaration(self, said: _Said) -> Iterator[Trouble]:
        names = list(_NAMED.finditer(said.text))
        first = said.start + len(said.text) - len(said.text.lstrip())
        if said.mark == ";" and said.text.strip() and ":" not in said.text and not said.text.lstrip().startswith("@"):
            yield _told(self._at(first), "there is no colon between a name and its value here, so both are lost", "write a colon between them")
        for found in names[1:]:
            at = said.start + found.start() + len(found[0]) - len(found[0].lstrip())
            yield _told(self._at(at), "what stands before this has no ; at its end, so both are lost", "write ; before it")
        for colour in _COLOUR.finditer(said.text):
            if ":" in said.text[: colour.start()] and not re.fullmatch(r"#(?:[0-9a-fA-F]{3,4}|[0-9a-fA-F]{6}|[0-9a-fA-F]{8})", colour[0]):
                yield _told(self._at(said.start + colour.start()), f"{colour[0]} is no colour", "write # and three or six figures, 0 to 9 and a to f")


def _told(place: Place, found: str, mend: str) -> Trouble:
    return Trouble(place, "style-sheet-fault", found, mend)
