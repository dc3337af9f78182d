"""A key without its colon or the space after it, a line of a list without its hyphen, words where keys belong, a line set in too far.

Invariant: looks at the text alone; mends nothing.
"""

import re
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from purfle.base.trouble import listed
from purfle.notes.frontmatter.key_line import NO_SPACE, KeyLine, behind_hyphen, half_key, key_among_words, key_line, lacking, plain_word, time_alone
from purfle.notes.frontmatter.slip import Slip, Stop
from purfle.notes.frontmatter.slips_of_marks import brackets

_GLUED_NAME = re.compile(r"(?P<name>[^\W\d][\w -]{0,60}?) ?:=?(?P<value>[^\s/:].*)")
"""A name of the builder's own, which is a key too, without the space after its colon."""
_WIDE_COLON = re.compile(r"(?P<key>[^\W\d][\w -]*)[\uff1a\ufe55](?P<value>.*)$")
_BULLET = re.compile(r"[–—−‐•·*+](?=\s)|--(?=\s)|- +-(?=\s)|\d{1,2}[.)](?=\s)|[–—•·*]")
_SIGN = re.compile(r"(?:!|//+|<!--|/\*)(?=[\s-]{0,9}[^\W\d])")
"""What stands before a line that was meant as a comment, or as none."""


class _Line(NamedTuple):
    """A line that says something and begins outside of brackets."""

    number: int
    before: str
    """Its indentation and the hyphens of lists."""
    text: str

    @property
    def column(self) -> int:
        return len(self.before)

    @property
    def is_key(self) -> bool:
        return key_line(self.text) is not None

    def slip(self, found: str, mend: str, code: str = "yaml-broken") -> Slip:
        return Slip(self.number, self.column, found, mend, code)


_BEFORE_WORDS = re.compile(r"(\s*(?:-\s+)*)(.*)")


def _lines(lines: list[str]) -> Iterator[_Line]:
    open_ = 0
    for number, text in enumerate(lines):
        if open_ <= 0 and text.strip() and text.lstrip()[0] != "#" and (apart := _BEFORE_WORDS.match(text.rstrip())):
            yield _Line(number, apart[1], apart[2])
        open_ += sum(1 if bracket in "{[" else -1 for _, bracket in brackets(text))


def tab(stop: Stop) -> Slip | None:
    """A line that begins with a tab."""
    if "\t" not in stop.here[: len(stop.here) - len(stop.here.lstrip())]:
        return None
    set_in_too = set_in(stop._replace(here=stop.here.expandtabs()))  # spaces in its place would not do where nothing belongs there
    return stop.slip(0, "the line is indented with a tab", f"take the tab out: {set_in_too.mend}" if set_in_too else "write spaces in place of each tab")


def half_a_key(stop: Stop) -> Slip | None:
    """A line up to where YAML stopped that begins in the first column with what is nearly a key, or with none."""
    first = (_Line(line.number, "", line.before + line.text) for line in _lines(stop.lines[: stop.line + 1]) if not line.before[:1].isspace())
    return next(filter(None, (_no_key_first(line, stop) for line in first)), None)


def _no_key_first(line: _Line, stop: Stop) -> Slip | None:
    text, bold = line.text, key_among_words(line.text)
    if slip := _half(line, stop.known):
        return slip
    if bold and bold.before and not bold.before.strip("*_") and bold.mark.strip(" :="):
        return line.slip("a key is written in bold or italic", f"write {bold.key}: {bold.value}")
    if slip := _bullet(line):
        return slip
    above = stop.lines[line.number - 1] if line.number else ""
    if ":" in text or text[0] in "-{[}]\"'" or above.count('"') % 2 or above.count("'") % 2:  # the rest of a quoted value or of a block above it
        return None
    if "hours" in stop.known and (time := time_alone(text)):
        return line.slip("no key stands before the time", f"write hours: {time}", "key-glued")
    return line.slip("words stand where keys are expected", "move them below the closing --- line")


def _half(line: _Line, known: frozenset[str]) -> Slip | None:
    if wide := _WIDE_COLON.match(line.text):
        found, mend = f"{wide['key'].strip()}: a full-width colon stands after the key", f"write {wide['key'].strip()}: {wide['value'].strip()}"
        return Slip(line.number, line.column + wide.end("key"), found, mend, "key-glued")
    half = None if line.is_key else half_key(line.text)
    return line.slip(*lacking(half), "key-glued") if half and half.word in known else None


def _bullet(line: _Line) -> Slip | None:
    if bullet := _BULLET.match(line.text):
        return line.slip(f"a line of a list begins with {bullet[0]}", f"write - in place of {bullet[0]}, and so on each line below it")
    if glued := behind_hyphen(line.text):
        return line.slip(NO_SPACE, f"write - {glued}")
    if sign := _SIGN.match(line.text):
        return line.slip(f"{sign[0]} stands before a key", "take it out, or write # in its place if the line is a comment")
    return None


