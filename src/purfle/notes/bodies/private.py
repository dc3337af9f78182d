"""What is private in a text: blocks and comments, cut from the raw lines before any Markdown is parsed.

It fails closed: a block that is misspelt, unclosed or of an unknown name is cut and told. Cutting blanks lines, so that
every line keeps its number.
Invariant: looks at one text alone, and at no key.
"""

import re

from purfle.base.near import nearest
from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.bodies.headings import MARKERS, code_lines

_COLONS = "[:：∶﹕꞉]"
_OPENER = re.compile(rf"{MARKERS}{_COLONS}{{2,}}\s*([^\s:：]+)?")
_CLOSER = re.compile(rf"{MARKERS}{_COLONS}{{2,}}\s*")
_INLINE = re.compile(rf"{_COLONS}(?: ?{_COLONS}){{2,}}|{_COLONS}{{2,}}\s*(?=priv)", re.IGNORECASE)
"""A block's mark where none can stand: after other words or signs."""
_COMMENT = re.compile(r"(?P<indent>^[ \t]*)?<!--.*?-->(?(indent)[ \t]*)", re.DOTALL | re.MULTILINE)
_COMMENT_OPENS = re.compile(r"<!\s?[-\u2010-\u2015\u2212]")
"""Also as a phone writes it, which makes one dash of two hyphens; where such a comment ends can't be told."""
_COLON = re.compile(rf"{_COLONS} ?{_COLONS}")
"""What is in every mark of a block; most lines have none."""
_MOST_NESTED = 8
"""Comments made of comments deeper than this are no slip of a builder's: all that follows is kept private."""


def without_private(text: str, start: Place, troubles: Troubles) -> str:
    """The text without private blocks and comments, line for line; a column after a comment is that of what is left."""
    cutter = _Cutter(troubles)
    kept = [cutter.left_of(line, start.down(number)) for number, line in enumerate(text.split("\n"))]
    cutter.end()
    return _without_comments("\n".join(kept), start, troubles)


class _Cutter:
    """The private blocks of a text that is gone through line by line."""

    def __init__(self, troubles: Troubles) -> None:
        self.troubles = troubles
        self.depth = 0
        """How many blocks are open."""
        self.opened: Place | None = None
        """Where the outermost of them opens; None where that was told already, for it stands behind other words."""
        self.cut: list[str] = []
        """What was cut since."""

    def left_of(self, line: str, at: Place) -> str:
        """What is left of the next line."""
        if not self.depth and _COLON.search(line) is None:
            return line
        if _CLOSER.fullmatch(line):
            self._close(line, at)
            return ""
        opener = _OPENER.match(line)
        if opener and opener[1]:
            self._open(opener[1], at)
        elif not self.depth and (mark := _INLINE.search(line)):
            return self._open_within(line, mark.start(), at)
        if not self.depth:
            return line
        self.cut.append(line)
        return ""

    def _open(self, word: str, at: Place) -> None:
        if word.casefold() != "private":
            meant = nearest(re.sub(r"\W", "", word), ("private",), 0.6)
            mend = "write ::: private" if meant else "write ::: private, or take its ::: lines out if everybody may read it"
            self.troubles.add(at, "private-misspelt", f"a block named “{word}” is not known; it is kept private", mend)
        self.opened = self.opened if self.depth else at
        self.depth += 1

    def _open_within(self, line: str, column: int, at: Place) -> str:
        self.troubles.add(
            at.down(0, column + 1),
            "private-misspelt",
            "the ::: of a block stands behind other words; what follows is kept private",
            "write ::: private on a line of its own, and ::: on another where the private words end",
        )
        self.opened, self.depth = None, 1
        return line[:column]

    def _close(self, line: str, at: Place) -> None:
        if not self.depth:
            found = "a ::: without a name stands here, and no block is open that it could close; nothing is kept private by it"
            self.troubles.add(at, "private-unopened", found, "write ::: private where the private words begin, or take it away")
            return
        self.cut.append(line)
        self.depth -= 1
        if self.depth:
            return
        if self.opened is not None and _goes_on("\n".join(self.cut)):
            found = "a private block ends here, within a comment or a code fence that it opened; what follows is public"
            self.troubles.add(at, "private-unclosed", found, "close the comment with --> or the fence with ``` above this :::")
        self.opened, self.cut = None, []

    def end(self) -> None:
        """The text is over."""
        if self.depth and self.opened is not None:
            found = "a private block opens here and has no closing :::; everything after it is kept private"
            self.troubles.add(self.opened, "private-unclosed", found, "write ::: on a line of its own where the private words end")


def _goes_on(cut: str) -> bool:
    """Whether what was cut ends within a comment or a code fence, so that its writer may have taken the ::: in it for words of it."""
    lines = cut.split("\n")
    return _COMMENT_OPENS.search(_once_without(cut)) is not None or len(lines) in code_lines([*lines, ""])


def _without_comments(text: str, start: Place, troubles: Troubles) -> str:
    if (nested := _nested(text)) is not None:
        found = "a comment opens here within another, which ends at the first -->; what follows that is public"
        troubles.add(start.down(text.count("\n", 0, nested)), "private-unclosed", found, "write each comment for itself, or ::: private and ::: about them all")
    for _ in range(_MOST_NESTED):  # again, for what only becomes a comment when one inside it is gone
        if (less := _once_without(text)) == text:
            opens = _COMMENT_OPENS.search(text)
            opened = opens.start() if opens else -1
            break
        text = less
    else:
        opened = text.find("<!")
    if opened < 0:
        return text
    found = "a comment opens here and is never closed; everything after it is kept private"
    troubles.add(start.down(text.count("\n", 0, opened)), "private-unclosed", found, "write <!-- where the comment begins and --> where it ends")
    return text[:opened] + "\n" * text.count("\n", opened)


def _nested(text: str) -> int | None:
    """Where a comment opens that stands in another."""
    for comment in _COMMENT.finditer(text, 0, text.rfind("-->") + 3):
        if (inner := comment[0].find("<!--", comment[0].find("<!--") + 4)) >= 0:
            return comment.start() + inner
    return None


def _once_without(text: str) -> str:
    """The text without the comments that stand in it. What follows the last closing mark is set apart, or each opener in it would be looked through to the end."""
    end = text.rfind("-->") + 3
    if end < 3:
        return text
    while text[end : end + 1] in (" ", "\t"):
        end += 1
    return _COMMENT.sub(_line_ends, text[:end]) + text[end:]


def _line_ends(comment: re.Match[str]) -> str:
    """What stays of a comment: its line ends, and how far in it stood, so that what follows it is never taken for indented code."""
    return "\n" * comment[0].count("\n") + (comment["indent"] or "")
