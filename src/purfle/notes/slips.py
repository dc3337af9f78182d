"""What was meant where YAML lost the thread: the slip told in a builder's words, at its own place.

libyaml stops where it can't go on, which is often a line or more after the slip, and in words of its own.
Invariant: looks at the text alone; mends nothing.
"""

import re
from collections.abc import Callable, Collection, Iterator
from typing import NamedTuple


class Slip(NamedTuple):
    """A slip and how to mend it; line and column count from 0."""

    code: str
    found: str
    mend: str
    line: int
    column: int


def slip_in(lines: list[str], line: int, column: int, problem: str, known: Collection[str]) -> Slip:
    """The slip in a text that YAML gave up on at a line and column, as near as can be told; `known` are the words of the keys that may stand here."""
    line = min(line, max(len(lines) - 1, 0))
    here = lines[line] if lines else ""
    read = _Read(lines, line, column, here, frozenset(known))
    for look in _LOOKS:
        if found := look(read):
            return found
    return Slip(
        "yaml-broken",
        f"the frontmatter is not readable here ({problem})",
        "check the quotes, brackets and indentation of this line and the one above",
        line,
        column,
    )


class _Read(NamedTuple):
    lines: list[str]
    line: int
    column: int
    here: str
    known: frozenset[str]


def _tab(read: _Read) -> Slip | None:
    if "\t" not in read.here[: len(read.here) - len(read.here.lstrip())]:
        return None
    set_in = _set_in(read._replace(here=read.here.expandtabs()))  # spaces in its place would not do where nothing belongs there
    return Slip("yaml-broken", "the line is indented with a tab", f"take the tab out: {set_in.mend}" if set_in else "indent with spaces", read.line, 0)


# --- a key without its colon or without the space after it --------------------------------------------------------------

_PLAIN_KEY = re.compile(r"[^\s:{}\[\],#\"'&*!|>%@`-][^:{}\[\],#]*:(\s|$)")
_HALF_KEY = re.compile(r"(?P<key>[A-Za-z_]+)(?P<mark>:|\s*=\s*|\s+)(?P<value>\S.*)$")


_BOLD_KEY = re.compile(r"[*_]+([^\W_]+(?:_[^\W_]+)*)(?::[*_]+|[*_]+:) *")
"""No mark can be read in two ways, so that a line of nothing but low lines takes no long time."""
_WIDE_COLON = re.compile(r"(?P<key>[^\W\d][\w -]*)[\uff1a\ufe55](?P<value>.*)$")


def _half_a_key(read: _Read) -> Slip | None:
    """A line up to where YAML stopped that begins with a known key and lacks the colon or the space after it."""
    for number, text in _first_column(read.lines[: read.line + 1]):
        match = None if _PLAIN_KEY.match(text) else _HALF_KEY.match(text)
        if match and match["key"].casefold() in read.known:
            mark = match["mark"].strip()
            found = {":": "no space stands after the colon", "=": "an = stands where a colon belongs"}.get(mark, "no colon stands after the key")
            return Slip("key-glued", f"{match['key']}: {found}", f"write {match['key']}: {match['value'].strip()}", number, 0)
        if bold := _BOLD_KEY.match(text):
            return Slip("yaml-broken", "a key is written in bold or italic", f"write {bold[1]}: {text[bold.end() :]}", number, 0)
        if text[0] in "–—•·*":
            return Slip("yaml-broken", f"a line of a list begins with {text[0]}", "begin it with a hyphen and a space", number, 0)
        if glued := re.match(r"-(?=[^\W\d_])", text):
            return Slip("yaml-broken", "no space stands after the hyphen of a line of a list", f"write - {text[glued.end() :].strip()}", number, 0)
        if wide := _WIDE_COLON.match(text):
            mend = f"write {wide['key'].strip()}: {wide['value'].strip()}"
            return Slip("key-glued", f"{wide['key'].strip()}: a full-width colon stands after the key", mend, number, wide.end("key"))
        if ":" not in text and text[0] not in "-{[}]\"'" and not _goes_on(read.lines, number):
            return Slip("yaml-broken", "words stand where keys are expected", "move them below the closing --- line", number, 0)
    return None


def _goes_on(lines: list[str], number: int) -> bool:
    """Whether a line may be the rest of a quoted value or of a block above it."""
    above = lines[number - 1] if number else ""
    return above.count('"') % 2 == 1 or above.count("'") % 2 == 1


def _first_column(lines: list[str]) -> Iterator[tuple[int, str]]:
    """The lines that begin in the first column and outside of brackets."""
    open_ = 0
    for number, text in enumerate(lines):
        if open_ <= 0 and text[:1].strip() and text[0] != "#":
            yield number, text
        open_ += sum(1 if bracket in "{[" else -1 for _, bracket in _brackets(text))


