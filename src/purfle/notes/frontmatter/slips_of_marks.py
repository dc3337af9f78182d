"""Brackets, quotes and other marks that are not what YAML takes them for.

Invariant: looks at the text alone; mends nothing.
"""

import re
from collections.abc import Iterator

from purfle.notes.frontmatter.key_line import plain_word
from purfle.notes.frontmatter.slip import Slip, Stop
from purfle.notes.frontmatter.text import outside_quotes

_CLOSING = {"{": "}", "[": "]"}


def brackets(text: str) -> Iterator[tuple[int, str]]:
    """The brackets of a line with their columns, less those in quotes and comments."""
    for column, mark in outside_quotes(text):
        if mark == "#" and (column == 0 or text[column - 1] == " "):
            return
        if mark in "{}[]":
            yield column, mark


def open_quote(stop: Stop) -> Slip | None:
    """A quote that begins a value and is not closed on its line, where the rest of the text can't be read."""
    for number, text in enumerate(stop.lines[: stop.line + 1]):
        for begins in _QUOTE_BEGINS.finditer(text):
            if (mark := begins["quote"]) not in text[begins.end() :]:
                return Slip(number, begins.start("quote"), f"the {mark} opened here is not closed", f"write {mark} where the value ends, or take this one out")
    return None


def round_(stop: Stop) -> Slip | None:
    """Keys in ( ) in place of { }."""
    match = re.match(r"\s*(?:- )?(?:[A-Za-z_]+:\s+)?[(\uff08\uff5b]", stop.here)
    if not match or not re.search(r"\w:\s", stop.here[match.end() :]):
        return None
    return stop.slip(match.end() - 1, f"keys stand in {stop.here[match.end() - 1]}", "write { } round them")


def no_comma(stop: Stop) -> Slip | None:
    """Two keys in one pair of braces with nothing, or something else than a comma, between them."""
    words = re.search(r"\w{1,60} {0,9}$", stop.here[: stop.column])
    if not words or stop.here[stop.column : stop.column + 1] != ":" or "{" not in stop.here[: stop.column]:
        return None
    if plain_word(words[0]) not in stop.inner | stop.known:
        return stop.slip(stop.column, "a second colon in the value makes it unreadable", "put quotes round the value")
    before = stop.here[: words.start()].rstrip()
    if before.endswith(("{", ",")):
        return stop.slip(words.start(), f"nothing stands behind {words[0]}:", f"write the value of {words[0]} behind it, or take {words[0]}: out")
    if before.endswith(";"):
        return stop.slip(len(before) - 1, f"a ; stands before {words[0]}", "write a comma in its place")
    return stop.slip(words.start(), f"no comma stands before {words[0]}", f"write a comma between the value before it and {words[0]}:")


_WORDS_BEFORE = re.compile(r"[^\s:,\[\]{}\"'-][^:,\[\]{}\"']{0,80}$")


def bracket_in_value(stop: Stop) -> Slip | None:
    """A bracket behind the words of a value that stands in brackets itself: `{part: knob [gold]}`."""
    words = _WORDS_BEFORE.search(stop.here[: stop.column])
    mark = stop.here[stop.column : stop.column + 1]
    if not words or mark not in _CLOSING or _CLOSING[mark] not in stop.here[stop.column :]:
        return None
    value = stop.here[words.start() : stop.here.index(_CLOSING[mark], stop.column) + 1].strip()
    return stop.slip(stop.column, f"a {mark} stands within the value", f'put quotes round the value: "{value}"')


def never_closed(stop: Stop) -> Slip | None:
    """A bracket that is open where YAML stopped, told where it opens when the line of the stop is another key's or another bracket closes there."""
    opened: list[tuple[int, int, str]] = []
    for number, text in enumerate(stop.lines[: stop.line + 1]):
        for column, bracket in brackets(text):
            if bracket in "{[":
                opened.append((number, column, bracket))
            elif opened and _CLOSING[opened[-1][2]] != bracket:
                return _unclosed(*opened[-1])
            elif opened:
                opened.pop()
            else:
                return Slip(number, column, f"the {bracket} closes nothing", "take it out, or open what it closes")
    return _unclosed(*opened[0 if opened[0][0] < stop.line else -1]) if opened else None


def _unclosed(line: int, column: int, bracket: str) -> Slip:
    return Slip(line, column, f"the {bracket} opened here is not closed", f"write {_CLOSING[bracket]} where it ends")


_ODD = re.compile(r"(?P<before> {0,40}(?:- )?(?:[\w -]{1,60}: {1,9})?)(?P<mark>[@`%*&>|])(?P<rest>[^\"]*)$")
_EMPHASIS = re.compile(r"\*{1,3}([^\s*:#{}\[\],][^*:#{}\[\],]*)\*{1,3}")
_STARRED = re.compile(r"\s*\*\s")
"""A line of a list that begins with a star."""
_ODD_IN_BRACKETS = re.compile(r"[@`%*&>|][^\",\]}]*")
_UNKNOWN_YET = re.compile(r"[?-](?=\s{0,9}(?:[,\]}]|$))")