def further_in(stop: Stop) -> Slip | None:
    """A line at or right above where YAML stopped that stands in the column of the keys about it, and is none."""
    lines = list(_lines(stop.lines))
    near = [index for index, line in enumerate(lines) if line.number <= stop.line][-3:]
    slips = (_no_key(lines[at], lines[at - 1] if at else None, lines[at + 1] if at + 1 < len(lines) else None, stop.inner) for at in near if lines[at].before)
    return next(filter(None, slips), None)


def _no_key(line: _Line, above: _Line | None, below: _Line | None, inner: frozenset[str]) -> Slip | None:
    text, bare = line.text, not line.before.strip()
    among_keys = any(other is not None and other.column == line.column and other.is_key for other in (above, below))
    if bare and text == "-":
        return line.slip("a hyphen stands alone, and what is below it begins no further in", "write the first key behind it and the others below that key")
    if bare and (slip := _bullet(line)):
        return slip
    if among_keys and (slip := _half(line, inner)):
        return slip
    if among_keys and not line.is_key and (name := _GLUED_NAME.fullmatch(line.text)):
        return line.slip(f"{name['name']}: no space stands after the colon", f"write {name['name']}: {name['value'].lstrip('= ')}", "key-glued")
    if not bare or not text or ":" in text or text[0] in "{[}]\"'|>":
        return None
    if above and above.text.endswith(":"):
        return line.slip("words stand where keys or a list are expected", "take them out, or write # before them")
    return line.slip(f"no key stands before “{text}”", "write its key and a colon before it, or take it out") if among_keys else None


def second_colon(stop: Stop) -> Slip | None:
    """A colon within a value, or two keys on one line."""
    line = key_line(stop.here)
    if line is None or line.value[:1] in tuple("\"'[{|>") or not re.search(r":(?:\s|$)", line.value):
        return None
    before, known = "".join(line[:3]), stop.inner if stop.here[0] in " -" else stop.known
    if _is_mapping(line.value, stop.inner):
        return stop.slip(len(before), "keys stand where the value begins, without braces", f"put braces about them: {before.strip()} {{{line.value}}}")
    others = [other for other in re.finditer(r"(?:^|\s)(\w+):(?=\s|$)", line.value) if plain_word(other[1]) in known]
    if others:
        return stop.slip(len(before) + others[0].start(1), "two keys stand on one line", _apart(line, [other.start() for other in others]))
    return stop.slip(len(before), "a second colon in the value makes it unreadable", f'put the value in quotes: {before.strip()} "{line.value}"')


def _is_mapping(value: str, inner: frozenset[str]) -> bool:
    """Whether a value is several keys of those that may stand further in, with commas between them."""
    first, *others = re.split(r",\s*(?=\w+:\s)", value)
    return bool(others) and all(plain_word(piece.partition(":")[0]) in inner for piece in (first, *others) if ":" in piece) and ":" in first


def _apart(line: KeyLine, starts: list[int]) -> str:
    """How to write the keys of one line: in braces where the line is one of a list and has the commas for it, else each on a line of its own."""
    pieces = [line.value[start:end].strip(" ;,") for start, end in pairwise([*starts, len(line.value)])]
    if "-" in line.before and line.value[: starts[0]].endswith(","):
        return f"put braces about them: - {{{line.key}: {line.value}}}"
    return f"write {listed(pieces, last='and')}{', each' if len(pieces) > 1 else ''} on a line of its own"


_HYPHEN = re.compile(r"(\s*)-\s")


def set_in(stop: Stop) -> Slip | None:
    """A key that stands further in than the one above it, which has a value; or a key or a hyphen at no column at which one stands above."""
    above = stop.lines[: stop.line][::-1]
    hyphen, first = _HYPHEN.match(stop.here), next(filter(None, map(_HYPHEN.match, above)), None)
    if hyphen and first and len(first[1]) != len(hyphen[1]):
        found = f"the hyphen of {stop.here.strip()} does not begin below the one above it"
        return stop.slip(len(hyphen[1]), found, "begin it in the same column as the hyphen above it")
    key, other = _key_at_brace(stop.here), _key_at_brace(next((text for text in above if text.strip() and text.strip()[0] != "#"), ""))
    if not key or not other or key.column == other.column or (key.column > other.column and other.value[:1] in ("", "#")):
        return None
    mend = f"begin it in the same column as {other.key} above it, or as the key it belongs beside"
    return stop.slip(key.column, f"{key.key} does not begin below {other.key}", mend)


def _key_at_brace(line: str) -> KeyLine | None:
    """The key with which a line begins, or the braces that it is the first in, at their place."""
    return key_line(line.replace("{", "", 1))
