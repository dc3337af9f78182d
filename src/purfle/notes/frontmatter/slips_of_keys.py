"""A key without its colon or the space after it, a line of a list without its hyphen, words where keys belong, a line set in too far.

Invariant: looks at the text alone; mends nothing.
"""

import re
from collections.abc import Iterator
from typing import NamedTuple

from purfle.notes.frontmatter.slip import Slip, Stop
from purfle.notes.frontmatter.slips_of_marks import brackets

HALF_KEY = re.compile(
    r"(?P<key>[^\W\d]\w{0,40})(?P<mark>[ \t]{0,9}:(?:=[ \t]{0,9})?|[ \t]{0,9}(?:[=;,.\uff1a\ufe55→]|[-–—]+>?)[ \t]{0,9}|[ \t]{1,9})(?P<value>[^\s:].*)"
)
"""A key with something else than a colon and a space behind it."""
_HALF_ALONE = re.compile(r"(?P<key>[^\W\d]\w{0,40}) {0,9}:?(?P<mark>[=;,.\\–—-]+)\s*")
"""The same of a key whose value begins on the line below."""
_GLUED_NAME = re.compile(r"(?P<name>[^\W\d][\w -]{0,60}?) ?:=?(?P<value>[^\s/:].*)")
"""A name of the builder's own, which is a key too, without the space after its colon."""
TIME = re.compile(r"\b(?P<many>\d{1,3})(?:[.:]\d{1,2})? ?(?P<unit>h|hrs?|hours?|min|minutes?)(?: ?\d{1,2}(?: ?min)?)?\b", re.IGNORECASE)
"""A time spent, told by its unit."""
TIME_ALONE = re.compile(rf"{TIME.pattern}[.,]?", re.IGNORECASE)

_PLAIN_KEY = re.compile(r"[^\s:{}\[\],#\"'&*!|>%@`-][^:{}\[\],#]*:(\s|$)")
_BOLD_KEY = re.compile(r"[*_]+([^\W_]+(?:_[^\W_]+)*)(?::[*_]+|[*_]+:) *")
"""No mark can be read in two ways, so that a line of nothing but low lines takes no long time."""
_WIDE_COLON = re.compile(r"(?P<key>[^\W\d][\w -]*)[\uff1a\ufe55](?P<value>.*)$")
_BULLET = re.compile(r"[–—−‐•·*+](?=\s)|--(?=\s)|- +-(?=\s)|\d{1,2}[.)](?=\s)|[–—•·*]")
NO_SPACE = "no space stands after the hyphen of a line of a list"
_SIGN = re.compile(r"(?:!|//+|<!--|/\*)(?=[\s-]{0,9}[^\W\d])")
"""What stands before a line that was meant as a comment, or as none."""


def tab(stop: Stop) -> Slip | None:
    """A line that begins with a tab."""
    if "\t" not in stop.here[: len(stop.here) - len(stop.here.lstrip())]:
        return None
    set_in_too = set_in(stop._replace(here=stop.here.expandtabs()))  # spaces in its place would not do where nothing belongs there
    return Slip(
        "yaml-broken",
        "the line is indented with a tab",
        f"take the tab out: {set_in_too.mend}" if set_in_too else "write spaces in place of each tab",
        stop.line,
        0,
    )


def hyphen_on_value(stop: Stop) -> Slip | None:
    """A line of a list up to where YAML stopped whose hyphen stands right before a bracket or quote."""
    for number, text in _outside_brackets(stop.lines[: stop.line + 1]):
        if glued := re.match(r"(\s*)-(?=[{\[\"'])", text):
            return Slip("yaml-broken", NO_SPACE, f"write - {text[glued.end() :].strip()}", number, len(glued[1]))
    return None


# --- in the first column ---------------------------------------------------------------------------------------------