def odd_start(stop: Stop) -> Slip | None:
    """A value that begins with a mark that YAML keeps for itself."""
    match = _ODD.match(stop.here)
    if match is not None and (plain := _EMPHASIS.fullmatch(match["mark"] + match["rest"].strip())) and match["before"].strip():
        return stop.slip(len(match["before"]), "a value is written in bold or italic", f"write {match['before'].strip()} {plain[1]}")
    if match is not None and not _STARRED.match(stop.here):
        value = f'"{match["mark"]}{match["rest"].strip()}"'
        mend = f"put it in quotes: {match['before'].strip()} {value}".replace(":  ", ": ")
        return stop.slip(len(match["before"]), f"a value begins with {match['mark']}", mend)
    if inside := _ODD_IN_BRACKETS.match(stop.here, stop.column):
        return stop.slip(stop.column, f"a value begins with {inside[0][0]}", f'put it in quotes: "{inside[0].strip()}"')
    return None


def not_known_yet(stop: Stop) -> Slip | None:
    """A ? or a - for a value that is not known yet."""
    for match in re.finditer(r": {1,9}(?=[?-])", stop.here):
        key = re.search(r"\w{1,60}$", stop.here[max(match.start() - 60, 0) : match.start()])
        if key and (mark := _UNKNOWN_YET.match(stop.here, match.end())):
            return stop.slip(match.end(), f"a {mark[0]} stands for the value of {key[0]}", f"take {key[0]}: out until it is known")
    return None


_QUOTE_BEGINS = re.compile(r"(?:^|[:,-] {1,9}|[\[{] {0,9})(?P<quote>[\"'])")
_QUOTED = {'"': re.compile(r'(?:[^"\\]|\\.)*+"'), "'": re.compile(r"(?:[^']|'')*+'")}
_GOES_ON = re.compile(r"\s{0,9}[^\s,\]}#:]")


def quote_in_quotes(stop: Stop) -> Slip | None:
    """A value in quotes that holds the same quotes, which end it before its end."""
    for number, text in enumerate(stop.lines[: stop.line + 1]):
        begins = _QUOTE_BEGINS.search(text)
        while begins and (quoted := _QUOTED[begins["quote"]].match(text, begins.end())):
            if _GOES_ON.match(text, quoted.end()):
                mend = "take out the quotes round it, or write the other kind round it (\" or ') than stand in it"
                return Slip(number, begins.start("quote"), f"a {begins['quote']} within the value ends it", mend)
            begins = _QUOTE_BEGINS.search(text, quoted.end())
    return None


def comma_behind(stop: Stop) -> Slip | None:
    """A comma after the bracket that ends a value."""
    ended = stop.here.rstrip()
    if not ended.endswith(("],", "},")) or stop.column < len(ended) - 1:
        return None
    return stop.slip(len(ended) - 1, "a comma stands after the bracket that ends the value", "take the comma out")


_NEXT_KEY = re.compile(r"[,;|–—-]* *(?P<key>\w[\w ]{0,40}: .*|\w+:$)")


def behind_bracket(stop: Stop) -> Slip | None:
    """Something behind the bracket that ends a value: a unit as in `[10, 14] in`, the next key, or a comment without its #."""
    rest = stop.here[stop.column :].strip()
    if not rest or (rest[0] in "#,}]" and not _NEXT_KEY.fullmatch(rest)) or not stop.here[: stop.column].rstrip().endswith(("]", "}")):
        return None
    found = f"{rest.split(maxsplit=1)[0]} stands behind the bracket that ends the value"
    if key := _NEXT_KEY.fullmatch(rest):
        return stop.slip(stop.column, found, f"write {key['key']} on a line of its own")
    mend = "write it within the brackets, behind each value" if re.fullmatch(r"\w{1,60}", rest) else "take it out, or write # before it if it is a comment"
    return stop.slip(stop.column, found, mend)


_SHOWN = re.compile(r": {1,9}(?P<mark>!?)\[(?P<words>[^\[\]]{0,200})\]\((?P<to>[^()\s]{1,500})\)")


def shown(stop: Stop) -> Slip | None:
    """A picture or a link as a text shows it, where the name of a file, an address or plain words belong."""
    match = _SHOWN.search(stop.here)
    if match is None:
        return None
    if match["mark"]:
        return stop.slip(match.start("mark"), "a picture stands here as a text shows it", f"write {match['to']}")
    mend = f"write {match['words']} alone, or {match['to']} alone where an address belongs"
    return stop.slip(match.start("mark"), "a link stands here as a text shows it", mend)


def twice(stop: Stop) -> Slip | None:
    """A comma behind another, or a colon without its key."""
    mark, before = stop.here[stop.column : stop.column + 1], stop.here[: stop.column].rstrip()
    if mark == "," and before.endswith(","):
        return stop.slip(stop.column, "a comma stands behind another", "take one of the two out")
    if mark == ":" and before[-1:] in ("", "{", "[", ","):
        return stop.slip(stop.column, "no key stands before the colon", "write the key before it")
    return None


_BEFORE_VALUE = re.compile(r"(?P<mark>[-?,:]) *(?P<value>[^\s,\]}][^,\]}]*)")
_KEY_BEFORE = re.compile(r"(?P<key>\w[\w -]{0,60}): {1,9}$")


def before_value(stop: Stop) -> Slip | None:
    """A hyphen, a question mark, a comma or a colon between a key's colon and its value."""
    key, value = _KEY_BEFORE.search(stop.here[max(stop.column - 80, 0) : stop.column]), _BEFORE_VALUE.match(stop.here, stop.column)
    if key is None or value is None:
        return None
    return stop.slip(stop.column, f"a {value['mark']} stands before the value", f"write {key['key'].strip()}: {value['value'].strip()}")