# --- brackets --------------------------------------------------------------------------------------------------------


_CLOSING = {"{": "}", "[": "]"}


def _brackets(text: str) -> Iterator[tuple[int, str]]:
    """The brackets of a line with their columns, less those in quotes and comments."""
    quote = ""
    for column, mark in enumerate(text):
        if quote:
            quote = "" if mark == quote else quote
        elif mark in "\"'" and (column == 0 or text[column - 1] in " [{,:"):
            quote = mark
        elif mark == "#" and (column == 0 or text[column - 1] == " "):
            return
        elif mark in "{}[]":
            yield column, mark


def _open_quote(read: _Read) -> Slip | None:
    """A quote that begins a value and is not closed on its line, where the rest of the text can't be read."""
    for number, text in enumerate(read.lines[: read.line + 1]):
        for match in re.finditer(r"(?:^|[:,\[{]|- )\s*(?P<quote>[\"'])", text):
            mark = match["quote"]
            if mark not in text[match.end() :]:
                return Slip(
                    "yaml-broken",
                    f"the {mark} opened here is not closed",
                    f"write {mark} where the value ends, or take this one out",
                    number,
                    match.start("quote"),
                )
    return None


def _round(read: _Read) -> Slip | None:
    match = re.match(r"\s*(?:- )?(?:[A-Za-z_]+:\s+)?[(\uff08\uff5b]", read.here)
    if not match or not re.search(r"\w:\s", read.here[match.end() :]):
        return None
    return Slip("yaml-broken", f"keys stand in {read.here[match.end() - 1]}", "write { } round them", read.line, match.end() - 1)


def _no_comma(read: _Read) -> Slip | None:
    """Two keys in one pair of braces with nothing, or something else than a comma, between them."""
    if ":" not in read.here[read.column : read.column + 1] or "{" not in read.here[: read.column]:
        return None
    words = re.search(r"\w{1,60}$", read.here[: read.column])
    if not words:
        return None
    return Slip("yaml-broken", f"no comma stands before {words[0]}", f"write a comma between the value before it and {words[0]}:", read.line, words.start())


def _never_closed(read: _Read) -> Slip | None:
    """A bracket that is open where YAML stopped, told where it opens when the line of the stop is another key's or another bracket closes there."""
    opened: list[tuple[int, int, str]] = []
    for number, text in enumerate(read.lines[: read.line + 1]):
        for column, bracket in _brackets(text):
            if bracket in "{[":
                opened.append((number, column, bracket))
            elif opened and _CLOSING[opened[-1][2]] != bracket:
                return _unclosed(*opened[-1])
            elif opened:
                opened.pop()
            else:
                return Slip("yaml-broken", f"the {bracket} closes nothing", "take it out, or open what it closes", number, column)
    return _unclosed(*opened[0 if opened[0][0] < read.line else -1]) if opened else None


def _unclosed(line: int, column: int, bracket: str) -> Slip:
    return Slip("yaml-broken", f"the {bracket} opened here is not closed", f"write {_CLOSING[bracket]} where it ends", line, column)


# --- colons and indentation ------------------------------------------------------------------------------------------

_COLON_IN_TEXT = re.compile(r"^(\s*(?:- )?[A-Za-z_]+: )([^\"'\[{|>].*?:(?:\s.*)?)$")


def _second_colon(read: _Read) -> Slip | None:
    match = _COLON_IN_TEXT.match(read.here)
    if match is None:
        return None
    column = len(match[1])
    for other in re.finditer(r"\s(\w+):\s", match[2]):
        if other[1].casefold() in read.known:
            return Slip(
                "yaml-broken",
                "two keys stand on one line",
                f"write {match[2][other.start() :].lstrip(' ;,')} on a line of its own",
                read.line,
                column + other.start(1),
            )
    return Slip(
        "yaml-broken", "a second colon in the value makes it unreadable", f'put the value in quotes: {match[1].strip()} "{match[2]}"', read.line, column
    )


def _set_in(read: _Read) -> Slip | None:
    """A key that stands further in than the one above it, which has a value; or at no column at which a key stands above."""
    key = re.match(r"(\s*(?:- )?)(\w+):(\s|$)", read.here)
    above = next((text for text in reversed(read.lines[: read.line]) if text.strip()), "")
    other = re.match(r"(\s*(?:- )?)\{?(\w+):\s*(\S?)", above)
    if not key or not other or len(key[1]) == len(other[1]):
        return None
    if len(key[1]) > len(other[1]) and not other[3]:
        return None
    return Slip(
        "yaml-broken",
        f"{key[2]} does not begin below {other[2]}",
        f"begin it in the same column as {other[2]} above it, or as the key it belongs beside",
        read.line,
        len(key[1]),
    )


