"""The bytes of a note become its two halves: decoding, fences, and the slips a phone makes with quotes and dashes.

What is mended here keeps every character's line and column, so places stay true.
Invariant: knows nothing of the vocabulary beyond the words handed in.
"""

import re
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, replace

from purfle.base.names import visible
from purfle.base.place import Lookup, Place
from purfle.base.trouble import Troubles
from purfle.notes.frontmatter.key_line import KeyLine, is_sentence, key_line

PHOTOS = "photos"
"""The folder beside shop.md that holds the pictures and sounds of the about page."""
MOST_BYTES = 1_000_000
_DASHES = "-\u2010\u2011\u2012\u2013\u2014\u2015\u2212"
_FENCE = re.compile(f"[{_DASHES}]+[ \\t]*")
_NEARLY_FENCE = re.compile(rf"\s*(?:(?:[{_DASHES}=*+_~]\s?){{2,}}|[`~]{{3,}}\s*ya?ml)\s*", re.IGNORECASE)
"""What people write for a fence: other marks, marks with spaces between or before them, a code fence for YAML."""
_TURNS = re.compile("[\u202a-\u202e\u2066-\u2069]")
"""Marks that turn the direction of writing: behind one, words and figures are read in another order than they are written in (Unicode Annex 9)."""


@dataclass(frozen=True, slots=True)
class Halves:
    """A note cut in two."""

    file: str
    block: str
    """Frontmatter between straight fences, starting on line 1 so that lines count true; empty when there is none."""
    body: str
    body_line: int
    """Line of the file on which the body begins."""
    swallowed: frozenset[int] = frozenset()
    """The lines on which a # swallowed a value, which is told: what can't be read or is missing because of it is no cause of its own."""

    @property
    def body_start(self) -> Place:
        """Where the body begins."""
        return Place(self.file, self.body_line)


def read_text(file: str, data: bytes, known: Container[str], troubles: Troubles) -> Halves | None:
    """The two halves of a note, or None when it can't be used (a trouble says why).

    `known` are the words of the keys that may stand here: they tell forgotten fences from prose.
    """
    if len(data) > MOST_BYTES:
        found = f"the file has {len(data):,} bytes; a note has at most {MOST_BYTES:,}"
        troubles.add(Place(file, 0), "file-too-large", found, "keep pictures and lists in files of their own and write a shorter note")
        return None
    text = _decoded(file, data, troubles)
    return None if text is None else _halves(file, text, known, troubles)


def lines_of(data: bytes) -> tuple[str, ...]:
    """The lines of a file as places count them, whatever its bytes and line ends."""
    return tuple(re.split(r"\r\n|\n|\r", data.decode("utf-8", "replace").removeprefix("\ufeff")))


class Lines(Mapping[str, tuple[str, ...]]):
    """The lines of many files by name, each split when it is first asked for: most are never quoted."""

    def __init__(self, files: Mapping[str, bytes]) -> None:
        self._files = files
        self._split: dict[str, tuple[str, ...]] = {}

    def __getitem__(self, file: str) -> tuple[str, ...]:
        if file not in self._split:
            self._split[file] = lines_of(self._files[file])
        return self._split[file]

    def __iter__(self) -> Iterator[str]:
        return iter(self._files)

    def __len__(self) -> int:
        return len(self._files)


def _decoded(file: str, data: bytes, troubles: Troubles) -> str | None:
    first, mend = Place(file, 1), "save the file again with the encoding UTF-8"
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        what = "UTF-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else f"the byte 0x{data[error.start]:02x}"
        at = Lookup(data.decode("latin-1")).place(error.start, first)
        troubles.add(at, "file-not-utf8", f"{what} stands here; notes are written in UTF-8", mend)
        return None
    if "\0" in text:
        found = "null characters stand here, as in a file saved as UTF-16; notes are written in UTF-8"
        troubles.add(first.down(text.count("\n", 0, text.index("\0"))), "file-not-utf8", found, mend)
        return None
    if text.startswith("\ufeff"):
        troubles.add(first, "file-has-bom", "the file begins with a byte order mark", "save it as UTF-8 without a byte order mark")
        text = text[1:]
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text.isascii() and (turn := _TURNS.search(text)):
        found = f"a mark that turns the direction of writing, U+{ord(turn[0]):04X}, stands here and is passed over"
        troubles.add(Lookup(text).place(turn.start(), first), "text-turned", found, "type these words anew, without it")
    return unturned(text)


def unturned(text: str) -> str:
    """The text, letter for letter, with marks that turn the direction of writing made letters that take no room."""
    return text if text.isascii() else _TURNS.sub("\u200b", text)


