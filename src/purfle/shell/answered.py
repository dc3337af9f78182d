"""What a command printed the last time, known again while nothing it depends on has changed.

`out/.store/answers/seen` is a look at the shop's files and at purfle's own, under a mark drawn by chance; each answer beside it names the mark of
the look that it belongs to, and the whole question: words, day, folder, manner of the terminal. Both are compared in full. The store may
be deleted at any time. Nothing is kept when a file of the shop had changed within two seconds before the look, for then a later change could look the same.
Here is only what must be loaded before an answer can be said again; `copying` has the rest.
Invariant: an answer is only ever what a command printed; a store that is not the user's own is not read.
"""

import os
import time

from purfle.shell.manner import manner
from purfle.shell.opening import open_file
from purfle.shell.stamps import INPUTS, Stamp, code_stamp, misspelt, stamp_of

SITES = ("showroom", "office")
_KEEPS = frozenset({"week", "lineup", "year", "sheet", "quote", "compile"})
_MOST_BYTES = 50_000_000


class Answer:
    """What a command printed."""

    __slots__ = ("err", "out", "sites", "status")

    def __init__(self, status: int, out: str, err: str, sites: bytes = b"") -> None:
        self.status, self.out, self.err = status, out, err
        self.sites = sites
        """What `sites_stamp` saw after a compile; empty for a command that writes no site."""


class Question:
    """A command's words put to a shop as it stands."""

    def __init__(self, root: str, day: str, words: tuple[str, ...]) -> None:
        self.root, self.day, self.words = root, day, words
        self.stamp: Stamp = stamp_of(root, (*INPUTS, *misspelt(root)), shared=True)
        self.seen = self.stamp.seen + code_stamp()
        self.text = "\0".join((root, day, *words, "", *manner())).encode("utf-8", "surrogateescape")

    @property
    def store(self) -> str:
        """Where answers are kept."""
        return os.path.join(self.root, "out", ".store", "answers")

    @property
    def name(self) -> str:
        """The file of this question's answer: its words as far as a file's name can hold them; another's answer of the same name is told by its question."""
        return "-".join("".join(c if c.isascii() and c.isalnum() else "_" for c in word) for word in self.words)[:80] + ".said"

    def mark(self) -> bytes | None:
        """The mark of the look that is kept, if it is this look."""
        kept = read(self.root, "seen")
        return kept[:32] if kept is not None and kept[32:] == self.seen else None

    def recalled(self) -> Answer | None:
        """What was said the last time, or None when it is not known."""
        kept = read(self.root, self.name)
        if kept is None or (mark := self.mark()) is None:
            return None
        return _told(kept, mark, self.text)


def sites_stamp(root: str) -> bytes:
    """What can be told of both sites; empty while a site lies beside that a killed compile left."""
    out = os.path.join(root, "out")
    return b"" if os.path.lexists(os.path.join(out, ".store", "beside")) else stamp_of(out, SITES).seen


def holds(known: Answer, question: Question) -> bool:
    """Whether an answer is still to be had for the saying: after a compile, whether its sites are as it left them."""
    return question.words[0] != "compile" or (known.sites != b"" and known.sites == sites_stamp(question.root))


def question_of(args: list[str]) -> Question | None:
    """What a command line asks; None when it is of no kind that is kept, or not put plainly."""
    if not args or args[0] not in _KEEPS or "--" in args:
        return None
    words, places = _sorted_out(args)
    day, root = places.get("--today") or time.strftime("%Y-%m-%d"), _root(places.get("--shop"))
    return None if root is None or not plain_day(day) else Question(root, day, words)


def _sorted_out(args: list[str]) -> tuple[tuple[str, ...], dict[str, str]]:
    """The words without --shop and --today, and those two."""
    words, places, rest = [], {}, iter(args)
    for word in rest:
        option, equals, value = word.partition("=")
        if option in ("--shop", "--today"):
            places[option] = value if equals else next(rest, "")
        else:
            words.append(word)
    return tuple(words), places


def _root(shop: str | None) -> str | None:
    """The shop folder as the command itself will find it; None where that takes more thought."""
    folder = os.getcwd()
    if shop is not None:
        return None if ".." in shop or not shop else os.path.normpath(os.path.join(folder, shop))
    while not os.path.isfile(os.path.join(folder, "shop.md")):
        folder, below = os.path.dirname(folder), folder
        if folder == below:
            return None
    return folder


def plain_day(day: str) -> bool:
    """Whether a word has the form of `2026-03-14`; there need be no such day."""
    return len(day) == 10 and day[4] == day[7] == "-" and day.isascii() and day.replace("-", "").isdigit()


def read(root: str, name: str) -> bytes | None:
    """A file of the store; None when it can't be had, is a link or reached by one, or is another user's."""
    path = os.path.join(root, "out")
    try:
        for step in (".store", "answers", name):
            if os.path.islink(path):
                return None
            path = os.path.join(path, step)
        with open_file(path) as file:
            s = os.fstat(file.fileno())
            return file.read() if s.st_size <= _MOST_BYTES and (not hasattr(os, "geteuid") or s.st_uid == os.geteuid()) else None
    except (OSError, ValueError):
        return None


def written(answer: Answer, mark: bytes, question: bytes) -> bytes:
    """An answer as it is kept."""
    parts = question, answer.out.encode("utf-8"), answer.err.encode("utf-8"), answer.sites
    return b" ".join((mark, b"%d" % answer.status, *(b"%d" % len(part) for part in parts))) + b"\n" + b"".join(parts)


def _told(kept: bytes, mark: bytes, question: bytes) -> Answer | None:
    """The answer that was kept, if it belongs to this mark and question."""
    head, _, body = kept.partition(b"\n")
    try:
        of, status, *sizes = head.split(b" ")
        ends = [sum(map(int, sizes[: n + 1])) for n in range(4)]
        asked, out, err, sites = (body[start:end] for start, end in zip([0, *ends], ends, strict=False))
        whole = of == mark and asked == question and len(body) == ends[3] and status in (b"0", b"1")
        return Answer(int(status), out.decode("utf-8"), err.decode("utf-8"), sites) if whole else None
    except ValueError:
        return None