_ODD = re.compile(r"(?P<before> {0,40}(?:- )?(?:[\w -]{1,60}: {1,9})?)(?P<mark>[@`%*&>|])(?P<rest>[^\"]*)$")
_ODD_IN_BRACKETS = re.compile(r"[@`%*&>|][^\",\]}]*")
_UNKNOWN_YET = re.compile(r"[?-](?=\s{0,9}(?:[,\]}]|$))")


def _odd_start(read: _Read) -> Slip | None:
    match = _ODD.match(read.here)
    if match is not None:
        value = f'"{match["mark"]}{match["rest"].strip()}"'
        return Slip(
            "yaml-broken",
            f"a value begins with {match['mark']}",
            f"put it in quotes: {match['before'].strip()} {value}".replace(":  ", ": "),
            read.line,
            len(match["before"]),
        )
    if inside := _ODD_IN_BRACKETS.match(read.here, read.column):
        return Slip("yaml-broken", f"a value begins with {inside[0][0]}", f'put it in quotes: "{inside[0].strip()}"', read.line, read.column)
    return None


def _not_known_yet(read: _Read) -> Slip | None:
    """A ? or a - for a value that is not known yet."""
    for match in re.finditer(r": {1,9}(?=[?-])", read.here):
        key = re.search(r"\w{1,60}$", read.here[max(match.start() - 60, 0) : match.start()])
        if key and (mark := _UNKNOWN_YET.match(read.here, match.end())):
            found = f"a {mark[0]} stands for the value of {key[0]}"
            return Slip("yaml-broken", found, f"take {key[0]}: out until it is known", read.line, match.end())
    return None


_QUOTE_BEGINS = re.compile(r"(?:^|[:,-] {1,9}|[\[{] {0,9})(?P<quote>[\"'])")
_QUOTED = {'"': re.compile(r'(?:[^"\\]|\\.)*+"'), "'": re.compile(r"(?:[^']|'')*+'")}
_GOES_ON = re.compile(r"\s{0,9}[^\s,\]}#:]")


def _quote_in_quotes(read: _Read) -> Slip | None:
    """A value in quotes that holds the same quotes, which end it before its end."""
    for number, text in enumerate(read.lines[: read.line + 1]):
        begins = _QUOTE_BEGINS.search(text)
        while begins and (quoted := _QUOTED[begins["quote"]].match(text, begins.end())):
            if _GOES_ON.match(text, quoted.end()):
                mend = "take out the quotes round it, or write the other kind round it (\" or ') than stand in it"
                return Slip("yaml-broken", f"a {begins['quote']} within the value ends it", mend, number, begins.start("quote"))
            begins = _QUOTE_BEGINS.search(text, quoted.end())
    return None


def _comma_behind(read: _Read) -> Slip | None:
    """A comma after the bracket that ends a value."""
    ended = read.here.rstrip()
    if not ended.endswith(("],", "},")) or read.column < len(ended) - 1:
        return None
    return Slip("yaml-broken", "a comma stands after the bracket that ends the value", "take the comma out", read.line, len(ended) - 1)


def _behind_bracket(read: _Read) -> Slip | None:
    """A word behind the bracket that ends a value: `[10, 14] in`."""
    before = read.here[: read.column].rstrip()
    word = re.match(r"\w{1,60}", read.here[read.column :])
    if word is None or not before.endswith(("]", "}")):
        return None
    return Slip(
        "yaml-broken", f"{word[0]} stands behind the bracket that ends the value", "write it within the brackets, behind each value", read.line, read.column
    )


def _picture(read: _Read) -> Slip | None:
    """A picture as a text shows it, where the name of its file belongs."""
    match = re.search(r": {1,9}!\[[^\]]{0,200}\]\((?P<file>[^)\s]{1,200})\)", read.here)
    return match and Slip("yaml-broken", "a picture stands here as a text shows it", f"write {match['file']}", read.line, read.here.index("![", match.start()))


_LOOKS: tuple[Callable[[_Read], Slip | None], ...] = (
    _tab,
    _half_a_key,
    _round,
    _not_known_yet,
    _picture,
    _comma_behind,
    _behind_bracket,
    _odd_start,
    _quote_in_quotes,
    _second_colon,
    _no_comma,
    _open_quote,
    _never_closed,
    _set_in,
)