def _halves(file: str, text: str, known: Container[str], troubles: Troubles) -> Halves | None:
    lines = text.split("\n")
    start = next((i for i, line in enumerate(lines) if line.strip()), len(lines))
    if start == len(lines):
        return Halves(file, "", text, 1)
    if not is_fence(lines[start]):
        if slip := _fence_slip(lines[start], lines[start + 1 :], known):
            troubles.add(Place(file, start + 1), "fence-missing", *slip)
        return None if slip else Halves(file, "", text, 1)
    end = next((i for i in range(start + 1, len(lines)) if is_fence(lines[i])), None)
    if end is None:
        troubles.add(
            Place(file, start + 1), "fence-unclosed", "the frontmatter opens here and has no closing fence", "write --- on a line of its own after the last key"
        )
        return None
    if _is_divided(lines[end + 1 :], known):
        found = "keys stand below this fence, and another fence below them"
        troubles.add(Place(file, end + 1), "fence-missing", found, "take this --- out, so that all keys stand between two")
        return None
    before = len(troubles.found)
    # python-frontmatter drops leading blank lines; comments keep the count of lines true.
    block = "\n".join(["---", *["#"] * start, *mended(lines[start + 1 : end], Place(file, start + 2), troubles), "---"])
    return Halves(file, block, "\n".join(lines[end + 1 :]), end + 2, frozenset(told.place.line for told in troubles.found[before:]))


def _is_divided(lines: list[str], known: Container[str]) -> bool:
    """Whether what follows a fence is keys, at least one of which may stand here, up to another fence: the fence divides what belongs together.

    A line that begins with a # is a heading there, not a comment: keys may stand below one, and a fence below them. Below an empty line it is a rule.
    """
    end = next((i for i, line in enumerate(lines) if is_fence(line)), None)
    if not end or not lines[end - 1].strip() or not any(_known_key(line, known) for line in lines[:end]):
        return False
    return all(key_line(line) or line.lstrip().startswith("- ") or not line.strip() for line in lines[:end])


def _fence_slip(first: str, below: list[str], known: Container[str]) -> tuple[str, str] | None:
    """What is found, and its mend, where the first line of a note is nearly a fence, or a key without one above it; None where the note has no keys."""
    opening = first.strip()
    under = [line.strip() for line in below[:8] if line.strip()]
    in_code = bool(under) and re.fullmatch(r"[`~]{3,}\s*", first) is not None and is_fence(under[0])  # the whole note, pasted as code
    if (in_code or _NEARLY_FENCE.fullmatch(first)) and (key := _known_key(next(iter(under[1:] if in_code else under), ""), known)):
        return f"“{opening}” is no fence, and the key {key.key} stands below it", _fence_mend(opening, below, in_code)
    behind = first.lstrip(_DASHES)
    if first.removesuffix(behind) not in ("", "-") and (key := _known_key(behind.lstrip(" \t{"), known)):
        mend = "write --- alone on a line, each key on a line below it, and another --- alone after the last"
        return f"the key {key.key} stands on the line of the fence", mend
    if (key := _known_key(opening, known)) and (not is_sentence(key) or any(map(key_line, below[:1]))):
        return f"the key {key.key} stands outside a frontmatter block", "write --- on a line before the first key and after the last"
    return None


def _known_key(line: str, known: Container[str]) -> KeyLine | None:
    """The key with which a line begins, if it may stand in the first column."""
    key = key_line(visible(line))
    return key if key and not key.column and key.word in known else None


def _fence_mend(opening: str, below: list[str], in_code: bool) -> str:
    """What to write where other marks stand for a fence, and where the like of them stands again below the keys: what is left there would be words."""
    marks = re.sub(r"\s*ya?ml$", "", opening, flags=re.IGNORECASE)
    closing = f"the {marks} below the keys" if any(line.strip() == marks for line in below) else ""
    if in_code:
        return f"take it out{closing and f', and {closing}'}"
    return f"write --- in its place, at the beginning of the line, and {f'in place of {closing}' if closing else 'another --- on a line after the last key'}"


def is_fence(line: str) -> bool:
    """Whether a line is a fence: three hyphens or more, or what an autocorrecting keyboard makes of them."""
    line = visible(line)
    if line[:1] not in _DASHES or not _FENCE.fullmatch(line):
        return False
    marks = line.strip()
    return len(marks) >= 3 or any(mark != "-" for mark in marks)


