"""What a line of keys is: as YAML has it, as people nearly write it, and as it may stand among the words of a text.

Whoever asks whether a line holds a key that was meant for the frontmatter asks here how it is written, and judges by the words that are keys in its place.
Invariant: knows no key.
"""

import re
from functools import lru_cache
from typing import NamedTuple


@lru_cache(maxsize=4096)
def plain_word(text: str) -> str:
    """A key as it is compared: case, outer quotes and the kind of space or hyphen are no matter. Kept, for every note has the same ones."""
    return re.sub(r"[\s-]+", "_", text.strip().strip("“”‘’\"'").casefold())


class KeyLine(NamedTuple):
    """A line taken apart, letter for letter but for spaces at its end."""

    before: str
    """Indentation, signs of lists, emphasis, a brace."""
    key: str
    mark: str
    """What stands between key and value, with the spaces about it."""
    value: str
    """Empty where it begins on the lines below."""

    @property
    def word(self) -> str:
        """The key as it is compared."""
        return plain_word(self.key)

    @property
    def column(self) -> int:
        """Where the key begins, from 0."""
        return len(self.before)


_YAML = re.compile(r"(\s*(?:-\s+)*)([^\s:{}\[\],#\"'&*!|>%@`-](?:[^:{}\[\],#]*[^\s:{}\[\],#])?)(\s*:(?:\s+|$))(.*)")


def key_line(line: str) -> KeyLine | None:
    """A key with its colon and a space, or the owner's own name in place of one; None where YAML would see none."""
    found = _YAML.match(line.rstrip())
    return found and KeyLine(*found.groups())


# `hours = 2`, `hours; 2`, `hours -> 2`, `hours:=2` and the like with nothing behind them; `hours:2`; `hours 2`
_HALF = re.compile(
    r"()([^\W\d]\w{0,40})([ \t]{0,9}(?::?=|:?[;,.\\–—-]+$|[;,.\\\uff1a\ufe55→–—-]+>?)[ \t]{0,9}|[ \t]{0,9}:(?=[^\s:])|[ \t]{1,9}(?=[^\s:]))([^\s:].*|$)"
)


def half_key(text: str) -> KeyLine | None:
    """A key without its colon or the space behind that, if its word is one: it is told, and never read as meant."""
    found = _HALF.match(text.rstrip())
    return found and KeyLine(*found.groups())


def lacking(half: KeyLine) -> tuple[str, str]:
    """What is wrong with half a key, and its mend."""
    mark = half.mark.strip()
    lacks = {":": "no space stands after the colon", "": "no colon stands after the key"}.get(mark, f"{mark} stands where a colon belongs")
    return f"{half.key}: {lacks}", f"write {half.key}: {half.value}".rstrip()


NO_SPACE = "no space stands after the hyphen of a line of a list"
_GLUED_HYPHEN = re.compile(r"[-–—]((?:[^\W\d_]|[{\[\"']).*)", re.DOTALL)


def behind_hyphen(text: str) -> str:
    """What begins right behind the hyphen of a line of a list; empty where there is none, or the space that makes it one."""
    glued = _GLUED_HYPHEN.match(text)
    return glued[1].rstrip() if glued else ""


TIME = re.compile(r"\b(?P<many>\d{1,3})(?:[.:]\d{1,2})? ?(?P<unit>h|hrs?|hours?|min|minutes?)(?: ?\d{1,2}(?: ?min)?)?\b", re.IGNORECASE)
"""A time spent, told by its unit."""


def time_alone(line: str) -> str:
    """The time that a line says without any key; empty where it says something else."""
    said = line.strip().rstrip(".,")
    return said if TIME.fullmatch(said) else ""


_AMONG_WORDS = re.compile(r"(\s*(?:[-*+]\s+)?(?:\{\s*)?[*_]{0,3})([^\W\d][\w -]*+)(\*{0,3}\s?[:=][*_]{0,3}\s*)(.*)")


def key_among_words(line: str) -> KeyLine | None:
    """A word with a colon or an equals sign, in a list or not, in bold, in braces; None where a line begins with none."""
    found = _AMONG_WORDS.match(line)
    if found is None:
        return None
    before, key, mark, value = found.groups()
    word = key.rstrip("_ ")
    return KeyLine(before, word, key[len(word) :] + mark, value.rstrip())


_VALUE = re.compile(r"[\d{}\[\]]|^(?:yes|no|true|false)\b", re.IGNORECASE)
_TWO_WORDS = re.compile(r"\w[’']?\s")
_BEHIND_A_SENTENCE = '"”’“»)*_'
_NAMED_SHORTLY = 5
"""A stage has at most so many words in its name, a full stop behind it or not."""


def is_sentence(found: KeyLine) -> bool:
    """Whether what stands behind a key's word goes on with a sentence, and is no value of that key: "Moved: the lamp to the left."

    A figure or a bracket makes it a value, as does a bare yes or no; a title may well be a sentence.
    """
    value, few = found.value, {"title": len(found.value), "stage": _NAMED_SHORTLY}.get(found.word, 1)
    if _VALUE.search(value) or not value.rstrip(_BEHIND_A_SENTENCE).endswith((".", "!", "?", "…")):
        return False
    return _TWO_WORDS.search(value) is not None and len(value.split()) > few