def half_a_key(stop: Stop) -> Slip | None:
    """A line up to where YAML stopped that begins with a known key and lacks the colon or the space after it."""
    for number, text in _first_column(stop.lines[: stop.line + 1]):
        if slip := _half(text, stop.known, number, 0):
            return slip
        if bold := _BOLD_KEY.match(text):
            return Slip("yaml-broken", "a key is written in bold or italic", f"write {bold[1]}: {text[bold.end() :]}", number, 0)
        if slip := _bullet(text, number, 0):
            return slip
        if ":" not in text and text[0] not in "-{[}]\"'" and not _goes_on(stop.lines, number):
            if "hours" in stop.known and TIME_ALONE.fullmatch(text.strip()):
                return Slip("key-glued", "no key stands before the time", f"write hours: {text.strip().rstrip('.,')}", number, 0)
            return Slip("yaml-broken", "words stand where keys are expected", "move them below the closing --- line", number, 0)
    return None


def _half(text: str, known: frozenset[str], line: int, column: int) -> Slip | None:
    if wide := _WIDE_COLON.match(text):
        mend = f"write {wide['key'].strip()}: {wide['value'].strip()}"
        return Slip("key-glued", f"{wide['key'].strip()}: a full-width colon stands after the key", mend, line, column + wide.end("key"))
    if (alone := _HALF_ALONE.fullmatch(text)) and alone["key"].casefold() in known:
        return Slip("key-glued", f"{alone['key']}: {alone['mark']} stands where a colon belongs", f"write {alone['key']}:", line, column)
    match = None if _PLAIN_KEY.match(text) else HALF_KEY.match(text)
    if match is None or match["key"].casefold() not in known:
        return None
    mark = match["mark"].strip()
    found = {":": "no space stands after the colon", "": "no colon stands after the key"}.get(mark, f"{mark} stands where a colon belongs")
    return Slip("key-glued", f"{match['key']}: {found}", f"write {match['key']}: {match['value'].strip()}", line, column)


def _bullet(text: str, line: int, column: int) -> Slip | None:
    if bullet := _BULLET.match(text):
        return Slip("yaml-broken", f"a line of a list begins with {bullet[0]}", f"write - in place of {bullet[0]}, and so on each line below it", line, column)
    if glued := re.match(r"-(?=[^\W\d_])", text):
        return Slip("yaml-broken", NO_SPACE, f"write - {text[glued.end() :].strip()}", line, column)
    if sign := _SIGN.match(text):
        return Slip("yaml-broken", f"{sign[0]} stands before a key", "take it out, or write # in its place if the line is a comment", line, column)
    return None


def _goes_on(lines: list[str], number: int) -> bool:
    """Whether a line may be the rest of a quoted value or of a block above it."""
    above = lines[number - 1] if number else ""
    return above.count('"') % 2 == 1 or above.count("'") % 2 == 1


def _first_column(lines: list[str]) -> Iterator[tuple[int, str]]:
    """The lines that begin in the first column and outside of brackets."""
    return ((number, text) for number, text in _outside_brackets(lines) if text[:1].strip())


def _outside_brackets(lines: list[str]) -> Iterator[tuple[int, str]]:
    """The lines that say something and begin outside of brackets."""
    open_ = 0
    for number, text in enumerate(lines):
        if open_ <= 0 and text.strip() and text.lstrip()[0] != "#":
            yield number, text
        open_ += sum(1 if bracket in "{[" else -1 for _, bracket in brackets(text))


# --- further in ------------------------------------------------------------------------------------------------------


class _Line(NamedTuple):
    number: int
    column: int
    """Of its first word, behind the hyphen of a list."""
    text: str
    """From there on."""
    whole: str

    @property
    def is_key(self) -> bool:
        return _PLAIN_KEY.match(self.text) is not None


_BEFORE_WORDS = re.compile(r"\s*(?:-\s+)*")


def _line(number: int, text: str) -> _Line:
    column = len(_BEFORE_WORDS.match(text)[0])  # type: ignore[index]  # it matches any text
    return _Line(number, column, text[column:], text.strip())


def further_in(stop: Stop) -> Slip | None:
    """A line at or right above where YAML stopped that stands in the column of the keys about it, and is none."""
    lines = [_line(number, text) for number, text in _outside_brackets(stop.lines)]
    near = [index for index, line in enumerate(lines) if line.number <= stop.line][-3:]
    for index in near:
        line = lines[index]
        beside = [other for other in lines[max(index - 1, 0) : index + 2] if other is not line]
        if line.column and (slip := _no_key(line, beside, stop.inner)):
            return slip
    return None