_OPENING = ("“", "„", "‘")
# A curly-quoted value, standing where YAML would begin a quoted one and ending where it would end.
_CURLY = re.compile(r"(?:(?<=[:,\[{\-] )|(?<=[\[{])|(?<=^))(?P<open>[“„‘])(?P<inner>[^“”„\n]*?)(?P<close>[”’])(?=\s*(?:[,\]}:]|#|$))")
_WIDE_SPACE = re.compile("(?<=[:,\\-\\[{])[\u00a0\u202f\u2007\u2009]+")
"""Spaces that don't break, where YAML wants a plain one."""
_BLOCK = re.compile(r":\s+[|>][+-]?\d?\s*$")
"""The last key before a block of text, which is left as it is."""


def mended(lines: list[str], start: Place, troubles: Troubles) -> Iterator[str]:
    """The lines of a frontmatter with the slips of a phone mended, column for column but for letters that take none; what a # swallows is told."""
    block_indent: int | None = None
    for number, line in enumerate(map(visible, lines)):
        indent = len(line) - len(line.lstrip(" \u00a0"))
        if block_indent is not None and (not line.strip() or indent > block_indent):
            yield line
            continue
        block_indent = None
        line = _WIDE_SPACE.sub(lambda spaces: " " * len(spaces[0]), " " * indent + line[indent:])
        if any(mark in line for mark in _OPENING):
            line = _CURLY.sub(_straight, line)
        if "#" in line:
            _lost(line, start.down(number), troubles)
        if _BLOCK.search(line):
            block_indent = indent
        yield line


def _straight(match: re.Match[str]) -> str:
    inner = match["inner"]
    if (match["open"] in "“„") != (match["close"] == "”"):
        return match[0]
    quote = "'" if "'" not in inner else '"'
    return match[0] if quote == '"' and re.search(r'["\\]', inner) else f"{quote}{inner}{quote}"


def _lost(line: str, at: Place, troubles: Troubles) -> None:
    column = _hash_after_value(line)
    if column is not None:
        found = f"everything from # on is a comment, so “{line[column:].strip()}” is not read"
        troubles.add(replace(at, column=column + 1), "value-lost", found, _lost_mend(line, column))


_BEFORE_VALUE = re.compile(r"\s*(?:- +)*(?:[^:\"']*: +)?")
_BEFORE_VALUE_WITHIN = re.compile(r".*(?:[:,] +|[\[{] *)|\s*(?:- +)*")
"""What stands in a line before a value that begins last in it; within brackets."""
_FIGURE = re.compile(r"#\d+(?:[.:]\d+)?")


def _lost_mend(line: str, at: int) -> str:
    """What to write for the value that a # at a column (from 0) is within: in quotes, and within brackets no more than up to what ends it there."""
    comment = "a space after the # if a comment was meant"
    if line[:at].rstrip().endswith(("}", "]")):
        return "write a space after the #"
    brackets = [mark for _, mark in outside_quotes(line[:at]) if mark in "[]{}"]
    within = len(brackets) > 2 * sum(mark in "]}" for mark in brackets) or line.rstrip().endswith((",", "}", "]"))
    before = (_BEFORE_VALUE_WITHIN if within else _BEFORE_VALUE).match(line[:at])
    start = before.end() if before else at
    value = re.split(r"[,\]}]", line[start:], maxsplit=1)[0] if within else line[start:]
    value = re.split(r"\s#\s", value, maxsplit=1)[0].strip()
    if re.search(r"[\"'\\]", value):
        return f"put the value in quotes, or write {comment}"
    bare = f", {value[1:]} without the # if that is all" if _FIGURE.fullmatch(value) else ""
    return f'write "{value}"{bare}, or {comment}'


_BEFORE_COMMENT = re.compile(r"(?: |(?:^|[ \[{])[\[{])$")
"""A space, or a bracket that YAML takes for one and not for a sign within words."""


def _hash_after_value(line: str) -> int | None:
    """Column (from 0) of a # that begins a comment glued to a word, outside quotes and after a key; None when there is none."""
    for index, mark in outside_quotes(line):
        if mark == "#" and _BEFORE_COMMENT.search(line[max(index - 2, 0) : index]) and line[:index].strip():
            return index if line[index + 1 : index + 2].strip() else None
    return None


def outside_quotes(line: str) -> Iterator[tuple[int, str]]:
    """The letters of a line of YAML with their columns (from 0), less values in quotes and the quotes about them."""
    quote = ""
    for column, mark in enumerate(line):
        if quote:
            quote = "" if mark == quote else quote
        elif mark in "\"'" and (column == 0 or line[column - 1] in " [{,:"):
            quote = mark
        else:
            yield column, mark