def _no_key(line: _Line, beside: list[_Line], inner: frozenset[str]) -> Slip | None:
    among_keys = any(other.column == line.column and other.is_key for other in beside)
    bare = len(line.whole) == len(line.text)
    if line.whole == "-":
        mend = "write the first key behind it and the others below that key"
        return Slip("yaml-broken", "a hyphen stands alone, and what is below it begins no further in", mend, line.number, line.column)
    if bare and (slip := _bullet(line.text, line.number, line.column)):
        return slip
    if among_keys and (slip := _half(line.text, inner, line.number, line.column)):
        return slip
    if among_keys and not line.is_key and (name := _GLUED_NAME.fullmatch(line.text)):
        mend = f"write {name['name']}: {name['value'].lstrip('= ')}"
        return Slip("key-glued", f"{name['name']}: no space stands after the colon", mend, line.number, line.column)
    if line.is_key or ":" in line.text or line.text[:1] in "{[}]\"'|>" or not line.text:
        return None
    above = next((other for other in beside if other.number < line.number), None)
    if bare and above and above.text.rstrip().endswith(":"):
        return Slip("yaml-broken", "words stand where keys or a list are expected", "take them out, or write # before them", line.number, line.column)
    if among_keys and bare:
        return Slip(
            "yaml-broken", f"no key stands before “{line.text.strip()}”", "write its key and a colon before it, or take it out", line.number, line.column
        )
    return None


# --- colons and indentation ------------------------------------------------------------------------------------------

_COLON_IN_TEXT = re.compile(r"^(\s*(?:- +)?[A-Za-z_][\w -]*: )([^\"'\[{|>].*?:(?:\s.*)?)$")


def second_colon(stop: Stop) -> Slip | None:
    """A colon within a value, or two keys on one line."""
    match = _COLON_IN_TEXT.match(stop.here)
    if match is None:
        return None
    column, known = len(match[1]), stop.inner if stop.here[0] in " -" else stop.known
    for other in re.finditer(r"(?:^|\s)(\w+):(?=\s|$)", match[2]):
        if other[1].casefold() in known:
            return Slip(
                "yaml-broken",
                "two keys stand on one line",
                f"write {match[2][other.start() :].lstrip(' ;,')} on a line of its own",
                stop.line,
                column + other.start(1),
            )
    return Slip(
        "yaml-broken", "a second colon in the value makes it unreadable", f'put the value in quotes: {match[1].strip()} "{match[2]}"', stop.line, column
    )


_SET_IN = re.compile(r"(\s*(?:-\s+)?)\{?(\w[\w -]*):\s*([^\s#]?)")
_HYPHEN = re.compile(r"(\s*)-\s")


def set_in(stop: Stop) -> Slip | None:
    """A key that stands further in than the one above it, which has a value; or a key or a hyphen at no column at which one stands above."""
    key, above = _SET_IN.match(stop.here), _above(stop)
    hyphen, first = _HYPHEN.match(stop.here), next(filter(None, map(_HYPHEN.match, reversed(stop.lines[: stop.line]))), None)
    if hyphen and first and len(first[1]) != len(hyphen[1]):
        found = f"the hyphen of {stop.here.strip()} does not begin below the one above it"
        return Slip("yaml-broken", found, "begin it in the same column as the hyphen above it", stop.line, len(hyphen[1]))
    other = _SET_IN.match(above)
    if not key or not other or len(key[1]) == len(other[1]):
        return None
    if len(key[1]) > len(other[1]) and not other[3]:
        return None
    return Slip(
        "yaml-broken",
        f"{key[2]} does not begin below {other[2]}",
        f"begin it in the same column as {other[2]} above it, or as the key it belongs beside",
        stop.line,
        len(key[1]),
    )


def _above(stop: Stop) -> str:
    return next((text for text in reversed(stop.lines[: stop.line]) if text.strip() and text.strip()[0] != "#"), "")
